//! The server from outside: real requests over a real socket.

mod front;
mod instruments;
mod kits;
mod people;
mod photos;
mod plans;
mod routes;
mod settings;
mod shield;
mod sign_in;
mod verify;
