//! What people do to a job, end to end.

mod archive;
mod archive_form;
mod by_others;
pub(crate) mod packed;
