//! Words in lines that fit.

use crate::report::pdf::{Pt, Style, Weight};
use crate::report::sheet::model::{Word, Words};

/// Something on a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Part {
    /// Letters set alike.
    Text(Style, String),
    /// Room to write in.
    Blank,
}

/// Something on a line, and where: from the line's left edge.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Placed {
    pub part: Part,
    pub x: Pt,
    pub width: Pt,
}

/// A line.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Line {
    pub parts: Vec<Placed>,
    pub width: Pt,
}

/// What is not parted: what stands between two spaces, in one style or several.
#[derive(Default)]
struct Atom {
    /// Spaces before it, and how wide they are.
    spaces: usize,
    space: Pt,
    parts: Vec<(Part, Pt)>,
}

impl Atom {
    fn width(&self) -> Pt {
        self.parts.iter().map(|(_, width)| *width).sum()
    }
}

/// How wide a letter of room is.
pub fn room(letters: usize, size: Pt) -> Pt {
    size.part(i64::try_from(letters).unwrap_or(i64::MAX).min(10_000) * 55, 100)
}

/// The style of a word where most of the text has this one.
fn style(word: &Word, base: Style) -> Style {
    match word {
        Word::Bold(_) => Style { weight: Weight::Bold, ..base },
        Word::Italic(_) => Style { slanted: true, ..base },
        Word::Code(_) | Word::Plain(_) | Word::Blank(_) => base,
    }
}

/// Whether a word is never parted from the next: `60 ×`, `±`, how many or how much of something.
fn tied(word: &str) -> bool {
    let figure = word.trim_start_matches('(');
    let number = word.len() < 8
        && figure.ends_with(|c: char| c.is_ascii_digit())
        && figure.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    number || word.ends_with(['×', '±', '=']) || ["no.", "(T", "(M"].contains(&word)
}

fn atoms(words: &Words, base: Style) -> Vec<Atom> {
    let mut atoms: Vec<Atom> = vec![Atom::default()];
    for word in &words.0 {
        let style = style(word, base);
        let text = match word {
            Word::Blank(letters) => {
                let blank = (Part::Blank, room(*letters, base.size));
                if let Some(atom) = atoms.last_mut() {
                    atom.parts.push(blank);
                }
                continue;
            }
            Word::Plain(text) | Word::Bold(text) | Word::Italic(text) | Word::Code(text) => text,
        };
        let mut before = "";
        for (i, piece) in text.split(' ').enumerate() {
            let glued =
                i > 0 && (tied(before) && !piece.starts_with('(') || piece.starts_with(['×', '%']));
            before = piece;
            if let (true, Some(atom)) = (glued, atoms.last_mut()) {
                let piece = format!(" {piece}");
                let width = style.width(&piece);
                atom.parts.push((Part::Text(style, piece), width));
                continue;
            }
            if i > 0 {
                let space = style.width(" ");
                match atoms.last_mut().filter(|atom| atom.parts.is_empty()) {
                    Some(atom) => {
                        atom.spaces += 1;
                        atom.space += space;
                    }
                    None => atoms.push(Atom { spaces: 1, space, parts: Vec::new() }),
                }
            }
            if let (false, Some(atom)) = (piece.is_empty(), atoms.last_mut()) {
                let width = style.width(piece);
                atom.parts.push((Part::Text(style, piece.to_string()), width));
            }
        }
    }
    atoms.retain(|atom| !atom.parts.is_empty());
    atoms
}

/// How wide these words are on one line, and how wide the widest of them is.
pub fn widths(words: &Words, base: Style) -> (Pt, Pt) {
    let atoms = atoms(words, base);
    let whole = atoms.iter().enumerate().map(|(i, atom)| {
        let space = if i == 0 { Pt::ZERO } else { atom.space };
        space + atom.width()
    });
    let widest = atoms.iter().map(Atom::width).max().unwrap_or_default();
    (whole.sum(), widest)
}

/// The words in lines of this width. A word that is wider than a line is parted, after a hyphen
/// or a stroke where it has one. No words make one empty line.
pub fn lines(words: &Words, base: Style, width: Pt) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut line = Line::default();
    for atom in atoms(words, base) {
        let fresh = line.parts.is_empty();
        let space = if fresh { Pt::ZERO } else { atom.space };
        if line.width + space + atom.width() <= width {
            let spaces = if fresh { 0 } else { atom.spaces };
            go_on(&mut line, spaces, space, atom.parts);
            continue;
        }
        // What has to be parted anyhow begins where there is room for much of it.
        let left = width - line.width - space;
        if !fresh && atom.width() > width && left > width.half() {
            line.width += space;
        } else if !fresh {
            lines.push(std::mem::take(&mut line));
        }
        for (part, wide) in atom.parts {
            parted(part, wide, width, &mut line, &mut lines);
        }
    }
    if !line.parts.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Puts parts after so many spaces.
fn go_on(line: &mut Line, spaces: usize, space: Pt, parts: Vec<(Part, Pt)>) {
    let last = line.parts.last_mut();
    if let (
        Some(Placed { part: Part::Text(style, text), width, .. }),
        Some((Part::Text(next, _), _)),
    ) = (last, parts.first())
        && style == next
    {
        text.push_str(&" ".repeat(spaces));
        *width += space;
    }
    line.width += space;
    append(line, parts);
}

/// Puts parts at the end of the line. What is set alike is one part: a page is drawn part by part.
fn append(line: &mut Line, parts: Vec<(Part, Pt)>) {
    for (part, wide) in parts {
        match (line.parts.last_mut(), part) {
            (Some(Placed { part: Part::Text(style, text), x, width }), Part::Text(next, more))
                if *style == next && *x + *width == line.width =>
            {
                text.push_str(&more);
                *width += wide;
            }
            (_, part) => line.parts.push(Placed { part, x: line.width, width: wide }),
        }
        line.width += wide;
    }
}

/// Puts a part on the line, and as much of it as does not fit on lines after it.
fn parted(part: Part, wide: Pt, width: Pt, line: &mut Line, lines: &mut Vec<Line>) {
    let (style, mut rest) = match part {
        Part::Text(style, text) if line.width + wide > width => (style, text),
        part => {
            if line.width + wide > width && !line.parts.is_empty() {
                lines.push(std::mem::take(line));
            }
            // Room to write in may be narrower than it was asked for.
            return append(line, vec![(part, wide.min(width))]);
        }
    };
    while !rest.is_empty() {
        let room = width - line.width;
        let mut fits = fitting(&rest, style, room);
        if fits == 0 {
            if line.parts.is_empty() {
                // Narrower than a letter: one at a time, whatever it takes.
                fits = rest.chars().next().map_or(rest.len(), char::len_utf8);
            } else {
                lines.push(std::mem::take(line));
                continue;
            }
        }
        let after = rest.split_off(fits.min(rest.len()));
        let wide = style.width(&rest);
        append(line, vec![(Part::Text(style, std::mem::replace(&mut rest, after)), wide)]);
        if !rest.is_empty() {
            lines.push(std::mem::take(line));
        }
    }
}

/// Bytes of the text that fit into this width, ending after a hyphen or stroke where one is in
/// the second half of them.
fn fitting(text: &str, style: Style, width: Pt) -> usize {
    let (mut fits, mut good, mut so_far) = (0, 0, Pt::ZERO);
    for (at, c) in text.char_indices() {
        let next = at + c.len_utf8();
        so_far += style.width(text.get(at..next).unwrap_or_default());
        if so_far > width {
            return if good * 2 > fits { good } else { fits };
        }
        fits = next;
        if matches!(c, '-' | '/' | '_' | '.' | ',' | '–') {
            good = next;
        }
    }
    fits
}

#[cfg(test)]
mod tests {
    use super::*;

    const BASE: Style = Style::book(Pt::new(10));

    fn shown(lines: &[Line]) -> Vec<String> {
        let text = |placed: &Placed| match &placed.part {
            Part::Text(_, text) => text.clone(),
            Part::Blank => "___".to_string(),
        };
        lines.iter().map(|line| line.parts.iter().map(text).collect::<Vec<_>>().join("·")).collect()
    }

    #[test]
    fn breaks_at_spaces_and_keeps_what_is_glued() {
        let words = Words::from("take ").bold("serial 1").plain(", then go on");
        let (whole, widest) = widths(&words, BASE);
        assert_eq!(shown(&lines(&words, BASE, whole)).len(), 1);
        let narrow = lines(&words, BASE, widest);
        assert!(narrow.iter().all(|line| line.width <= widest));
        // The comma belongs to the number before it.
        assert!(shown(&narrow).iter().any(|line| line.contains("1·,")), "{:?}", shown(&narrow));
    }

    #[test]
    fn a_word_too_long_for_a_line_is_parted_and_nothing_is_lost() {
        let name = "KP26-NORTH-WALL-".repeat(8);
        for width in [1, 20, 77, 200] {
            let width = Pt::new(width);
            let parted = lines(&name.as_str().into(), BASE, width);
            assert_eq!(shown(&parted).concat(), name);
            assert!(width < Pt::new(10) || parted.iter().all(|line| line.width <= width));
        }
        let parted = shown(&lines(&name.as_str().into(), BASE, Pt::new(77)));
        assert!(parted.iter().all(|line| line.ends_with('-')), "{parted:?}");
        assert_eq!(shown(&lines(&Words::default(), BASE, Pt::new(9))), [""]);
    }

    #[test]
    fn sizes_stay_in_one_piece() {
        let narrow = lines(&"service-hole 60 × 32, ± 3 m".into(), BASE, Pt::new(60));
        assert_eq!(shown(&narrow), ["service-hole", "60 × 32,", "± 3 m"]);
    }

    #[test]
    fn room_to_write_in_is_a_part_of_its_own() {
        let words = Words::from("Run done: ").blank(14).plain(" (name)");
        let set = lines(&words, BASE, Pt::new(300));
        assert_eq!(shown(&set), ["Run done:·___·(name)"]);
        assert_eq!(set[0].parts[1].width, room(14, BASE.size));
    }
}
