//! A batch: `batch.toml`, what is to be made today.

use super::common::{Found, finding, machine_time, not_negative, plain_name, unknown};
use super::model::{self, AtEnd, Bundling, Effort, JobOrder, Library, Line, Stock, Units};
use super::reading::{At, Node, Reader, Wire, one_of, wire, words};
use super::shelf::LibraryList;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::member::model::ProfileId;
use crate::quantity::{Length, Time};
use ::toml::de::DeValue;

words! {
    /// What stays together.
    pub enum BundlingWord {
        /// The members of a frame follow each other wherever one coil can hold them.
        Frame = "frame",
        /// Members may come in any order.
        None = "none",
    }
    /// In which order jobs are made.
    pub enum OrderWord {
        /// As the batch lists them.
        AsListed = "as-listed",
        /// Any.
        Free = "free",
    }
    /// What happens to the last coil when the batch is done.
    pub enum AtEndWord {
        /// It is parted and goes back to the rack.
        Unload = "unload",
        /// It stays threaded for the next batch.
        StayThreaded = "stay-threaded",
    }
    /// What papers and texts for people are written in.
    pub enum UnitsWord {
        /// Millimetres, metres, kilograms.
        Millimetres = "mm",
        /// Inches, feet, pounds.
        Inches = "in",
    }
    /// How hard to look.
    pub enum EffortWord {
        /// Good first plan.
        Quick = "quick",
        /// The default.
        Normal = "normal",
        /// For the last metre.
        Thorough = "thorough",
    }
}

/// A word, or a number of work ticks.
#[derive(Clone, Copy, Debug, schemars::JsonSchema)]
#[schemars(untagged, inline)]
pub enum EffortText {
    /// By word.
    Word(EffortWord),
    /// Work ticks; never seconds, so that a plan does not depend on the machine.
    Ticks(i64),
}

impl Wire for EffortText {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<EffortText> {
        match node.get_ref() {
            DeValue::Integer(_) => i64::read(node, key, reader).map(EffortText::Ticks),
            DeValue::String(_) => EffortWord::read(node, key, reader).map(EffortText::Word),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "\"quick\", \"normal\", \"thorough\" or a number of work ticks"
    }
}

/// A library by its file, or listed here.
#[derive(Clone, Debug, schemars::JsonSchema)]
#[schemars(untagged, inline)]
pub enum LibraryText {
    /// A library file.
    File(String),
    /// Its parts.
    List(LibraryList),
}

impl Wire for LibraryText {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<LibraryText> {
        match node.get_ref() {
            DeValue::Table(_) => LibraryList::read(node, key, reader).map(LibraryText::List),
            DeValue::String(path) => Some(LibraryText::File(path.to_string())),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "the name of a library file, or a table that lists its parts"
    }
}

wire! {
    /// Bundles that are stacked side by side.
    pub struct BundlesOpen {
        /// How many frames may be begun and not finished at any time.
        open: At<i64>,
    }
}

/// A word, or how many frames may be unfinished.
#[derive(Clone, Debug, schemars::JsonSchema)]
#[schemars(untagged, inline)]
pub enum BundlingText {
    /// By word.
    Word(BundlingWord),
    /// So many side by side.
    Open(BundlesOpen),
}

impl Wire for BundlingText {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<BundlingText> {
        match node.get_ref() {
            DeValue::Table(_) => BundlesOpen::read(node, key, reader).map(BundlingText::Open),
            DeValue::String(_) => BundlingWord::read(node, key, reader).map(BundlingText::Word),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "\"frame\", \"none\" or { open = 3 }"
    }
}

wire! {
    /// An order with some freedom.
    pub struct OrderWindow {
        /// How many places early a job may be begun: not before every job listed more than so
        /// many places above it is done.
        window: At<i64>,
    }
}

/// A word, or how many places early a job may be begun.
#[derive(Clone, Debug, schemars::JsonSchema)]
#[schemars(untagged, inline)]
pub enum OrderText {
    /// By word.
    Word(OrderWord),
    /// Within a window.
    Window(OrderWindow),
}

impl Wire for OrderText {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<OrderText> {
        match node.get_ref() {
            DeValue::Table(_) => OrderWindow::read(node, key, reader).map(OrderText::Window),
            DeValue::String(_) => OrderWord::read(node, key, reader).map(OrderText::Word),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "\"as-listed\", \"free\" or { window = 2 }"
    }
}

wire! {
    /// A batch: what is to be made today, from what, on which line. Files are named relative to
    /// this one.
    pub struct Batch {
        /// Its name: on every paper and program.
        name: At<String>,
        /// Members files, in the order they are made.
        jobs: At<Vec<At<String>>>,
        /// The library: a file, or its parts listed here.
        library: At<LibraryText>,
        /// The line.
        line: At<String>,
        /// Its calibration.
        calibration: At<String>,
        /// The coils.
        stock: At<String>,
        /// How the line's controller reads a program.
        dialect: At<String>,
        /// What stays together; "frame" when left out.
        #[schemars(extend("default" = "frame"))]
        bundling: Option<BundlingText>,
        /// Order of jobs; "as-listed" when left out.
        #[schemars(extend("default" = "as-listed"))]
        order: Option<OrderText>,
        /// Shortest remnant worth putting back on the rack.
        keep: At<Length>,
        /// How much strip one coil change is worth: the plan wastes up to this much more to save
        /// a change.
        coil_change_worth: At<Length>,
        /// How hard to look; "normal" when left out.
        #[schemars(extend("default" = "normal"))]
        effort: Option<At<EffortText>>,
        /// What happens to the last coil when the batch is done; "unload" when left out.
        #[schemars(extend("default" = "unload"))]
        at_end: Option<AtEndWord>,
        /// The profile the line is set up for when the batch begins; when left out, that of the
        /// coil in the line, if there is one.
        #[schemars(extend("x-left-out" = "that of the coil in the line"))]
        set_up_now: Option<At<String>>,
        /// What is printed on each piece: text with {job}, {frame} and {mark}; "{frame} {mark}"
        /// when left out.
        #[schemars(extend("default" = MARK_TEXT))]
        mark_text: Option<At<String>>,
        /// Machine time on offer.
        shift: Option<At<Time>>,
        /// What the run sheet, the preview and the summary are written in; "mm" when left out.
        #[schemars(extend("default" = "mm"))]
        units: Option<UnitsWord>,
        /// Pieces that need not be made any more; none when left out.
        done: Option<At<String>>,
    }
}

/// What pieces bear where neither batch nor members say.
pub const MARK_TEXT: &str = "{frame} {mark}";

/// The batch apart from its files.
pub(super) fn settle(wire: &Batch, found: &mut Found) -> model::Batch {
    if wire.jobs.value.is_empty() {
        found.push(finding(
            &codes::E0331,
            wire.jobs.span,
            "the batch has no jobs",
            "an empty list",
            "name the members files to be made: jobs = [\"walls.members\"]",
        ));
    }
    if let Some(text) = &wire.mark_text {
        check_mark_text(text, found);
    }
    model::Batch {
        name: plain_name(found, "the name of a batch", &wire.name),
        bundling: match &wire.bundling {
            Some(BundlingText::Word(BundlingWord::None)) => Bundling::None,
            Some(BundlingText::Word(BundlingWord::Frame)) | None => Bundling::Frame,
            Some(BundlingText::Open(bundles)) => {
                let help = "write how many bundles can be stacked side by side, from 1 to 10000";
                Bundling::Open(count(&bundles.open, 1, help, found))
            }
        },
        order: match &wire.order {
            Some(OrderText::Word(OrderWord::Free)) => JobOrder::Free,
            Some(OrderText::Word(OrderWord::AsListed)) | None => JobOrder::AsListed,
            Some(OrderText::Window(window)) => {
                let help = "write how many places early a job may be begun, from 0 to 10000";
                JobOrder::Window(count(&window.window, 0, help, found))
            }
        },
        keep: not_negative(found, "keep", &wire.keep, Length::LIMIT),
        change_worth: not_negative(
            found,
            "coil-change-worth",
            &wire.coil_change_worth,
            Length::LIMIT,
        ),
        effort: effort(wire.effort.as_ref(), found),
        at_end: match wire.at_end {
            Some(AtEndWord::StayThreaded) => AtEnd::StayThreaded,
            Some(AtEndWord::Unload) | None => AtEnd::Unload,
        },
        // Names a profile of the library, which is read after the batch.
        set_up_now: None,
        mark_text: wire
            .mark_text
            .as_ref()
            .map_or_else(|| MARK_TEXT.into(), |at| at.value.as_str().into()),
        shift: wire.shift.as_ref().map(|at| shift(at, found)),
        units: match wire.units {
            Some(UnitsWord::Inches) => Units::Inches,
            Some(UnitsWord::Millimetres) | None => Units::Millimetres,
        },
        // A file of its own.
        done: model::Done::default(),
    }
}

/// A small number, at least `least`.
fn count(at: &At<i64>, least: i64, help: &str, found: &mut Found) -> usize {
    let fits = (least..=10_000).contains(&at.value);
    if !fits {
        super::common::out_of_range(
            found,
            at.span,
            format!("{} is no such number", at.value),
            help,
        );
    }
    usize::try_from(at.value).unwrap_or_default()
}

/// What the line is set up for now: a profile it can be set up for, and that of the strip in it.
pub(super) fn set_up_now(
    wire: &Batch,
    library: &Library,
    line: &Line,
    stock: Option<&Stock>,
    found: &mut Found,
) -> Option<ProfileId> {
    let name = wire.set_up_now.as_ref()?;
    let Some((id, profile)) = library.profile_named(&name.value) else {
        unknown(found, "profile", name, library.profiles.iter().map(|p| &*p.name));
        return None;
    };
    if !line.set_ups.iter().any(|s| s.profile == id) {
        found.push(finding(
            &codes::E0309,
            name.span,
            format!("line `{}` has no set-up for `{}`", line.name, name.value),
            "cannot be what it is set up for",
            format!("add a [[set-up]] for `{}` to the line, or look at the line again", name.value),
        ));
    }
    let threaded = stock.and_then(|stock| stock.coils.iter().find(|coil| coil.threaded));
    if let Some(coil) = threaded.filter(|coil| !coil.fits(profile)) {
        found.push(
            Diagnostic::new(
                &codes::E0350,
                format!(
                    "the line is set up for `{}`, and coil `{}` in it is other strip",
                    name.value, coil.id
                ),
            )
            .at(name.span, "set up for this")
            .at(coil.span, "threaded")
            .note("The first run would start on strip that the rolls are not set for.")
            .help("correct `set-up-now`, or say in the stock which coil is threaded"),
        );
    }
    Some(id)
}

/// A year of shifts at most: estimates span weeks.
fn shift(at: &At<Time>, found: &mut Found) -> Time {
    let year = Time::from_ms(31_557_600_000);
    if at.value > year || at.value < Time::ZERO {
        return machine_time(found, "shift", at);
    }
    at.value
}

fn effort(at: Option<&At<EffortText>>, found: &mut Found) -> Effort {
    match at.map(|at| (at.value, at.span)) {
        None | Some((EffortText::Word(EffortWord::Normal), _)) => Effort::NORMAL,
        Some((EffortText::Word(EffortWord::Quick), _)) => Effort::QUICK,
        Some((EffortText::Word(EffortWord::Thorough), _)) => Effort::THOROUGH,
        Some((EffortText::Ticks(ticks), span)) => match u64::try_from(ticks) {
            Ok(ticks) if (1..=1_000_000_000_000).contains(&ticks) => Effort { ticks },
            _ => {
                let help = "write \"quick\", \"normal\", \"thorough\" or a number of work ticks";
                super::common::out_of_range(found, span, "no such effort", help);
                Effort::NORMAL
            }
        },
    }
}

/// The places in a mark text are known ones, closed, and there is a mark.
fn check_mark_text(text: &At<String>, found: &mut Found) {
    const PLACES: [&str; 3] = ["job", "frame", "mark"];
    let mut wrong = |what: String, help: String| {
        found.push(finding(&codes::E0332, text.span, what, "in this text", help));
    };
    let mut has_mark = false;
    for (index, piece) in text.value.split('{').enumerate() {
        let (place, literal) = match (index, piece.split_once('}')) {
            (0, None) => ("mark", piece),
            (0, Some(_)) | (_, None) => {
                wrong(
                    "a `{` or `}` of the mark text stands alone".into(),
                    "places are written {job}, {frame}, {mark}".into(),
                );
                return;
            }
            (_, Some((place, literal))) => {
                // A place nobody knows may have been meant: it is told once, not twice.
                has_mark |= place == "mark" || !PLACES.contains(&place);
                (place, literal)
            }
        };
        if !PLACES.contains(&place) {
            wrong(format!("the mark text knows no {{{place}}}"), one_of(place, PLACES));
        }
        if literal.contains('}') || literal.chars().any(char::is_control) {
            wrong(
                "the mark text has a sign that cannot be printed".into(),
                "use letters, digits, spaces and plain signs".into(),
            );
        }
    }
    if !has_mark {
        wrong(
            "the mark text has no {mark}: a crew could not match part to drawing".into(),
            "add {mark}".into(),
        );
    }
}
