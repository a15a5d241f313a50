//! Words made to fit a box: smaller, then on several lines, then shortened.

use crate::report::pdf::{Pt, Style, Weight};

/// From one baseline to the next, in parts of an em: accents and tails have room.
const LINE: (i64, i64) = (117, 100);
/// From the upper edge of a line to its baseline.
const BASE: (i64, i64) = (92, 100);
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

/// Fits words into a room: on one line as large as they go; else on as many as have room; else,
/// in the least letters, shortened.
pub fn fit(words: &str, weight: Weight, room: Room) -> Fitted {
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
    if size >= least && style(size).width(words) <= room.width {
        return one(size);
    }
    let most = room.height.thousandths() / line_height(least).thousandths().max(1);
    for lines in 2..=most {
        let size = Pt::mil(room.height.thousandths() / lines).part(LINE.1, LINE.0).min(tallest);
        let broken = broken(words, style(size), room.width);
        if size >= least && i64::try_from(broken.len()).is_ok_and(|n| n <= lines) {
            return Fitted { style: style(size), lines: broken, whole: true };
        }
    }
    let most = usize::try_from(most.max(1)).unwrap_or(1);
    let has_room = |words: &str| broken(words, style(least), room.width).len() <= most;
    let kept = without_middle(words, has_room);
    let lines = broken(&kept, style(least), room.width);
    Fitted { style: style(least), lines, whole: kept == words }
}

/// As many letters as have room, with `…` in their midst where some have none: names that begin
/// alike differ at their ends.
pub fn shortened(words: &str, style: Style, width: Pt) -> String {
    without_middle(words, |words| style.width(words) <= width)
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
    for part in words.split_inclusive([' ', '-', '_', '/', '.', ',']) {
        if style.width(format!("{line}{part}").trim_end()) <= width {
            line.push_str(part);
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
        let fitted = fit("S1", Weight::Bold, room(100, 40));
        assert_eq!((fitted.style.size, fitted.lines.len()), (Pt::new(24), 1));
        let low = fit("S1", Weight::Bold, room(100, 12));
        assert!(low.style.size < Pt::new(11) && low.height() <= Pt::new(12));
    }

    /// Tried one letter less at a time this takes minutes.
    #[test]
    fn a_name_of_a_hundred_thousand_letters_takes_no_time() {
        let name = format!("first {} last", "m".repeat(100_000));
        let fitted = fit(&name, Weight::Bold, room(200, 60));
        let said = fitted.lines.concat();
        assert!(!fitted.whole && said.starts_with("first m") && said.ends_with("m last"));
        let style = fitted.style;
        let one = shortened(&name, style, Pt::new(200));
        assert!(style.width(&one) <= Pt::new(200) && one.contains('…'));
        // A letter more has no room.
        assert!(style.width(&one.replace('…', "mm…")) > Pt::new(200), "{one}");
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
                let fitted = fit(name, Weight::Bold, room);
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
