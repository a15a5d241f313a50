use super::{Diagnostic, Severity};
use std::cmp::Reverse;

/// Most findings shown where nobody asked for another number.
pub const MOST_SHOWN: usize = 50;

/// Findings in the order they are read, and what was left out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Arranged {
    /// What is shown: by file, then place, then code.
    pub shown: Vec<Diagnostic>,
    /// How many there are of each severity, shown or not.
    pub counts: Counts,
    /// How many are not shown.
    pub hidden: usize,
}

/// How many findings of each severity.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub struct Counts {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
}

impl Counts {
    /// Of these findings.
    pub fn of(diagnostics: &[Diagnostic]) -> Counts {
        let count = |severity| diagnostics.iter().filter(|d| d.severity == severity).count();
        Counts {
            errors: count(Severity::Error),
            warnings: count(Severity::Warning),
            notes: count(Severity::Note),
        }
    }
}

/// Sorts findings by file, place and code, drops the ones that say the same twice, and keeps at
/// most `most` of them (0: all).
///
/// Where some must go, notes go before warnings and warnings before errors: an error is never
/// hidden behind warnings that stand above it in the file.
pub fn arrange(mut diagnostics: Vec<Diagnostic>, most: usize) -> Arranged {
    // Findings without a source come last: they are about the whole.
    diagnostics.sort_by(|a, b| {
        let labels = |d: &'_ Diagnostic| -> Vec<_> {
            d.labels.iter().map(|l| (l.span, l.text.clone())).collect()
        };
        key(a).cmp(&key(b)).then_with(|| labels(a).cmp(&labels(b)))
    });
    diagnostics.dedup();
    let counts = Counts::of(&diagnostics);
    let mut hidden = 0;
    if most > 0 && diagnostics.len() > most {
        hidden = diagnostics.len() - most;
        let mut by_weight: Vec<usize> = (0..diagnostics.len()).collect();
        by_weight.sort_by_key(|&i| diagnostics.get(i).map(|d| d.severity));
        by_weight.truncate(most);
        by_weight.sort_unstable();
        let mut kept = by_weight.into_iter().peekable();
        let mut index = 0;
        diagnostics.retain(|_| {
            let keep = kept.next_if_eq(&index).is_some();
            index += 1;
            keep
        });
    }
    Arranged { shown: diagnostics, counts, hidden }
}

/// What findings are ordered by; with the labels behind it, equal ones become neighbours.
#[allow(clippy::type_complexity)] // a sort key, spelled once
fn key(
    d: &Diagnostic,
) -> (bool, Option<(u32, u32, Reverse<u32>)>, &'static str, &str, &[String], Option<&str>) {
    let place = d.span().map(|s| (s.file.0, s.start, Reverse(s.end)));
    (place.is_none(), place, d.code.number, &d.message, &d.notes, d.help.as_deref())
}

impl Arranged {
    /// The last line: `3 errors, 1 warning`; what was left out before it. Empty for no findings.
    pub fn summary(&self) -> String {
        let Counts { errors, warnings, notes } = self.counts;
        let words: Vec<String> = [(errors, "error"), (warnings, "warning"), (notes, "note")]
            .into_iter()
            .filter(|&(count, _)| count > 0)
            .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
            .collect();
        let counted = words.join(", ");
        if self.hidden == 0 {
            counted
        } else {
            format!("{counted}; {} of them not shown", self.hidden)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::codes::files::{E0901, E0904, E0905};
    use crate::quantity::{FileId, Span};

    fn at(code: &'static crate::diagnostic::Code, file: u32, start: u32) -> Diagnostic {
        Diagnostic::new(code, "m").at(Span::new(FileId(file), start, start + 1), "")
    }

    #[test]
    fn sorts_by_file_place_and_code_and_drops_repeats() {
        let arranged = arrange(
            vec![
                Diagnostic::new(&E0904, "about the whole"),
                at(&E0905, 1, 4),
                at(&E0904, 1, 4),
                at(&E0901, 1, 9),
                at(&E0905, 0, 7),
                at(&E0904, 1, 4),
            ],
            0,
        );
        let shown: Vec<_> = arranged
            .shown
            .iter()
            .map(|d| (d.span().map(|s| (s.file.0, s.start)), d.code.number))
            .collect();
        assert_eq!(
            shown,
            [
                (Some((0, 7)), "E0905"),
                (Some((1, 4)), "E0904"),
                (Some((1, 4)), "E0905"),
                (Some((1, 9)), "E0901"),
                (None, "E0904"),
            ]
        );
        assert_eq!(arranged.summary(), "5 errors");
    }

    #[test]
    fn an_error_is_never_hidden_behind_warnings() {
        let mut found: Vec<Diagnostic> =
            (0..60).map(|i| at(&E0901, 0, i).severity(Severity::Warning)).collect();
        found.push(at(&E0905, 0, 100));
        found.push(at(&E0905, 0, 101).severity(Severity::Note));
        let arranged = arrange(found, MOST_SHOWN);
        assert_eq!((arranged.shown.len(), arranged.hidden), (50, 12));
        assert_eq!(arranged.shown.last().map(|d| d.severity), Some(Severity::Error));
        assert_eq!(arranged.summary(), "1 error, 60 warnings, 1 note; 12 of them not shown");
        let all = arrange(arranged.shown, 0);
        assert_eq!((all.shown.len(), all.hidden), (50, 0));
    }

    #[test]
    fn nothing_found_says_nothing() {
        assert_eq!(arrange(Vec::new(), 50).summary(), "");
    }
}
