//! The roll-forming line: `line.toml`.

mod check;
mod not_supported;
mod set_up;
mod slopes;
mod wire;

use super::common::{
    Face, Found, Sizes, faces, machine_time, not_negative, out_of_range, plain_name, positive,
    unique, unknown,
};
use super::model::{
    self, Bars, Feed, Head, How, Library, Marker, OutlineForm, Shear, Stamp, ToolId,
};
use super::reading::{At, OneOrMany};
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::member::model::{FeatureTypeId, Outline};
use crate::quantity::{Grid, Length, Rational, Time};
pub(super) use wire::Line;
use wire::{FiringWord, HowWord, WorksWord};

/// Most stations, and most tools, of a line.
const MOST: usize = 500;

/// Least jerk, in µm/s³: what move times are reckoned for.
const LEAST_JERK: i64 = 1_000;

/// Nothing on a line is further from the shear.
const FARTHEST: Length = Length::from_mm(100_000);

/// The line, over this library. `None` only where it has no grid.
pub(super) fn settle(wire: &Line, library: &Library, found: &mut Found) -> Option<model::Line> {
    let grid = Grid::new(positive(found, "increment", &wire.increment, Length::from_mm(100)));
    let forming =
        (signed(found, "from", &wire.forming.from), signed(found, "to", &wire.forming.to));
    let (slopes, slope_time) = slopes::slopes(&wire.shear, found);
    let shear = Shear {
        slug: not_negative(found, "slug", &wire.shear.slug, Length::from_mm(1_000)),
        time: machine_time(found, "time", &wire.shear.time),
        least_drop: not_negative(found, "least-drop", &wire.shear.least_drop, FARTHEST),
        slopes,
        slope_time,
    };
    let head = Head {
        first_advance: signed(found, "first-advance", &wire.head.first_advance),
        least: not_negative(found, "least", &wire.head.least, FARTHEST),
    };
    let (stations, tools) = stations(wire, library, found);
    let overlaps = overlaps(wire, &tools, found);
    let presses = presses(wire, &stations, found);
    let clashes = clashes(wire, &tools, found);
    let set_ups = set_up::set_ups(wire, library, &stations, &tools, found);
    let change_overs = set_up::change_overs(wire, library, &set_ups, found);
    let line = model::Line {
        name: plain_name(found, "the name of a line", &wire.name),
        grid: grid?,
        accuracy: not_negative(found, "accuracy", &wire.accuracy, Length::from_mm(100)),
        feed: feed(not_supported::one_feed(wire, found)?, found),
        shear,
        forming,
        encoder: wire.encoder.as_ref().map(|e| not_negative(found, "offset", &e.offset, FARTHEST)),
        head,
        tail: not_negative(found, "tail", &wire.tail, FARTHEST),
        parting: not_negative(found, "parting", &wire.parting, FARTHEST),
        shortest: positive(found, "shortest", &wire.shortest, FARTHEST),
        longest: positive(found, "longest", &wire.longest, FARTHEST),
        unloading: machine_time(found, "unloading", &wire.unloading),
        availability: availability(wire, found),
        coil_change: machine_time(found, "coil-change", &wire.coil_change),
        bars: bars(wire, found),
        set_ups,
        change_overs,
        marker: marker(wire, found),
        stations,
        tools,
        overlaps,
        firing: match wire.firing.as_ref().map(|at| at.value) {
            None | Some(FiringWord::InPhases) => model::Firing::InPhases,
            Some(FiringWord::AtOnce) => model::Firing::AtOnce,
        },
        presses,
        clashes,
        span: wire.name.span,
    };
    not_supported::flat_cut(wire, &line, found);
    check::whole(wire, &line, library, found);
    Some(line)
}

/// A distance from the shear, either way.
fn signed(found: &mut Found, key: &str, at: &At<Length>) -> Length {
    if at.value.abs() > FARTHEST {
        let help = "distances on a line are within 100 m of the shear";
        out_of_range(found, at.span, format!("`{key}` is {} mm", at.value), help);
    }
    at.value
}

fn feed(feed: &wire::Feed, found: &mut Found) -> Feed {
    let deceleration = feed.deceleration.as_ref().unwrap_or(&feed.acceleration);
    let mut moving = |key: &str, value: i64, span| {
        if value <= 0 {
            let help = "write how fast the strip may go, above nought";
            out_of_range(found, span, format!("`{key}` is not above nought: nothing moves"), help);
        }
    };
    moving("speed", feed.speed.value.0, feed.speed.span);
    moving("acceleration", feed.acceleration.value.0, feed.acceleration.span);
    if let Some(at) = &feed.deceleration {
        moving("deceleration", at.value.0, at.span);
    }
    if let Some(at) = feed.jerk.as_ref().filter(|at| at.value.0 < LEAST_JERK) {
        let help = "write 0.001 m/s3 or more, or leave it out where the drive has no such limit";
        out_of_range(found, at.span, "with this `jerk` the strip hardly moves", help);
    }
    Feed {
        speed: feed.speed.value.0,
        acceleration: feed.acceleration.value.0,
        deceleration: deceleration.value.0,
        jerk: feed.jerk.as_ref().map(|at| at.value.0),
        settle: machine_time(found, "settle", &feed.settle),
    }
}

/// In parts per thousand, rounded down: hours are never understated.
fn availability(wire: &Line, found: &mut Found) -> i64 {
    let thousandths = wire
        .availability
        .value
        .0
        .checked_mul(Rational::whole(1_000))
        .map(Rational::floor)
        .and_then(|n| i64::try_from(n).ok())
        .filter(|n| (1..=1_000).contains(n));
    thousandths.unwrap_or_else(|| {
        let message = "`availability` is the share of time the line runs";
        out_of_range(found, wire.availability.span, message, "write \"0.1 %\" to \"100 %\"");
        1_000
    })
}

fn bars(wire: &Line, found: &mut Found) -> Option<Bars> {
    let bar = wire.bar.as_ref()?;
    let head = not_negative(found, "head", &bar.head, FARTHEST);
    let slug = wire.shear.slug.value;
    if head < slug && !head.is_negative() {
        out_of_range(
            found,
            bar.head.span,
            format!("a head of {head} mm is shorter than the slug of its trim"),
            format!("write at least {slug} mm: the trim's slug is part of the head"),
        );
    }
    Some(Bars {
        head,
        tail: not_negative(found, "tail", &bar.tail, FARTHEST),
        change: machine_time(found, "change", &bar.change),
    })
}

fn marker(wire: &Line, found: &mut Found) -> Option<Marker> {
    let marker = wire.marker.as_ref()?;
    let most = usize::try_from(marker.most.value).ok().filter(|n| (1..=255).contains(n));
    if most.is_none() {
        let message = format!("a text of at most {} characters", marker.most.value);
        out_of_range(found, marker.most.span, message, "write 1 to 255");
    }
    Some(Marker {
        offset: signed(found, "offset", &marker.offset),
        pitch: positive(found, "pitch", &marker.pitch, Length::from_mm(1_000)),
        from_start: not_negative(found, "from-start", &marker.from_start, FARTHEST),
        most: most.unwrap_or(1),
        stamp: stamp(marker, found),
    })
}

fn stamp(marker: &wire::Marker, found: &mut Found) -> Option<Stamp> {
    let slack = marker
        .stamp_slack
        .as_ref()
        .map_or(Length::ZERO, |at| not_negative(found, "stamp-slack", at, Length::from_mm(10_000)));
    match (&marker.stamp_time, &marker.stamp_slack) {
        (Some(time), _) => Some(Stamp { time: machine_time(found, "stamp-time", time), slack }),
        (None, Some(at)) => {
            let help = "add `stamp-time`, or take `stamp-slack` away";
            out_of_range(found, at.span, "ink needs no slack: it costs no stop", help);
            None
        }
        (None, None) => None,
    }
}

fn stations(
    wire: &Line,
    library: &Library,
    found: &mut Found,
) -> (Vec<model::Station>, Vec<model::Tool>) {
    unique(found, "station", wire.station.iter().map(|s| &s.name));
    unique(found, "tool", wire.station.iter().flat_map(|s| &s.tool).map(|t| &t.name));
    let count = wire.station.iter().map(|s| s.tool.len()).sum::<usize>().max(wire.station.len());
    super::common::few_enough(found, "stations or tools", count, MOST, wire.span);
    let mut stations = Vec::new();
    let mut tools = Vec::new();
    for (index, station) in wire.station.iter().take(MOST).enumerate() {
        let id = model::StationId(u16::try_from(index).unwrap_or(u16::MAX));
        stations.push(model::Station {
            name: plain_name(found, "the name of a station", &station.name),
            offset: signed(found, "offset", &station.offset),
            works: match station.works.value {
                WorksWord::Flat => model::Works::Flat,
                WorksWord::Formed => model::Works::Formed,
            },
            span: station.name.span,
        });
        for tool in station.tool.iter().take(MOST) {
            tools.extend(settle_tool(tool, id, library, found));
        }
    }
    (stations, tools)
}

/// What a stroke leaves, as a tool or a part of its pattern writes it.
struct Written<'a> {
    name: &'a str,
    makes: &'a At<OneOrMany<At<String>>>,
    faces: &'a At<OneOrMany<Face>>,
    across: &'a Option<At<Length>>,
    sizes: Sizes<'a>,
}

/// The written mark of a tool or of a part: both spell it alike.
macro_rules! written {
    ($name:expr, $at:expr) => {
        Written {
            name: $name,
            makes: &$at.makes,
            faces: &$at.faces,
            across: &$at.across,
            sizes: Sizes {
                outline: &$at.outline,
                diameter: &$at.diameter,
                length: &$at.length,
                width: &$at.width,
            },
        }
    };
}

impl Written<'_> {
    fn settle(&self, library: &Library, found: &mut Found) -> Option<model::Made> {
        let mut kinds: Vec<FeatureTypeId> = Vec::new();
        for name in self.makes.value.as_slice() {
            match library.feature_named(&name.value) {
                Some((id, _)) if kinds.contains(&id) => {}
                Some((id, _)) => kinds.push(id),
                None => {
                    let names = library.features.iter().map(|f| &*f.name);
                    unknown(found, "feature type", name, names);
                }
            }
        }
        if self.makes.value.as_slice().is_empty() {
            let help = "name the feature types it makes";
            out_of_range(found, self.makes.span, "this tool makes nothing", help);
        }
        let outline = match self.sizes.settle(found) {
            OutlineForm::Circle { diameter: Some(diameter) } => Some(Outline::Circle { diameter }),
            OutlineForm::Slot { length: Some(length), width: Some(width) } => {
                Some(Outline::Slot { length, width })
            }
            OutlineForm::Rectangle { length: Some(length), width: Some(width) } => {
                Some(Outline::Rectangle { length, width })
            }
            OutlineForm::Circle { .. } => self.missing_size("`diameter`", found),
            OutlineForm::Slot { .. } | OutlineForm::Rectangle { .. } => {
                self.missing_size("`length` and `width`", found)
            }
        };
        let faces = faces(found, "faces", self.faces);
        let across = self.across.as_ref().map_or(Length::ZERO, |at| signed(found, "across", at));
        Some(model::Made { kinds, faces, across, outline: outline? })
    }
    fn missing_size(&self, sizes: &str, found: &mut Found) -> Option<Outline> {
        found.push(
            Diagnostic::new(&codes::E0310, format!("the tool `{}` needs {sizes}", self.name))
                .at(self.sizes.outline.span, "its size is not all given")
                .note("A type may leave a size open; a die has one.")
                .help(format!("give {sizes} as measured on the die")),
        );
        None
    }
}

fn settle_tool(
    tool: &wire::Tool,
    station: model::StationId,
    library: &Library,
    found: &mut Found,
) -> Option<model::Tool> {
    let makes = written!(&tool.name.value, tool).settle(library, found);
    let mut also = Vec::new();
    for part in tool.also.iter().flatten() {
        let at = signed(found, "at", &part.at);
        let makes = written!(&tool.name.value, part).settle(library, found);
        also.extend(makes.map(|makes| model::PatternPart { makes, at }));
    }
    let most = Length::from_mm(10_000);
    let how = match tool.how.value {
        HowWord::Point => How::Point,
        HowWord::End => How::End,
        HowWord::Straddle => How::Straddle,
        HowWord::Nibble => nibble(tool, found),
    };
    let model = |makes| model::Tool {
        name: plain_name(found, "the name of a tool", &tool.name),
        station,
        makes,
        also,
        how,
        force: tool.force.as_ref().map_or(0, |at| at.value.0),
        footprint: positive(found, "footprint", &tool.footprint, most),
        refire: not_negative(found, "refire", &tool.refire, most),
        time: machine_time(found, "time", &tool.time),
        accuracy: not_negative(found, "accuracy", &tool.accuracy, Length::from_mm(100)),
        span: tool.name.span,
    };
    makes.map(model)
}

fn nibble(tool: &wire::Tool, found: &mut Found) -> How {
    let mut figure = |key: &str, at: &Option<At<Length>>| match at {
        Some(at) => not_negative(found, key, at, Length::from_mm(1_000)),
        None => {
            found.push(
                Diagnostic::new(
                    &codes::E0340,
                    format!("the nibbling tool `{}` needs `{key}`", tool.name.value),
                )
                .at(tool.how.span, "made by several strokes")
                .note("How much neighbouring strokes share, and how little one may bite, are the die's.")
                .help(format!("add `{key}`, such as \"2 mm\", as the die's maker says")),
            );
            Length::ZERO
        }
    };
    How::Nibble {
        overlap: figure("bite-overlap", &tool.bite_overlap),
        least_bite: figure("least-bite", &tool.least_bite),
    }
}

/// Whether a tool of this name is written: one that could not be settled is reported already.
fn is_written(wire: &Line, name: &At<String>) -> bool {
    wire.station.iter().flat_map(|s| &s.tool).any(|t| t.name.value == name.value)
}

/// The tool of this name; one that is not written at all is reported.
fn tool_named(
    wire: &Line,
    tools: &[model::Tool],
    name: &At<String>,
    found: &mut Found,
) -> Option<ToolId> {
    let index = tools.iter().position(|t| *t.name == *name.value);
    if index.is_none() && !is_written(wire, name) {
        unknown(found, "tool", name, tools.iter().map(|t| &*t.name));
    }
    index.and_then(|i| u16::try_from(i).ok()).map(ToolId)
}

fn presses(wire: &Line, stations: &[model::Station], found: &mut Found) -> Vec<model::Press> {
    let written = wire.press.as_deref().unwrap_or_default();
    unique(found, "press", written.iter().map(|press| &press.name));
    let mut presses = Vec::new();
    for press in written {
        let mut driven = Vec::new();
        for name in &press.stations.value {
            match stations.iter().position(|station| *station.name == *name.value) {
                Some(index) => driven.extend(u16::try_from(index).ok().map(model::StationId)),
                None => {
                    unknown(found, "station", name, stations.iter().map(|station| &*station.name));
                }
            }
        }
        driven.sort_unstable();
        presses.push(model::Press {
            name: plain_name(found, "the name of a press", &press.name),
            stations: driven,
            force: press.force.as_ref().map(|at| at.value.0),
            recovery: press
                .recovery
                .as_ref()
                .map_or(Time::ZERO, |at| machine_time(found, "recovery", at)),
            span: press.name.span,
        });
    }
    presses
}

fn clashes(wire: &Line, tools: &[model::Tool], found: &mut Found) -> Vec<(ToolId, ToolId)> {
    let mut clashes = Vec::new();
    for clash in wire.clash.iter().flatten() {
        let named: Vec<Option<ToolId>> =
            clash.tools.value.iter().map(|name| tool_named(wire, tools, name, found)).collect();
        match *named.as_slice() {
            [Some(a), Some(b)] if a != b => clashes.push((a.min(b), a.max(b))),
            [None, _] | [_, None] => {}
            _ => found.push(
                Diagnostic::new(&codes::E0342, "a clash is between two tools")
                    .at(clash.tools.span, "not two different tools")
                    .note("Tools that hit each other when they fire together are kept to different moments.")
                    .help("name two tools of the line, such as [\"punch-12\", \"dimple-10\"]"),
            ),
        }
    }
    clashes.sort_unstable();
    clashes.dedup();
    clashes
}

fn overlaps(wire: &Line, tools: &[model::Tool], found: &mut Found) -> Vec<model::OverlapOrder> {
    let mut orders = Vec::new();
    for overlap in wire.overlap.iter().flatten() {
        let first = tool_named(wire, tools, &overlap.first, found);
        let then = tool_named(wire, tools, &overlap.then, found);
        if let (Some(first), Some(then)) = (first, then) {
            orders.push(model::OverlapOrder { first, then });
        }
    }
    orders
}
