//! Where a run is split, so that each file is no longer than the controller takes.

use super::super::{Invertible, Printed, lines, print};
use super::{Part, RunFile, part_id};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::program::{Event, Program};
use crate::quantity::{Advance, FileId, Length, Span};

impl Invertible {
    /// The files of a program, run `run` of its batch, that is printed whole as `whole`. Each is
    /// read back, and all of them together are the program again.
    pub fn files(
        &self,
        program: &Program,
        whole: &Printed,
        run: usize,
    ) -> Result<Vec<RunFile>, Box<Diagnostic>> {
        if self.over(whole).is_none() {
            let name = self.file_name(program, &program.id, run, Part::WHOLE, &whole.bytes)?;
            let printed = whole.clone();
            return Ok(vec![RunFile { id: program.id.clone(), name, printed }]);
        }
        // Numbers with more digits leave less room for the rest of a file, so that more files can
        // only come of it.
        let mut digits = 1;
        let files = loop {
            let files = self.parts(program, run, digits)?;
            let needed = Part::of(1, files.len()).digits;
            if needed <= digits {
                break files;
            }
            digits = needed;
        };
        let bytes = files.iter().map(|file| (FileId(u32::MAX), file.printed.bytes.as_slice()));
        match self.read_files(&bytes.collect::<Vec<_>>()) {
            Ok(read) if read.program == *program => Ok(files),
            _ => Err(Box::new(
                Diagnostic::new(
                    &codes::E0735,
                    format!("the files of program `{}` do not read back as it", program.id),
                )
                .help("report this with the dialect and the batch; nothing was written"),
            )),
        }
    }

    /// The files of a program, each as long as it may be, numbered in so many digits.
    fn parts(
        &self,
        program: &Program,
        run: usize,
        digits: usize,
    ) -> Result<Vec<RunFile>, Box<Diagnostic>> {
        let ends = self.ends(program);
        let mut files: Vec<RunFile> = Vec::new();
        let mut from = 0;
        while from < program.events.len() {
            let number = Part { number: files.len() + 1, digits };
            let later: Vec<usize> = ends.iter().copied().filter(|end| *end > from).collect();
            let fits = |end: usize| {
                let part = part(program, from, end, number);
                self.told(&part).is_ok_and(|told| told == part)
                    && print::print(self, &part).is_ok_and(|out| self.over(&out).is_none())
            };
            let count =
                most(later.len(), |count| later.get(count - 1).is_some_and(|end| fits(*end)));
            let Some(&end) = count.checked_sub(1).and_then(|last| later.get(last)) else {
                return Err(self.does_not_fit(program, from, later.first().copied(), number));
            };
            let part = part(program, from, end, number);
            let printed = self.print(&part)?;
            let name = self.file_name(program, &part.id, run, number, &printed.bytes)?;
            files.push(RunFile { id: part.id, name, printed });
            from = end;
        }
        Ok(files)
    }

    /// Numbers of events after which a file may end: cuts with no text half printed, and the end.
    fn ends(&self, program: &Program) -> Vec<usize> {
        let mut ends = Vec::new();
        // How far the strip has to go until every text that was begun is whole.
        let mut printing = Advance::at(-Length::LIMIT);
        for (index, event) in program.events.iter().enumerate() {
            match (event, self.pitch) {
                (Event::Mark { at, text }, Some(pitch)) => {
                    let count = i64::try_from(text.chars().count()).unwrap_or(i64::MAX);
                    printing = printing.max(*at + pitch.times(count.min(1_000_000)));
                }
                (Event::Cut { at, .. }, _) if *at >= printing => ends.push(index + 1),
                _ => {}
            }
        }
        // What comes after the last cut goes with it.
        if let Some(last) = ends.last_mut() {
            *last = program.events.len();
        } else {
            ends.push(program.events.len());
        }
        ends
    }

    /// Which limit on a file it is over.
    pub(in crate::dialect) fn over(
        &self,
        printed: &Printed,
    ) -> Option<(&'static str, usize, usize, Span)> {
        let pieces = printed.blocks.iter().filter(|block| block.serial.is_some()).count();
        let bytes = printed.bytes.len();
        let counted = || {
            let text = String::from_utf8_lossy(&printed.bytes);
            usize::try_from(lines(&text)).unwrap_or(usize::MAX)
        };
        let over = |what, has: usize, limit: Option<(usize, Span)>| {
            let (most, span) = limit.filter(|(most, _)| has > *most)?;
            Some((what, has, most, span))
        };
        let limits = &self.limits;
        over("pieces", pieces, limits.members)
            .or_else(|| limits.lines.and_then(|lines| over("lines", counted(), Some(lines))))
            .or_else(|| over("bytes", bytes, limits.bytes))
    }

    /// Not even the records up to the next cut fit.
    fn does_not_fit(
        &self,
        program: &Program,
        from: usize,
        end: Option<usize>,
        number: Part,
    ) -> Box<Diagnostic> {
        let part = part(program, from, end.unwrap_or(program.events.len()), number);
        let (why, span) = match print::print(self, &part).map(|printed| self.over(&printed)) {
            Ok(Some((what, has, most, span))) => (
                format!("up to the next cut it has {has} {what}, and the controller takes {most}"),
                Some(span),
            ),
            // Strokes for what comes later fall into it, and a list of members has no words for
            // those.
            _ => (
                "strokes for later members come before each cut, and a list of members cannot say \
                 them without these"
                    .to_string(),
                self.controller().map(|controller| controller.span),
            ),
        };
        let found = Diagnostic::new(
            &codes::E0736,
            format!("program `{}` does not fit the files of its controller: {why}", program.id),
        )
        .note("a file ends at a cut, with no text half printed: nothing may be lost between two")
        .help(
            "correct the limits in the dialect, or split the batch: fewer members, or shorter \
             coils, make shorter runs",
        );
        Box::new(match span {
            Some(span) => found.at(span, "this limit"),
            None => found,
        })
    }
}

/// Events `from` to `end` as a program of its own, counted from the cut before them.
fn part(program: &Program, from: usize, end: usize, number: Part) -> Program {
    let stands = match from.checked_sub(1).and_then(|last| program.events.get(last)) {
        Some(event) => event.at().distance(),
        None => Length::ZERO,
    };
    let events = program.events.get(from..end).unwrap_or_default();
    let events: Vec<Event> = events.iter().map(|event| event.moved(-stands)).collect();
    let whole = end == program.events.len();
    let last = events.last().map_or(Advance::ZERO, Event::at);
    Program {
        id: part_id(&program.id, number),
        warm: program.warm || from > 0,
        end: if whole { Advance::at(program.end.distance() - stands) } else { last },
        events,
        ..program.clone()
    }
}

/// The greatest count up to `all` that fits, where fewer fit if more do; 0 if not even one does.
fn most(all: usize, fits: impl Fn(usize) -> bool) -> usize {
    let (mut fitting, mut step) = (0, 1);
    while fitting + step <= all && fits(fitting + step) {
        fitting += step;
        step *= 2;
    }
    while step > 0 {
        if fitting + step <= all && fits(fitting + step) {
            fitting += step;
        }
        step /= 2;
    }
    fitting
}
