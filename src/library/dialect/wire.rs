//! What a description's file says.

use super::single;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::library::common::Face;
use crate::library::model::{Controller, Field, Level, Offsets, Scope, Snapping, Ties};
use crate::library::reading::{
    At, Entries, Figure, Fraction, Node, OneOrMany, Reader, Wire, wire, words,
};
use crate::quantity::{FileId, Length, Span};
use ::toml::de::DeValue;
use schemars::JsonSchema;

words! {
    /// How much the controller is told.
    pub enum LevelWord {
        /// Every advance and every stroke.
        Stop = "stop",
        /// Members.
        Member = "member",
    }
    /// Whose work the distances of the stations are.
    pub enum OffsetsWord {
        /// The controller knows them.
        Controller = "controller",
        /// The program says how far a member has passed the shear.
        Program = "program",
    }
    /// What strokes due at one advance do.
    pub enum TiesWord {
        /// Fire together.
        Together = "together",
        /// Fire one after the other: the earlier member's first, then as listed.
        Listed = "listed",
    }
    /// To which point of the line an advance is moved.
    pub enum SnappingWord {
        /// The nearest.
        Nearest = "nearest",
        /// The last one before it.
        Down = "down",
    }
    /// A character set.
    pub enum CharactersWord {
        /// 7-bit ASCII.
        Ascii = "ascii",
        /// ISO 8859-1.
        Latin1 = "latin-1",
        /// UTF-8.
        Utf8 = "utf-8",
    }
    /// How lines end.
    pub enum LineEndWord {
        /// Line feed.
        Lf = "lf",
        /// Carriage return and line feed.
        CrLf = "crlf",
    }
    /// What a number counts.
    pub enum UnitWord {
        /// Nanometres.
        Nanometre = "nm",
        /// Micrometres.
        Micrometre = "um",
        /// Millimetres.
        Millimetre = "mm",
        /// Inches.
        Inch = "in",
        /// Milliseconds.
        Millisecond = "ms",
        /// Seconds.
        Second = "s",
        /// Things.
        Count = "count",
    }
    /// Letters of a file's name.
    pub enum LettersWord {
        /// As they are.
        Any = "any",
        /// Capitals.
        Capitals = "capitals",
    }
    /// When a number bears a sign.
    pub enum SignWord {
        /// Never: numbers below zero are refused.
        Never = "never",
        /// Below zero.
        Minus = "minus",
        /// Always, `+` included.
        Always = "always",
    }
    /// What fills a number up to its width.
    pub enum PaddingWord {
        /// Zeros, after the sign.
        Zero = "zero",
        /// Blanks, before the sign.
        Blank = "blank",
    }
    /// Decimals that are zero at the end.
    pub enum ZerosWord {
        /// Written.
        Keep = "keep",
        /// Left out, and the point with the last of them.
        Drop = "drop",
    }
    /// What an advance is counted from.
    pub enum AdvanceWord {
        /// From advance 0.
        Absolute = "absolute",
        /// From the event before.
        Relative = "relative",
    }
    /// On which side blanks fill a text up to its width.
    pub enum BlanksWord {
        /// Behind it: the text stands at the left.
        Behind = "behind",
        /// Before it: the text stands at the right.
        Before = "before",
    }
    /// What a list holds.
    pub enum ListWord {
        /// The strokes of a stop.
        Strokes = "strokes",
    }
}

/// One character, in quotes.
#[derive(Clone, Copy, Debug, JsonSchema)]
#[schemars(transparent)]
pub struct Letter(pub char);

impl Wire for Letter {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Letter> {
        let text = String::read(node, key, reader)?;
        match single(&text) {
            Some(letter) => Some(Letter(letter)),
            None => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "one single character, in quotes"
    }
}

/// A decimal point.
#[derive(Clone, Copy, Debug, JsonSchema)]
#[schemars(transparent)]
pub struct Point(pub char);

impl Wire for Point {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Point> {
        // A controller that writes no point is meant.
        if matches!(node.get_ref(), DeValue::String(text) if text.is_empty()) {
            let span = reader.span(node.span());
            reader.report(
                Diagnostic::new(&codes::E0304, format!("{key} is empty"))
                    .at(span, "no character")
                    .help(
                        "for digits without a point leave `point` and `decimals` out, and say what \
                         one in the last place is: `last-place = 0.1`",
                    ),
            );
            return None;
        }
        Letter::read(node, key, reader).map(|Letter(letter)| Point(letter))
    }
    fn expected() -> &'static str {
        Letter::expected()
    }
}

/// A field's name.
#[derive(Clone, Copy, Debug)]
pub struct FieldWord(pub Field);

impl Wire for FieldWord {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<FieldWord> {
        let words: Vec<&'static str> = Field::ALL.iter().map(|field| field.word()).collect();
        let word = reader.word(node, key, &words)?;
        Field::ALL.iter().copied().find(|field| field.word() == word).map(FieldWord)
    }
    fn expected() -> &'static str {
        "the name of a field"
    }
}
impl JsonSchema for FieldWord {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "FieldWord".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let of = |field: &Field| schemars::json_schema!({ "const": field.word(), "description": taken_by(*field) });
        let fields: Vec<schemars::Schema> = Field::ALL.iter().map(of).collect();
        schemars::json_schema!({ "type": "string", "oneOf": fields })
    }
}

/// Which records take a field, for the schema.
fn taken_by(field: Field) -> String {
    // Whatever its controller does: the level alone decides.
    let member = Level::Member(Controller {
        offsets: Offsets::Controller,
        merges: Length::ZERO,
        ties: Ties::Listed,
        snapping: Snapping::Nearest,
        span: Span::new(FileId(0), 0, 0),
    });
    let records = |level: &Level| {
        let takers = Scope::ALL.iter().filter(|s| s.is_of(level) && s.takes(field, level));
        takers.map(|scope| format!("`{scope}`")).collect::<Vec<_>>().join(", ")
    };
    let (stop, member) = (records(&Level::Stop), records(&member));
    let level = match (stop.is_empty(), member.is_empty()) {
        _ if stop == member => format!("In {stop}."),
        (_, true) => format!("At stop level, in {stop}."),
        (true, _) => format!("At member level, in {member}."),
        _ => format!("At stop level in {stop}; at member level in {member}."),
    };
    format!("{} {level}", field.says())
}

wire! {
    /// How one controller reads a program.
    pub struct DialectFile {
        /// Its name.
        name: At<String>,
        /// How much the controller is told.
        level: At<LevelWord>,
        /// What the controller does with the members it is told, at member level.
        controller: Option<ControllerTable>,
        /// Characters a program may hold.
        characters: CharactersWord,
        /// How lines end.
        line_end: LineEndWord,
        /// What the controller has room for.
        limits: Option<LimitsTable>,
        /// What the files of programs are called; by their identity if left out.
        files: Option<FilesTable>,
        /// Number formats by name.
        numbers: Option<Entries<NumberTable>>,
        /// Text formats by name.
        texts: Option<Entries<TextTable>>,
        /// What the controller calls each tool of the line; left out, it calls them as the line
        /// does.
        #[schemars(extend("x-left-out" = "as the line calls them"))]
        tools: Option<Entries<At<String>>>,
        /// Tools are called by their place in the line's file, the first of them by this number:
        /// instead of `tools`.
        tool_numbers_from: Option<At<Figure>>,
        /// How many digits these numbers have, zeros before them; as many as needed if left out.
        #[schemars(extend("x-left-out" = "as many as needed"))]
        tool_numbers_width: Option<At<Figure>>,
        /// Tools are called by what they make: instead of `tools`.
        feature: Option<Vec<TypeTable>>,
        /// What is written for what.
        records: RecordsTable,
    }
    /// What a controller at member level is taken to do. What is proved is what it makes then.
    pub struct ControllerTable {
        /// Whose work the distances of the stations are.
        offsets: OffsetsWord,
        /// To which point of the line an advance is moved.
        snapping: SnappingWord,
        /// What strokes due at one advance do.
        ties: TiesWord,
        /// Strokes due within this of the first of them are done there; none if left out.
        merges_within: Option<At<Length>>,
    }
    /// What the controller calls a type of feature.
    pub struct TypeTable {
        /// The type, as the library calls it.
        name: At<String>,
        /// On which faces; wherever a tool makes it if left out.
        faces: Option<At<OneOrMany<Face>>>,
        /// What the controller calls it.
        code: At<String>,
    }
    /// What the controller has room for.
    pub struct LimitsTable {
        /// Longest line in bytes, without its line end.
        line: Option<At<Figure>>,
        /// Longest field in bytes, without its quotes.
        field: Option<At<Figure>>,
        /// Greatest `quantity`: most members that are alike in one record.
        count: Option<At<Figure>>,
        /// Most pieces that one file makes: longer runs are split at cuts.
        members: Option<At<Figure>>,
        /// Most lines of one file.
        lines: Option<At<Figure>>,
        /// Most bytes of one file.
        bytes: Option<At<Figure>>,
    }
    /// What the files of programs are called.
    pub struct FilesTable {
        /// The name without its ending: letters, digits, `-`, `_`, and in braces `program`,
        /// `batch`, `run`, `coil`, `profile`, `part`.
        name: At<String>,
        /// What stands behind its point; no point if left out.
        ending: Option<At<String>>,
        /// Whether letters become capitals; as they are if left out.
        letters: Option<LettersWord>,
        /// Most characters of the name, its ending apart.
        longest: Option<At<Figure>>,
    }
    /// How a number is written.
    pub struct NumberTable {
        /// What it counts.
        unit: UnitWord,
        /// Digits after the point; none if left out.
        #[schemars(extend("default" = 0))]
        decimals: Option<At<Figure>>,
        /// The decimal point; `.` if left out.
        #[schemars(extend("default" = "."))]
        point: Option<Point>,
        /// What one in the last place counts, in the unit, where digits stand without a point:
        /// with `unit = "mm"`, 0.1 writes 12.3 mm as `123`. Instead of `decimals`.
        #[schemars(extend("x-left-out" = "as `decimals` say"))]
        last_place: Option<At<Fraction>>,
        /// Decimals that are zero at the end; kept if left out.
        #[schemars(extend("default" = "keep"))]
        trailing_zeros: Option<ZerosWord>,
        /// Exact width in characters; as wide as needed if left out.
        #[schemars(extend("x-left-out" = "as wide as needed"))]
        width: Option<At<Figure>>,
        /// What fills it up to its width; zeros if left out.
        #[schemars(extend("x-left-out" = "zero"))]
        padding: Option<At<PaddingWord>>,
        /// When it bears a sign; below zero if left out.
        #[schemars(extend("default" = "minus"))]
        sign: Option<SignWord>,
        /// What an advance is counted from; advance 0 if left out.
        #[schemars(extend("x-left-out" = "from advance 0"))]
        advance: Option<AdvanceWord>,
    }
    /// How a text is written.
    pub struct TextTable {
        /// The character before and after it.
        quote: Option<Letter>,
        /// What is written for some characters.
        escapes: Option<Entries<At<String>>>,
        /// How control characters without an escape of their own are written; refused if left
        /// out.
        control: Option<ControlTable>,
        /// Characters that are refused.
        refuse: Option<String>,
        /// Exact width in characters, quotes apart, filled up with blanks; as wide as needed if
        /// left out. A longer text is refused, and one that has a blank where it is filled.
        #[schemars(extend("x-left-out" = "as wide as needed"))]
        width: Option<At<Figure>>,
        /// On which side it is filled up to its width; behind the text if left out.
        #[schemars(extend("x-left-out" = "behind"))]
        blanks: Option<At<BlanksWord>>,
    }
    /// A code point in lower-case hexadecimal digits.
    pub struct ControlTable {
        /// What stands before the digits.
        before: String,
        /// How many digits.
        digits: At<Figure>,
    }
    /// What is written for what. A record ends its line by itself; `\n` in a literal is a line
    /// end inside it.
    pub struct RecordsTable {
        /// At the head of the program.
        run_begin: Option<At<Vec<PartEntry>>>,
        /// For each stop; may be left out where `stroke` says `at`: then a stop begins where that
        /// changes.
        stop: Option<At<Vec<PartEntry>>>,
        /// For each stroke: an item of the stop's list of strokes or, where the stop has none,
        /// a line of its own after the stop's. It says its `phase` where the line fires in phases,
        /// and may say `at`, its stop's.
        stroke: Option<At<Vec<PartEntry>>>,
        /// After the strokes of each phase, while they act. Strokes stand on lines of their own
        /// then, and do not say their phase.
        wait: Option<At<Vec<PartEntry>>>,
        /// After the wait, for each stroke of the phase again.
        release: Option<At<Vec<PartEntry>>>,
        /// For members that are alike, at member level.
        member: Option<At<Vec<PartEntry>>>,
        /// For a length of scrap, at member level.
        scrap: Option<At<Vec<PartEntry>>>,
        /// For each thing made on a member, after the member's, at member level.
        feature: Option<At<Vec<PartEntry>>>,
        /// For a cut that drops a piece.
        cut_piece: Option<At<Vec<PartEntry>>>,
        /// For a cut that drops scrap.
        cut_scrap: Option<At<Vec<PartEntry>>>,
        /// For the start of a mark; at member level after its member's.
        mark: Option<At<Vec<PartEntry>>>,
        /// At the end of the program.
        run_end: Option<At<Vec<PartEntry>>>,
    }
    /// A value.
    pub struct FieldPart {
        /// Which.
        field: FieldWord,
        /// Its number or text format; left out, a tool is written as its code alone.
        format: Option<At<String>>,
        /// What is written for yes.
        yes: Option<String>,
        /// What is written for no.
        no: Option<String>,
    }
    /// A list.
    pub struct ListPart {
        /// Of what.
        list: ListWord,
        /// What stands between two items.
        separator: String,
    }
}

/// A part of a record: fixed text, a value, or the list of strokes.
#[derive(Clone, Debug, JsonSchema)]
#[schemars(untagged)]
pub enum PartEntry {
    Literal(At<String>),
    Field(FieldPart),
    List(ListPart),
}

impl Wire for PartEntry {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<PartEntry> {
        match node.get_ref() {
            DeValue::String(_) => At::read(node, key, reader).map(PartEntry::Literal),
            DeValue::Table(table) if table.contains_key("list") => {
                ListPart::read(node, key, reader).map(PartEntry::List)
            }
            DeValue::Table(_) => FieldPart::read(node, key, reader).map(PartEntry::Field),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "a text, or a table such as { field = \"at\", format = \"position\" }"
    }
}
