//! The one font papers are set in, and how wide its letters are.
//!
//! DejaVu Sans Condensed; its licence lies beside it and allows both to ship it and to embed what
//! a paper uses of it.

use super::unit::Pt;
use std::borrow::Cow;
use std::sync::LazyLock;

/// Weight of letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Weight {
    /// For most of a paper.
    Book,
    /// What has to be seen first.
    Bold,
}

/// How a text is set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Style {
    /// How heavy.
    pub weight: Weight,
    /// Whether it leans.
    pub slanted: bool,
    /// Size of an em.
    pub size: Pt,
}

impl Style {
    /// Upright book letters.
    pub const fn book(size: Pt) -> Style {
        Style { weight: Weight::Book, slanted: false, size }
    }
    /// Upright bold letters.
    pub const fn bold(size: Pt) -> Style {
        Style { weight: Weight::Bold, slanted: false, size }
    }
    /// How wide this text is.
    pub fn width(&self, text: &str) -> Pt {
        let font = Font::of(self.weight);
        let mils: i64 = settable(text).chars().filter_map(|c| font.glyph(c)).map(|g| g.width).sum();
        self.size.part(mils, 1000)
    }
    /// From the baseline up to the top of capitals.
    pub fn capital(&self) -> Pt {
        self.size.part(729, 1000)
    }
    /// From the baseline up to where no letter without an accent reaches.
    pub fn ascent(&self) -> Pt {
        self.size.part(760, 1000)
    }
    /// From the baseline down to where tails end.
    pub fn descent(&self) -> Pt {
        self.size.part(240, 1000)
    }
}

/// One letter of the font.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Glyph {
    /// Its number in the font.
    pub id: u16,
    /// How far it moves on, in thousandths of an em.
    pub width: i64,
}

/// A font that is shipped.
pub(super) struct Font {
    pub bytes: &'static [u8],
    pub name: &'static str,
    face: Option<ttf_parser::Face<'static>>,
    /// Letters of the characters that are met most, by their number.
    common: Vec<Option<Glyph>>,
}

/// One more than the number of the last of them: Latin to the signs of mathematics.
const COMMON: u32 = 0x2300;

static BOOK: LazyLock<Font> = LazyLock::new(|| {
    Font::new("DejaVuSansCondensed", include_bytes!("fonts/DejaVuSansCondensed.ttf"))
});
static BOLD: LazyLock<Font> = LazyLock::new(|| {
    Font::new("DejaVuSansCondensed-Bold", include_bytes!("fonts/DejaVuSansCondensed-Bold.ttf"))
});

impl Font {
    pub fn of(weight: Weight) -> &'static Font {
        match weight {
            Weight::Book => &BOOK,
            Weight::Bold => &BOLD,
        }
    }
    fn new(name: &'static str, bytes: &'static [u8]) -> Font {
        let face = ttf_parser::Face::parse(bytes, 0).ok();
        let mut font = Font { bytes, name, face, common: Vec::new() };
        let look = |n| char::from_u32(n).and_then(|c| font.look(c));
        font.common = (0..COMMON).map(look).collect();
        font
    }
    fn look(&self, c: char) -> Option<Glyph> {
        let face = self.face.as_ref()?;
        let id = face.glyph_index(c)?;
        Some(Glyph { id: id.0, width: self.mils(face.glyph_hor_advance(id)?.into()) })
    }
    /// Font units in thousandths of an em.
    fn mils(&self, units: i64) -> i64 {
        let em = self.face.as_ref().map_or(1000, |face| i64::from(face.units_per_em())).max(1);
        (2 * units * 1000 + em).div_euclid(2 * em)
    }
    /// The letter for a character; `None` where there is none.
    pub fn glyph(&self, c: char) -> Option<Glyph> {
        match self.common.get(c as usize) {
            Some(glyph) => *glyph,
            None => self.look(c),
        }
    }
    /// Ascent, descent and height of capitals, then the box around every letter, in thousandths
    /// of an em.
    pub fn measures(&self) -> ([i64; 3], [i64; 4]) {
        let Some(face) = self.face.as_ref() else { return ([0; 3], [0; 4]) };
        let around = face.global_bounding_box();
        let capital = face.capital_height().unwrap_or_default();
        (
            [face.ascender(), face.descender(), capital].map(|units| self.mils(units.into())),
            [around.x_min, around.y_min, around.x_max, around.y_max]
                .map(|units| self.mils(units.into())),
        )
    }
}

/// Whether a character can be set by putting its letter after the one before: there is one, and
/// its script is written from left to right, one letter beside the other.
pub fn can_set(c: char) -> bool {
    let otherwise_written = matches!(u32::from(c),
        // Accents that stand over the letter before, and Hebrew to Tibetan: right to left, or
        // letters that change beside each other. Then what directs text and is not seen.
        0x0300..=0x036F | 0x0483..=0x0489 | 0x0590..=0x109F | 0x1100..=0x11FF | 0x1700..=0x1CFF
        | 0x1DC0..=0x1DFF | 0x200B..=0x200F | 0x2028..=0x202E
        | 0x2060..=0x206F | 0x20D0..=0x20FF | 0x00AD | 0xFB1D..=0xFDFF | 0xFE00..=0xFEFF
        | 0xFFF0..=0xFFFD | 0x10000..);
    !otherwise_written && BOOK.glyph(c).is_some() && BOLD.glyph(c).is_some()
}

/// The text as it can be set. What the font does not have stands as its Unicode number in
/// brackets, `[6771]`: two marks that differ stay different. Control characters become spaces.
pub fn settable(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|byte| (b' '..0x7F).contains(&byte)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() {
            out.push(' ');
        } else if can_set(c) {
            out.push(c);
        } else {
            out.push_str(&format!("[{:04X}]", u32::from(c)));
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_as_wide_as_the_font_says() {
        // Advances of the font's own hmtx table, of 2048 to the em: A 1260, i 512, space 585.
        let style = Style::book(Pt::new(1000));
        let mils = |units: i64| Pt::new((2 * units * 1000 + 2048) / 4096);
        assert_eq!(style.width("A"), mils(1260));
        assert_eq!(style.width("i"), mils(512));
        assert_eq!(style.width("Ai i"), mils(1260) + mils(512).times(2) + mils(585));
        assert!(Style::bold(Pt::new(10)).width("A") > Style::book(Pt::new(10)).width("A"));
    }

    #[test]
    fn what_the_font_lacks_stays_told_apart() {
        assert_eq!(settable("Ø12 × ½ – Łódź Ωμ Кедр"), "Ø12 × ½ – Łódź Ωμ Кедр");
        assert_eq!(settable("東壁\t2"), "[6771][58C1] 2");
        // Set letter by letter these would read backwards, or with their accents beside them.
        assert_eq!(settable("אב"), "[05D0][05D1]");
        assert_eq!(settable("e\u{301}"), "e[0301]");
        assert_eq!(settable("a\u{200b}b😀"), "a[200B]b[1F600]");
        let style = Style::book(Pt::new(10));
        assert_eq!(style.width("東"), style.width("[6771]"));
    }
}
