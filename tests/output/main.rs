//! Files as the world sees them: written, read by another program's reader, and read back.

mod hostile;
mod reading_back;
mod replacing;
mod support;
mod writing;
