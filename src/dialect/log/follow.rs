//! What a log says, held against the programs that were to be run.

use super::{Entry, LogReader, Place};
use crate::diagnostic::{Code, Diagnostic, codes::measured as codes};
use crate::library::model::Happening;
use crate::program::{Event, Program, Serial};
use crate::quantity::{Length, Span};
use std::collections::BTreeSet;

/// How far a log says the run has come.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Logged {
    /// The program that was running: its place among the programs.
    pub program: usize,
    /// The last piece that dropped, and the line that says so.
    pub after: (Serial, Span),
    /// Pieces that dropped, all programs together.
    pub made: usize,
    /// Pieces that dropped and were found to be no good.
    pub rejected: Vec<Serial>,
    /// Advance of the cut that dropped it.
    pub cut_at: Length,
    /// Where the strip came to rest after that, if the log says so, and the line.
    pub stands: Option<(Place, Span)>,
    /// The line that tells of something after that piece which moved the strip: scrap that
    /// dropped.
    pub moved: Option<Span>,
}

/// Follows the log of a batch's programs, which run in their order. The first line that
/// contradicts the programs is refused: nothing after it can be relied upon.
pub fn follow(
    reader: &LogReader,
    entries: &[Entry],
    programs: &[&Program],
) -> Result<Logged, Box<Diagnostic>> {
    let mut state = State {
        programs,
        tells_scrap: reader.tells(Happening::Scrap),
        tells_pieces: reader.tells(Happening::Piece),
        running: None,
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
    programs: &'a [&'a Program],
    /// Whether scrap that drops leaves a line.
    tells_scrap: bool,
    /// Whether each piece does; else they are counted where the strip stops.
    tells_pieces: bool,
    /// The program that runs, by its place.
    running: Option<usize>,
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
        let id = entry.program.as_deref().unwrap_or_default();
        let Some(number) = self.programs.iter().position(|program| *program.id == *id) else {
            let all: Vec<String> = self.programs.iter().map(|p| format!("`{}`", p.id)).collect();
            return Err(refuse(
                &codes::E0972,
                entry,
                format!("the log starts program `{id}`, which this folder does not hold"),
                format!(
                    "its programs are {}: name the folder that was run, or leave out the part of the log that tells of other batches",
                    all.join(", ")
                ),
            ));
        };
        let next = self.running.map_or(0, |running| running + 1);
        let wanted = self.programs.get(next).map(|program| &*program.id);
        if number != next {
            let why = match self.running {
                Some(running) if number <= running => {
                    format!("program `{id}` is started again from its beginning")
                }
                _ => format!(
                    "program `{id}` is started, and `{}` comes before it",
                    wanted.unwrap_or("none")
                ),
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
        self.running = Some(number);
        self.cuts = self.programs.get(number).map(|program| cuts(program)).unwrap_or_default();
        (self.done, self.of_run) = (0, 0);
        Ok(())
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
            program: self.running.unwrap_or(0),
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
        if let Some(other) = entry.program.as_deref().filter(|said| **said != *running) {
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
        match self.running.and_then(|running| self.programs.get(running)) {
            Some(program) => Ok(program.id.to_string()),
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
        Err(refuse(&codes::E0973, entry, why, COUNT_BY_HAND.to_string()))
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

fn cuts(program: &Program) -> Vec<(Length, Option<Serial>)> {
    let cut = |event: &Event| match event {
        Event::Cut { at, piece, .. } => Some((at.distance(), *piece)),
        Event::Stop { .. } | Event::Mark { .. } => None,
    };
    program.events.iter().filter_map(cut).collect()
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
