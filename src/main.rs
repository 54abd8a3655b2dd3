//! The program: everything it does is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    quintfall::cli::main(std::env::args_os())
}
