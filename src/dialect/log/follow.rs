//! What a log says, held against the programs that were to be run. A run that lies in several
//! files is several programs to its controller: each is started and over by itself, and counts
//! pieces and strip from its own beginning.

use super::{Entry, LogReader, Place};
use crate::diagnostic::{Code, Diagnostic, codes::measured as codes};
use crate::library::model::Happening;
use crate::program::{Event, Program, Serial};
use crate::quantity::{Length, Span};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// A program as its controller is given it: a run, or one of the files that a run lies in.
#[derive(Clone, Debug)]
pub struct Given {
    /// Which run of the batch it belongs to, from 0.
    pub run: usize,
    /// What its file is called, without its folder.
    pub file: String,
    /// What is in it, with its own identity.
    pub program: Program,
}

impl Given {
    /// Whether a log means this file: capitals and the ending are no difference.
    fn is_called(&self, said: &str) -> bool {
        let stem = self.file.rsplit_once('.').map_or(&*self.file, |(stem, _)| stem);
        said.eq_ignore_ascii_case(&self.file) || said.eq_ignore_ascii_case(stem)
    }
}

/// How far a log says the run has come.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Logged {
    /// The identity of the program that was running.
    pub program: Arc<str>,
    /// The last piece that dropped, and the line that says so.
    pub after: (Serial, Span),
    /// Pieces that dropped, all programs together.
    pub made: usize,
    /// Pieces that dropped and were found to be no good.
    pub rejected: Vec<Serial>,
    /// Advance of the cut that dropped it, as that program counts.
    pub cut_at: Length,
    /// Where the strip came to rest after that, if the log says so, and the line.
    pub stands: Option<(Place, Span)>,
    /// The line that tells of something after that piece which moved the strip: scrap that
    /// dropped.
    pub moved: Option<Span>,
}

/// Follows the log of a batch's programs, which run in their order: `given` has the files of each
/// run together. The first line that
/// contradicts the programs is refused: nothing after it can be relied upon.
pub fn follow(
    reader: &LogReader,
    entries: &[Entry],
    given: &[Given],
) -> Result<Logged, Box<Diagnostic>> {
    let mut state = State {
        given,
        tells_scrap: reader.tells(Happening::Scrap),
        tells_pieces: reader.tells(Happening::Piece),
        running: None,
        started: 0,
        cuts: Vec::new(),
        done: 0,
        dropped: BTreeSet::new(),
        of_run: 0,
        logged: None,
        rejected: Vec::new(),
    };
    for entry in entries {
        match entry.happening {
            Happening::Started => state.start(entry)?,
            Happening::Piece => state.piece(entry)?,
            Happening::Scrap => state.scrap(entry)?,
            Happening::Rejected => state.reject(entry)?,
            Happening::Stopped => state.stop(entry)?,
            Happening::Ended => state.end(entry)?,
        }
    }
    let State { logged, rejected, dropped, .. } = state;
    match logged {
        Some(logged) => Ok(Logged { rejected, made: dropped.len(), ..logged }),
        None => Err(Box::new(nothing_made(entries.last()))),
    }
}

struct State<'a> {
    given: &'a [Given],
    /// Whether scrap that drops leaves a line.
    tells_scrap: bool,
    /// Whether each piece does; else they are counted where the strip stops.
    tells_pieces: bool,
    /// The program that runs: its identity, and which of those that were given.
    running: Option<(Arc<str>, Range<usize>)>,
    /// How many of those that were given were started.
    started: usize,
    /// Its cuts: where, and of which piece.
    cuts: Vec<(Length, Option<Serial>)>,
    /// How many of them are done.
    done: usize,
    /// Every piece that has dropped.
    dropped: BTreeSet<Serial>,
    /// How many of them in this run.
    of_run: usize,
    logged: Option<Logged>,
    rejected: Vec<Serial>,
}

impl State<'_> {
    fn start(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        let Some((id, of)) = self.meant(entry) else { return Err(self.not_held(entry)) };
        if of.start != self.started {
            let wanted = self.given.get(self.started).map_or("none", |next| match entry.file {
                Some(_) => next.file.as_str(),
                None => &next.program.id,
            });
            let why = match of.start < self.started {
                true => format!("program `{id}` is started again from its beginning"),
                false => format!("program `{id}` is started, and `{wanted}` comes before it"),
            };
            return Err(refuse(
                &codes::E0972,
                entry,
                why,
                "give the whole log of this folder's programs, several files in their order; \
                 what was started twice has to be counted by hand: write `after` instead of `log`"
                    .to_string(),
            ));
        }
        self.all_made(entry, "another program is started")?;
        self.cuts = cuts(self.given.get(of.clone()).unwrap_or_default());
        self.started = of.end;
        self.running = Some((id, of));
        (self.done, self.of_run) = (0, 0);
        Ok(())
    }

    /// Which program a line names: one that was given, or a whole run by its own identity, where
    /// a controller runs its files as one.
    fn meant(&self, entry: &Entry) -> Option<(Arc<str>, Range<usize>)> {
        let (id, file) = (entry.program.as_deref(), entry.file.as_deref());
        let is_meant = |given: &Given| {
            id.is_none_or(|id| *given.program.id == *id)
                && file.is_none_or(|file| given.is_called(file))
        };
        if let Some(at) = self.given.iter().position(is_meant) {
            let id = self.given.get(at).map(|given| Arc::clone(&given.program.id))?;
            return Some((id, at..at + 1));
        }
        let id = id.filter(|_| file.is_none())?;
        let begins = |given: &Given| given.program.id.strip_suffix(".1") == Some(id);
        let at = self.given.iter().position(begins)?;
        let run = self.given.get(at)?.run;
        let files = self.given.iter().skip(at).take_while(|given| given.run == run).count();
        (files > 1).then(|| (Arc::from(id), at..at + files))
    }

    fn not_held(&self, entry: &Entry) -> Box<Diagnostic> {
        let said = |text: &Option<Arc<str>>| text.as_deref().unwrap_or_default().to_string();
        let (id, file) = (said(&entry.program), said(&entry.file));
        if let Some(given) = self.given.iter().find(|given| !id.is_empty() && given.is_called(&id))
        {
            return refuse(
                &codes::E0972,
                entry,
                format!("`{id}` is the file of program `{}`, not its name", given.program.id),
                "this controller logs files: in the description of the log write \
                 `{ field = \"file\", … }` instead of `{ field = \"program\", … }`"
                    .to_string(),
            );
        }
        let by_file = !file.is_empty();
        let mut all: Vec<String> = self
            .given
            .iter()
            .map(|given| match by_file {
                true => format!("`{}`", given.file),
                false => format!("`{}`", given.program.id),
            })
            .take(MOST_NAMED + 1)
            .collect();
        if all.len() > MOST_NAMED {
            let more = self.given.len() - MOST_NAMED;
            all.truncate(MOST_NAMED);
            all.push(format!("{more} more"));
        }
        let (what, name) = if by_file { ("file", file) } else { ("program", id) };
        refuse(
            &codes::E0972,
            entry,
            format!("the log starts {what} `{name}`, which this folder does not hold"),
            format!(
                "its {what}s are {}: name the folder that was run, or leave out the part of the \
                 log that tells of other batches",
                all.join(", ")
            ),
        )
    }

    fn piece(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        let running = self.running(entry)?;
        if !self.tells_scrap {
            while matches!(self.cuts.get(self.done), Some((_, None))) {
                self.done += 1;
            }
        }
        let (at, serial) = match self.cuts.get(self.done) {
            Some((at, Some(serial))) => (*at, *serial),
            Some((at, None)) => {
                let why = format!("a piece drops, and scrap is cut first, at {at} mm");
                return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
            }
            None => {
                let why = format!("program `{running}` makes no more pieces");
                return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
            }
        };
        if let Some(other) = entry.serial.filter(|said| *said != serial.0) {
            let why = format!("piece {other} drops, and piece {serial} comes next");
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        }
        let made = self.of_run + 1;
        if let Some(other) = entry.made.filter(|said| usize::try_from(*said) != Ok(made)) {
            let why = format!("this is piece {made} of the run, and the log counts {other}");
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        }
        self.was_there(entry, at)?;
        self.drop(entry, at, serial);
        Ok(())
    }

    /// The next cut is done, and has dropped this piece.
    fn drop(&mut self, entry: &Entry, at: Length, serial: Serial) {
        self.done += 1;
        self.of_run += 1;
        self.dropped.insert(serial);
        self.logged = Some(Logged {
            program: self.running.as_ref().map_or_else(|| "".into(), |(id, _)| Arc::clone(id)),
            after: (serial, entry.span),
            made: 0,
            rejected: Vec::new(),
            cut_at: at,
            stands: None,
            moved: None,
        });
    }

    /// As many pieces as this line counts in its run have dropped, though they left no lines.
    fn count_to(&mut self, entry: &Entry, made: usize) -> Result<(), Box<Diagnostic>> {
        let (counted, running) = (self.of_run, self.running(entry)?);
        if self.tells_pieces && made != counted {
            let why = format!(
                "the log counts {made} pieces of program `{running}`, and has told of {counted}"
            );
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        }
        if made < counted {
            let why = format!(
                "the log counts {made} pieces of program `{running}`, and counted {counted} before"
            );
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        }
        while self.of_run < made {
            match self.cuts.get(self.done) {
                Some((at, Some(serial))) => self.drop(entry, *at, *serial),
                Some((_, None)) => self.done += 1,
                None => {
                    let why = format!(
                        "the log counts {made} pieces of program `{running}`, which makes {}",
                        self.of_run
                    );
                    return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
                }
            }
        }
        Ok(())
    }

    fn scrap(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        self.running(entry)?;
        let Some((at, None)) = self.cuts.get(self.done).copied() else {
            let why = match self.cuts.get(self.done) {
                Some((_, Some(serial))) => format!("scrap drops, and piece {serial} comes next"),
                _ => "scrap drops behind the program's last cut".to_string(),
            };
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        };
        self.was_there(entry, at)?;
        self.done += 1;
        if let Some(logged) = &mut self.logged {
            (logged.moved, logged.stands) = (Some(entry.span), None);
        }
        Ok(())
    }

    fn reject(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        let serial = Serial(entry.serial.unwrap_or(0));
        if !self.dropped.contains(&serial) || self.rejected.contains(&serial) {
            let why = format!("piece {serial} is rejected, and has not dropped, or was before");
            return Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()));
        }
        self.rejected.push(serial);
        Ok(())
    }

    fn stop(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        self.running(entry)?;
        if let Some(made) = entry.made {
            self.count_to(entry, usize::try_from(made).unwrap_or(usize::MAX))?;
        }
        if let Some(place) = entry.at {
            self.stands_between(entry, place)?;
        }
        let stood = entry.at.map(|at| (at, entry.span));
        if let (Some(logged), Some(stood)) = (&mut self.logged, stood) {
            logged.stands = Some(stood);
        }
        Ok(())
    }

    /// Strip is never pulled back, and a cut that was passed has dropped its piece.
    fn stands_between(&self, entry: &Entry, place: Place) -> Result<(), Box<Diagnostic>> {
        let done = self.done.checked_sub(1).and_then(|last| self.cuts.get(last));
        let next = self.cuts.iter().skip(self.done).find(|(_, serial)| serial.is_some());
        let why = match (done, next) {
            (Some((cut, _)), _) if place.at < *cut && !place.may_be(*cut) => {
                format!(
                    "the strip stops at {} mm, before the cut at {cut} mm that was made",
                    place.at
                )
            }
            (_, Some((cut, Some(serial)))) if place.at > *cut && !place.may_be(*cut) => format!(
                "the strip stops at {} mm, past the cut of piece {serial} at {cut} mm, which has \
                 not dropped",
                place.at
            ),
            _ => return Ok(()),
        };
        Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()))
    }

    fn end(&mut self, entry: &Entry) -> Result<(), Box<Diagnostic>> {
        let running = self.running(entry)?;
        let says = entry.program.as_deref().or(entry.file.as_deref());
        let meant = self.meant(entry).map(|(_, of)| of);
        if let Some(other) = says.filter(|_| meant != self.running.clone().map(|(_, of)| of)) {
            let why = format!("program `{other}` is over, and `{running}` was running");
            return Err(refuse(&codes::E0972, entry, why, COUNT_BY_HAND.to_string()));
        }
        let all = self.cuts.iter().filter(|(_, serial)| serial.is_some()).count();
        match entry.made {
            Some(made) => self.count_to(entry, usize::try_from(made).unwrap_or(usize::MAX))?,
            None if !self.tells_pieces => self.count_to(entry, all)?,
            None => {}
        }
        self.all_made(entry, "the program is over")
    }

    /// The id of the program that runs.
    fn running(&self, entry: &Entry) -> Result<String, Box<Diagnostic>> {
        match &self.running {
            Some((id, _)) => Ok(id.to_string()),
            None => Err(refuse(
                &codes::E0972,
                entry,
                "something happens before any program is started".to_string(),
                "give the log from where its first program was started".to_string(),
            )),
        }
    }

    fn all_made(&self, entry: &Entry, what: &str) -> Result<(), Box<Diagnostic>> {
        let left = self.cuts.iter().skip(self.done).filter_map(|(_, serial)| *serial);
        let left: Vec<Serial> = left.collect();
        let Some(first) = left.first() else { return Ok(()) };
        let why = format!(
            "{what}, and {} of its pieces have not dropped, the first of them piece {first}",
            left.len()
        );
        let files = self.running.as_ref().and_then(|(_, of)| self.given.get(of.clone()));
        let help = match files {
            // Perhaps only the first of its files is over.
            Some([first, .., last]) => format!(
                "this run lies in several files, which are programs of their own, `{}` to `{}`: \
                 the log has to say which of them was started, by that name or by its file \
                 (`{{ field = \"file\", … }}`); else write `after` instead of `log`",
                first.program.id, last.program.id
            ),
            _ => COUNT_BY_HAND.to_string(),
        };
        Err(refuse(&codes::E0973, entry, why, help))
    }

    fn was_there(&self, entry: &Entry, at: Length) -> Result<(), Box<Diagnostic>> {
        match entry.at.filter(|place| !place.may_be(at)) {
            None => Ok(()),
            Some(place) => Err(refuse(
                &codes::E0973,
                entry,
                format!("the cut is logged at {} mm, and programmed at {at} mm", place.at),
                COUNT_BY_HAND.to_string(),
            )),
        }
    }
}

const COUNT_BY_HAND: &str = "look at the run-out table: what the log and the program disagree on has to be counted by \
     hand; write `after` instead of `log`";

/// Most names that are listed where one is not known.
const MOST_NAMED: usize = 8;

/// The cuts of programs that are run as one: where, and of which piece.
fn cuts(given: &[Given]) -> Vec<(Length, Option<Serial>)> {
    let mut cuts = Vec::new();
    let mut begins = Length::ZERO;
    for Given { program, .. } in given {
        let cut = |event: &Event| match event {
            Event::Cut { at, piece, .. } => Some((begins + at.distance(), *piece)),
            Event::Stop { .. } | Event::Mark { .. } => None,
        };
        cuts.extend(program.events.iter().filter_map(cut));
        begins = cuts.last().map_or(begins, |(at, _)| *at);
    }
    cuts
}

fn refuse(code: &'static Code, entry: &Entry, why: String, help: String) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(code, why)
            .at(entry.span, "the log says so")
            .note("the rest is compiled for strip that already bears strokes: a piece more or less, and every hole is a member too far")
            .help(help),
    )
}

fn nothing_made(last: Option<&Entry>) -> Diagnostic {
    let found = Diagnostic::new(&codes::E0975, "no piece has dropped by this log")
        .note("what is begun is told from the last good piece on")
        .help("take the coil off and compile the batch again, or name the log of the run that was stopped");
    match last {
        Some(last) => found.at(last.span, "this is its last line"),
        None => found,
    }
}
