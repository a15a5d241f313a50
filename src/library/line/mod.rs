//! The roll-forming line: `line.toml`.

mod check;
mod set_up;
mod wire;

use super::common::{
    Found, Sizes, faces, machine_time, not_negative, out_of_range, plain_name, positive, unique,
    unknown,
};
use super::model::{self, Bars, Feed, Head, How, Library, Marker, OutlineForm, Shear, ToolId};
use super::reading::At;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::member::model::{FeatureTypeId, Outline};
use crate::quantity::{Grid, Length, Rational};
pub(super) use wire::Line;
use wire::{HowWord, WorksWord};

/// Most stations, and most tools, of a line.
const MOST: usize = 500;

/// Nothing on a line is further from the shear.
const FARTHEST: Length = Length::from_mm(100_000);

/// The line, over this library. `None` only where it has no grid.
pub(super) fn settle(wire: &Line, library: &Library, found: &mut Found) -> Option<model::Line> {
    let grid = Grid::new(positive(found, "increment", &wire.increment, Length::from_mm(100)));
    let forming =
        (signed(found, "from", &wire.forming.from), signed(found, "to", &wire.forming.to));
    let shear = Shear {
        slug: not_negative(found, "slug", &wire.shear.slug, Length::from_mm(1_000)),
        time: machine_time(found, "time", &wire.shear.time),
        least_drop: not_negative(found, "least-drop", &wire.shear.least_drop, FARTHEST),
    };
    let head = Head {
        first_advance: signed(found, "first-advance", &wire.head.first_advance),
        least: not_negative(found, "least", &wire.head.least, FARTHEST),
    };
    let (stations, tools) = stations(wire, library, found);
    let overlaps = overlaps(wire, &tools, found);
    let set_ups = set_up::set_ups(wire, library, &stations, &tools, found);
    let change_overs = set_up::change_overs(wire, library, &set_ups, found);
    let line = model::Line {
        name: plain_name(found, "the name of a line", &wire.name),
        grid: grid?,
        accuracy: not_negative(found, "accuracy", &wire.accuracy, Length::from_mm(100)),
        feed: feed(wire, found),
        shear,
        forming,
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
        span: wire.name.span,
    };
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

fn feed(wire: &Line, found: &mut Found) -> Feed {
    let feed = &wire.feed;
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
    Feed {
        speed: feed.speed.value.0,
        acceleration: feed.acceleration.value.0,
        deceleration: deceleration.value.0,
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
    })
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

fn settle_tool(
    tool: &wire::Tool,
    station: model::StationId,
    library: &Library,
    found: &mut Found,
) -> Option<model::Tool> {
    let mut kinds: Vec<FeatureTypeId> = Vec::new();
    for name in tool.makes.value.as_slice() {
        match library.feature_named(&name.value) {
            Some((id, _)) if kinds.contains(&id) => {}
            Some((id, _)) => kinds.push(id),
            None => {
                let names = library.features.iter().map(|f| &*f.name);
                unknown(found, "feature type", name, names);
            }
        }
    }
    if tool.makes.value.as_slice().is_empty() {
        let help = "name the feature types it makes";
        out_of_range(found, tool.makes.span, "this tool makes nothing", help);
    }
    let sizes = Sizes {
        outline: &tool.outline,
        diameter: &tool.diameter,
        length: &tool.length,
        width: &tool.width,
    };
    let outline = match sizes.settle(found) {
        OutlineForm::Circle { diameter: Some(diameter) } => Some(Outline::Circle { diameter }),
        OutlineForm::Slot { length: Some(length), width: Some(width) } => {
            Some(Outline::Slot { length, width })
        }
        OutlineForm::Rectangle { length: Some(length), width: Some(width) } => {
            Some(Outline::Rectangle { length, width })
        }
        OutlineForm::Circle { .. } => missing_size(tool, "`diameter`", found),
        OutlineForm::Slot { .. } | OutlineForm::Rectangle { .. } => {
            missing_size(tool, "`length` and `width`", found)
        }
    };
    let most = Length::from_mm(10_000);
    let model = |outline| model::Tool {
        name: plain_name(found, "the name of a tool", &tool.name),
        station,
        makes: model::Made {
            kinds,
            faces: faces(found, "faces", &tool.faces),
            across: tool.across.as_ref().map_or(Length::ZERO, |at| signed(found, "across", at)),
            outline,
        },
        how: match tool.how.value {
            HowWord::Point => How::Point,
            HowWord::End => How::End,
            HowWord::Straddle => How::Straddle,
        },
        footprint: positive(found, "footprint", &tool.footprint, most),
        refire: not_negative(found, "refire", &tool.refire, most),
        time: machine_time(found, "time", &tool.time),
        accuracy: not_negative(found, "accuracy", &tool.accuracy, Length::from_mm(100)),
        span: tool.name.span,
    };
    outline.map(model)
}

fn missing_size(tool: &wire::Tool, sizes: &str, found: &mut Found) -> Option<Outline> {
    found.push(
        Diagnostic::new(&codes::E0310, format!("the tool `{}` needs {sizes}", tool.name.value))
            .at(tool.outline.span, "its size is not all given")
            .note("A type may leave a size open; a die has one.")
            .help(format!("give {sizes} as measured on the die")),
    );
    None
}

fn overlaps(wire: &Line, tools: &[model::Tool], found: &mut Found) -> Vec<model::OverlapOrder> {
    let id = |name: &At<String>, found: &mut Found| {
        let index = tools.iter().position(|t| *t.name == *name.value);
        // A tool that is written but could not be settled is reported already.
        let written = wire.station.iter().flat_map(|s| &s.tool).any(|t| t.name.value == name.value);
        if index.is_none() && !written {
            unknown(found, "tool", name, tools.iter().map(|t| &*t.name));
        }
        index.and_then(|i| u16::try_from(i).ok()).map(ToolId)
    };
    let mut orders = Vec::new();
    for overlap in wire.overlap.iter().flatten() {
        let (first, then) = (id(&overlap.first, found), id(&overlap.then, found));
        if let (Some(first), Some(then)) = (first, then) {
            orders.push(model::OverlapOrder { first, then });
        }
    }
    orders
}
