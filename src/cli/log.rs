//! A controller's log: read, and held against the programs of a folder.

use super::manifest::Manifest;
use crate::diagnostic::codes::measured::E0974;
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::dialect::Invertible;
use crate::dialect::log::{Entry, Given, LogReader, Logged, follow};
use crate::library::load_log_format;
use crate::library::model::{Halt, LogNamed};
use crate::quantity::{Files, SourceFile, Sources, Span, join};
use std::collections::BTreeMap;

/// A log as it was read.
pub struct Log {
    reader: LogReader,
    entries: Vec<Entry>,
    /// Its files and its description, as they were: a name for each and its bytes.
    pub taken: Vec<(String, Vec<u8>)>,
}

impl Log {
    /// Reads files of a log, in their order, by a description. `from` is the file that names them.
    pub fn load(
        files: &dyn Files,
        sources: &mut Sources,
        from: &str,
        named: &LogNamed,
    ) -> Result<Log, Vec<Diagnostic>> {
        let (path, span) = &named.read_as;
        let (format, mut found) = load_log_format(files, sources, &join(from, path), *span);
        let Some(format) = format.filter(|_| !any_error(&found)) else { return Err(found) };
        let reader = LogReader::prove(&format)?;
        let described = sources.get(format.span.file);
        let mut taken: Vec<(String, Vec<u8>)> = described
            .map(|file| ("log/read-as.toml".to_string(), file.text().as_bytes().to_vec()))
            .into_iter()
            .collect();
        let mut entries = Vec::new();
        for (number, (path, span)) in named.files.iter().enumerate() {
            let path = join(from, path);
            let bytes = match files.read(&path) {
                Ok(bytes) => bytes,
                // The loader has the words for what keeps a file from being read.
                Err(_) => match load(files, sources, &path, *span) {
                    Err(why) => return Err(vec![*why]),
                    Ok(_) => Vec::new(),
                },
            };
            let text = reader.text(&bytes).into_owned();
            let file = sources.add(SourceFile::new(path.as_str(), text.as_str()));
            match reader.read(file, &text) {
                Ok(read) => entries.extend(read),
                Err(why) => found.extend(why),
            }
            taken.push((format!("log/{:02}.txt", number + 1), bytes));
        }
        if any_error(&found) { Err(found) } else { Ok(Log { reader, entries, taken }) }
    }

    /// How many of its lines say something of what was made.
    pub fn lines(&self) -> usize {
        self.entries.len()
    }

    /// What it says of the folder's programs.
    pub fn follow(&self, given: &[Given]) -> Result<Logged, Box<Diagnostic>> {
        follow(&self.reader, &self.entries, given)
    }
}

/// The programs of a folder as its controller was given them: each file by itself, the one that
/// finishes what an earlier folder began first.
pub fn given(
    manifest: &Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    dialect: &Invertible,
    sources: &mut Sources,
) -> Result<Vec<Given>, Box<Diagnostic>> {
    let finish = manifest.continues.as_ref().and_then(|of| of.finish.as_ref());
    let mut given = Vec::new();
    for (run, entry) in finish.into_iter().chain(&manifest.programs).enumerate() {
        for (path, _) in entry.files() {
            let bytes = files.get(path).map(Vec::as_slice).unwrap_or_default();
            let file = sources.add(SourceFile::new(path.as_str(), dialect.text(bytes)));
            let program = dialect.read(file, bytes)?.program;
            let file = path.rsplit('/').next().unwrap_or_default().to_string();
            given.push(Given { run, file, program });
        }
    }
    Ok(given)
}

/// How far the run has come by its log, where that agrees with what the file says besides.
pub fn halt_by(logged: &Logged, named: &LogNamed, said: &Halt) -> Result<Halt, Box<Diagnostic>> {
    let (after, at) = logged.after;
    let differs = |message: String, span: Span, label: &str, help: &str| {
        let found = Diagnostic::new(&E0974, message)
            .at(span, label)
            .at(said.span, "said here")
            .note("what is begun would be finished from the wrong place");
        Err(Box::new(found.help(help)))
    };
    if let Some((other, span)) = named.after.filter(|(other, _)| *other != after.0) {
        return differs(
            format!(
                "the file says that piece {other} dropped last, and the log says piece {after}"
            ),
            span,
            "this piece",
            "leave `after` out if the log is right; else leave the log out",
        );
    }
    let lost = "write `position = \"lost\"`, unless the log is wrong and somebody knows better: \
                then leave the log out and write `after`";
    if let (true, Some(moved)) = (said.kept, logged.moved) {
        return differs(
            format!(
                "after piece {after} scrap was cut, so the strip stands behind that piece's cut no more"
            ),
            moved,
            "cut since",
            lost,
        );
    }
    if let (true, Some((place, span))) = (said.kept, logged.stands)
        && !place.may_be(logged.cut_at)
    {
        return differs(
            format!(
                "by the log the strip stands at {} mm, and the cut of piece {after} is at {} mm",
                place.at, logged.cut_at
            ),
            span,
            "it has moved since",
            lost,
        );
    }
    let mut again = said.again.clone();
    again.extend(logged.rejected.iter().map(|serial| serial.0));
    again.sort_unstable();
    again.dedup();
    Ok(Halt { after: after.0, again, span: at, ..said.clone() })
}
