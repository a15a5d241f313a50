use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::cutting::{self, Answer};
use crate::cli::disk::{DiskFiles, put};
use crate::cli::exit::Exit;
use crate::cli::output::interrupted;
use crate::cli::planned::Effort;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::{Diagnostic, load};
use crate::nest::cutting::read::{List, read};
use crate::quantity::Sources;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Cut plain lists of lengths from stock with the least waste, and prove it
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright cut bars.txt
  coilwright cut lists/*.txt --format tsv --deadline 60
"
)]
pub struct Cut {
    /// Lists: number of lengths, stock length, then `length demand` lines
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// text, or tsv: file, items, types, capacity, stocks, bound, proved, seconds, ticks
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Shape,
    /// How hard to look: quick, normal, thorough, or work ticks; with a deadline: until then
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
    /// Seconds for each list; what is best by then is printed, marked cut short
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    deadline: Option<Duration>,
    /// File to write the patterns to, for another program to check
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// File to write the certificates of the bounds to
    #[arg(long, value_name = "FILE")]
    certificate: Option<PathBuf>,
}

/// How plans are printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
enum Shape {
    /// For people
    Text,
    /// One line a file, columns parted by tabs
    Tsv,
}

/// Ticks of a list where nothing else is said.
const TICKS: u64 = 20_000_000;

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text.parse().map_err(|_| "a number of seconds".to_string())?;
    Duration::try_from_secs_f64(seconds).map_err(|_| "seconds from 0 upward".to_string())
}

impl Cut {
    pub fn run(self, session: &Session) -> Exit {
        let _guard = session.interrupt.guard();
        let mut told = Told::default();
        let (mut patterns, mut certificates) = (String::new(), String::new());
        let mut exit = Exit::Clean;
        for path in &self.files {
            let (list, name) = match self.list(path, &mut told) {
                Some(read) => read,
                None => continue,
            };
            match self.one(session, &list) {
                Ok(answer) => {
                    told.found.extend(answer.warning(&name));
                    let text = match self.format {
                        Shape::Text => cutting::text::print(&name, &list, &answer),
                        Shape::Tsv => cutting::tsv::print(&name, &list, &answer),
                    };
                    exit = exit.max(session.console.product(&text));
                    if self.plan.is_some() {
                        patterns.push_str(&cutting::patterns::print(&name, &list, &answer));
                    }
                    if self.certificate.is_some() {
                        certificates.push_str(&cutting::certificate::print(&name, &answer));
                    }
                }
                Err(refusal) => told.found.push(refusal.note(format!("in `{name}`"))),
            }
            if session.interrupt.raised() {
                told.found.push(*interrupted());
                break;
            }
        }
        for (file, text) in [(&self.plan, &patterns), (&self.certificate, &certificates)] {
            if let Some(file) = file
                && let Err(refusal) = put(file, ".cut-", text, &session.interrupt)
            {
                told.found.push(*refusal);
            }
        }
        exit.max(session.console.tell(told))
    }

    fn list(&self, path: &Path, told: &mut Told) -> Option<(List, String)> {
        let mut sources = Sources::default();
        let read = shown(path).and_then(|name| {
            let file = load(&DiskFiles::here(), &mut sources, &name, None)?;
            let text = sources.get(file).map(|source| source.text().clone());
            Ok((read(file, text.as_deref().unwrap_or_default()), name))
        });
        let ((list, found), name) = match read {
            Ok(read) => read,
            Err(refusal) => {
                told.absorb(Told::from(refusal));
                return None;
            }
        };
        if list.is_none() {
            told.absorb(Told { found, sources, ..Told::default() });
        }
        list.map(|list| (list, name))
    }

    fn one(&self, session: &Session, list: &List) -> Result<Answer, Diagnostic> {
        let started = Instant::now();
        let over = || {
            session.interrupt.raised()
                || self.deadline.is_some_and(|deadline| started.elapsed() >= deadline)
        };
        let ticks = match (self.effort, self.deadline) {
            (Some(effort), _) => effort.0,
            (None, Some(_)) => u64::MAX,
            (None, None) => TICKS,
        };
        let mut answer =
            cutting::answer(&list.problem, ticks, &over, &|| session.interrupt.raised())?;
        answer.seconds = started.elapsed();
        Ok(answer)
    }
}
