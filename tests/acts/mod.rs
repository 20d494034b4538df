//! What people do to a job, end to end.

mod archive;
mod archive_form;
mod by_others;
mod import;
pub(crate) mod packed;
