//! Words made to fit a box: on as many lines as let letters be largest, at last shortened.

use crate::report::pdf::{Pt, Style, Weight};

/// From one baseline to the next, in parts of an em: accents and tails have room.
const LINE: (i64, i64) = (117, 100);
/// From the upper edge of a line to its baseline.
const BASE: (i64, i64) = (92, 100);
/// So much larger have letters to be for words to be broken into one line more.
const WORTH_A_LINE: (i64, i64) = (115, 100);
/// Capitals in parts of an em.
const CAPITAL: (i64, i64) = (729, 1000);

/// Room for words, with the letters that may stand in it.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    pub width: Pt,
    pub height: Pt,
    /// Size of the largest and least letters, in ems.
    pub sizes: (Pt, Pt),
}

/// Words as they fit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fitted {
    pub style: Style,
    pub lines: Vec<String>,
    /// Whether nothing was left out.
    pub whole: bool,
}

impl Fitted {
    pub fn height(&self) -> Pt {
        line_height(self.style.size).times(i64::try_from(self.lines.len()).unwrap_or(0))
    }
    /// Upper edge of a line to its baseline, from the upper edge of the first.
    pub fn baseline(&self, line: usize) -> Pt {
        line_height(self.style.size).times(i64::try_from(line).unwrap_or(0))
            + self.style.size.part(BASE.0, BASE.1)
    }
}

/// Room that a line of letters of this size takes.
pub fn line_height(size: Pt) -> Pt {
    size.part(LINE.0, LINE.1)
}

/// The em of letters whose capitals are so high.
pub fn em(capital: Pt) -> Pt {
    capital.part(CAPITAL.1, CAPITAL.0)
}

/// Fits words into a room: on one line, or on several where letters are larger so and no word is
/// torn; else on as many as have room; else, in the least letters, shortened. The part that gives
/// way is told by its number from 0.
pub fn fit(words: &str, gives: usize, weight: Weight, room: Room) -> Fitted {
    let style = |size| Style { weight, slanted: false, size };
    let (largest, least) = room.sizes;
    let tallest = room.height.part(LINE.1, LINE.0).min(largest).max(least);
    let one = |size| Fitted { style: style(size), lines: vec![words.to_string()], whole: true };
    let wide = style(tallest).width(words);
    if wide <= room.width {
        return one(tallest);
    }
    // As the width goes with the size; a step down for what rounding took.
    let size = tallest.part(room.width.thousandths(), wide.thousandths().max(1));
    let single = (size >= least && style(size).width(words) <= room.width).then(|| one(size));
    let most = room.height.thousandths() / line_height(least).thousandths().max(1);
    let mut best = single;
    for lines in 2..=most {
        let wanted =
            best.as_ref().map_or(least, |b| b.style.size.part(WORTH_A_LINE.0, WORTH_A_LINE.1));
        let high = Pt::mil(room.height.thousandths() / lines).part(LINE.1, LINE.0).min(tallest);
        let at = |size| untorn(words, style(size), room.width, lines).map(|set| (size, set));
        if let Some((size, lines)) = smaller(high, wanted).find_map(at) {
            best = Some(Fitted { style: style(size), lines, whole: true });
        }
    }
    if let Some(best) = best {
        return best;
    }
    for lines in 2..=most {
        let size = Pt::mil(room.height.thousandths() / lines).part(LINE.1, LINE.0).min(tallest);
        let broken = broken(words, style(size), room.width);
        if size >= least && i64::try_from(broken.len()).is_ok_and(|n| n <= lines) {
            return Fitted { style: style(size), lines: broken, whole: true };
        }
    }
    let most = usize::try_from(most.max(1)).unwrap_or(1);
    let has_room = |words: &str| broken(words, style(least), room.width).len() <= most;
    let kept = without_part(words, gives, has_room);
    let lines = broken(&kept, style(least), room.width);
    Fitted { style: style(least), lines, whole: kept == words }
}

/// As many letters as have room, with `…` in their midst where some have none: names that begin
/// alike differ at their ends.
pub fn shortened(words: &str, style: Style, width: Pt) -> String {
    without_middle(words, |words| style.width(words) <= width)
}

/// Words without the middle of the part that gives way; parts stand two spaces apart. So a length
/// or a revision stays whole beside a name that is too long.
fn without_part(words: &str, gives: usize, has_room: impl Fn(&str) -> bool) -> String {
    let parts: Vec<&str> = words.split("  ").collect();
    let with = |short: &str| -> String {
        let parts = parts.iter().enumerate();
        let parts = parts.map(|(i, part)| if i == gives { short } else { part });
        parts.collect::<Vec<_>>().join("  ")
    };
    let whole = parts.get(gives).copied().unwrap_or_default();
    match without_middle(whole, |short| has_room(&with(short))) {
        none if none.is_empty() => without_middle(words, has_room),
        short => with(&short),
    }
}

/// Sizes from this one down to what is wanted at least.
fn smaller(from: Pt, wanted: Pt) -> impl Iterator<Item = Pt> {
    let next = |size: &Pt| Some(size.part(97, 100));
    std::iter::successors(Some(from), next).take_while(move |size| *size >= wanted)
}

/// Words on at most so many lines, none of them torn.
fn untorn(words: &str, style: Style, width: Pt, lines: i64) -> Option<Vec<String>> {
    let whole = parts(words).iter().all(|part| style.width(part.trim_end()) <= width);
    let set = whole.then(|| broken(words, style, width))?;
    i64::try_from(set.len()).is_ok_and(|n| n <= lines).then_some(set)
}

/// What lines are made of: a number stays with the `no.` before it.
fn parts(words: &str) -> Vec<String> {
    let mut parts: Vec<String> = Vec::new();
    for part in words.split_inclusive([' ', '-', '_', '/']) {
        match parts.last_mut() {
            Some(last) if last == "no. " => last.push_str(part),
            _ => parts.push(part.to_string()),
        }
    }
    parts
}

fn without_middle(words: &str, has_room: impl Fn(&str) -> bool) -> String {
    if has_room(words) {
        return words.to_string();
    }
    let letters: Vec<char> = words.chars().collect();
    let shown = |kept: usize| -> String {
        let (front, back) = (kept.div_ceil(2), kept / 2);
        let begin: String = letters.iter().take(front).collect();
        let end: String = letters.iter().skip(letters.len() - back).collect();
        format!("{}…{}", begin.trim_end(), end.trim_start())
    };
    // Halved rather than tried one by one: a name may be as long as somebody makes it.
    let (mut fits, mut too_many) = (None, letters.len());
    let mut least = 0;
    while least < too_many {
        let kept = least.midpoint(too_many);
        let words = shown(kept);
        if has_room(&words) {
            (fits, least) = (Some(words), kept + 1);
        } else {
            too_many = kept;
        }
    }
    fits.unwrap_or_default()
}

/// Words on lines of this width, broken behind spaces and signs where that is possible. What is
/// wider than a line by itself is broken anywhere.
fn broken(words: &str, style: Style, width: Pt) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for part in parts(words) {
        if style.width(format!("{line}{part}").trim_end()) <= width {
            line.push_str(&part);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in part.chars() {
            line.push(c);
            if style.width(line.trim_end()) > width && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(width: i64, height: i64) -> Room {
        Room { width: Pt::new(width), height: Pt::new(height), sizes: (Pt::new(24), Pt::new(6)) }
    }

    #[test]
    fn short_words_are_as_large_as_they_may_be() {
        let fitted = fit("S1", 0, Weight::Bold, room(100, 40));
        assert_eq!((fitted.style.size, fitted.lines.len()), (Pt::new(24), 1));
        let low = fit("S1", 0, Weight::Bold, room(100, 12));
        assert!(low.style.size < Pt::new(11) && low.height() <= Pt::new(12));
    }

    /// Tried one letter less at a time this takes minutes.
    #[test]
    fn a_name_of_a_hundred_thousand_letters_takes_no_time() {
        let name = format!("first {} last", "m".repeat(100_000));
        let fitted = fit(&name, 0, Weight::Bold, room(200, 60));
        let said = fitted.lines.concat();
        assert!(!fitted.whole && said.starts_with("first m") && said.ends_with("m last"));
        let style = fitted.style;
        let one = shortened(&name, style, Pt::new(200));
        assert!(style.width(&one) <= Pt::new(200) && one.contains('…'));
        // A letter more has no room.
        assert!(style.width(&one.replace('…', "mm…")) > Pt::new(200), "{one}");
    }

    #[test]
    fn more_lines_are_taken_where_letters_are_larger_so() {
        let fitted = fit("Forty-bundles-of-packers no. 12", 0, Weight::Bold, room(60, 40));
        let alone = fit("Forty-bundles-of-packers no. 12", 0, Weight::Bold, room(60, 9));
        assert!(fitted.whole && fitted.lines.len() > 1, "{fitted:?}");
        assert!(fitted.lines.iter().any(|line| line.contains("no. 12")), "{fitted:?}");
        assert!(!alone.whole || fitted.style.size > alone.style.size, "{fitted:?} {alone:?}");
        // A single word is not torn to be larger.
        assert_eq!(fit("Kingstud", 0, Weight::Bold, room(40, 40)).lines.len(), 1);
    }

    #[test]
    fn what_gives_way_is_shortened_alone() {
        let fitted = fit("KP26 rev. B  prints KP26 S3 T1 and more", 1, Weight::Book, room(70, 8));
        let said = fitted.lines.concat();
        assert!(!fitted.whole && said.starts_with("KP26 rev. B  ") && said.contains('…'), "{said}");
    }

    #[test]
    fn whatever_is_written_fits_its_room() {
        let names = [
            "S1",
            "Kingstud-beside-the-great-door-left-hand-number-one-of-two",
            "a word and another word and a third one",
            "Ärmel – Ελλάδα – Ладога",
            &"W".repeat(400),
        ];
        for name in names {
            for (wide, high) in [(60, 10), (60, 20), (100, 40), (30, 8), (200, 9)] {
                let room = room(wide, high);
                let fitted = fit(name, 0, Weight::Bold, room);
                assert!(fitted.style.size >= Pt::new(6) && fitted.style.size <= Pt::new(24));
                assert!(
                    fitted
                        .lines
                        .iter()
                        .all(|line| { fitted.style.width(line.trim_end()) <= room.width }),
                    "{fitted:?}"
                );
                let least = line_height(Pt::new(6));
                assert!(fitted.height() <= room.height.max(least), "{name} {wide} {high}");
                let said: String = fitted.lines.concat();
                assert_eq!(fitted.whole, said == name, "{said}");
                assert!(fitted.whole || said.contains('…'), "{said}");
            }
        }
    }
}
