//! A reference compiler for tests: as simple as can be, one stop for each stroke position, every
//! stroke on the grid point nearest to nominal, a head as long as the strokes ask for. And the
//! random members and lines it is run on.

use super::*;
pub use crate::dice::Dice;
use std::collections::BTreeMap;

/// The small line with other distances, increments, slugs, accuracies and calibration.
pub fn random_shop(dice: &mut Dice) -> Shop {
    let mut shop = Shop::new();
    let line = &mut shop.line;
    line.grid = Grid::new(um([10, 50, 100, 200, 250][dice.below(5)])).unwrap();
    line.accuracy = um(dice.between(0, 150));
    line.shear.slug = [mm(0), mm(3), um(4_200), mm(6)][dice.below(4)];
    line.head.first_advance = mm(-dice.between(0, 600) * dice.between(0, 1));
    line.head.least = mm(dice.between(6, 60));
    let ranges =
        [(3_000, 6_000), (3_000, 6_000), (3_000, 6_000), (3_000, 6_000), (400, 990), (60, 390)];
    for (station, (lo, hi)) in line.stations.iter_mut().zip(ranges) {
        station.offset = um(dice.between(lo * 1000, hi * 1000));
    }
    line.stations[6].offset = -mm(dice.between(20, 200));
    for tool in &mut line.tools {
        tool.accuracy = um(dice.between(0, 100));
    }
    line.marker = (!dice.one_in(4)).then(|| Marker {
        offset: mm(dice.between(500, 6_000)),
        pitch: mm(dice.between(3, 6)),
        from_start: mm(dice.between(20, 120)),
        most: 24,
        stamp: None,
    });
    if dice.one_in(2) {
        shop.calibration.profiles = vec![(ProfileId(0), dice.between(-2_000_000, 2_000_000))];
        for station in 0..7 {
            if dice.one_in(2) {
                shop.calibration.stations.push(StationCorrection {
                    station: StationId(station),
                    factor: dice.between(-200_000, 200_000),
                    shift: um(dice.between(-500, 500)),
                });
            }
        }
    }
    shop
}

/// Members with features far enough from each other for every tool of the line.
pub fn random_members(dice: &mut Dice, shop: &Shop, count: usize) -> Vec<Wanted> {
    let tab_at_most = shop.line.stations[6].offset.abs();
    let swaged = dice.below(3);
    (0..count)
        .map(|index| {
            let length = um(dice.between(1_500, 24_000) * 125);
            let mut features = Vec::new();
            let mut x = mm(160) + um(dice.between(0, 40_000));
            while x < length - mm(160) {
                let tolerance = um(dice.between(600, 1_500));
                let at = match dice.below(3) {
                    0 => Position::from_end(x - length),
                    1 => Position { datum: Datum::Middle, offset: x - length.half() },
                    _ => Position::from_start(x),
                };
                features.push(match dice.below(6) {
                    0 => point(SERVICE, at, tolerance),
                    1 => point(HOLE, at, tolerance),
                    2 => point(ANCHOR, at, tolerance),
                    3 => notch(x, x + mm(48), tolerance),
                    4 if x < length - tab_at_most - mm(20) => point(TAB, at, tolerance),
                    _ => point(DIMPLE, at, tolerance),
                });
                x += mm(130) + um(dice.between(0, 600_000));
            }
            // All swaged, none, or as it comes: then the ends cannot always share a cut.
            let swage_it = |dice: &mut Dice| match swaged {
                0 => true,
                1 => false,
                _ => dice.one_in(2),
            };
            if swage_it(dice) {
                features.push(swage(End::Start));
            }
            if swage_it(dice) {
                features.push(swage(End::End));
            }
            // An end tool needs a slug that takes its overrun.
            if shop.line.shear.slug > mm(2) && dice.one_in(4) {
                features.push(flange_cut(if dice.one_in(2) { End::Start } else { End::End }));
            }
            let serial = Serial(100 + index as u32);
            // Some are made alike, mark and all.
            let mark_text = format!("N{}-{}", 1 + index / 4, 1 + index % 4).into();
            let mut shape = shape(length, features);
            shape.length_tolerance = Tolerance::even(um(dice.between(500, 1_000)));
            Wanted { serial, mark_text, shape }
        })
        .collect()
}

/// The tool that makes a feature as it is drawn.
fn tool_for(shop: &Shop, feature: &Feature) -> ToolId {
    let fits = |tool: &Tool| {
        let outline = tool.makes.outline == feature.outline || feature.kind == FLANGE_CUT;
        tool.makes.kinds.contains(&feature.kind) && tool.makes.faces == feature.faces && outline
    };
    shop.line.tools().find(|(_, tool)| fits(tool)).map(|(id, _)| id).unwrap()
}

/// Makes the program and sets the coil to what it needs. `None` where two strokes of one station
/// fall on the same standstill: this compiler cannot move them.
pub fn compile(shop: &mut Shop, wanted: &[Wanted]) -> Option<Program> {
    let line = &shop.line;
    let factor = shop.calibration.strip_factor(ProfileId(0));
    let (slug, grid) = (line.shear.slug, line.grid);
    let has = |piece: &Wanted, wanted_end: End| {
        piece.shape.features.iter().any(|f| {
            f.kind == SWAGE && matches!(f.place, Place::End { end, .. } if end == wanted_end)
        })
    };
    let offset = |tool: ToolId| {
        let station = line.tools[usize::from(tool.0)].station;
        shop.calibration.offset(station, line.station(station).unwrap().offset, ProfileId(0))
    };
    // With the trim at 0; all is moved along once the head is known.
    let mut strokes: Vec<(Advance, ToolId)> = Vec::new();
    let mut marks: Vec<(Advance, Arc<str>)> = Vec::new();
    let mut cuts: Vec<(Advance, Option<Serial>)> = vec![(Advance::ZERO, None)];
    let mut last = Advance::ZERO;
    for (index, piece) in wanted.iter().enumerate() {
        let before = index.checked_sub(1).map(|i| has(&wanted[i], End::End));
        if before.is_some_and(|end| end != has(piece, End::Start)) {
            last = grid.ceil(last + slug + mm(140));
            cuts.push((last, None));
        }
        let trim = last;
        let start = trim.strip_at(slug);
        let cut =
            grid.nearest(Advance::at(start.distance() + piece.shape.length.stretched(factor)));
        let real = cut.distance() - start.distance();
        for feature in &piece.shape.features {
            let id = tool_for(shop, feature);
            let tool = &line.tools[usize::from(id.0)];
            let on = |position: Position| {
                let datum = match position.datum {
                    Datum::Start => mm(0),
                    Datum::Middle => real.half(),
                    Datum::End => real,
                };
                datum + position.offset.stretched(factor)
            };
            let overrun = mm(2).stretched(factor);
            let reach = tool.makes.outline.length().stretched(factor);
            let x = match (feature.place, tool.how) {
                (Place::Point { at, .. }, _) => on(at),
                (Place::Range { from, to, .. }, _) => (on(from) + on(to)).half(),
                (Place::End { end: End::Start, .. }, How::Straddle) => -slug,
                (Place::End { end: End::End, .. }, How::Straddle) => real,
                (Place::End { end: End::Start, .. }, _) => reach.half() - overrun,
                (Place::End { end: End::End, .. }, _) => real - reach.half() + overrun,
            };
            let at = grid.nearest((start + x).due(offset(id)));
            // A straddling stroke serves both its neighbours once.
            if !(tool.how == How::Straddle && strokes.contains(&(at, id))) {
                strokes.push((at, id));
            }
        }
        if let Some(marker) = &line.marker {
            let from = start + marker.from_start.stretched(factor);
            marks.push((grid.nearest(from.due(marker.offset)), piece.mark_text.clone()));
        }
        cuts.push((cut, Some(piece.serial)));
        last = cut;
    }
    let earliest = strokes.iter().map(|s| s.0).chain(marks.iter().map(|m| m.0)).min();
    let first = Advance::at(line.head.first_advance);
    let lacking = earliest.map_or(mm(0), |earliest| first - earliest);
    let head = grid.ceil(Advance::at(lacking.max(line.head.least).max(line.shear.least_drop)));
    let moved = |at: Advance| at + head.distance();

    let mut stops: BTreeMap<Advance, Vec<Stroke>> = BTreeMap::new();
    for &(at, tool) in &strokes {
        stops.entry(moved(at)).or_default().push(Stroke { phase: 0, tool });
    }
    let mut events: Vec<Event> = Vec::new();
    for (at, mut strokes) in stops {
        strokes.sort_unstable();
        let mut stations: Vec<_> =
            strokes.iter().map(|s| line.tool(s.tool).unwrap().station).collect();
        stations.sort_unstable();
        stations.dedup();
        if stations.len() < strokes.len() {
            return None;
        }
        events.push(Event::Stop { at, strokes });
    }
    events.extend(marks.into_iter().map(|(at, text)| Event::Mark { at: moved(at), text }));
    events.extend(cuts.into_iter().map(|(at, piece)| Event::Cut {
        at: moved(at),
        piece,
        slope: Slope::SQUARE,
    }));
    events.sort_by_key(|event| {
        let rank = match event {
            Event::Mark { .. } => 0,
            Event::Stop { .. } => 1,
            Event::Cut { .. } => 2,
        };
        (event.at(), rank)
    });
    let end = moved(last);
    let past = mm(1_500);
    let tail = line.tail;
    shop.coil.length = end.distance() + tail + past;
    Some(shop.program(events))
}
