//! From paths to models: the library alone, or a whole batch.

use super::batch::LibraryText;
use super::common::Found;
use super::model::{Batch, Calibration, LabelLayout, Library, Line, Stock};
use super::reading::At;
use super::shelf::{self, LibraryList, assemble, open, read};
use super::{batch, calibration, done, label, line, stock};
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::quantity::{Files, Sources, Span, join};

/// Everything a batch names, apart from the members themselves.
#[derive(Debug)]
pub struct Loaded {
    /// The batch.
    pub batch: Batch,
    /// Members files, with the places that name them.
    pub jobs: Vec<(String, Span)>,
    /// The library.
    pub library: Library,
    /// The line.
    pub line: Line,
    /// Its calibration.
    pub calibration: Calibration,
    /// The coils.
    pub stock: Stock,
    /// The dialect's file, with the place that names it.
    pub dialect: (String, Span),
}

/// Reads a library file and all it lists. Without a mistake in any of them the library is
/// there; warnings may stand beside it.
pub fn load_library(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
) -> (Option<Library>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let library = match load(files, sources, path, None) {
        Ok(file) => read::<LibraryList>(sources, file, &mut found)
            .and_then(|list| assemble(files, sources, path, &list, &mut found)),
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    };
    (library, found)
}

/// Reads a batch and every file it names except members files and the dialect. All files are
/// read before any mistake counts, so that one pass tells them all.
pub fn load_batch(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
) -> (Option<Loaded>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let loaded = match load(files, sources, path, None) {
        Ok(file) => read::<batch::Batch>(sources, file, &mut found)
            .and_then(|wire| gather(files, sources, path, &wire, &mut found)),
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    };
    (loaded.filter(|_| !any_error(&found)), found)
}

/// Reads a stock file alone, for profiles of this library.
pub fn load_stock(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    library: &Library,
) -> (Option<Stock>, Vec<Diagnostic>) {
    alone(files, sources, path, |wire, found| Some(stock::settle(wire, library, found)))
}

/// Reads a line's description alone; names in it lead into the library.
pub fn load_line(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    library: &Library,
) -> (Option<super::model::Line>, Vec<Diagnostic>) {
    alone(files, sources, path, |wire: &line::Line, found| line::settle(wire, library, found))
}

/// One file, read and settled by itself.
fn alone<W: super::reading::Wire, T>(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    settle: impl FnOnce(&W, &mut Found) -> Option<T>,
) -> (Option<T>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let settled = match load(files, sources, path, None) {
        Ok(file) => read::<W>(sources, file, &mut found).and_then(|wire| settle(&wire, &mut found)),
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    };
    (settled.filter(|_| !any_error(&found)), found)
}

fn gather(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    wire: &batch::Batch,
    found: &mut Found,
) -> Option<Loaded> {
    let mut settled = batch::settle(wire, found);
    let library = match &wire.library.value {
        LibraryText::List(list) => assemble(files, sources, path, list, found),
        LibraryText::File(name) => {
            let name = At { value: name.clone(), span: wire.library.span };
            let list = open::<shelf::LibraryList>(files, sources, path, &name, found);
            list.and_then(|list| assemble(files, sources, &join(path, &name.value), &list, found))
        }
    };
    let line_text = open::<line::Line>(files, sources, path, &wire.line, found);
    let calibration_text =
        open::<calibration::Calibration>(files, sources, path, &wire.calibration, found);
    let stock_text = open::<stock::Stock>(files, sources, path, &wire.stock, found);
    if let Some(name) = &wire.done {
        let text = open::<done::Done>(files, sources, path, name, found);
        settled.done = text.map(|text| done::settle(&text, found)).unwrap_or_default();
    }
    let mut layout = |name: &Option<At<String>>, found: &mut Found| {
        let text = open::<label::Labels>(files, sources, path, name.as_ref()?, found)?;
        label::settle(&text, found)
    };
    settled.labels.labels = layout(&wire.labels, found);
    settled.labels.tickets = layout(&wire.tickets, found);
    if let Some(Err(refusal)) = settled.labels.tickets.as_ref().map(LabelLayout::check_tickets) {
        found.push(*refusal);
    }
    // Names in these files lead into the library: without it nothing more can be told of them.
    let library = library?;
    let line = line_text.and_then(|text| line::settle(&text, &library, found));
    let stock = stock_text.map(|text| stock::settle(&text, &library, found));
    let line = line?;
    settled.set_up_now = batch::set_up_now(wire, &library, &line, stock.as_ref(), found);
    let calibration =
        calibration_text.map(|text| calibration::settle(&text, &library, &line, found));
    let place = |name: &At<String>| (join(path, &name.value), name.span);
    Some(Loaded {
        batch: settled,
        jobs: wire.jobs.value.iter().map(place).collect(),
        library,
        line,
        calibration: calibration?,
        stock: stock?,
        dialect: place(&wire.dialect),
    })
}
