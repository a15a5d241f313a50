use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::exit::Exit;
use crate::cli::shop::Named;
use crate::cli::told::Told;
use crate::diagnostic::any_error;
use crate::diagnostic::codes::files::E0923;
use crate::diagnostic::{Diagnostic, closest};
use crate::library::{self, Setting, load_batch, load_dialect};
use crate::quantity::Sources;
use crate::report::json;
use clap::{Args, Subcommand};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  coilwright config show batch.toml
  coilwright config show batch.toml line.feed effort
";

/// Say which settings govern a batch, and where each comes from
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub struct Config {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    Show(Show),
}

/// List every setting with its value, and the file and line that says so, or `default`
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
struct Show {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Only these, and what is below them; else all
    #[arg(value_name = "KEY")]
    keys: Vec<String>,
    /// What is printed
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Form,
}

/// Settings of a batch, as JSON.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Shown {
    /// Version of this form.
    version: u32,
    /// The batch's name.
    batch: String,
    /// Every setting, file by file.
    settings: Vec<One>,
}

/// A setting.
#[derive(Debug, Serialize, JsonSchema)]
struct One {
    /// Its key, such as `line.feed.speed`; those of the batch stand alone.
    key: String,
    /// What holds, as it is written; not there where nothing is said and nothing holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<String>,
    /// Where it comes from.
    from: From,
    /// The file that says so, as named from where the command was started; one that comes with
    /// the program is called `shipped/…` or `shipped:…`.
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
    /// The line of that file, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<u32>,
}

/// Where a setting comes from.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum From {
    /// A file says it.
    File,
    /// No file does: the default holds.
    Default,
    /// No file does, and there is no default: there is none of it.
    Nothing,
}

impl Config {
    pub fn run(self, session: &Session) -> Exit {
        match self.what {
            What::Show(show) => show.run(session),
        }
    }
}

impl Show {
    fn run(&self, session: &Session) -> Exit {
        match self.shown() {
            Ok((shown, told)) => {
                let printed = match self.format {
                    Form::Text => text(&shown),
                    Form::Json => json::print(&shown),
                };
                session.console.tell(told).max(session.console.product(&printed))
            }
            Err(told) => session.console.refuse(told),
        }
    }

    fn shown(&self) -> Result<(Shown, Told), Told> {
        let named = Named::batch(&self.batch)?;
        let mut sources = Sources::default();
        let (loaded, mut found) = load_batch(&named.files, &mut sources, &named.name);
        if let Some(loaded) = &loaded {
            let (path, at) = &loaded.dialect;
            found.extend(load_dialect(&named.files, &mut sources, path, Some(*at)).1);
        }
        let settings = loaded.as_ref().filter(|_| !any_error(&found)).map(|loaded| {
            let name = loaded.batch.name.to_string();
            (name, library::settings(&sources, &named.name, loaded))
        });
        let sources = named.shown(&sources);
        let told = Told { found, sources, ..Told::default() };
        let Some((batch, settings)) = settings else { return Err(told) };
        let chosen = self.chosen(settings)?;
        let settings = chosen.into_iter().map(|setting| one(setting, &told.sources)).collect();
        Ok((Shown { version: 1, batch, settings }, told))
    }

    /// Those asked for; a key that leads to none is refused.
    fn chosen(&self, mut settings: Vec<Setting>) -> Result<Vec<Setting>, Box<Diagnostic>> {
        let leads = |asked: &str, key: &str| {
            key.strip_prefix(asked).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        for asked in &self.keys {
            if settings.iter().any(|setting| leads(asked, &setting.key)) {
                continue;
            }
            let help = match closest(asked, settings.iter().map(|setting| setting.key.as_str())) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "leave the keys out to see them all".to_string(),
            };
            return Err(Box::new(
                Diagnostic::new(&E0923, format!("there is no setting `{asked}` in this batch"))
                    .help(help),
            ));
        }
        if !self.keys.is_empty() {
            settings.retain(|setting| self.keys.iter().any(|asked| leads(asked, &setting.key)));
        }
        Ok(settings)
    }
}

fn one(setting: Setting, sources: &Sources) -> One {
    let place = setting.said.and_then(|span| {
        let source = sources.get(span.file)?;
        Some((source.name().to_string(), source.position(span.start).line))
    });
    let from = match (&place, &setting.value) {
        (Some(_), _) => From::File,
        (None, Some(_)) => From::Default,
        (None, None) => From::Nothing,
    };
    let (file, line) = place.unzip();
    One { key: setting.key, value: setting.value, from, file, line }
}

/// Longest value that is shown whole: longer ones are lists of records, cut short here and whole
/// as JSON.
const WIDEST: usize = 44;

/// One line a setting, in columns.
fn text(shown: &Shown) -> String {
    let rows: Vec<(&str, String, String)> = shown
        .settings
        .iter()
        .map(|one| {
            let value = one.value.as_deref().unwrap_or("-");
            let value = if value.chars().count() > WIDEST {
                value.chars().take(WIDEST - 1).chain(['…']).collect()
            } else {
                value.to_string()
            };
            let from = match (&one.file, one.line, one.from) {
                (Some(file), Some(line), _) => format!("{file}:{line}"),
                (_, _, From::Default) => "default".to_string(),
                _ => "not said".to_string(),
            };
            (one.key.as_str(), value, from)
        })
        .collect();
    let widest = |of: &dyn Fn(&(&str, String, String)) -> usize| rows.iter().map(of).max();
    let key = widest(&|row| row.0.chars().count()).unwrap_or(0);
    let value = widest(&|row| row.1.chars().count()).unwrap_or(0);
    rows.iter().map(|row| format!("{:key$}  {:value$}  {}\n", row.0, row.1, row.2)).collect()
}
