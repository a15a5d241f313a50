//! How a drawing office's files are to be read: `map.toml`.

use super::drawn::DrawnJob;
use super::words::{is_word, kind_of, usage_help, usage_of};
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::library::Face;
use crate::library::reading::{self, At, Entries, OneOrMany, wire, words};
use crate::member::model::{EndShape, Faces, FrameKind, Usage};
use crate::quantity::{FileId, Files, Length, Sources, Span};
use std::collections::BTreeSet;

words! {
    /// What parts the cells of a row.
    pub enum Separator {
        /// A comma.
        Comma = ",",
        /// A semicolon.
        Semicolon = ";",
        /// A tab.
        Tab = "tab",
    }
    /// What letters a list is written in.
    pub enum Characters {
        /// UTF-8.
        Utf8 = "utf-8",
        /// Windows-1252, as spreadsheets save lists.
        Windows1252 = "windows-1252",
        /// ISO 8859-1.
        Latin1 = "iso-8859-1",
        /// UTF-16, with its mark or without.
        Utf16 = "utf-16",
    }
    /// The decimal sign.
    pub enum Decimal {
        /// 2396.5
        Point = ".",
        /// 2396,5
        Comma = ",",
    }
    /// The unit of figures that say none.
    pub enum UnitWord {
        /// Millimetres.
        Mm = "mm",
        /// Metres.
        M = "m",
        /// Inches.
        In = "in",
        /// Feet.
        Ft = "ft",
    }
    /// What a row is.
    pub enum Rows {
        /// A whole member.
        Member = "member",
        /// A member with one of its features; the next row may go on with the same member.
        Feature = "feature",
    }
    /// Where an element of a model bears its mark.
    pub enum MarkFrom {
        /// In its name.
        Name = "name",
        /// In its tag.
        Tag = "tag",
    }
    /// What a position is counted from.
    pub enum From {
        /// The member's start.
        Start = "start",
        /// Its middle.
        Middle = "middle",
        /// Its end, backward.
        End = "end",
    }
    /// Ends of a member.
    pub enum Ends {
        /// The start.
        Start = "start",
        /// The end.
        End = "end",
        /// Both.
        Both = "both",
    }
}

wire! {
    /// How a drawing office's files are to be read.
    pub struct Map {
        /// How a list (CSV) is written.
        table: Option<Table>,
        /// Which job the members are of.
        job: Option<Job>,
        /// What a member is where the file does not say.
        default: Option<Default>,
        /// Columns of a list, by their names.
        columns: Option<Columns>,
        /// Where features stand in a row of a list; one table for each place.
        features: Option<Vec<FeatureColumns>>,
        /// What the drawing office's codes for features stand for.
        code: Option<Vec<Code>>,
        /// Profiles of the shop's library, by what the file calls them.
        profiles: Option<Entries<At<String>>>,
        /// Usages in the language's words, by what the file calls them.
        usages: Option<Entries<At<String>>>,
        /// Kinds of frame (wall, floor, truss, roof, loose), by what the file calls them.
        kinds: Option<Entries<At<String>>>,
        /// Faces, by what the file calls them.
        faces: Option<Entries<At<OneOrMany<Face>>>>,
        /// Shapes of ends (`square`, or a slope such as `4 : 12 left`), by what the file calls them.
        ends: Option<Entries<At<String>>>,
        /// Rows of a list that are no members, such as totals.
        skip: Option<Vec<Skip>>,
        /// Openings of a model or holes of an NC file, by size.
        opening: Option<Vec<Opening>>,
        /// What an IFC model holds besides members.
        ifc: Option<Ifc>,
        /// What an NC file holds besides a part's shape.
        nc: Option<Nc>,
    }
    /// How a list is written.
    pub struct Table {
        /// What letters it is written in; UTF-8 when left out.
        characters: Option<Characters>,
        /// What parts its cells; whichever the line of names has most of when left out.
        separator: Option<Separator>,
        /// Its decimal sign; a point when left out.
        decimal: Option<Decimal>,
        /// Unit of figures that say none. Without it every figure must say its own.
        unit: Option<UnitWord>,
        /// Whether figures may say another unit than that, or in one column millimetres and
        /// inches; without it they are refused.
        mixed_units: Option<At<bool>>,
        /// Number of the line with the columns' names; 1 when left out.
        header_line: Option<At<i64>>,
        /// What a row is; a whole member when left out.
        rows: Option<Rows>,
    }
    /// Which job the members are of.
    pub struct Job {
        /// Its identifier.
        name: At<String>,
        /// Its title.
        title: Option<At<String>>,
        /// Its revision.
        revision: Option<At<String>>,
    }
    /// What a member is where the file does not say.
    pub struct Default {
        /// Its frame.
        frame: Option<At<String>>,
        /// What the frame is; wall when left out.
        kind: Option<At<String>>,
        /// What it is for; other when left out.
        usage: Option<At<String>>,
        /// Its profile.
        profile: Option<At<String>>,
    }
    /// Columns of a list, by their names.
    pub struct Columns {
        /// Of the frame a member is in.
        frame: Option<At<String>>,
        /// Of what the frame is.
        kind: Option<At<String>>,
        /// Of the frame's title.
        title: Option<At<String>>,
        /// Of the mark.
        mark: At<String>,
        /// Of what the member is for.
        usage: Option<At<String>>,
        /// Of the profile.
        profile: Option<At<String>>,
        /// Of the length.
        length: At<String>,
        /// Of how many are wanted; 1 where there is none.
        quantity: Option<At<String>>,
        /// Of the shape of the start: `square`, or a slope such as `4 : 12 left`, which side has
        /// the long point; or words that [ends] explains.
        start: Option<At<String>>,
        /// Of the shape of the end.
        end: Option<At<String>>,
        /// Columns that are known and not needed.
        ignore: Option<Vec<At<String>>>,
    }
    /// Where features stand in a row.
    pub struct FeatureColumns {
        /// Column of the code; or give `is`, or `list`.
        code: Option<At<String>>,
        /// Code of whatever stands in these columns.
        is: Option<At<String>>,
        /// Columns of the place along the member: of the centre, or of where a range begins.
        at: Option<At<OneOrMany<At<String>>>>,
        /// Column of where a range stops.
        to: Option<At<String>>,
        /// Column of the place across the face.
        across: Option<At<String>>,
        /// Column of the diameter or length.
        size: Option<At<String>>,
        /// Column of the width.
        width: Option<At<String>>,
        /// Column of the face.
        face: Option<At<String>>,
        /// What parts several places in one cell, or several entries of a `list`.
        between: Option<At<String>>,
        /// Column that holds whole entries.
        list: Option<At<String>>,
        /// How an entry of a `list` is written, of {code}, {at}, {to}, {across}, {size}, {width}
        /// and {face} with other signs between them, such as "{code}@{at}".
        form: Option<At<String>>,
    }
    /// What a code stands for.
    pub struct Code {
        /// The code.
        code: At<String>,
        /// The feature type, by the library's name.
        feature: Option<At<String>>,
        /// Its faces, where not the type's usual ones.
        faces: Option<At<OneOrMany<Face>>>,
        /// Its diameter or length, where the type leaves it open and no column says it.
        size: Option<At<Length>>,
        /// Its width.
        width: Option<At<Length>>,
        /// Where across, where not the type's usual place and no column says it.
        across: Option<At<Length>>,
        /// What its place is counted from; the start when left out.
        from: Option<From>,
        /// For a type that shapes an end: which.
        ends: Option<Ends>,
        /// It is known and not made on the line.
        leave_out: Option<At<bool>>,
    }
    /// Rows that are no members.
    pub struct Skip {
        /// Column that tells.
        column: At<String>,
        /// What stands there in such a row.
        is: At<OneOrMany<String>>,
    }
    /// An opening or hole, by size.
    pub struct Opening {
        /// Diameter of a round one.
        diameter: Option<At<Length>>,
        /// Length along the member of another.
        length: Option<At<Length>>,
        /// Its width across the face.
        width: Option<At<Length>>,
        /// How far sizes may be off and still be meant; 0.05 mm when left out.
        within: Option<At<Length>>,
        /// The feature type, by the library's name.
        feature: Option<At<String>>,
        /// Whether the type leaves its size open, so that each feature says it.
        say_size: Option<At<bool>>,
        /// It is known and not made on the line.
        leave_out: Option<At<bool>>,
    }
    /// What an IFC model holds besides members.
    pub struct Ifc {
        /// Classes that are no members, such as "IfcDoor".
        leave_out: Option<Vec<At<String>>>,
        /// What lengths and positions are rounded to; when left out they are taken as they are, but
        /// for what the rounding of a computer's figures explains.
        round: Option<At<Length>>,
        /// Where an element's mark stands; its name when left out.
        mark: Option<MarkFrom>,
        /// Members are taken from what is drawn alone: what this program wrote beside them in an
        /// earlier export (pressed features, tolerances, waivers) is passed over.
        geometry_only: Option<At<bool>>,
    }
    /// What an NC file holds besides a part's shape.
    pub struct Nc {
        /// Blocks that are put aside: signs (SI), lines and points to set other parts by (PU, KO),
        /// the tolerance of the length (TO), threads and countersinks (AG).
        leave_out: Option<Vec<At<String>>>,
    }
}

/// Blocks of an NC file that can be put aside: none of them takes steel away.
const NC_BLOCKS: [&str; 5] = ["SI", "PU", "KO", "TO", "AG"];

/// What an opening's size is mapped to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Meant<'m> {
    /// This type; whether its size is said with each.
    Type(&'m str, bool),
    /// Nothing: put aside.
    LeftOut,
}

/// Reads a map. `None` where anything in it cannot be used.
pub fn load_map(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
) -> (Option<Map>, Vec<Diagnostic>) {
    let file = match load(files, sources, path, None) {
        Ok(file) => file,
        Err(refusal) => return (None, vec![*refusal]),
    };
    let (map, mut found) = reading::read::<Map>(sources, file);
    if let Some(map) = &map {
        map.check(&mut found);
    }
    (map.filter(|_| !any_error(&found)), found)
}

impl Map {
    /// A map that says nothing: for formats that need none.
    pub fn empty() -> Map {
        Map {
            table: None,
            job: None,
            default: None,
            columns: None,
            features: None,
            code: None,
            profiles: None,
            usages: None,
            kinds: None,
            faces: None,
            ends: None,
            skip: None,
            opening: None,
            ifc: None,
            nc: None,
            span: Span::new(FileId(0), 0, 0),
        }
    }

    /// What can be said of it without a list.
    fn check(&self, found: &mut Vec<Diagnostic>) {
        let mut wanting = |span: Span, what: String, help: &str| {
            found.push(Diagnostic::new(&codes::E1103, what).at(span, "here").help(help));
        };
        let mut seen = BTreeSet::new();
        for code in self.code.iter().flatten() {
            let name = &code.code;
            let unsaid = || format!("it is not said what the code `{}` stands for", name.value);
            if let Some((span, what, help)) =
                no_meaning(&code.feature, code.is_left_out(), name.span, unsaid)
            {
                wanting(span, what, help);
            }
            if !seen.insert(name.value.as_str()) {
                let what = format!("the code `{}` is given twice", name.value);
                wanting(name.span, what, "keep one of them");
            }
        }
        for opening in self.opening.iter().flatten() {
            let sizes = (&opening.diameter, &opening.length, &opening.width);
            if !matches!(sizes, (Some(_), None, None) | (None, Some(_), Some(_))) {
                wanting(
                    opening.span,
                    "an opening is known by its size".into(),
                    "give `diameter`, or `length` and `width`",
                );
            }
            let unsaid = || "it is not said what this opening stands for".to_string();
            if let Some((span, what, help)) =
                no_meaning(&opening.feature, opening.is_left_out(), opening.span, unsaid)
            {
                wanting(span, what, help);
            }
        }
        for (name, at) in self.usages.iter().flat_map(|e| &e.0) {
            if usage_of(&at.value).is_none() {
                let what = format!("`{}` of `{}` is no usage", at.value, name.value);
                wanting(at.span, what, &usage_help(&at.value));
            }
        }
        let default = self.default.as_ref();
        if let Some(at) = default.and_then(|d| d.usage.as_ref())
            && usage_of(&at.value).is_none()
        {
            wanting(at.span, format!("`{}` is no usage", at.value), &usage_help(&at.value));
        }
        let kinds = self.kinds.iter().flat_map(|e| &e.0).map(|(_, at)| at);
        for at in kinds.chain(default.and_then(|d| d.kind.as_ref())) {
            if kind_of(&at.value).is_none() {
                wanting(
                    at.span,
                    format!("there is no kind of frame `{}`", at.value),
                    "write wall, floor, truss, roof or loose",
                );
            }
        }
        for (_, at) in self.ends.iter().flat_map(|e| &e.0) {
            if end_of(&at.value).is_none() {
                wanting(
                    at.span,
                    format!("`{}` is no shape of an end", at.value),
                    "write `square`, or a slope such as `4 : 12 left`: along the member, across \
                     the web, and which side has the long point",
                );
            }
        }
        for block in self.nc.iter().flat_map(|nc| nc.leave_out.iter().flatten()) {
            if !NC_BLOCKS.contains(&block.value.as_str()) {
                wanting(
                    block.span,
                    format!("the block `{}` cannot be put aside", block.value),
                    "SI, PU, KO, TO and AG can: they leave the steel's outline as it is",
                );
            }
        }
        for features in self.features.iter().flatten() {
            let ways = usize::from(features.code.is_some())
                + usize::from(features.is.is_some())
                + usize::from(features.list.is_some());
            if ways != 1 || features.list.is_some() != features.form.is_some() {
                wanting(
                    features.span,
                    "it is not said in one way which features stand here".into(),
                    "give `code` (a column), or `is` (a code), or `list` with `form`",
                );
            }
            if features.list.is_some() && (features.at.is_some() || features.to.is_some()) {
                wanting(
                    features.span,
                    "the entries of a `list` say their places themselves".into(),
                    "leave `at` and `to` out",
                );
            }
        }
        if let Some(line) = self
            .table
            .as_ref()
            .and_then(|t| t.header_line.as_ref())
            .filter(|at| !(1..=10_000).contains(&at.value))
        {
            wanting(line.span, format!("there is no line {}", line.value), "lines count from 1");
        }
    }

    /// The profile a file's word stands for: the map's, or the word itself.
    pub(super) fn profile<'a>(&'a self, word: &'a str) -> Option<&'a str> {
        match &self.profiles {
            Some(table) => lookup(table, word).map(|at| at.value.as_str()),
            None => Some(word),
        }
    }
    /// The usage a file's word stands for.
    pub(super) fn usage(&self, word: &str) -> Option<Usage> {
        let mapped = self.usages.as_ref().and_then(|table| lookup(table, word));
        usage_of(mapped.map_or(word, |at| at.value.as_str()))
    }
    /// The kind of frame a file's word stands for.
    pub(super) fn kind(&self, word: &str) -> Option<FrameKind> {
        let mapped = self.kinds.as_ref().and_then(|table| lookup(table, word));
        kind_of(mapped.map_or(word, |at| at.value.as_str()))
    }
    /// What a table of the map holds, and the words it has.
    pub(super) fn words(&self, table: &str) -> (&'static str, Vec<&str>) {
        fn names<T>(table: &Option<Entries<T>>) -> Vec<&str> {
            table.iter().flat_map(|e| &e.0).map(|(name, _)| name.value.as_str()).collect()
        }
        match table {
            "profiles" => ("profile", names(&self.profiles)),
            "usages" => ("usage", names(&self.usages)),
            "kinds" => ("kind of frame", names(&self.kinds)),
            "faces" => ("face", names(&self.faces)),
            "ends" => ("shape of an end", names(&self.ends)),
            _ => ("code", self.code.iter().flatten().map(|c| c.code.value.as_str()).collect()),
        }
    }
    /// The shape of an end a file's word stands for.
    pub(super) fn end(&self, word: &str) -> Option<EndShape> {
        let mapped = self.ends.as_ref().and_then(|table| lookup(table, word));
        end_of(mapped.map_or(word, |at| at.value.as_str()))
    }
    /// The faces a file's word stands for.
    pub(super) fn face(&self, word: &str) -> Option<Faces> {
        lookup(self.faces.as_ref()?, word).map(|at| Face::all(at.value.as_slice()))
    }
    /// Whether a model's members are taken from what is drawn alone.
    pub(super) fn is_geometry_only(&self) -> bool {
        let said = self.ifc.as_ref().and_then(|ifc| ifc.geometry_only.as_ref());
        said.is_some_and(|at| at.value)
    }
    /// The usage of members of which nothing is said.
    pub(super) fn default_usage(&self) -> Usage {
        let said = self.default.as_ref().and_then(|d| d.usage.as_ref());
        said.and_then(|at| usage_of(&at.value)).unwrap_or(Usage::Other)
    }
    /// The kind of frames of which nothing is said.
    pub(super) fn default_kind(&self) -> FrameKind {
        let said = self.default.as_ref().and_then(|d| d.kind.as_ref());
        said.and_then(|at| kind_of(&at.value)).unwrap_or(FrameKind::Wall)
    }
    /// The frame of members of which nothing is said, where the map names one.
    pub(super) fn default_frame(&self) -> Option<&str> {
        Some(self.default.as_ref()?.frame.as_ref()?.value.as_str())
    }
    /// The job it says, without frames yet.
    pub(super) fn drawn_job(&self) -> Option<DrawnJob> {
        let text = |at: &Option<At<String>>| at.as_ref().map_or("", |at| &at.value).to_string();
        let job = self.job.as_ref()?;
        let (name, title, revision) =
            (job.name.value.clone(), text(&job.title), text(&job.revision));
        Some(DrawnJob { name, title, revision, ..DrawnJob::default() })
    }
    /// Names of the columns it speaks of.
    pub(super) fn column_names(&self) -> Vec<&str> {
        let columns = self.columns.iter().flat_map(|c| {
            let needed = [&c.mark, &c.length].into_iter();
            let maybe =
                [&c.frame, &c.kind, &c.title, &c.usage, &c.profile, &c.quantity, &c.start, &c.end];
            needed.chain(maybe.into_iter().flatten()).chain(c.ignore.iter().flatten())
        });
        let features = self.features.iter().flatten().flat_map(|f| {
            let one = [&f.code, &f.to, &f.across, &f.size, &f.width, &f.face, &f.list];
            let at = f.at.iter().flat_map(|at| at.value.as_slice());
            one.into_iter().flatten().chain(at)
        });
        let skip = self.skip.iter().flatten().map(|skip| &skip.column);
        let mut names: Vec<&str> =
            columns.chain(features).chain(skip).map(|at| at.value.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names
    }
    /// What a file's code for a feature stands for.
    pub(super) fn code(&self, word: &str) -> Option<&Code> {
        self.code.iter().flatten().find(|code| code.code.value == word)
    }
    /// Whether a block of an NC file is put aside.
    pub(super) fn leaves_out_block(&self, name: &str) -> bool {
        let mut listed = self.nc.iter().flat_map(|nc| nc.leave_out.iter().flatten());
        listed.any(|at| at.value == name)
    }
    /// What an opening of this size stands for. A round one has the same length and width.
    pub(super) fn opening(&self, round: bool, length: Length, width: Length) -> Option<Meant<'_>> {
        let near = |at: &Option<At<Length>>, size: Length, within: Length| {
            at.as_ref().is_some_and(|at| (at.value - size).abs() <= within)
        };
        let opening = self.opening.iter().flatten().find(|opening| {
            let within = opening.within.as_ref().map_or(Length::from_um(50), |at| at.value);
            if round {
                near(&opening.diameter, length, within)
            } else {
                near(&opening.length, length, within) && near(&opening.width, width, within)
            }
        })?;
        match &opening.feature {
            Some(at) if !opening.is_left_out() => {
                Some(Meant::Type(&at.value, opening.say_size.as_ref().is_some_and(|at| at.value)))
            }
            _ => Some(Meant::LeftOut),
        }
    }
}

/// Why a code or an opening of the map stands for nothing: where, what, and what to write.
fn no_meaning(
    feature: &Option<At<String>>,
    left_out: bool,
    whole: Span,
    unsaid: impl Fn() -> String,
) -> Option<(Span, String, &'static str)> {
    match feature {
        None if !left_out => {
            Some((whole, unsaid(), "add `feature = \"…\"`, or `leave-out = true`"))
        }
        Some(at) if !is_word(&at.value) => Some((
            at.span,
            format!("`{}` cannot be the name of a feature type", at.value),
            "write the name the shop's library has",
        )),
        _ => None,
    }
}

impl Code {
    /// Whether it is known and not made.
    pub(super) fn is_left_out(&self) -> bool {
        self.leave_out.as_ref().is_some_and(|at| at.value)
    }
}

impl Opening {
    fn is_left_out(&self) -> bool {
        self.leave_out.as_ref().is_some_and(|at| at.value)
    }
}

/// What to add to a map that an opening of this size stands for nothing in.
pub(super) fn opening_help(round: bool, length: Length, width: Length) -> String {
    let keys = match round {
        true => format!("diameter = \"{length} mm\""),
        false => format!("length = \"{length} mm\" and width = \"{width} mm\""),
    };
    format!("add an [[opening]] with {keys} and its `feature`, or `leave-out = true`")
}

fn lookup<'t, T>(table: &'t Entries<T>, word: &str) -> Option<&'t T> {
    table.0.iter().find(|(name, _)| name.value == word).map(|(_, value)| value)
}

/// The shape of an end of these words: `square`, `4 : 12 left`, `4:12 right`. The side of the long
/// point has to be said.
fn end_of(words: &str) -> Option<EndShape> {
    let words = words.trim().to_lowercase();
    if words == "square" {
        return Some(EndShape::Square);
    }
    let (ratio, right) = match (words.strip_suffix("left"), words.strip_suffix("right")) {
        (Some(ratio), _) => (ratio, false),
        (_, Some(ratio)) => (ratio, true),
        _ => return None,
    };
    let (rise, run) = ratio.split_once(':')?;
    let figure = |text: &str| text.trim().parse::<i32>().ok().filter(|n| *n > 0);
    let (rise, run) = (figure(rise)?, figure(run)?);
    Some(EndShape::Slope { rise: if right { -rise } else { rise }, run })
}

impl UnitWord {
    /// Nanometres of one.
    pub(super) fn nm(self) -> i128 {
        match self {
            UnitWord::Mm => 1_000_000,
            UnitWord::M => 1_000_000_000,
            UnitWord::In => 25_400_000,
            UnitWord::Ft => 304_800_000,
        }
    }
    /// As it is written.
    pub(super) fn word(self) -> &'static str {
        match self {
            UnitWord::Mm => "mm",
            UnitWord::M => "m",
            UnitWord::In => "in",
            UnitWord::Ft => "ft",
        }
    }
}

/// The last part of a file's name: where members came from, as comments and answers show it.
pub(super) fn short_name(sources: &Sources, file: FileId) -> String {
    let name = sources.get(file).map_or("", |source| source.name());
    name.rsplit(['/', '\\']).next().unwrap_or("").to_string()
}
