//! The server from outside: real requests over a real socket.

mod front;
mod instruments;
mod kits;
mod people;
mod photos;
mod review_words;
mod routes;
mod settings;
mod sheets;
mod shield;
mod sign_in;
mod verify;
