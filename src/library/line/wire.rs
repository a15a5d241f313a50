//! What `line.toml` says.

use crate::library::common::{Face, Outline};
use crate::library::reading::{
    Acceleration, At, Force, Fraction, Incline, Jerk, OneOrMany, Speed, wire, words,
};
use crate::quantity::{Length, Time};

words! {
    /// Whether a station works before or after the forming zone.
    pub enum WorksWord {
        /// On flat strip.
        Flat = "flat",
        /// On the formed section.
        Formed = "formed",
    }
    /// When the tools of one stop fire.
    pub enum FiringWord {
        /// What may not fire together fires one after the other while the strip stands.
        InPhases = "in-phases",
        /// All tools of a stop fire at one moment.
        AtOnce = "at-once",
    }
    /// How a tool is used.
    pub enum HowWord {
        /// One stroke makes one feature; a range needs a tool of its length.
        Point = "point",
        /// A range longer than the tool is made by several strokes of it.
        Nibble = "nibble",
        /// One stroke shapes one end.
        End = "end",
        /// One stroke over a cut shapes the end of one member and the start of the next.
        Straddle = "straddle",
    }
}

wire! {
    /// A roll-forming line. Distances are measured from the shear, positive upstream.
    pub struct Line {
        /// Its name, as in programs.
        name: At<String>,
        /// Smallest step it can move by: every stop is a whole number of them.
        increment: At<Length>,
        /// How far the distance between any two stops may be off: encoder, slip and feed together.
        /// Taken off every tolerance once, whatever lies between.
        accuracy: At<Length>,
        /// Where flat strip becomes a section.
        forming: Zone,
        /// Strip that can no longer be driven under the shear when the coil's end passes.
        tail: At<Length>,
        /// Strip lost between the shear and the place where a coil is parted to take it off.
        parting: At<Length>,
        /// Shortest member it can make and let go.
        shortest: At<Length>,
        /// Longest member the run-out takes.
        longest: At<Length>,
        /// Time to clear one piece from the run-out.
        unloading: At<Time>,
        /// Share of time the line runs.
        availability: At<Fraction>,
        /// Time to take one coil off and thread the next.
        coil_change: At<Time>,
        /// How it takes bars, where it does.
        bar: Option<Bar>,
        /// How the strip moves between stops. Several feeds with a loop of strip between them can
        /// be written as a list, and are refused: only one is planned for.
        feed: At<OneOrMany<Feed>>,
        /// The shear.
        shear: Shear,
        /// The length encoder, where it decides what programs count and where the strip's end is
        /// no longer counted.
        encoder: Option<Encoder>,
        /// What is lost before the first good piece.
        head: Head,
        /// Ink marker that prints on moving strip, where there is one.
        marker: Option<Marker>,
        /// Profiles the line can be set up for.
        set_up: At<Vec<SetUp>>,
        /// Times from one profile's set-up to another's; a pair that is not here takes the
        /// set-up time of the profile it goes to.
        #[schemars(extend("x-left-out" = "the set-up time of the profile it goes to"))]
        change_over: Option<Vec<ChangeOver>>,
        /// Stations, each with its tools.
        station: Vec<Station>,
        /// Pairs of tools whose footprints may overlap on a member.
        overlap: Option<Vec<Overlap>>,
        /// When the tools of one stop fire; in phases when left out. Where the controller knows no
        /// phases and fires all at once, what may not fire together gets stops of its own.
        #[schemars(extend("default" = "in-phases"))]
        firing: Option<At<FiringWord>>,
        /// Units that drive several stations.
        press: Option<Vec<Press>>,
        /// Pairs of tools that may not fire at the same moment.
        clash: Option<Vec<Clash>>,
    }
    /// Bars: stock of fixed length, fed in one by one.
    pub struct Bar {
        /// Least head of a bar, trim and its slug included.
        head: At<Length>,
        /// Strip that can no longer be driven under the shear when a bar's end passes.
        tail: At<Length>,
        /// Time to take what is left of one bar out and feed the next.
        change: At<Time>,
    }
    /// The length encoder.
    pub struct Encoder {
        /// Distance from the shear: above the forming zone it counts flat strip, below it the
        /// formed section.
        offset: At<Length>,
    }
    /// A stretch of the line.
    pub struct Zone {
        /// Where it begins, the end nearer the shear.
        from: At<Length>,
        /// Where it ends, upstream.
        to: At<Length>,
    }
    /// Limits of moves.
    pub struct Feed {
        /// Top speed.
        speed: At<Speed>,
        /// Acceleration.
        acceleration: At<Acceleration>,
        /// Deceleration; as the acceleration when left out.
        #[schemars(extend("x-left-out" = "as the acceleration"))]
        deceleration: Option<At<Acceleration>>,
        /// How fast the acceleration may change, where the drive limits it.
        jerk: Option<At<Jerk>>,
        /// Time to come to rest before a tool may fire.
        settle: At<Time>,
    }
    /// The shear.
    pub struct Shear {
        /// Strip lost in each cut; 0 for a parting shear.
        slug: At<Length>,
        /// Time of one cut.
        time: At<Time>,
        /// What it cuts: the formed section, also when left out. A shear that cuts flat strip before
        /// it is formed is refused.
        #[schemars(extend("default" = "formed"))]
        works: Option<At<WorksWord>>,
        /// Shortest piece of scrap it can part and drop; of one with sloped cuts the shorter side.
        least_drop: At<Length>,
        /// Slopes it can be turned to, to either hand; it cuts square only when left out.
        #[schemars(extend("x-left-out" = "square only"))]
        slopes: Option<Vec<At<Incline>>>,
        /// It can also be turned to every multiple of this slope, up to the steepest.
        slope_step: Option<At<Incline>>,
        /// The steepest slope it can be turned to in steps.
        steepest: Option<At<Incline>>,
        /// Time to turn it from one slope to another; needed where it can be turned.
        slope_time: Option<At<Time>>,
    }
    /// Thread-up.
    pub struct Head {
        /// Least advance at which tools may fire: 0 with the strip's edge at the shear, negative
        /// where it is gripped upstream.
        first_advance: At<Length>,
        /// Least head, trim and its slug included.
        least: At<Length>,
    }
    /// A marker: ink on moving strip, or a stamp that needs it to stand.
    pub struct Marker {
        /// Distance from the shear.
        offset: At<Length>,
        /// Strip one character takes.
        pitch: At<Length>,
        /// Where on the member the text starts, from the member's start; from the short point of a
        /// sloped one.
        from_start: At<Length>,
        /// Most characters of one text.
        most: At<i64>,
        /// Time of one stamping, where it is a stamp; ink prints while the strip moves.
        stamp_time: Option<At<Time>>,
        /// How far from its place a stamped text may be, either way; at its place when left out.
        #[schemars(extend("x-left-out" = "at its place"))]
        stamp_slack: Option<At<Length>>,
    }
    /// A profile the line can run.
    pub struct SetUp {
        /// Its name.
        profile: At<String>,
        /// Time to set the line up for it.
        time: At<Time>,
        /// Tools that cannot be used then, or stations with all their tools.
        without: Option<Vec<At<String>>>,
    }
    /// Time from one profile's set-up to another's.
    pub struct ChangeOver {
        /// What the line is set up for.
        from: At<String>,
        /// What it is to be set up for.
        to: At<String>,
        /// Time it takes.
        time: At<Time>,
    }
    /// A unit at a fixed distance from the shear.
    pub struct Station {
        /// Its name.
        name: At<String>,
        /// Distance from the shear, positive upstream.
        offset: At<Length>,
        /// What it works on.
        works: At<WorksWord>,
        /// Its tools.
        tool: Vec<Tool>,
    }
    /// A punching or forming tool.
    pub struct Tool {
        /// Its name: what programs and run sheets call it; unique on the line.
        name: At<String>,
        /// Feature types it makes.
        makes: At<OneOrMany<At<String>>>,
        /// Faces it marks in one stroke.
        faces: At<OneOrMany<Face>>,
        /// Where across each face, from its centre line; 0 when left out.
        #[schemars(extend("default" = "0 mm"))]
        across: Option<At<Length>>,
        /// Outline of the mark.
        outline: At<Outline>,
        /// Diameter of a circle.
        diameter: Option<At<Length>>,
        /// Length along the member; for a straddling tool its reach to each side of the slug.
        length: Option<At<Length>>,
        /// Width across the face.
        width: Option<At<Length>>,
        /// How it is used.
        how: At<HowWord>,
        /// Least length two neighbouring strokes of a nibbled range share.
        bite_overlap: Option<At<Length>>,
        /// Least length a stroke may add to a nibbled range.
        least_bite: Option<At<Length>>,
        /// What the same stroke makes besides, where it is a pattern of several features.
        also: Option<Vec<Part>>,
        /// Force of one stroke; needed where its press has a limit.
        force: Option<At<Force>>,
        /// Half the strip length its stripper and die clamp, from its centre; for a straddling
        /// tool from the slug's centre.
        footprint: At<Length>,
        /// Least distance between two strokes of it on the strip.
        refire: At<Length>,
        /// Time of one stroke.
        time: At<Time>,
        /// How far its mark may be off, besides the stop's own accuracy.
        accuracy: At<Length>,
    }
    /// Something more that one stroke of a pattern tool makes.
    pub struct Part {
        /// Feature types it makes.
        makes: At<OneOrMany<At<String>>>,
        /// Faces it marks.
        faces: At<OneOrMany<Face>>,
        /// Where across each face, from its centre line; 0 when left out.
        #[schemars(extend("default" = "0 mm"))]
        across: Option<At<Length>>,
        /// Outline of the mark.
        outline: At<Outline>,
        /// Diameter of a circle.
        diameter: Option<At<Length>>,
        /// Length along the member.
        length: Option<At<Length>>,
        /// Width across the face.
        width: Option<At<Length>>,
        /// Where its centre lies: from the tool's own centre, positive upstream; for a straddling
        /// tool inward from each of the two ends.
        at: At<Length>,
    }
    /// A unit that drives several stations.
    pub struct Press {
        /// Its name.
        name: At<String>,
        /// The stations it drives.
        stations: At<Vec<At<String>>>,
        /// The most force it has for the strokes of one moment; no limit when left out.
        #[schemars(extend("x-left-out" = "no limit"))]
        force: Option<At<Force>>,
        /// Time it needs from one stroke to the next; none when left out.
        #[schemars(extend("default" = "0 s"))]
        recovery: Option<At<Time>>,
    }
    /// Two tools that may not fire at the same moment.
    pub struct Clash {
        /// Which two.
        tools: At<Vec<At<String>>>,
    }
    /// Two tools whose footprints may overlap on a member.
    pub struct Overlap {
        /// Fires first.
        first: At<String>,
        /// May fire over the first one's mark.
        then: At<String>,
    }
}
