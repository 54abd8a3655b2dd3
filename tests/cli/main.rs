//! The program as a teacher types it: what it makes, and what it says when it cannot.

mod budgets;
mod checks;
mod courses;
mod desk;
mod makes;
mod mends;
mod notes;
mod places;
mod refuses_files;
mod refuses_options;
mod refuses_sheets;
#[cfg(unix)]
mod stopped;
mod strangers;
#[cfg(unix)]
mod streams;
