mod log;

use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::DiskFiles;
use crate::cli::exit::Exit;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::any_error;
use crate::dialect::{Invertible, not_on_the_line, tool_names};
use crate::library::model::{Controller, Dialect as Description, Line, Scope, Sign};
use crate::library::{load_dialect, load_library, load_line, name_types};
use crate::quantity::{Span, join};
use crate::report::words::count;
use clap::{Args, Subcommand};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  coilwright dialect check shop/controller.toml --line shop/line.toml
  coilwright dialect check shipped:rs-274 --line shop/line.toml
  coilwright dialect log bench.log --as shop/bench-log.toml --ran today
";

/// Look at a controller's dialect: what it proves and writes, and its log
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = EXAMPLES
)]
pub struct Dialect {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    Check(Check),
    Log(log::Log),
}

/// Prove a dialect on a line, and show what it writes for a sample
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = EXAMPLES
)]
struct Check {
    /// Description of the dialect; `shipped:NAME` is one that comes with the program
    #[arg(value_name = "FILE")]
    dialect: PathBuf,
    /// Line it is to be proved on
    #[arg(long, value_name = "LINE")]
    line: PathBuf,
    /// Library that the line's file draws on; else library.toml beside it
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
}

impl Dialect {
    pub fn run(self, session: &Session) -> Exit {
        match self.what {
            What::Check(check) => check.run(session),
            What::Log(log) => log.run(session),
        }
    }
}

impl Check {
    fn run(&self, session: &Session) -> Exit {
        match self.told() {
            Ok((text, told)) => session.console.tell(told).max(session.console.product(&text)),
            Err(told) => session.console.refuse(told),
        }
    }

    /// What is shown where it is proved, else why not.
    fn told(&self) -> Result<(String, Told), Told> {
        let (dialect_name, line_name) = (shown(&self.dialect)?, shown(&self.line)?);
        let library_name = match &self.library {
            Some(path) => shown(path)?,
            None => join(&line_name, "library.toml"),
        };
        let files = DiskFiles::here();
        let mut told = Told::default();
        let sources = &mut told.sources;
        let (mut dialect, mut found) = load_dialect(&files, sources, &dialect_name, None);
        let (library, faults) = load_library(&files, sources, &library_name);
        found.extend(faults);
        // Names in the line's file are unknown without their library.
        let line = library.and_then(|library| {
            found.extend(dialect.iter_mut().flat_map(|dialect| name_types(dialect, &library)));
            let (line, faults) = load_line(&files, sources, &line_name, &library);
            found.extend(faults);
            line
        });
        told.found = found;
        let (Some(dialect), Some(line)) = (dialect, line) else { return Err(told) };
        if any_error(&told.found) {
            return Err(told);
        }
        told.found.extend(not_on_the_line(&dialect, &line));
        match proved(&dialect, &line) {
            Ok(text) => Ok((text, told)),
            Err(why) => {
                told.found.extend(why);
                Err(told)
            }
        }
    }
}

fn proved(
    dialect: &Description,
    line: &Line,
) -> Result<String, Vec<crate::diagnostic::Diagnostic>> {
    let invertible = Invertible::prove(dialect, line)?;
    let program = invertible.sample(line);
    let program = invertible.told(&program).map_err(|refusal| vec![*refusal])?;
    let printed = invertible.print(&program).map_err(|refusal| vec![*refusal])?;
    let mut text = format!(
        "Dialect {} on line {}: proved.\n\
         {}\
         Each program of this line is written in one way, and what is read is the program that \
         was written: records are told apart by what they begin with, each field ends where it is \
         seen to, no two tools share a name, and the decimals keep every {} mm apart.\n",
        dialect.name,
        line.name,
        level(&invertible),
        line.grid.increment(),
    );
    if dialect.records.has(Scope::Wait) {
        text.push_str(
            "Strokes of one phase stand before one wait, as long as the slowest takes.\n",
        );
    }
    text.push_str("\nOnly with a program it shows, and is refused then:\n");
    for line in shown_by_a_program(dialect) {
        text.push_str(&format!("  {line}\n"));
    }
    text.push_str("\nTools:\n");
    for (tool, name) in line.tools.iter().zip(tool_names(dialect, line)?) {
        text.push_str(&format!("  {name}  {}\n", tool.name));
    }
    text.push_str("\nA sample, not to be run:\n");
    text.push_str(&invertible.text(&printed.bytes));
    if !text.ends_with('\n') {
        text.push('\n');
    }
    Ok(text)
}

/// What no proof for a line can say before there are members.
fn shown_by_a_program(dialect: &Description) -> Vec<String> {
    let mut told = vec![format!(
        "a name or a mark text with a character that is not {}, or that its format refuses",
        dialect.characters.word()
    )];
    for text in &dialect.texts {
        told.extend(text.width.map(|width| {
            format!("a text of more than {} characters in `{}`", width.characters, text.name)
        }));
    }
    for number in &dialect.numbers {
        let Some(width) = number.width else { continue };
        let behind = match number.decimals {
            0 => 0,
            decimals => usize::from(decimals) + 1,
        };
        let digits = width.saturating_sub(behind + usize::from(number.sign != Sign::Never));
        let before = if behind > 0 { " before the point" } else { "" };
        let digits = count(digits, "digit");
        told.push(format!("a figure of more than {digits}{before} in `{}`", number.name));
    }
    let limits = &dialect.limits;
    let bytes = |what: &str, limit: Option<(usize, Span)>| {
        limit.map(|(most, _)| format!("a {what} of more than {most} bytes"))
    };
    told.extend(bytes("line", limits.line));
    told.extend(bytes("value", limits.field));
    if limits.members.or(limits.lines).or(limits.bytes).is_some() {
        told.push(
            "more between two cuts than fits a file (longer runs are split at cuts)".to_string(),
        );
    }
    let longest = dialect.files.as_ref().and_then(|files| files.longest);
    told.extend(longest.map(|(most, _)| format!("a file's name of more than {most} characters")));
    told
}

/// What is told at this level, and what is left to the controller.
fn level(invertible: &Invertible) -> String {
    match invertible.controller() {
        None => "Level: stop. It tells every advance and every stroke, and leaves the controller \
                 nothing to decide.\n"
            .to_string(),
        Some(controller) => format!(
            "Level: member. It tells members and what is made on each; when to stop and to fire \
             is the controller's. What is proved of a program is what such a controller makes of \
             it, its products and not its strokes:\n{}",
            sentences(controller)
        ),
    }
}

/// The controller's model, a line each.
pub(super) fn sentences(controller: &Controller) -> String {
    controller.sentences().iter().map(|sentence| format!("  {sentence}\n")).collect()
}
