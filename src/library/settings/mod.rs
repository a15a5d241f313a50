//! Every setting that governs a run: what it is, and which line of which file says so, or that it
//! is the default. Which keys there are and what holds where one is left out comes from the
//! schemas, and so from the wire types that read the files.

mod walk;

use super::batch::{Batch, LibraryText};
use super::reading::read;
use super::schema::schema;
use super::shelf::LibraryList;
use super::{Loaded, dialect};
use crate::quantity::{FileId, Sources, Span, join};
use serde_json::Value;
use walk::Walk;

/// One setting.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Setting {
    /// Its key, by kind of file: `line.feed.speed`; those of the batch stand alone.
    pub key: String,
    /// What holds: as the file has it, or the default; `None` where nothing does.
    pub value: Option<String>,
    /// Where it is said; `None` for defaults.
    pub said: Option<Span>,
}

/// The settings of a batch that was loaded into these sources, its dialect too: batch, library,
/// line, calibration, stock, dialect, in this order, each file from its top. A shipped feature
/// type that one of the shop's own takes the place of is left out.
pub fn settings(sources: &Sources, batch: &str, loaded: &Loaded) -> Vec<Setting> {
    let mut all = Vec::new();
    for Part { kind, prefix, file } in parts(sources, batch) {
        let schema = schema(kind).and_then(|text| serde_json::from_str::<Value>(&text).ok());
        let (Some(source), Some(schema)) = (sources.get(file), schema) else { continue };
        Walk { file, text: source.text(), schema: &schema, all: &mut all, loaded }.file(prefix);
    }
    all
}

/// A file that settings are read from.
struct Part {
    kind: &'static str,
    prefix: &'static str,
    file: FileId,
}

/// Every file of a batch but its members.
fn parts(sources: &Sources, path: &str) -> Vec<Part> {
    let named = |name: &str| {
        sources.iter().find(|(_, source)| **source.name() == *name).map(|(file, _)| file)
    };
    let part = |kind, prefix, name: &str| named(name).map(|file| Part { kind, prefix, file });
    let Some(file) = named(path) else { return Vec::new() };
    let Some(batch) = read::<Batch>(sources, file).0 else { return Vec::new() };
    let mut parts = vec![Part { kind: "batch", prefix: "", file }];
    match &batch.library.value {
        // The batch's own keys say which files these are.
        LibraryText::List(list) => shelf(list, path, &part, &mut parts),
        LibraryText::File(name) => {
            let name = join(path, name);
            let list = named(&name).and_then(|file| read::<LibraryList>(sources, file).0);
            parts.extend(part("library", "library", &name));
            list.iter().for_each(|list| shelf(list, &name, &part, &mut parts));
        }
    }
    let below = |name: &str| join(path, name);
    parts.extend(part("line", "line", &below(&batch.line.value)));
    parts.extend(part("calibration", "calibration", &below(&batch.calibration.value)));
    parts.extend(part("stock", "stock", &below(&batch.stock.value)));
    parts.extend(batch.done.as_ref().and_then(|done| part("done", "done", &below(&done.value))));
    let dialect = dialect::source_name(&below(&batch.dialect.value));
    parts.extend(part("dialect", "dialect", &dialect));
    parts
}

/// The files a library lists.
fn shelf(
    list: &LibraryList,
    from: &str,
    part: &impl Fn(&'static str, &'static str, &str) -> Option<Part>,
    parts: &mut Vec<Part>,
) {
    let shipped = list.shipped.iter().flatten().map(|name| {
        let kind = if name.value == "usual-features" { "features" } else { "rules" };
        (kind, super::shelf::shipped_name(&name.value))
    });
    let own = [("features", &list.features), ("profiles", &list.profiles), ("rules", &list.rules)];
    let own = own.into_iter().flat_map(|(kind, names)| {
        names.iter().flatten().map(move |name| (kind, join(from, &name.value)))
    });
    for (kind, name) in shipped.chain(own) {
        let prefix = if kind == "rules" { "rules" } else { "" };
        parts.extend(part(kind, prefix, &name));
    }
}
