//! Which papers are written beside the programs.

use super::manifest::FileEntry;
use crate::report::papers::{FOLDER, KINDS};
use clap::Args;
use clap::builder::PossibleValuesParser;

/// Stands for every kind.
const ALL: &str = "all";

/// Papers that are asked for.
#[derive(Debug, Args)]
pub struct Asked {
    /// Papers of the floor too, in DIR/papers: those named, such as `=run-sheet,schedule`, or all
    #[arg(
        long,
        value_name = "PAPERS",
        num_args = 0..,
        require_equals = true,
        default_missing_value = ALL,
        value_delimiter = ',',
        value_parser = named(),
        hide_possible_values = true
    )]
    papers: Vec<String>,
}

fn named() -> PossibleValuesParser {
    PossibleValuesParser::new(KINDS.iter().map(|kind| kind.name).chain([ALL]))
}

impl Asked {
    /// Names of those asked for.
    pub fn names(&self) -> Vec<&'static str> {
        let asked = |name: &str| self.papers.iter().any(|paper| paper == name || paper == ALL);
        KINDS.iter().map(|kind| kind.name).filter(|name| asked(name)).collect()
    }
}

/// Names of those a folder has: what goes on from it has the same.
pub fn had(files: &[FileEntry]) -> Vec<&'static str> {
    let has = |name: &str| {
        let begin = format!("{FOLDER}/{name}");
        files.iter().any(|file| file.path.starts_with(&begin))
    };
    KINDS.iter().map(|kind| kind.name).filter(|name| has(name)).collect()
}
