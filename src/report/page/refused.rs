//! The page of a batch that is not planned: what was found, and plainly that there is nothing to
//! run. It needs no script.

use super::{STYLE, filled};
use crate::diagnostic::html::{escaped, explained, finding};
use crate::diagnostic::{Arranged, Counts, Diagnostic};
use crate::quantity::{FileId, Sources};
use crate::report::words::count;

const FRAME: &str = include_str!("assets/refused.html");

/// The page. `name` is the batch's, or its file's where that says none.
pub fn print(name: &str, found: &Arranged, sources: &Sources) -> String {
    filled(FRAME, |what, page| match what {
        "title" => page.push_str(&escaped(name)),
        "style" => page.push_str(STYLE),
        "gist" => page.push_str(&gist(found)),
        "found" => page.push_str(&sections(&found.shown, sources)),
        "codes" => page.push_str(&explained(&found.shown)),
        _ => {}
    })
}

/// `3 errors, 1 warning`.
fn gist(found: &Arranged) -> String {
    let Counts { errors, warnings, notes } = found.counts;
    let all = [(errors, "error"), (warnings, "warning"), (notes, "note")];
    let counts = all.into_iter().filter(|&(n, _)| n > 0).map(|(n, word)| count(n, word));
    let mut gist = counts.collect::<Vec<_>>().join(", ");
    if found.hidden > 0 {
        gist.push_str(&format!("; {} of them are not shown here", found.hidden));
    }
    gist
}

/// Errors file by file, then the rest.
fn sections(found: &[Diagnostic], sources: &Sources) -> String {
    let file = |found: &Diagnostic| found.span().map(|span| span.file);
    let (errors, rest): (Vec<&Diagnostic>, Vec<&Diagnostic>) =
        found.iter().partition(|found| found.is_error());
    let mut out = String::new();
    for of_file in errors.chunk_by(|a, b| file(a) == file(b)) {
        let name = of_file.first().and_then(|found| name(file(found)?, sources));
        let title = match name {
            Some(name) => format!("{} in {}", count(of_file.len(), "error"), escaped(name)),
            None => format!("{} of the whole batch", count(of_file.len(), "error")),
        };
        section(&title, of_file, sources, &mut out);
    }
    if !rest.is_empty() {
        section("Warnings and notes", &rest, sources, &mut out);
    }
    out
}

fn name(file: FileId, sources: &Sources) -> Option<&str> {
    sources.get(file).map(|source| &**source.name())
}

fn section(title: &str, found: &[&Diagnostic], sources: &Sources, out: &mut String) {
    out.push_str(&format!("<section><h2>{title}</h2>\n"));
    for one in found {
        out.push_str(&finding(one, sources));
    }
    out.push_str("</section>\n");
}
