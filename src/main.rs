//! The `coilwright` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    coilwright::cli::main()
}
