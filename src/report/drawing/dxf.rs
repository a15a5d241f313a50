//! A drawing as DXF, release 2000 (AC1015), in plain letters.
//!
//! It is the oldest release that says its unit (`$INSUNITS`); the older R12 leaves a reader to
//! guess between inches and millimetres. Group codes and what a file has to hold, handles, tables,
//! two blocks and a root dictionary among it: from memory, held by the audit of another library
//! (`tests/drawings.rs`). What is not ASCII is written as `\U+` and four digits, as the release
//! wants it.

use super::figure::{self, Anchor, Figure, Point, Text};
use super::{Drawing, Layer};
use crate::quantity::Length;

/// How every drawing of ours begins: by this it is known.
pub const FIRST_LINES: &str = "999\ncoilwright drawing\n";

/// Name, what it looks like, its dashes and gaps in tenths of a millimetre (gaps below nought).
const LINE_TYPES: [(&str, &str, &[i64]); 3] = [
    ("CONTINUOUS", "", &[]),
    ("SHORT-DASHES", "- - - - ", &[40, -20]),
    ("LONG-SHORT", "-- - -- - ", &[100, -20, 20, -20]),
];

/// Handles that others refer to.
const MODEL: u32 = 0x1F;
const PAPER: u32 = 0x1B;
const ROOT: u32 = 0xC;
const PLOT_STYLE: u32 = 0xF;
/// The first that is free.
const FREE: u32 = 0x100;

/// The drawing as a file.
pub fn print(drawing: &Drawing) -> String {
    let mut tables = Writer::new(FREE);
    tables.tables();
    tables.blocks();
    tables.begin("ENTITIES");
    for item in &drawing.items {
        tables.entity(item.layer, &item.figure);
    }
    tables.end();
    tables.objects();
    let mut file = Writer::new(0);
    file.out.push_str(FIRST_LINES);
    file.header(drawing, tables.next);
    file.begin("CLASSES");
    file.end();
    file.out.push_str(&tables.out);
    file.pair(0, "EOF");
    file.out
}

struct Writer {
    out: String,
    /// The next free handle.
    next: u32,
}

impl Writer {
    fn new(next: u32) -> Writer {
        Writer { out: String::new(), next }
    }
    fn pair(&mut self, code: u16, value: impl std::fmt::Display) {
        self.out.push_str(&format!("{code}\n{value}\n"));
    }
    fn handle(&mut self, code: u16, handle: u32) {
        self.pair(code, format!("{handle:X}"));
    }
    fn own_handle(&mut self, code: u16) -> u32 {
        let handle = self.next;
        self.next += 1;
        self.handle(code, handle);
        handle
    }
    fn point(&mut self, code: u16, (x, y): Point) {
        self.pair(code, mm(x));
        self.pair(code + 10, mm(y));
    }
    fn flat_point(&mut self, code: u16, point: Point) {
        self.point(code, point);
        self.pair(code + 20, "0.0");
    }
    fn begin(&mut self, section: &str) {
        self.pair(0, "SECTION");
        self.pair(2, section);
    }
    fn end(&mut self) {
        self.pair(0, "ENDSEC");
    }

    fn header(&mut self, drawing: &Drawing, next: u32) {
        let (low, high) = drawing.extent();
        self.begin("HEADER");
        let name = |out: &mut Writer, name: &str| out.pair(9, name);
        name(self, "$ACADVER");
        self.pair(1, "AC1015");
        name(self, "$DWGCODEPAGE");
        self.pair(3, "ANSI_1252");
        name(self, "$HANDSEED");
        self.handle(5, next);
        // Millimetres; decimal figures; a metric drawing.
        for (variable, value) in [("$INSUNITS", 4), ("$LUNITS", 2), ("$MEASUREMENT", 1)] {
            name(self, variable);
            self.pair(70, value);
        }
        name(self, "$EXTMIN");
        self.flat_point(10, low);
        name(self, "$EXTMAX");
        self.flat_point(10, high);
        self.end();
    }

    fn tables(&mut self) {
        self.begin("TABLES");
        self.table("VPORT", 0x8, 0, |_, _| {});
        let count = LINE_TYPES.len() + 2;
        self.table("LTYPE", 0x5, count, |out, owner| {
            for (name, looks, dashes) in
                [("BYBLOCK", "", &[][..]), ("BYLAYER", "", &[][..])].into_iter().chain(LINE_TYPES)
            {
                out.line_type(owner, name, looks, dashes);
            }
        });
        self.table("LAYER", 0x2, Layer::ALL.len() + 1, |out, owner| {
            out.layer(owner, "0", 7, "CONTINUOUS", -3);
            for layer in Layer::ALL {
                let (colour, line, weight) = looks(layer);
                out.layer(owner, layer.name(), colour, line, weight);
            }
        });
        self.table("STYLE", 0x3, 1, |out, owner| {
            out.record("STYLE", 5, owner, "AcDbTextStyleTableRecord");
            out.pair(2, "STANDARD");
            out.pair(70, 0);
            for (code, value) in [(40, "0.0"), (41, "1.0"), (50, "0.0")] {
                out.pair(code, value);
            }
            out.pair(71, 0);
            out.pair(42, "2.5");
            out.pair(3, "txt");
            out.pair(4, "");
        });
        self.table("VIEW", 0x6, 0, |_, _| {});
        self.table("UCS", 0x7, 0, |_, _| {});
        self.table("APPID", 0x9, 1, |out, owner| {
            out.record("APPID", 5, owner, "AcDbRegAppTableRecord");
            out.pair(2, "ACAD");
            out.pair(70, 0);
        });
        self.table("DIMSTYLE", 0xA, 1, |out, owner| {
            out.record("DIMSTYLE", 105, owner, "AcDbDimStyleTableRecord");
            out.pair(2, "STANDARD");
            out.pair(70, 0);
        });
        self.table("BLOCK_RECORD", 0x1, 2, |out, owner| {
            for (handle, name) in [(MODEL, "*Model_Space"), (PAPER, "*Paper_Space")] {
                out.pair(0, "BLOCK_RECORD");
                out.handle(5, handle);
                out.handle(330, owner);
                out.pair(100, "AcDbSymbolTableRecord");
                out.pair(100, "AcDbBlockTableRecord");
                out.pair(2, name);
                out.handle(340, 0);
            }
        });
        self.end();
    }

    fn table(&mut self, name: &str, handle: u32, count: usize, fill: impl Fn(&mut Writer, u32)) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.handle(5, handle);
        self.handle(330, 0);
        self.pair(100, "AcDbSymbolTable");
        self.pair(70, count);
        if name == "DIMSTYLE" {
            self.pair(100, "AcDbDimStyleTable");
            self.pair(71, 0);
        }
        fill(self, handle);
        self.pair(0, "ENDTAB");
    }

    /// How an entry of a table begins.
    fn record(&mut self, kind: &str, code: u16, owner: u32, class: &str) {
        self.pair(0, kind);
        self.own_handle(code);
        self.handle(330, owner);
        self.pair(100, "AcDbSymbolTableRecord");
        self.pair(100, class);
    }

    fn line_type(&mut self, owner: u32, name: &str, looks: &str, dashes: &[i64]) {
        self.record("LTYPE", 5, owner, "AcDbLinetypeTableRecord");
        self.pair(2, name);
        self.pair(70, 0);
        self.pair(3, looks);
        self.pair(72, 65);
        self.pair(73, dashes.len());
        let tenths = |tenths: i64| mm(Length::from_um(100 * tenths));
        self.pair(40, tenths(dashes.iter().map(|dash| dash.abs()).sum()));
        for dash in dashes {
            self.pair(49, tenths(*dash));
            self.pair(74, 0);
        }
    }

    fn layer(&mut self, owner: u32, name: &str, colour: u8, line: &str, weight: i16) {
        self.record("LAYER", 5, owner, "AcDbLayerTableRecord");
        self.pair(2, name);
        self.pair(70, 0);
        self.pair(62, colour);
        self.pair(6, line);
        self.pair(370, weight);
        self.handle(390, PLOT_STYLE);
    }

    fn blocks(&mut self) {
        self.begin("BLOCKS");
        for (owner, name, paper) in [(MODEL, "*Model_Space", false), (PAPER, "*Paper_Space", true)]
        {
            self.edge_of_block("BLOCK", "AcDbBlockBegin", owner, paper);
            self.pair(2, name);
            self.pair(70, 0);
            self.flat_point(10, Point::default());
            self.pair(3, name);
            self.pair(1, "");
            self.edge_of_block("ENDBLK", "AcDbBlockEnd", owner, paper);
        }
        self.end();
    }

    /// What a block begins or ends with.
    fn edge_of_block(&mut self, kind: &str, class: &str, owner: u32, paper: bool) {
        self.pair(0, kind);
        self.own_handle(5);
        self.handle(330, owner);
        self.pair(100, "AcDbEntity");
        if paper {
            self.pair(67, 1);
        }
        self.pair(8, "0");
        self.pair(100, class);
    }

    fn entity(&mut self, layer: Layer, figure: &Figure) {
        let (kind, class) = match figure {
            Figure::Outline(_) | Figure::Slot { .. } => ("LWPOLYLINE", "AcDbPolyline"),
            Figure::Line(..) => ("LINE", "AcDbLine"),
            Figure::Circle { .. } => ("CIRCLE", "AcDbCircle"),
            Figure::Text(_) => ("TEXT", "AcDbText"),
        };
        self.pair(0, kind);
        self.own_handle(5);
        self.handle(330, MODEL);
        self.pair(100, "AcDbEntity");
        self.pair(8, layer.name());
        self.pair(100, class);
        match figure {
            Figure::Outline(corners) => self.polyline(corners.iter().map(|&at| (at, false))),
            Figure::Slot { centre, length, width } => {
                self.polyline(figure::slot(*centre, *length, *width).into_iter());
            }
            Figure::Line(from, to) => {
                self.flat_point(10, *from);
                self.flat_point(11, *to);
            }
            Figure::Circle { centre, diameter } => {
                self.flat_point(10, *centre);
                self.pair(40, mm(diameter.half()));
            }
            Figure::Text(text) => self.text(text),
        }
    }

    /// A closed line; a bulge of one is a half circle to the next corner, counter-clockwise.
    fn polyline(&mut self, corners: impl ExactSizeIterator<Item = figure::Corner>) {
        self.pair(90, corners.len());
        self.pair(70, 1);
        for (at, round) in corners {
            self.point(10, at);
            if round {
                self.pair(42, "1.0");
            }
        }
    }

    fn text(&mut self, text: &Text) {
        self.flat_point(10, text.at);
        self.pair(40, mm(text.height));
        self.pair(1, encoded(&text.words));
        self.pair(50, if text.upward { "90.0" } else { "0.0" });
        self.pair(72, if text.anchor == Anchor::Begin { 0 } else { 2 });
        self.flat_point(11, text.at);
        self.pair(100, "AcDbText");
        // Half way up.
        self.pair(73, 2);
    }

    fn objects(&mut self) {
        self.begin("OBJECTS");
        let dictionary = |out: &mut Writer, handle: u32, owner: u32, entries: &[(&str, u32)]| {
            out.pair(0, "DICTIONARY");
            out.handle(5, handle);
            out.handle(330, owner);
            out.pair(100, "AcDbDictionary");
            out.pair(281, 1);
            for (name, entry) in entries {
                out.pair(3, name);
                out.handle(350, *entry);
            }
        };
        dictionary(self, ROOT, 0, &[("ACAD_GROUP", 0xD), ("ACAD_PLOTSTYLENAME", 0xE)]);
        dictionary(self, 0xD, ROOT, &[]);
        self.pair(0, "ACDBDICTIONARYWDFLT");
        self.handle(5, 0xE);
        self.handle(330, ROOT);
        self.pair(100, "AcDbDictionary");
        self.pair(281, 1);
        self.pair(3, "Normal");
        self.handle(350, PLOT_STYLE);
        self.pair(100, "AcDbDictionaryWithDefault");
        self.handle(340, PLOT_STYLE);
        self.pair(0, "ACDBPLACEHOLDER");
        self.handle(5, PLOT_STYLE);
        self.handle(330, 0xE);
        self.end();
    }
}

/// Colour, line and weight (hundredths of a millimetre) of a layer. Colours only help: lines tell
/// what is no steel, and every purpose has a layer of its own.
const fn looks(layer: Layer) -> (u8, &'static str, i16) {
    match layer {
        Layer::Contour => (7, "CONTINUOUS", 35),
        Layer::Bends => (8, "LONG-SHORT", 13),
        Layer::Joint => (5, "CONTINUOUS", 25),
        Layer::Service => (30, "CONTINUOUS", 25),
        Layer::Anchor => (1, "CONTINUOUS", 25),
        Layer::End => (6, "SHORT-DASHES", 25),
        Layer::Dimensions | Layer::Text => (8, "CONTINUOUS", 13),
    }
}

/// A length in millimetres, exact, always with a point.
fn mm(length: Length) -> String {
    let text = length.to_string();
    if text.contains('.') { text } else { format!("{text}.0") }
}

/// Words as the release has them: ASCII, all else by number. What programs take for a sign of
/// their own (`%%d`, `\U+`, `^I`) is written so that it stays what it is.
fn encoded(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        if matches!(c, '%' | 'Ø' | '±') && out.ends_with('%') {
            out.push(' ');
        }
        match c {
            '\\' => out.push_str("\\U+005C"),
            '^' => out.push_str("^ "),
            // Signs of the trade, in words of the format that every reader knows.
            'Ø' => out.push_str("%%c"),
            '±' => out.push_str("%%p"),
            '×' => out.push('x'),
            '–' => out.push('-'),
            '…' => out.push_str("..."),
            ' '..='~' => out.push(c),
            c if c.is_control() => out.push(' '),
            // The release has four digits; what lies beyond has no letter in its founts either.
            c => match u16::try_from(u32::from(c)) {
                Ok(number) => out.push_str(&format!("\\U+{number:04X}")),
                Err(_) => out.push_str("\\U+25A1"),
            },
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_of_other_programs_stay_letters() {
        assert_eq!(encoded("Ø10 × 2 ±1 Ä"), "%%c10 x 2 %%p1 \\U+00C4");
        assert_eq!(encoded("50 %%d ^I \\P\n🔩"), "50 % %d ^ I \\U+005CP \\U+25A1");
        assert_eq!(mm(Length::from_mm(-3)), "-3.0");
        assert_eq!(mm(Length::from_nm(396_875)), "0.396875");
    }
}
