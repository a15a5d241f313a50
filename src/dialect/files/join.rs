//! Files of one run, read as one.

use super::super::{Invertible, Read};
use super::{Part, part_id};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::program::{Event, Program};
use crate::quantity::{Advance, FileId, Length, Span};
use std::sync::Arc;

impl Invertible {
    /// Reads the files of a run, in their order, as the one program that was split. Blocks are
    /// those of each file in itself.
    pub fn read_files(&self, files: &[(FileId, &[u8])]) -> Result<Read, Box<Diagnostic>> {
        if let [(file, bytes)] = files {
            return self.read(*file, bytes);
        }
        let mut joined: Option<Read> = None;
        for (index, (file, bytes)) in files.iter().enumerate() {
            let read = self.read(*file, bytes)?;
            let part = Part::of(index + 1, files.len());
            joined = Some(match joined {
                None => first(*file, read, part)?,
                Some(before) => behind(*file, before, read, part)?,
            });
        }
        joined.ok_or_else(|| refuse(FileId(u32::MAX), "there is no file of it".to_string()))
    }
}

/// The first file: its program has the identity of the run, and its number.
fn first(file: FileId, read: Read, part: Part) -> Result<Read, Box<Diagnostic>> {
    let Some(id) = read.program.id.strip_suffix(&*part_id("", part)).map(Arc::from) else {
        return Err(refuse(
            file,
            format!("it holds program `{}`, not a first part", read.program.id),
        ));
    };
    Ok(Read { program: Program { id, ..read.program }, ..read })
}

fn behind(file: FileId, before: Read, read: Read, part: Part) -> Result<Read, Box<Diagnostic>> {
    let wanted = part_id(&before.program.id, part);
    if read.program.id != wanted {
        let why = format!("it holds program `{}`, and `{wanted}` comes next", read.program.id);
        return Err(refuse(file, why));
    }
    let (a, b) = (&before.program, &read.program);
    if (&a.batch, &a.line, &a.profile, &a.coil) != (&b.batch, &b.line, &b.profile, &b.coil) {
        let why = "it is for another batch, line, profile or coil than the first".to_string();
        return Err(refuse(file, why));
    }
    let Some(Event::Cut { at: stands, .. }) = a.events.last().filter(|_| b.warm) else {
        let why = "it does not begin where the one before ends, at a cut".to_string();
        return Err(refuse(file, why));
    };
    let stands: Length = stands.distance();
    let Read { mut program, mut spans, mut blocks } = before;
    program.events.extend(read.program.events.iter().map(|event| event.moved(stands)));
    program.end = Advance::at(read.program.end.distance() + stands);
    spans.extend(read.spans);
    blocks.extend(read.blocks);
    Ok(Read { program, spans, blocks })
}

fn refuse(file: FileId, why: String) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&codes::E0760, format!("the files of a run do not belong together: {why}"))
            .at(Span::new(file, 0, 1), "this file")
            .note(
                "a part that is left out, or run twice, leaves every stroke behind it a member off",
            )
            .help("restore the files as they were written, in their order, or compile again"),
    )
}
