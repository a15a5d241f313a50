use super::calibration::Counted;
use super::ends::Bars;
use super::set_up::ChangeOver;
use super::shear::Shear;
use crate::member::model::{Faces, FeatureTypeId, Outline, ProfileId};
use crate::quantity::{Grid, Length, Span, Time};
use std::sync::Arc;

/// Index of a station on the line.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct StationId(pub u16);

/// Index of a tool on the line.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ToolId(pub u16);

/// A roll-forming line. Distances are measured from the shear, positive upstream.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// Its name.
    pub name: Arc<str>,
    /// Points it can stop at.
    pub grid: Grid,
    /// How far the distance between any two stops may be off (encoder, slip, feed): taken off
    /// every window once.
    pub accuracy: Length,
    /// Moves.
    pub feed: Feed,
    /// Cuts.
    pub shear: Shear,
    /// Where flat strip becomes a section: `(first, last)` distance from the shear.
    pub forming: (Length, Length),
    /// Distance of the length encoder from the shear, where the line says: before the forming zone
    /// it counts flat strip, behind it the formed section.
    pub encoder: Option<Length>,
    /// Thread-up.
    pub head: Head,
    /// Strip that can no longer be driven under the shear when the coil's end passes; what the
    /// encoder can no longer count is lost too: [`Line::ends`] has both.
    pub tail: Length,
    /// Strip between the shear and the place where it is parted to take a coil off: lost when a
    /// coil goes back to the rack.
    pub parting: Length,
    /// Shortest member it can make and let go.
    pub shortest: Length,
    /// Longest member the run-out takes.
    pub longest: Length,
    /// Time to clear one piece from the run-out (added to its cut).
    pub unloading: Time,
    /// Share of time the line runs, in parts per thousand.
    pub availability: i64,
    /// Time to take one coil off and thread the next.
    pub coil_change: Time,
    /// How it takes bars, if it does.
    pub bars: Option<Bars>,
    /// Profiles it can be set up for.
    pub set_ups: Vec<SetUp>,
    /// Times from one set-up to another, where they are not those of setting up afresh.
    pub change_overs: Vec<ChangeOver>,
    /// Marker, if it has one.
    pub marker: Option<Marker>,
    /// Stations; [`StationId`] indexes them.
    pub stations: Vec<Station>,
    /// Tools of all stations; [`ToolId`] indexes them.
    pub tools: Vec<Tool>,
    /// Pairs of tools whose footprints may overlap on a member, in the order they must fire.
    pub overlaps: Vec<OverlapOrder>,
    /// When the tools of one stop fire.
    pub firing: Firing,
    /// Units that several stations share; a station in none fires on its own, without limit.
    pub presses: Vec<Press>,
    /// Pairs of tools that may not fire in one phase, each with the lesser id first.
    pub clashes: Vec<(ToolId, ToolId)>,
    /// Where it is described.
    pub span: Span,
}

impl Tool {
    /// Everything one stroke leaves.
    pub fn marks(&self) -> impl Iterator<Item = &Made> {
        std::iter::once(&self.makes).chain(self.also.iter().map(|part| &part.makes))
    }
    /// Every face one stroke marks.
    pub fn faces(&self) -> Faces {
        self.marks().fold(Faces::empty(), |faces, made| faces | made.faces)
    }
}

impl Line {
    /// What the figures of programs count: with the encoder behind the forming zone the formed
    /// section. Where forming lengthens or shortens the strip, it does so evenly through the zone:
    /// half of it counts as flat.
    pub fn counted(&self) -> Counted {
        let (from, to) = self.forming;
        match self.encoder {
            Some(at) if at <= from => Counted::Section { flat_from: from + (to - from).half() },
            Some(_) | None => Counted::Strip,
        }
    }
    /// The tool of this id.
    pub fn tool(&self, id: ToolId) -> Option<&Tool> {
        self.tools.get(usize::from(id.0))
    }
    /// The station of this id.
    pub fn station(&self, id: StationId) -> Option<&Station> {
        self.stations.get(usize::from(id.0))
    }
    /// The press that drives a station, by its index.
    pub fn press_of(&self, station: StationId) -> Option<usize> {
        self.presses.iter().position(|press| press.stations.contains(&station))
    }
    /// Whether two tools may not fire in one phase.
    pub fn clash(&self, a: ToolId, b: ToolId) -> bool {
        self.clashes.contains(&(a.min(b), a.max(b)))
    }
    /// Each tool with its id.
    pub fn tools(&self) -> impl Iterator<Item = (ToolId, &Tool)> {
        self.tools
            .iter()
            .enumerate()
            .map(|(i, t)| (ToolId(u16::try_from(i).unwrap_or(u16::MAX)), t))
    }
}

/// How the strip moves between stops, rest to rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Feed {
    /// Top speed, µm/s.
    pub speed: i64,
    /// Acceleration, µm/s².
    pub acceleration: i64,
    /// Deceleration, µm/s².
    pub deceleration: i64,
    /// How fast the acceleration may change, µm/s³; `None` where it changes at once.
    pub jerk: Option<i64>,
    /// Time to come to rest at every stop before a tool may fire.
    pub settle: Time,
}

/// When the tools of one stop fire.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Firing {
    /// Those that may not fire together fire one after the other while the strip stands.
    #[default]
    InPhases,
    /// All of them at one moment: what may not fire together needs two stops.
    AtOnce,
}

/// What is lost before the first good piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Head {
    /// Least advance at which tools may fire after thread-up (A₀): zero with the strip edge at
    /// the shear, negative where it is gripped upstream.
    pub first_advance: Length,
    /// Least head, trim and its slug included (h_min).
    pub least: Length,
}

/// A profile the line can run.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SetUp {
    /// Which.
    pub profile: ProfileId,
    /// Time to set the line up for it.
    pub time: Time,
    /// Tools that cannot be used then; sorted.
    pub without: Vec<ToolId>,
}

/// A stamp: it marks strip that stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stamp {
    /// Time of one stamping.
    pub time: Time,
    /// How far from its place a text may be, either way: zero for a fixed place.
    pub slack: Length,
}

/// A marker: ink on moving strip, or a stamp.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Marker {
    /// Distance from the shear.
    pub offset: Length,
    /// Strip one character takes.
    pub pitch: Length,
    /// Where on the member the text starts, from the member's start; from the short point of a
    /// sloped one.
    pub from_start: Length,
    /// Most characters of one text.
    pub most: usize,
    /// How it stamps, where it does not print on moving strip.
    pub stamp: Option<Stamp>,
}

/// Whether a station works before or after the forming zone.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Works {
    /// On flat strip, upstream of forming.
    Flat,
    /// On the formed section, downstream of forming.
    Formed,
}

/// A unit at a fixed distance from the shear.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Station {
    /// Its name.
    pub name: Arc<str>,
    /// Distance from the shear, positive upstream.
    pub offset: Length,
    /// What it works on.
    pub works: Works,
    /// Where it is described.
    pub span: Span,
}

/// How a tool is used.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum How {
    /// One stroke makes one feature; the tool's centre is the feature's centre. Range features
    /// need a tool of their length.
    Point,
    /// A range longer than the tool is made by several strokes, each within the range.
    Nibble {
        /// Least length two neighbouring strokes of a range share.
        overlap: Length,
        /// Least length a stroke may add to a range: a thinner bite bends the punch.
        least_bite: Length,
    },
    /// One stroke shapes one end: its reach lies inward from the end. Serves starts and ends.
    End,
    /// One stroke over a cut shapes the end of one member and the start of the next. Its
    /// reference is the cut: it sweeps its reach either side of the slug.
    Straddle,
}

/// The mark one stroke leaves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Made {
    /// Feature types it may serve as.
    pub kinds: Vec<FeatureTypeId>,
    /// Faces it is made on, all in one stroke.
    pub faces: Faces,
    /// Where across each face (the tool's gauge).
    pub across: Length,
    /// Outline; for a straddling tool the length is its reach to each side of the slug.
    pub outline: Outline,
}

/// Something more that one stroke of a pattern tool leaves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PatternPart {
    /// What.
    pub makes: Made,
    /// Where its centre lies on the finished member: for a point tool from the tool's centre,
    /// positive upstream; for a straddling tool inward from each of the two ends.
    pub at: Length,
}

/// Stations driven by one unit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Press {
    /// Its name.
    pub name: Arc<str>,
    /// The stations it drives, ascending.
    pub stations: Vec<StationId>,
    /// The most force the strokes of one phase may need together, in newtons.
    pub force: Option<i64>,
    /// Time it needs between two phases.
    pub recovery: Time,
    /// Where it is described.
    pub span: Span,
}

/// A punching or forming tool.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tool {
    /// Its name: what programs and run sheets call it.
    pub name: Arc<str>,
    /// Where it is mounted.
    pub station: StationId,
    /// What a stroke leaves.
    pub makes: Made,
    /// What a stroke of a pattern tool leaves besides.
    pub also: Vec<PatternPart>,
    /// How it is used.
    pub how: How,
    /// Force of one stroke, in newtons; zero where the line does not say.
    pub force: i64,
    /// Half the strip length its stripper and die clamp: centre to either side. For a straddling
    /// tool, from the slug's centre.
    pub footprint: Length,
    /// Least distance between two strokes of it on the strip.
    pub refire: Length,
    /// Time of one stroke.
    pub time: Time,
    /// How far its mark may be off besides the stop's own accuracy.
    pub accuracy: Length,
    /// Where it is described.
    pub span: Span,
}

/// Two tools whose footprints may overlap on a member. Tools without a common face never get in
/// each other's way, and a tool may clamp over its own marks as far as its re-fire distance lets
/// it: neither needs an entry.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OverlapOrder {
    /// Must fire first.
    pub first: ToolId,
    /// May fire over the first one's mark.
    pub then: ToolId,
}
