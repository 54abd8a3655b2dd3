//! The program as a teacher types it: what it makes, and what it says when it cannot.

mod checks;
mod courses;
mod desk;
mod makes;
mod places;
mod refuses_files;
mod refuses_options;
mod refuses_sheets;
#[cfg(unix)]
mod stopped;
#[cfg(unix)]
mod streams;
