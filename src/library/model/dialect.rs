use super::controller::Level;
use super::naming::FileNaming;
use crate::member::model::{Faces, FeatureTypeId};
use crate::quantity::{Rational, Span};
use std::fmt;
use std::sync::Arc;

/// How one controller reads a program.
///
/// A description, not yet a promise: `dialect::Invertible` proves for one line that what it
/// prints can be read in one way only.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Dialect {
    /// Its name.
    pub name: Arc<str>,
    /// How much the controller is told, and at member level what it does with it.
    pub level: Level,
    /// Characters a program may hold.
    pub characters: Characters,
    /// How its lines end.
    pub line_end: LineEnd,
    /// What the controller has room for.
    pub limits: Limits,
    /// What the files of programs are called; by their identity where nothing is said.
    pub files: Option<FileNaming>,
    /// How numbers are written.
    pub numbers: Vec<NumberFormat>,
    /// How names and mark texts are written.
    pub texts: Vec<TextFormat>,
    /// What tools are called.
    pub tools: ToolNames,
    /// What is written for what.
    pub records: Records,
    /// Where it is described.
    pub span: Span,
}

/// Characters a program may hold.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Characters {
    /// 7-bit ASCII.
    Ascii,
    /// ISO 8859-1, one byte a character.
    Latin1,
    /// UTF-8.
    Utf8,
}

impl Characters {
    /// Whether a program can hold this character at all.
    pub fn hold(self, character: char) -> bool {
        match self {
            Characters::Ascii => character.is_ascii(),
            Characters::Latin1 => u32::from(character) < 0x100,
            Characters::Utf8 => true,
        }
    }
    /// Its name in a description.
    pub const fn word(self) -> &'static str {
        match self {
            Characters::Ascii => "ascii",
            Characters::Latin1 => "latin-1",
            Characters::Utf8 => "utf-8",
        }
    }
}

/// How lines end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LineEnd {
    /// Line feed.
    Lf,
    /// Carriage return and line feed.
    CrLf,
}

impl LineEnd {
    /// Its bytes.
    pub const fn text(self) -> &'static str {
        match self {
            LineEnd::Lf => "\n",
            LineEnd::CrLf => "\r\n",
        }
    }
}

/// What the controller has room for; `None` is no limit.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Limits {
    /// Longest line in bytes, without its line end.
    pub line: Option<(usize, Span)>,
    /// Longest field in bytes, without its quotes.
    pub field: Option<(usize, Span)>,
    /// Most members that are alike in one record.
    pub count: Option<(u32, Span)>,
    /// Most pieces that one file makes.
    pub members: Option<(usize, Span)>,
    /// Most lines of one file.
    pub lines: Option<(usize, Span)>,
    /// Most bytes of one file.
    pub bytes: Option<(usize, Span)>,
}

/// What a number counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unit {
    /// Nanometres.
    Nanometre,
    /// Micrometres.
    Micrometre,
    /// Millimetres.
    Millimetre,
    /// Inches of 25.4 mm.
    Inch,
    /// Milliseconds.
    Millisecond,
    /// Seconds.
    Second,
    /// Things: phases, pieces.
    Count,
}

impl Unit {
    /// Its length in nanometres; `None` where it is no length.
    pub const fn nm(self) -> Option<i64> {
        match self {
            Unit::Nanometre => Some(1),
            Unit::Micrometre => Some(1_000),
            Unit::Millimetre => Some(1_000_000),
            Unit::Inch => Some(25_400_000),
            Unit::Millisecond | Unit::Second | Unit::Count => None,
        }
    }
    /// Its time in nanoseconds; `None` where it is no time.
    pub const fn ns(self) -> Option<i64> {
        match self {
            Unit::Millisecond => Some(1_000_000),
            Unit::Second => Some(1_000_000_000),
            _ => None,
        }
    }
    /// Its name in a description.
    pub const fn word(self) -> &'static str {
        match self {
            Unit::Nanometre => "nm",
            Unit::Micrometre => "um",
            Unit::Millimetre => "mm",
            Unit::Inch => "in",
            Unit::Millisecond => "ms",
            Unit::Second => "s",
            Unit::Count => "count",
        }
    }
}

/// When a number bears a sign.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sign {
    /// Never: numbers below zero are refused.
    Never,
    /// `-` below zero, nothing otherwise.
    Minus,
    /// `-` below zero, `+` otherwise.
    Always,
}

/// What fills a number up to its width.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Padding {
    /// Zeros, after the sign.
    Zero,
    /// Blanks, before the sign.
    Blank,
}

/// How a number is written. A value has exactly one spelling.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NumberFormat {
    /// Its name in the description.
    pub name: Arc<str>,
    /// What it counts.
    pub unit: Unit,
    /// Digits after the point.
    pub decimals: u8,
    /// Character before the decimals.
    pub point: char,
    /// What one in the last place counts, in units, where digits stand without a point; `None`
    /// where `decimals` say it.
    pub last_place: Option<Rational>,
    /// Whether decimals that are zero at the end are left out (and the point with the last).
    pub short: bool,
    /// Exact width in characters, sign and point counted; `None` is as wide as needed.
    pub width: Option<usize>,
    /// What fills it up to `width`.
    pub padding: Padding,
    /// When it bears a sign.
    pub sign: Sign,
    /// Whether an advance is given as the step from the event before (the first from advance 0)
    /// instead of from advance 0.
    pub relative: bool,
    /// Where it is described.
    pub span: Span,
}

/// One character that is written as something else in a text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Escape {
    /// The character meant.
    pub character: char,
    /// What is written for it.
    pub text: Arc<str>,
    /// Where it is described.
    pub span: Span,
}

/// How control characters that have no escape of their own are written: `before`, then the code
/// point in `digits` lower-case hexadecimal digits.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HexEscape {
    /// What stands before the digits.
    pub before: Arc<str>,
    /// How many digits.
    pub digits: u8,
    /// Where it is described.
    pub span: Span,
}

/// Width of a text that stands in columns.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TextWidth {
    /// Characters, quotes apart.
    pub characters: usize,
    /// Where blanks fill it up.
    pub blanks: Blanks,
}

/// On which side of a text blanks fill it up to its width.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Blanks {
    /// Before it.
    Before,
    /// Behind it.
    Behind,
}

/// How a text is written. Control characters without an escape are refused.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TextFormat {
    /// Its name in the description.
    pub name: Arc<str>,
    /// Character before and after it.
    pub quote: Option<char>,
    /// Characters written as something else.
    pub escapes: Vec<Escape>,
    /// How other control characters are written.
    pub hex: Option<HexEscape>,
    /// Characters this controller cannot take: a program that needs one is refused.
    pub refused: Vec<char>,
    /// Exact width, filled up with blanks; `None` is as wide as needed.
    pub width: Option<TextWidth>,
    /// Where it is described.
    pub span: Span,
}

/// What the tools of a line are called in its programs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ToolNames {
    /// As the line calls them.
    Own,
    /// By codes.
    Codes(Vec<ToolCode>),
    /// By their place in the line's description.
    NumbersFrom {
        /// The number of the first.
        first: u16,
        /// How many digits, zeros before them; as many as needed where nothing is said.
        width: Option<(usize, Span)>,
    },
    /// By what they make: the controller takes the tool of the line that makes it.
    Types(Vec<TypeCode>),
}

/// What a feature type is called in a program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TypeCode {
    /// The library's name for it.
    pub kind: Arc<str>,
    /// The type, once the library was looked at; `None` where it has no such type.
    pub id: Option<FeatureTypeId>,
    /// The faces it is made on; any where none are said.
    pub faces: Option<Faces>,
    /// What the controller calls it.
    pub code: Arc<str>,
    /// Where it is described.
    pub span: Span,
}

/// What one tool is called in a program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ToolCode {
    /// The line's name for it.
    pub tool: Arc<str>,
    /// What the controller calls it.
    pub code: Arc<str>,
    /// Where it is described.
    pub span: Span,
}

/// What is written for what: each scope that is described, once.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Records(pub Vec<(Scope, Record)>);

impl Records {
    /// The record of this scope, where it is described.
    pub fn of(&self, scope: Scope) -> Option<&Record> {
        self.0.iter().find(|(had, _)| *had == scope).map(|(_, record)| record)
    }
    /// Whether this scope is described.
    pub fn has(&self, scope: Scope) -> bool {
        self.of(scope).is_some()
    }
}

/// One record: one line, or more where a literal holds a line end.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Record {
    /// In the order they are written.
    pub parts: Vec<Part>,
    /// Where it is described.
    pub span: Span,
}

/// One part of a record.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Part {
    /// Text that stands there always; `\n` in it is a line end.
    Literal {
        /// The text.
        text: Arc<str>,
        /// Where it is described.
        span: Span,
    },
    /// A value.
    Field {
        /// Which.
        field: Field,
        /// How it is written.
        written: Written,
        /// Where it is described.
        span: Span,
    },
    /// The strokes of a stop, in order.
    Strokes {
        /// What stands between two of them; `\n` in it is a line end.
        separator: Arc<str>,
        /// Where it is described.
        span: Span,
    },
}

/// How a field is written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Written {
    /// As a number: index into [`Dialect::numbers`].
    Number(usize),
    /// As a text: index into [`Dialect::texts`].
    Text(usize),
    /// A tool's code as it stands, without quotes.
    Code,
    /// One of two words.
    Choice {
        /// For yes.
        yes: Arc<str>,
        /// For no.
        no: Arc<str>,
    },
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident {
        $($(#[doc = $says:literal])* $variant:ident $word:literal)*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum $name { $($(#[doc = $says])* $variant),* }

        impl $name {
            /// All of them.
            pub const ALL: &'static [$name] = &[$($name::$variant),*];
            /// Its name in a description.
            pub const fn word(self) -> &'static str {
                match self { $($name::$variant => $word),* }
            }
            /// What it is, in a sentence.
            pub fn says(self) -> &'static str {
                match self { $($name::$variant => concat!($($says),*).trim_start()),* }
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

words! {
    /// What a record stands for.
    Scope {
        /// The head of the program.
        RunBegin "run-begin"
        /// A stop.
        Stop "stop"
        /// A stroke of a stop: an item of the stop's list of strokes, or, where the stop has no
        /// such list, a line of its own after the stop's.
        Stroke "stroke"
        /// The end of a phase.
        Wait "wait"
        /// A stroke of a phase, once more after its wait.
        Release "release"
        /// Members that are alike, at member level.
        Member "member"
        /// A length of scrap, at member level.
        Scrap "scrap"
        /// What is made on a member or on scrap, at member level.
        Feature "feature"
        /// A cut that drops a piece.
        CutPiece "cut-piece"
        /// A cut that drops scrap.
        CutScrap "cut-scrap"
        /// The start of a mark.
        Mark "mark"
        /// The end of the program.
        RunEnd "run-end"
    }
}

words! {
    /// A value a record can hold.
    Field {
        /// Identity of the program.
        Program "program"
        /// Name of the batch.
        Batch "batch"
        /// Name of the line.
        Line "line"
        /// Name of the profile.
        Profile "profile"
        /// Id of the coil.
        Coil "coil"
        /// Whether the strip is already threaded.
        Warm "warm"
        /// Advance at the end of the program.
        End "end"
        /// Advance of an event; at member level the place on the member, or how far it has passed
        /// the shear.
        At "at"
        /// Phase of a stroke, from 0.
        Phase "phase"
        /// Tool of a stroke.
        Tool "tool"
        /// Length of a member or of scrap along the middle of the web, from cut to cut.
        Length "length"
        /// How many members that are alike follow each other.
        Quantity "quantity"
        /// Serial of the piece a cut drops; of several members, that of the first.
        Serial "serial"
        /// Text of a mark.
        Text "text"
        /// Rise of the slope of a cut, along the strip: above nought where its left side lies
        /// upstream, 0 where it is square.
        Rise "rise"
        /// Run of the slope of a cut, across the web, in lowest terms with the rise.
        Run "run"
        /// How long the strip stands for a stroke, a phase or a cut: worked out from the line.
        Dwell "dwell"
        /// How long the strip takes to come to rest: worked out from the line.
        Settle "settle"
    }
}

impl Field {
    /// Whether it is written as a number.
    pub const fn is_number(self) -> bool {
        matches!(
            self,
            Field::At
                | Field::End
                | Field::Phase
                | Field::Length
                | Field::Quantity
                | Field::Serial
                | Field::Rise
                | Field::Run
                | Field::Dwell
                | Field::Settle
        )
    }
    /// Whether it says nothing of its own: it is worked out from the line and the rest of the
    /// program, rounded up, and the reader takes no other figure. A record need not hold it.
    pub const fn is_derived(self) -> bool {
        matches!(self, Field::Dwell | Field::Settle)
    }
}

impl Field {
    /// Whether it is a length along the strip.
    pub const fn is_length(self) -> bool {
        matches!(self, Field::At | Field::End | Field::Length)
    }
}

impl Scope {
    /// Whether programs of this level have its record.
    pub const fn is_of(self, level: &Level) -> bool {
        match self {
            Scope::RunBegin | Scope::Mark | Scope::RunEnd => true,
            Scope::Member | Scope::Scrap | Scope::Feature => matches!(level, Level::Member(_)),
            Scope::Stop
            | Scope::Stroke
            | Scope::Wait
            | Scope::Release
            | Scope::CutPiece
            | Scope::CutScrap => matches!(level, Level::Stop),
        }
    }
    /// Whether a program of this level cannot be written without it.
    pub const fn is_needed(self, level: &Level) -> bool {
        self.is_of(level)
            && match self {
                Scope::Wait | Scope::Release | Scope::Scrap => false,
                Scope::Mark => matches!(level, Level::Stop),
                _ => true,
            }
    }
    /// Whether its record may hold this field at this level. Fields of the run may stand at its
    /// head or at its end.
    pub const fn takes(self, field: Field, level: &Level) -> bool {
        match field {
            Field::Program
            | Field::Batch
            | Field::Line
            | Field::Profile
            | Field::Coil
            | Field::Warm => matches!(self, Scope::RunBegin | Scope::RunEnd),
            Field::End => {
                matches!(self, Scope::RunBegin | Scope::RunEnd) && matches!(level, Level::Stop)
            }
            Field::At => matches!(
                self,
                Scope::Stop
                    | Scope::Stroke
                    | Scope::CutPiece
                    | Scope::CutScrap
                    | Scope::Mark
                    | Scope::Feature
            ),
            Field::Phase => matches!(self, Scope::Stroke),
            Field::Tool => matches!(self, Scope::Stroke | Scope::Release | Scope::Feature),
            Field::Dwell => {
                matches!(self, Scope::Stroke | Scope::Wait | Scope::CutPiece | Scope::CutScrap)
            }
            Field::Settle => matches!(self, Scope::Stop | Scope::CutPiece | Scope::CutScrap),
            Field::Length => matches!(self, Scope::Member | Scope::Scrap),
            Field::Quantity => matches!(self, Scope::Member),
            Field::Serial => matches!(self, Scope::CutPiece | Scope::Member),
            Field::Rise | Field::Run => {
                matches!(self, Scope::CutPiece | Scope::CutScrap | Scope::Member | Scope::Scrap)
            }
            Field::Text => matches!(self, Scope::Mark | Scope::Member),
        }
    }
    /// Whether its record has to hold this field, if it may: all do but what the line decides,
    /// how many members are alike, a member's text where marks have records of their own, and the
    /// advance of a stroke where its stop says it.
    pub const fn needs(self, field: Field, level: &Level) -> bool {
        self.takes(field, level)
            && !field.is_derived()
            && !matches!(
                (self, field),
                (Scope::Member, Field::Quantity | Field::Text) | (Scope::Stroke, Field::At)
            )
    }
}
