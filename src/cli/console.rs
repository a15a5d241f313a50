use super::args::{Global, Speech, When};
use super::disk::plain;
use super::exit::Exit;
use super::imported::trace;
use super::inches;
use super::told::Told;
use crate::diagnostic::{Arranged, Counts, Diagnostic, annotations, arrange, json, sarif, text};
use crate::quantity::{FileId, SourceFile, Sources};
use std::io::{Error, ErrorKind, IsTerminal, Write};

/// Columns that findings are wrapped at.
const WIDTH: usize = 100;

/// The two streams: the product on stdout, everything said about it on stderr.
///
/// A reader that goes away (`| head`) is no error of ours: the rest is dropped without a word.
#[derive(Debug)]
pub struct Console {
    form: Speech,
    most: usize,
    colour: bool,
    quiet: bool,
}

impl Console {
    pub fn new(global: &Global) -> Console {
        let colour = match global.color {
            When::Always => true,
            When::Never => false,
            When::Auto => {
                std::io::stderr().is_terminal()
                    && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
            }
        };
        Console { form: global.diagnostics, most: global.max_errors, colour, quiet: global.quiet }
    }

    /// Writes the product.
    pub fn product(&self, text: &str) -> Exit {
        let mut stdout = std::io::stdout().lock();
        match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                self.say(&format!("cannot write to standard output: {}", plain(&error)));
                Exit::Outside
            }
            _ => Exit::Clean,
        }
    }

    /// Writes what a command answers beside the files it wrote; nothing when quiet.
    pub fn answer(&self, text: &str) -> Exit {
        if self.quiet { Exit::Clean } else { self.product(text) }
    }

    /// Says why a command does not do what it was asked for: the way out wherever nothing is made.
    /// Never ends clean.
    pub fn refuse(&self, told: impl Into<Told>) -> Exit {
        self.tell(told.into().refusing())
    }

    /// Writes what a command has to say beside what it made: once, at its end. Gives the exit that
    /// amounts to.
    pub fn tell(&self, told: impl Into<Told>) -> Exit {
        let Told { mut causes, mut found, sources } = told.into();
        let exit = Exit::of(&causes).max(Exit::of(&found));
        trace(causes.iter_mut().chain(&mut found), &sources);
        inches::add(causes.iter_mut().chain(&mut found), &sources);
        if self.quiet {
            causes.retain(Diagnostic::is_error);
            found.retain(Diagnostic::is_error);
        }
        let found = behind(causes, arrange(found, 0), self.most);
        let shown = match self.form {
            Speech::Text => {
                let look = text::Look { colour: self.colour, width: WIDTH };
                text::report(&found, &sources, look)
            }
            Speech::Json => json::report(&found, &sources),
            Speech::Sarif => sarif::report(&found, &sources),
            Speech::Annotations => annotations::report(&found, &sources),
        };
        write_stderr(&shown);
        exit
    }

    /// A line of what was done; nothing when quiet or when stderr is for a script.
    pub fn summary(&self, line: &str) {
        if !self.quiet && self.form == Speech::Text {
            self.say(line);
        }
    }

    /// Whether progress may be drawn: only where somebody watches.
    pub fn watched(&self) -> bool {
        !self.quiet && self.form == Speech::Text && std::io::stderr().is_terminal()
    }

    fn say(&self, line: &str) {
        write_stderr(&format!("{line}\n"));
    }
}

/// Causes before what came of them, `most` of all together (0: all).
fn behind(mut causes: Vec<Diagnostic>, found: Arranged, most: usize) -> Arranged {
    let (told, rest) = (Counts::of(&causes), found.counts);
    let all = causes.len() + found.shown.len();
    let counts = Counts {
        errors: told.errors + rest.errors,
        warnings: told.warnings + rest.warnings,
        notes: told.notes + rest.notes,
    };
    let room = if most == 0 { all } else { most };
    causes.truncate(room);
    let left = room - causes.len();
    if left > 0 {
        causes.extend(arrange(found.shown, left).shown);
    }
    Arranged { hidden: all - causes.len(), shown: causes, counts }
}

/// Nobody is left to be told when stderr itself fails.
fn write_stderr(text: &str) {
    let _nobody_listens: Result<(), Error> = std::io::stderr().lock().write_all(text.as_bytes());
}

/// The same sources under the names the user knows them by.
pub fn renamed(sources: &Sources, name: impl Fn(FileId, &str) -> String) -> Sources {
    let mut renamed = Sources::default();
    for (id, file) in sources.iter() {
        renamed.add(SourceFile::new(name(id, file.name()), file.text().clone()));
    }
    renamed
}
