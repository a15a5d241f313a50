//! The few lines around a finding's labels, cut out of their files so that a picture of them
//! costs the same in a file of ten lines and of ten megabytes.
//!
//! All excerpts of one finding lie behind each other in one address space with gaps between
//! them; `text` hands that to the drawing library as one source. Control characters and
//! direction overrides are replaced: a source file must not move the terminal's cursor.

use super::Label;
use crate::quantity::{FileId, SourceFile, Sources};
use std::ops::Range;
use std::sync::Arc;

/// Characters of a line shown before what is marked, at most, once the line is too long.
const LEAD: usize = 30;

/// One or more neighbouring lines of one file.
#[derive(Debug)]
pub(super) struct Excerpt {
    pub(super) name: Arc<str>,
    /// First line shown, from 0.
    pub(super) line: usize,
    /// Its text; every line ends in a line feed.
    pub(super) text: String,
    /// Where it stands in the common address space.
    pub(super) start: usize,
    /// Line and column of what is marked first, from 1.
    pub(super) place: (u32, u32),
}

/// A label in the common address space.
#[derive(Debug)]
pub(super) struct Mark {
    pub(super) range: Range<usize>,
    pub(super) text: String,
}

/// Everything one finding shows.
#[derive(Debug, Default)]
pub(super) struct Excerpts {
    pub(super) pieces: Vec<Excerpt>,
    pub(super) marks: Vec<Mark>,
}

/// A label pinned to one line of its file, in bytes of that line.
struct Pinned<'a> {
    file: FileId,
    source: &'a SourceFile,
    line: u32,
    bytes: Range<usize>,
    text: &'a str,
}

impl Excerpts {
    /// Cuts the excerpts for these labels, each line shown at most `width` characters wide.
    pub(super) fn cut(labels: &[Label], sources: &Sources, width: usize) -> Excerpts {
        let mut groups: Vec<Vec<Pinned<'_>>> = Vec::new();
        for label in labels {
            let Some(source) = sources.get(label.span.file) else { continue };
            let pinned = pin(label, source);
            let fits = |group: &Vec<Pinned<'_>>| group.iter().all(|other| beside(other, &pinned));
            let near = |group: &Vec<Pinned<'_>>| group.iter().any(|other| touches(other, &pinned));
            match groups.iter_mut().find(|group| near(group) && fits(group)) {
                Some(group) => group.push(pinned),
                None => groups.push(vec![pinned]),
            }
        }
        let mut excerpts = Excerpts::default();
        let mut start = 0;
        for group in &groups {
            excerpts.add(group, start, width);
            start = excerpts.pieces.last().map_or(0, |p| p.start + p.text.len()) + 2;
        }
        excerpts
    }

    fn add(&mut self, group: &[Pinned<'_>], start: usize, width: usize) {
        let Some(head) = group.first() else { return };
        let lines = || group.iter().map(|p| p.line);
        let (first, last) = (lines().min().unwrap_or(1), lines().max().unwrap_or(1));
        // One line of context above and below, unless it is too long to be read anyway.
        let short = |line: u32| head.source.line(line).len() <= 4 * width;
        let first = if first > 1 && short(first - 1) { first - 1 } else { first };
        let below = (last as usize) < head.source.line_count()
            && short(last + 1)
            && !head.source.line(last + 1).trim().is_empty();
        let last = if below { last + 1 } else { last };
        let mut text = String::new();
        for line in first..=last {
            let mut marked: Vec<&Pinned<'_>> = group.iter().filter(|p| p.line == line).collect();
            marked.sort_by_key(|p| p.bytes.start);
            let offset = start + text.len();
            let (shown, ranges) = clip(head.source.line(line), &marked, width);
            for (pinned, range) in marked.iter().zip(ranges) {
                self.marks.push(Mark {
                    range: offset + range.start..offset + range.end,
                    text: printable(pinned.text),
                });
            }
            text.push_str(&shown);
            text.push('\n');
        }
        let at = u32::try_from(head.bytes.start).unwrap_or(u32::MAX);
        let place = head.source.position(head.source.line_start(head.line).saturating_add(at));
        self.pieces.push(Excerpt {
            name: head.source.name().clone(),
            line: (first as usize).saturating_sub(1),
            text,
            start,
            place: (place.line, place.column),
        });
    }

    /// The excerpt that holds all of this range.
    pub(super) fn holding(&self, range: Range<usize>) -> Option<&Excerpt> {
        self.pieces
            .iter()
            .find(|piece| piece.start <= range.start && range.end <= piece.start + piece.text.len())
    }
}

/// Two labels of one excerpt must not overlap on a line: they would be drawn over each other.
fn beside(a: &Pinned<'_>, b: &Pinned<'_>) -> bool {
    a.line != b.line || a.bytes.end < b.bytes.start || b.bytes.end < a.bytes.start
}

/// Whether two labels stand near enough to be shown in one excerpt.
fn touches(a: &Pinned<'_>, b: &Pinned<'_>) -> bool {
    a.file == b.file && a.line.abs_diff(b.line) <= 2
}

/// Pins a label to one line: a stretch over several lines is shown by its first one, and an empty
/// stretch behind the last line by the last thing written before it.
fn pin<'a>(label: &'a Label, source: &'a SourceFile) -> Pinned<'a> {
    let text = source.text();
    let length = text.len();
    let mut first = (label.span.start as usize).min(length);
    let mut last = (label.span.end as usize).clamp(first, length);
    while !text.is_char_boundary(first) {
        first -= 1;
    }
    while !text.is_char_boundary(last) {
        last += 1;
    }
    if first == last && text.get(first..).is_none_or(|rest| rest.trim().is_empty()) {
        let before = text.get(..first).unwrap_or("").trim_end();
        let width = before.chars().next_back().map_or(0, char::len_utf8);
        (first, last) = (before.len() - width, before.len());
    }
    let line = source.position(u32::try_from(first).unwrap_or(u32::MAX)).line;
    let start = source.line_start(line) as usize;
    let shown = source.line(line).len();
    let first = first.saturating_sub(start).min(shown);
    let last = last.saturating_sub(start).clamp(first, shown);
    Pinned { file: label.span.file, source, line, bytes: first..last, text: &label.text }
}

/// A line as shown, and where each mark (by start) lies in it, in bytes.
///
/// A long line is cut to a window that begins shortly before the first mark; what is cut off is
/// an ellipsis, and marks are cut to the window.
fn clip(line: &str, marked: &[&Pinned<'_>], width: usize) -> (String, Vec<Range<usize>>) {
    let from = marked.first().map_or(0, |p| p.bytes.start);
    // Only the characters just before the mark are counted, however long the line is.
    let before = line.get(..from).unwrap_or("");
    let lead = before.chars().rev().take(width).count();
    let whole = lead < width && line.len() <= from + 4 * width && line.chars().count() <= width;
    let begin = if whole {
        0
    } else {
        before.char_indices().rev().take(LEAD.min(width / 3)).last().map_or(from, |(at, _)| at)
    };
    let mut shown = String::new();
    let mut ranges: Vec<Range<usize>> = marked.iter().map(|_| usize::MAX..usize::MAX).collect();
    if begin > 0 {
        shown.push('…');
    }
    let mut cut = false;
    let place = |at: usize, shown: usize, ranges: &mut Vec<Range<usize>>| {
        for (pinned, range) in marked.iter().zip(ranges.iter_mut()) {
            if at >= pinned.bytes.start && range.start == usize::MAX {
                range.start = shown;
            }
            if at >= pinned.bytes.end && range.end == usize::MAX {
                range.end = shown;
            }
        }
    };
    let mut end = line.len();
    for (used, (at, c)) in line.get(begin..).unwrap_or("").char_indices().enumerate() {
        if used >= width {
            cut = true;
            end = begin + at;
            break;
        }
        place(begin + at, shown.len(), &mut ranges);
        shown.push(visible(c));
    }
    if cut {
        let here = shown.len();
        place(end, here, &mut ranges);
        shown.push('…');
        for range in &mut ranges {
            // A mark that starts or goes on behind the window points at the ellipsis.
            if range.start == usize::MAX {
                range.start = here;
            }
            if range.end == usize::MAX {
                range.end = shown.len();
            }
        }
    } else {
        place(usize::MAX - 1, shown.len(), &mut ranges);
    }
    (shown, ranges)
}

/// A character as it may be shown: controls as their pictures, direction overrides as a blot.
fn visible(c: char) -> char {
    match c {
        '\t' => '\t',
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + c as u32).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        '\u{80}'..='\u{9f}' => '\u{fffd}',
        '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' => '\u{fffd}',
        '\u{2028}' | '\u{2029}' | '\u{feff}' => '\u{fffd}',
        c => c,
    }
}

/// Text that may come from a file, fit to be shown: no control characters but line feeds.
pub(super) fn printable(text: &str) -> String {
    text.chars().map(|c| if c == '\n' { c } else { visible(c) }).collect()
}
