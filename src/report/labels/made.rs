//! What stands on each label.

use super::bundle::{Bundle, bundles};
use super::code::code_text;
use crate::library::model::Units;
use crate::plan::Inputs;
use crate::quantity::{Length, Mass};
use crate::report::Report;
use crate::report::model::PieceReport;
use crate::report::units;
use crate::report::words::count;

/// What labels are made for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Of {
    /// One for each mark of each bundle.
    Members,
    /// One for each piece.
    Pieces,
    /// One for each bundle: a ticket.
    Bundles,
}

/// A line of a label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// What it says.
    pub words: String,
    /// Whether it has to be seen first.
    pub bold: bool,
    /// How much of the height is for it, of a hundred.
    pub share: i64,
    /// Which of its parts, two spaces apart, is shortened where not all of it has room.
    pub gives: usize,
}

/// A row of a ticket's list: number, mark, usage, length.
pub type Entry = [String; 4];

/// A label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// What it is for, as findings call it.
    pub about: String,
    /// Beside the code, from the top.
    pub lines: Vec<Line>,
    /// Below, from edge to edge; a ticket's alone.
    pub band: Vec<Line>,
    /// What is in the bundle; a ticket's alone.
    pub list: Vec<Entry>,
    /// How many pieces each entry of the list stands for.
    pub counts: Vec<usize>,
    /// What its code says.
    pub code: String,
    /// Its row of the table; see [`super::csv`].
    pub row: Vec<String>,
}

/// The labels of a batch, bundle by bundle from the bottom.
pub fn labels(report: &Report, inputs: &Inputs<'_>, of: Of) -> Vec<Label> {
    let bundles = bundles(report);
    let maker = Maker { inputs, units: inputs.batch.units, bundles: &bundles };
    let numbered = bundles.iter().enumerate();
    match of {
        Of::Members => numbered.flat_map(|(n, one)| maker.members(n, one)).collect(),
        Of::Pieces => numbered.flat_map(|(n, one)| maker.pieces(n, one)).collect(),
        Of::Bundles => numbered.map(|(n, one)| maker.ticket(n, one)).collect(),
    }
}

/// Which pieces a label stands for.
struct Which {
    /// `M` where it stands for a mark, `P` where for a piece.
    kind: &'static str,
    many: usize,
    /// As the label says it.
    words: String,
    serials: String,
}

struct Maker<'a> {
    inputs: &'a Inputs<'a>,
    units: Units,
    bundles: &'a [Bundle<'a>],
}

impl Maker<'_> {
    fn members(&self, number: usize, bundle: &Bundle<'_>) -> Vec<Label> {
        let marks = bundle.marks();
        let alike = marks.iter().filter_map(|pieces| Some((*pieces.first()?, pieces)));
        alike
            .map(|(first, pieces)| {
                let many = pieces.len();
                let which = Which {
                    kind: "M",
                    many,
                    words: count(many, "piece"),
                    serials: serials(pieces),
                };
                self.label(number, bundle, first, &which)
            })
            .collect()
    }

    fn pieces(&self, number: usize, bundle: &Bundle<'_>) -> Vec<Label> {
        let mut labels = Vec::new();
        for pieces in bundle.marks() {
            let many = pieces.len();
            for (n, piece) in pieces.iter().enumerate() {
                let which = Which {
                    kind: "P",
                    many: 1,
                    words: format!("no. {}, {} of {many}", piece.serial, n + 1),
                    serials: piece.serial.to_string(),
                };
                labels.push(self.label(number, bundle, piece, &which));
            }
        }
        labels
    }

    fn label(
        &self,
        number: usize,
        bundle: &Bundle<'_>,
        piece: &PieceReport,
        which: &Which,
    ) -> Label {
        let Which { kind, many, words, serials } = which;
        let length = Length::from_nm(piece.length_nm);
        let (copy, exact) = (bundle.copy.to_string(), length.to_string());
        let told = if *kind == "M" { many.to_string() } else { serials.clone() };
        let Bundle { job, revision, frame, profile, .. } = *bundle;
        let code = code_text(&[kind, job, revision, frame, &copy, &piece.mark, &told, &exact]);
        let long = format!("{} {}", units::figure(length, self.units), units::short(self.units));
        let printed = piece.printed.as_deref().filter(|printed| !printed.is_empty());
        let prints = match printed {
            Some(printed) => format!("prints {printed}"),
            None => "leaves blank".to_string(),
        };
        let line = |words: String, bold, share| Line { words, bold, share, gives: 0 };
        Label {
            about: format!("{job} {} {}", bundle.name(), piece.mark),
            lines: vec![
                line(piece.mark.clone(), true, 30),
                line(format!("frame {}", bundle.name()), true, 20),
                line(format!("{}  {long}", piece.usage), false, 18),
                Line { gives: 1, ..line(format!("{words}  {profile}"), false, 17) },
                Line {
                    gives: 1,
                    ..line(format!("{}  {prints}", revised(job, revision)), false, 15)
                },
            ],
            band: Vec::new(),
            list: Vec::new(),
            counts: Vec::new(),
            row: vec![
                job.to_string(),
                revision.to_string(),
                frame.to_string(),
                copy,
                piece.mark.clone(),
                piece.usage.clone(),
                profile.to_string(),
                exact,
                many.to_string(),
                serials.clone(),
                (number + 1).to_string(),
                piece.printed.clone().unwrap_or_default(),
                code.clone(),
            ],
            code,
        }
    }

    fn ticket(&self, number: usize, bundle: &Bundle<'_>) -> Label {
        let marks = bundle.marks();
        let Bundle { job, revision, frame, profile, .. } = *bundle;
        let (copy, many) = (bundle.copy.to_string(), bundle.pieces.len());
        let place = (number + 1).to_string();
        let length: Length =
            bundle.pieces.iter().map(|piece| Length::from_nm(piece.length_nm)).sum();
        let known = self.inputs.library.profiles.iter().find(|one| *one.name == *profile);
        let mass = known.map_or(Mass::default(), |profile| profile.coated_mass.of(length));
        let fields = ["B", job, revision, frame, &copy, profile, &many.to_string(), &place];
        let code = code_text(&fields);
        let firsts = marks.iter().filter_map(|alike| Some((*alike.first()?, alike.len())));
        let list: Vec<Entry> = firsts
            .clone()
            .map(|(piece, many)| {
                let long = units::figure(Length::from_nm(piece.length_nm), self.units);
                let long = format!("{long} {}", units::short(self.units));
                [format!("{many} ×"), piece.mark.clone(), piece.usage.clone(), long]
            })
            .collect();
        let content: Vec<String> = firsts
            .map(|(piece, many)| {
                format!("{many} x {} {}", piece.mark, Length::from_nm(piece.length_nm))
            })
            .collect();
        let line = |words: String, bold, share| Line { words, bold, share, gives: 0 };
        let (below, above) = self.neighbours(number);
        let sums = format!(
            "{}, {} {}, {} {}",
            count(many, "piece"),
            units::strip(length, self.units, 1),
            units::long(self.units),
            units::mass(mass, self.units),
            units::heavy(self.units),
        );
        Label {
            about: format!("the bundle {job} {}", bundle.name()),
            lines: vec![
                line(bundle.name(), true, 36),
                line(revised(job, revision), false, 22),
                line(profile.to_string(), false, 21),
                line(sums, false, 21),
            ],
            band: vec![
                line(format!("Bundle {place} of {} from the bottom", self.bundles.len()), true, 34),
                line(below.clone(), false, 33),
                line(above.clone(), false, 33),
            ],
            list,
            counts: marks.iter().map(Vec::len).collect(),
            row: vec![
                job.to_string(),
                revision.to_string(),
                frame.to_string(),
                copy,
                profile.to_string(),
                many.to_string(),
                length.to_string(),
                mass.to_string(),
                bundle.coils.join(" "),
                place,
                self.bundles.len().to_string(),
                below,
                above,
                content.join("; "),
                code.clone(),
            ],
            code,
        }
    }

    /// What it lies on, and what lies on it.
    fn neighbours(&self, number: usize) -> (String, String) {
        let name = |n: usize| {
            let bundle = self.bundles.get(n)?;
            Some(format!("{} ({} {})", n + 1, bundle.name(), bundle.profile))
        };
        let below = number.checked_sub(1).and_then(name);
        (
            below.map_or("lies at the bottom".to_string(), |below| format!("lies on {below}")),
            name(number + 1).map_or("on top of all".to_string(), |above| format!("under {above}")),
        )
    }
}

fn revised(job: &str, revision: &str) -> String {
    if revision.is_empty() { job.to_string() } else { format!("{job} rev. {revision}") }
}

/// `17`, `17-23`, `3 17-19`.
fn serials(pieces: &[&PieceReport]) -> String {
    let mut all: Vec<u32> = pieces.iter().map(|piece| piece.serial).collect();
    all.sort_unstable();
    let runs =
        all.chunk_by(|a, b| a + 1 == *b).filter_map(|run| Some((*run.first()?, *run.last()?)));
    let words = runs.map(
        |(first, last)| {
            if first == last { first.to_string() } else { format!("{first}-{last}") }
        },
    );
    words.collect::<Vec<_>>().join(" ")
}
