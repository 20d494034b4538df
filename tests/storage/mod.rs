//! Storage against real database files in folders of their own.

mod append_only;
mod certificates;
mod clean;
mod customers;
mod devices;
mod entries;
mod fixture;
mod incoming;
mod instruments;
mod jobs;
mod kits;
mod open;
mod outbox_files;
mod people;
mod photos;
mod picture;
mod plans;
mod seal;
mod sessions;
mod sheets;
mod sign_ins;
mod verify;
mod workshops;
mod writer;
