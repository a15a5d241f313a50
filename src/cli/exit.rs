use crate::diagnostic::Diagnostic;
use std::process::ExitCode;

/// How a command ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Exit {
    /// 0: done, nothing wrong.
    Clean,
    /// 1: the input has errors.
    Input,
    /// 2: usage, configuration, or something outside the input, such as a full disk.
    Outside,
}

/// Codes that always speak of the world and not of the input.
const OUTSIDE: [&str; 14] = [
    "E0906", "E0907", "E0908", "E0909", "E0910", "E0911", "E0916", "E0922", "E0923", "E0925",
    "E0962", "E1101", "E1105", "E1106",
];

/// Codes that speak of the world when no file names the culprit: it came from the command line.
const NAMED_BY_USER: [&str; 3] = ["E0901", "E0902", "E0904"];

impl Exit {
    /// What these findings amount to.
    pub fn of(diagnostics: &[Diagnostic]) -> Exit {
        let exit = |diagnostic: &Diagnostic| {
            let number = diagnostic.code.number;
            if OUTSIDE.contains(&number)
                || (NAMED_BY_USER.contains(&number) && diagnostic.labels.is_empty())
            {
                Exit::Outside
            } else {
                Exit::Input
            }
        };
        diagnostics.iter().filter(|d| d.is_error()).map(exit).max().unwrap_or(Exit::Clean)
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Clean => 0,
            Exit::Input => 1,
            Exit::Outside => 2,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::codes::files::{E0901, E0905, E0906};
    use crate::quantity::{FileId, Span};

    #[test]
    fn a_missing_file_is_the_users_or_the_inputs() {
        let missing = Diagnostic::new(&E0901, "x");
        let named = missing.clone().at(Span::new(FileId(0), 0, 1), "named here");
        assert_eq!(Exit::of(std::slice::from_ref(&missing)), Exit::Outside);
        assert_eq!(Exit::of(std::slice::from_ref(&named)), Exit::Input);
        assert_eq!(Exit::of(&[named, Diagnostic::new(&E0906, "x")]), Exit::Outside);
        assert_eq!(Exit::of(&[Diagnostic::new(&E0905, "x")]), Exit::Input);
        assert_eq!(Exit::of(&[]), Exit::Clean);
    }
}
