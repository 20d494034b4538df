//! The built program, driven from outside: what it prints, how it ends, what it leaves behind.

mod config;
mod demo;
mod https;
mod kit;
mod plan;
mod program;
mod refusals;
mod seal;
mod seal_import;
mod seal_renew;
mod serve;
mod time_stamp;
mod verify;
