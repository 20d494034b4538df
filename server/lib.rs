//! Fusewright: the job sheet for auxiliary power gear in vehicles, from plan to certificate.
//!
//! Floors, each naming only those below: `engineering`, `domain`, `storage` and `documents`, `acts`,
//! `web` and `cli`. `tests/tidy.rs` holds them apart.

pub mod acts;
pub mod cli;
pub mod config;
pub mod documents;
pub mod domain;
pub mod engineering;
pub mod storage;
pub mod web;
pub mod world;
