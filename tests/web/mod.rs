//! The server from outside: real requests over a real socket.

mod front;
mod instruments;
mod kits;
mod listen;
mod malformed;
mod new_job;
mod own_password;
mod people;
mod photos;
mod plans;
mod proxies;
mod review_words;
mod reviews;
mod routes;
mod search;
mod settings;
mod sheets;
mod shield;
mod sign_in;
mod solar;
mod tls;
mod verify;
