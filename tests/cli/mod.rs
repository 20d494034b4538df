//! The built program, driven from outside: what it prints, how it ends, what it leaves behind.

mod config;
pub(crate) mod demo;
mod https;
mod kit;
mod plan;
pub(crate) mod program;
mod refusals;
mod seal;
mod seal_import;
mod seal_renew;
mod serve;
mod time_stamp;
mod verify;
