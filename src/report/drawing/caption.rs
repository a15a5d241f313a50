//! The words of a drawing: what it is of, what the letters stand for, which face is which.

use super::features::Lettered;
use super::figure::{Anchor, Figure, Text};
use super::part::Part;
use super::running::HEIGHT;
use super::{Item, Layer};
use crate::library::model::{Profile, Purpose, Units};
use crate::member::model::Faces;
use crate::quantity::Length;
use crate::report::units;
use crate::report::unrolled::Unrolled;
use crate::report::words;
use std::collections::BTreeMap;

/// Height of the first line's letters.
const LARGE: Length = Length::from_mm(7);
/// From one line to the next.
const LINE: Length = Length::from_mm(9);
/// Most characters of a line.
const WIDEST: usize = 80;
/// Most lines that list members.
const LONGEST: usize = 6;
/// What is said on every drawing.
const CAUTION: &str = "As drawn, not as stroked: a program may use the tolerances. Check the first \
                       piece off with a tape. No design: members, holes and joints are the \
                       engineer's.";

/// Title, and the same in a sentence.
pub fn words(part: &Part<'_>, profile: &Profile) -> (String, String) {
    let title = part.wanted.first().map_or_else(String::new, |one| {
        format!("{} {} {}", one.job.name, one.frame.name, one.member.mark)
    });
    let about = format!(
        "{}, {} long, laid flat at full size; {}",
        profile.name,
        units::figure(part.shape.length, Units::Millimetres),
        words::count(part.pieces(), "piece"),
    );
    (title, about)
}

/// Above the blank.
pub fn head(part: &Part<'_>, profile: &Profile, flat: &Unrolled, high: Length) -> Vec<Item> {
    let shape = part.shape;
    let figure = |length| units::figure(length, Units::Millimetres);
    let mut lines = marks(part);
    let usages: Vec<&str> = part.usages();
    lines.push(format!(
        "{}, {}; length {} {}; start {}, end {}{}",
        usages.join(", "),
        words::count(part.pieces(), "piece"),
        figure(shape.length),
        units::tolerance(shape.length_tolerance, Units::Millimetres),
        words::end_shape(shape.start),
        words::end_shape(shape.end),
        if shape.turnable { "; may be turned end for end" } else { "" },
    ));
    let (low, top) = flat.edges();
    lines.push(format!(
        "{}, {} {}; blank {} wide by the centre lines of its bends, strip as run {}",
        profile.name,
        units::thickness(profile.thickness, Units::Millimetres),
        profile.grade,
        figure(top - low),
        figure(profile.strip_width),
    ));
    lines.push(format!(
        "Laid flat, outside of the web toward you, start left. Full size. {}",
        units::resolution(Units::Millimetres)
    ));
    lines.push(CAUTION.to_string());
    let lines: Vec<String> = lines.iter().flat_map(|line| wrapped(line)).collect();
    let count = i64::try_from(lines.len()).unwrap_or(0);
    let top = high + Length::from_mm(10) + LINE.times(count - 1);
    let height = |n: usize| if n == 0 { LARGE } else { HEIGHT };
    column(lines, Length::ZERO, top, height)
}

/// The members, by job and frame, on lines of their own; what leaves no room is counted.
fn marks(part: &Part<'_>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut before: Option<(&str, &str)> = None;
    for (n, one) in part.wanted.iter().enumerate() {
        let job: &str = &one.job.name;
        let here = (job, &*one.frame.name);
        let words = if before == Some(here) {
            one.member.mark.to_string()
        } else if before.is_some_and(|(before, _)| before == job) {
            format!("{} {}", one.frame.name, one.member.mark)
        } else if one.job.revision.is_empty() {
            format!("{job}: {} {}", one.frame.name, one.member.mark)
        } else {
            format!("{job} revision {}: {} {}", one.job.revision, one.frame.name, one.member.mark)
        };
        let parting = match before {
            None => "",
            Some(frame) if frame == here => ", ",
            Some(_) => "; ",
        };
        before = Some(here);
        if line.is_empty() || line.chars().count() + words.chars().count() <= WIDEST {
            line.push_str(parting);
            line.push_str(&words);
        } else if lines.len() + 1 < LONGEST {
            line.push_str(parting.trim_end());
            lines.push(std::mem::replace(&mut line, words));
        } else {
            let rest = part.wanted.len() - n;
            line.push_str(&format!(" … and {rest} more that are alike"));
            break;
        }
    }
    lines.push(line);
    lines
}

/// A line broken at spaces where it is too wide; a word stays whole.
fn wrapped(line: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in line.split(' ') {
        let Some(last) = lines.last_mut() else { break };
        if last.is_empty() {
            last.push_str(word);
        } else if last.chars().count() + word.chars().count() < WIDEST {
            last.push(' ');
            last.push_str(word);
        } else {
            lines.push(word.to_string());
        }
    }
    lines
}

/// Left of the blank.
pub fn faces(flat: &Unrolled) -> Vec<Item> {
    let name = |face: Faces| Faces::NAMES.iter().find(|one| one.0 == face).map_or("", |one| one.1);
    let item = |at, words: &str| {
        Item::plain(
            Layer::Text,
            Figure::Text(Text {
                at,
                height: HEIGHT,
                words: words.to_string(),
                anchor: Anchor::End,
                upward: false,
            }),
        )
    };
    let x = Length::from_mm(-8);
    flat.lanes
        .iter()
        .map(|lane| {
            let middle = lane.flat.0 + (lane.flat.1 - lane.flat.0).half();
            item((x, middle), name(lane.face))
        })
        .collect()
}

/// Below the dimensions: what letters and layers stand for.
pub fn legend(features: &[Lettered<'_>], below: Length) -> Vec<Item> {
    let mut kinds: BTreeMap<(usize, &str), (String, Purpose, usize)> = BTreeMap::new();
    for one in features {
        let row = kinds
            .entry((one.letter.len(), &one.letter))
            .or_insert_with(|| (one.words(), one.kind.purpose, 0));
        row.2 += one.feature.faces.each().count();
    }
    let lines = kinds.iter().map(|((_, letter), (words, purpose, count))| {
        format!("{letter}  {count} × {words}, layer {}", Layer::of(*purpose).name())
    });
    column(lines.collect(), Length::ZERO, below - LINE, |_| HEIGHT)
}

/// Lines from the top down.
fn column(
    lines: Vec<String>,
    left: Length,
    top: Length,
    height: impl Fn(usize) -> Length,
) -> Vec<Item> {
    lines
        .into_iter()
        .enumerate()
        .map(|(n, words)| {
            let y = top - LINE.times(i64::try_from(n).unwrap_or(0));
            Item::plain(
                Layer::Text,
                Figure::Text(Text {
                    at: (left, y),
                    height: height(n),
                    words,
                    anchor: Anchor::Begin,
                    upward: false,
                }),
            )
        })
        .collect()
}
