//! What the program tells its users when something is not right: one type, one registry of codes,
//! one file per output format.
//!
//! A diagnostic says what, where, why it matters on the machine, and what to write instead.

pub mod annotations;
pub mod codes;
mod excerpt;
pub mod html;
pub mod json;
mod load;
mod looks;
mod order;
pub mod sarif;
pub mod text;

use crate::quantity::Span;

pub use load::load;
pub use looks::{MEMBERS, TOML, looks, wrong_kind};
pub use order::{Arranged, Counts, MOST_SHOWN, arrange};

/// How grave a diagnostic is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// Nothing is made from this input.
    Error,
    /// It can be made; someone should look.
    Warning,
    /// Worth knowing: something for somebody to do or decide, such as the engineer.
    Note,
}

impl Severity {
    /// Lower-case word, as printed.
    pub const fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// One entry of the registry: everything that is fixed about one kind of diagnostic.
///
/// Numbers are never reused. The examples are fixtures: `fixtures/diagnostics/E0123-slug.wrong`
/// triggers the code, the `.right` beside it does not; tests hold both.
#[derive(Debug)]
pub struct Code {
    /// `E0411`.
    pub number: &'static str,
    /// `feature-outside-member`.
    pub slug: &'static str,
    /// Its usual severity; a rule set may lower or raise the severity of its own findings.
    pub severity: Severity,
    /// One line: what is wrong.
    pub title: &'static str,
    /// What it means at the machine or on site, and what to do. Plain text, paragraphs parted by
    /// blank lines.
    pub explanation: &'static str,
}

impl PartialEq for Code {
    fn eq(&self, other: &Code) -> bool {
        self.number == other.number
    }
}
impl Eq for Code {}

/// A place in a source, with a few words shown under it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What to see there; may be empty.
    pub text: String,
}

/// One finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnostic {
    /// Its kind.
    pub code: &'static Code,
    /// Its severity here.
    pub severity: Severity,
    /// What is wrong, with the numbers, in the trade's words.
    pub message: String,
    /// Where; the first is the place it is sorted and counted by. Empty where there is no source.
    pub labels: Vec<Label>,
    /// Why it matters on the machine or on site; optional lines under the picture.
    pub notes: Vec<String>,
    /// What to write or do instead.
    pub help: Option<String>,
}

impl Diagnostic {
    /// A finding of this kind, without a place yet.
    pub fn new(code: &'static Code, message: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code,
            severity: code.severity,
            message: message.into(),
            labels: Vec::new(),
            notes: Vec::new(),
            help: None,
        }
    }
    /// Adds a place.
    #[must_use]
    pub fn at(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label { span, text: text.into() });
        self
    }
    /// Adds a line that says why it matters.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Diagnostic {
        self.notes.push(text.into());
        self
    }
    /// Message, notes and help, each on a line: for what has no places of its own for them.
    pub fn lines(&self) -> String {
        let more = self.notes.iter().chain(&self.help).map(String::as_str);
        std::iter::once(self.message.as_str()).chain(more).collect::<Vec<_>>().join("\n")
    }
    /// Says what to write or do instead.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help = Some(text.into());
        self
    }
    /// With another severity than its code's usual one.
    #[must_use]
    pub fn severity(mut self, severity: Severity) -> Diagnostic {
        self.severity = severity;
        self
    }
    /// Whether it stops the work.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
    /// Where it is reported, if it has a source.
    pub fn span(&self) -> Option<Span> {
        self.labels.first().map(|label| label.span)
    }
}

/// Whether any of them stops the work.
pub fn any_error(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(Diagnostic::is_error)
}

/// The candidate closest to `word` if it is close enough to be a slip of the finger: for
/// "did you mean".
pub fn closest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let limit = (word.chars().count() / 3).clamp(1, 3);
    let word = folded(word);
    candidates
        .into_iter()
        .filter_map(|candidate| Some((edits(&word, &folded(candidate), limit)?, candidate)))
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

/// The first characters of a name, case ignored.
fn folded(name: &str) -> Vec<char> {
    name.chars().take(64).flat_map(char::to_lowercase).collect()
}

/// Optimal string alignment distance; `None` beyond `limit`, which is mostly seen early: a file
/// may have ten thousand misspelt names, and ten thousand they could be.
fn edits(a: &[char], b: &[char], limit: usize) -> Option<usize> {
    let alike = a.iter().zip(b).take_while(|(a, b)| a == b).count();
    let (a, b) = (a.get(alike..)?, b.get(alike..)?);
    let alike = a.iter().rev().zip(b.iter().rev()).take_while(|(a, b)| a == b).count();
    let (a, b) = (a.get(..a.len() - alike)?, b.get(..b.len() - alike)?);
    if a.len().abs_diff(b.len()) > limit {
        return None;
    }
    let get = |row: &[usize], i: usize| row.get(i).copied().unwrap_or(usize::MAX / 2);
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.iter().enumerate() {
        let mut row = Vec::with_capacity(b.len() + 1);
        row.push(i + 1);
        for (j, cb) in b.iter().enumerate() {
            let mut best = (get(&above, j) + usize::from(ca != cb))
                .min(get(&above, j + 1) + 1)
                .min(get(&row, j) + 1);
            let swapped = i > 0 && j > 0 && a.get(i - 1) == Some(cb) && b.get(j - 1) == Some(ca);
            if swapped {
                best = best.min(get(&before, j - 1) + 1);
            }
            row.push(best);
        }
        // Distances only grow from row to row; a swap reaches over one.
        if row.iter().chain(&above).all(|&distance| distance > limit) {
            return None;
        }
        before = std::mem::replace(&mut above, row);
    }
    above.last().copied().filter(|&distance| distance <= limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same distance from its definition, without short cuts.
    fn plainly(a: &[char], b: &[char]) -> usize {
        let (Some((la, ra)), Some((lb, rb))) = (a.split_last(), b.split_last()) else {
            return a.len().max(b.len());
        };
        let mut best = (plainly(ra, rb) + usize::from(la != lb))
            .min(plainly(ra, b) + 1)
            .min(plainly(a, rb) + 1);
        if ra.last() == Some(lb) && rb.last() == Some(la) {
            best = best.min(plainly(&ra[..ra.len() - 1], &rb[..rb.len() - 1]) + 1);
        }
        best
    }

    #[test]
    fn short_cuts_do_not_change_a_distance() {
        let mut seed = 3_u64;
        let mut roll = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) % n
        };
        let mut near = 0;
        for _ in 0..3_000 {
            let (m, n, limit) = (roll(7), roll(7), roll(4) as usize);
            let a: Vec<char> = (0..m).map(|_| ['a', 'b', 'c'][roll(3) as usize]).collect();
            let b: Vec<char> = (0..n).map(|_| ['a', 'b', 'c'][roll(3) as usize]).collect();
            let plain = plainly(&a, &b);
            assert_eq!(edits(&a, &b, limit), (plain <= limit).then_some(plain), "{a:?} {b:?}");
            near += usize::from(plain <= limit);
        }
        assert!(near > 300, "{near}");
    }

    #[test]
    fn suggests_a_slip_but_not_a_stranger() {
        let words = ["dimple", "swage", "lip-notch"];
        assert_eq!(closest("dimpel", words), Some("dimple"));
        assert_eq!(closest("Swage", words), Some("swage"));
        assert_eq!(closest("tongue", words), None);
    }
}
