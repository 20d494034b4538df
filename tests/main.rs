//! All tests of the house, one program: the tree copies `server/`.

#![expect(clippy::unwrap_used, reason = "a test that cannot get what it needs has failed")]
#![expect(clippy::indexing_slicing, reason = "a test that looks beyond the end has failed")]

mod acts;
mod cli;
mod documents;
mod domain;
mod engineering;
mod migrations;
mod published;
mod storage;
mod support;
mod tidy;
mod web;
