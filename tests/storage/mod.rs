//! Storage against real database files in folders of their own.

mod append_only;
mod certificates;
mod customers;
mod devices;
mod entries;
mod fixture;
mod instruments;
mod jobs;
mod kits;
mod open;
mod people;
mod pepper;
mod phones;
mod photos;
mod picture;
mod pin_tries;
mod pins;
mod plans;
mod seal;
mod sessions;
mod sheets;
mod sign_ins;
mod verify;
mod workshops;
mod writer;
