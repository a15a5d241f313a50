use super::Session;
use super::commands;
use super::exit::Exit;
use clap::{ArgAction, Args, Parser, Subcommand, ValueEnum};

/// One screen: examples first, then what it does, then the table.
pub const TEMPLATE: &str = "{before-help}{about}\n\nUsage: {usage}\n\n{all-args}";

/// The same for the program itself: its commands alone, or one screen would not hold them.
const TOP: &str = "{before-help}{about}\n\nCommands:\n{subcommands}\n\n\
                   Options stand in the help of each command, those of every command too: \
                   coilwright check -h";

/// Compiles light steel frame members into proved punch-and-cut programs.
#[derive(Debug, Parser)]
#[command(
    name = "coilwright",
    version,
    propagate_version = true,
    help_template = TOP,
    max_term_width = 100,
    disable_help_subcommand = true,
    disable_help_flag = true,
    disable_version_flag = true,
    before_help = "Examples:
  coilwright check walls.members --library shop.toml
  coilwright compile batch.toml --out today
"
)]
pub struct Coilwright {
    #[command(flatten)]
    pub global: Global,
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Debug, Args)]
#[command(next_help_heading = "Options of every command")]
pub struct Global {
    /// Findings on stderr: text, json, sarif or annotations
    // One screen has no room for the values once more.
    #[arg(long, global = true, value_name = "FORM", default_value = "text")]
    #[arg(hide_possible_values = true)]
    pub diagnostics: Speech,
    /// Show at most N errors; 0 shows all
    #[arg(long, global = true, value_name = "N", default_value_t = 50)]
    pub max_errors: usize,
    /// Colour of findings: auto, always or never
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    #[arg(hide_possible_values = true)]
    pub color: When,
    /// No progress, no summary, no warnings or notes
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// Threads to use; never changes a byte of the output
    #[arg(long, global = true, value_name = "N", default_value_t = 1, value_parser = threads)]
    pub threads: usize,
    /// Print help
    #[arg(long, short, global = true, action = ArgAction::Help)]
    help: Option<bool>,
    /// Print version
    #[arg(long, short = 'V', global = true, action = ArgAction::Version)]
    version: Option<bool>,
}

fn threads(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n @ 1..=64) => Ok(n),
        _ => Err("a number from 1 to 64".to_string()),
    }
}

/// Text for people or JSON for scripts.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Form {
    /// For people
    Text,
    /// For scripts
    Json,
}

/// How findings are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Speech {
    /// For people
    Text,
    /// For scripts
    Json,
    /// SARIF 2.1.0, for what collects findings of many tools
    Sarif,
    /// Workflow commands, for the margin of a review
    Annotations,
}

/// When to use colour.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum When {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    New(commands::new::New),
    Check(commands::check::Check),
    Compile(commands::compile::Compile),
    Verify(commands::verify::Verify),
    Preview(commands::preview::Show),
    Estimate(commands::estimate::Estimate),
    FirstOff(commands::first_off::FirstOff),
    Cut(commands::cut::Cut),
    Explain(commands::explain::Explain),
    Fmt(commands::fmt::Fmt),
    Import(commands::import::Import),
    Export(commands::export::Export),
    Draw(commands::draw::Draw),
    Labels(commands::labels::Labels),
    Schema(commands::schema::Schema),
    Compare(commands::compare::Compare),
    Dialect(commands::dialect::Dialect),
    Config(commands::config::Config),
    Completions(commands::completions::Completions),
    Man(commands::man::Man),
}

impl Command {
    pub fn run(self, session: &Session) -> Exit {
        match self {
            Command::New(command) => command.run(session),
            Command::Check(command) => command.run(session),
            Command::Compile(command) => command.run(session),
            Command::Verify(command) => command.run(session),
            Command::Preview(command) => command.run(session),
            Command::Estimate(command) => command.run(session),
            Command::FirstOff(command) => command.run(session),
            Command::Cut(command) => command.run(session),
            Command::Explain(command) => command.run(session),
            Command::Fmt(command) => command.run(session),
            Command::Import(command) => command.run(session),
            Command::Export(command) => command.run(session),
            Command::Draw(command) => command.run(session),
            Command::Labels(command) => command.run(session),
            Command::Schema(command) => command.run(session),
            Command::Compare(command) => command.run(session),
            Command::Dialect(command) => command.run(session),
            Command::Config(command) => command.run(session),
            Command::Completions(command) => command.run(session),
            Command::Man(command) => command.run(session),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_tables_hold_together() {
        Coilwright::command().debug_assert();
    }

    #[test]
    fn short_help_is_one_screen_that_starts_with_two_examples() {
        let mut top = Coilwright::command();
        top.build();
        let mut all: Vec<clap::Command> = top.get_subcommands().cloned().collect();
        all.push(top);
        for mut command in all {
            let help = command.render_help().to_string();
            let name = command.get_name();
            assert!(help.starts_with("Examples:\n"), "{name}:\n{help}");
            assert!(help.lines().skip(1).take(2).all(|l| l.starts_with("  coilwright ")), "{name}");
            assert!(help.lines().count() <= 34, "{name}: {} lines", help.lines().count());
        }
    }

    #[test]
    fn a_slip_is_suggested() {
        let error = Coilwright::try_parse_from(["coilwright", "comple"]).unwrap_err();
        assert!(error.to_string().contains("'compile'"), "{error}");
    }
}
