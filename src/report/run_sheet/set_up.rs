//! What the line has to look like before the first run: stations from the coil to the run-out,
//! and what each of their tools makes.

use crate::library::model::{Counted, Firing, How, Line, Tool, ToolId, Units};
use crate::member::model::Faces;
use crate::plan::{Inputs, Plan, Run};
use crate::program::Event;
use crate::quantity::{Length, Time};
use crate::report::model::RunReport;
use crate::report::sheet::model::{Block, Cell, Table, Words};
use crate::report::units::{figure, outline, short};
use std::collections::BTreeMap;

/// The table of stations, in the order the strip passes them.
pub fn stations(inputs: &Inputs<'_>, plan: &Plan) -> Vec<Block> {
    let units = inputs.batch.units;
    let line = inputs.line;
    let mut used: BTreeMap<ToolId, usize> = BTreeMap::new();
    for run in &plan.runs {
        for (tool, strokes) in strokes(run) {
            *used.entry(tool).or_insert(0) += strokes;
        }
    }
    // A part of the line that is no station, where it is, and what there is to say of it.
    let part = |what: &str, which: &str, at: Length, told: String| {
        let name = Words::default().italic(what).plain(which);
        let mut row: Vec<Cell> =
            vec![name.into(), figure(at, units).into(), "".into(), told.into()];
        row.resize(7, Cell::default());
        (at, vec![row])
    };
    let mut places: Vec<(Length, Vec<Vec<Cell>>)> = vec![
        part("forming", " from", line.forming.1, String::new()),
        part("forming", " to", line.forming.0, String::new()),
        part("shear", "", Length::ZERO, shear(line)),
    ];
    if let Some(marker) = &line.marker {
        places.push(part("marker", "", marker.offset, String::new()));
    }
    if let Some(at) = line.encoder {
        let counts = match line.counted() {
            Counted::Strip => "counts flat strip",
            Counted::Section { .. } => "counts the formed section",
        };
        places.push(part("encoder", "", at, counts.to_string()));
    }
    for (number, station) in line.stations.iter().enumerate() {
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        for (id, tool) in line.tools().filter(|(_, t)| usize::from(t.station.0) == number) {
            let first = rows.is_empty();
            let strokes = used.get(&id).copied().unwrap_or(0);
            rows.push(vec![
                Cell { words: (*station.name).into(), again: !first },
                Cell { words: figure(station.offset, units).into(), again: !first },
                (*tool.name).into(),
                makes(inputs, tool).into(),
                sizes(tool, units).into(),
                sides(tool, units).into(),
                if strokes == 0 { "–".into() } else { strokes.to_string().into() },
            ]);
        }
        places.push((station.offset, rows));
    }
    places.sort_by_key(|(offset, _)| std::cmp::Reverse(*offset));
    let rows: Vec<Vec<Cell>> = places.into_iter().flat_map(|(_, rows)| rows).collect();
    let at = format!("at {}", short(units));
    let heads = ["station", &at, "tool", "makes", "size", "on", "fired"];
    let mut blocks = vec![Block::Table(Table::new(&heads, &[1, 6], rows))];
    let below = line.stations.iter().any(|station| station.offset.is_negative());
    let below = if below { "; one with a minus sign stands behind it" } else { "" };
    blocks.push(Block::Prose(
        format!("Distances are upstream of the shear{below}. Sides as you look at the outside of the web with \
         the leading end (it leaves the line first) to your left: the left flange is up. Features lie on the centre line of their \
         face unless a distance is given: toward the left or right flange on a web, out (away \
         from the web) or in on flanges and lips. Sizes are along the member × across. A tool \
         over a cut shapes the end of one member and the start of the next. Last column: strokes \
         in the whole batch.")
        .into(),
    ));
    blocks.extend(special(line, units).into_iter().map(|told| Block::Item(told.into())));
    blocks
}

/// How this line differs from most: what its figures count, and when its tools fire.
fn special(line: &Line, units: Units) -> Vec<String> {
    let mut told = Vec::new();
    if let Some(at) = line.encoder {
        let counts = match line.counted() {
            Counted::Strip => "Programs count flat strip",
            Counted::Section { .. } => {
                "Programs count finished lengths: the strip stretches before the encoder"
            }
        };
        told.push(format!(
            "{counts}. Strip whose end has passed the encoder is not counted any more: nothing is \
             cut off the last {} {} of a coil.",
            figure(at.max(line.tail), units),
            short(units)
        ));
    }
    if line.firing == Firing::AtOnce {
        told.push("All tools of a stop fire at one moment.".to_string());
    }
    told
}

/// What the shear can be turned to.
fn shear(line: &Line) -> String {
    let slopes = &line.shear.slopes;
    if slopes.is_empty() { String::new() } else { format!("square cuts and slopes {slopes}") }
}

/// What has to be done before the first run of a profile.
pub fn change_over(
    inputs: &Inputs<'_>,
    run: &Run,
    of: &RunReport,
    from: Option<&str>,
) -> Vec<String> {
    let (profile, time) = (&of.profile, Time::from_ns(of.time.set_up_ns));
    let mut items = match from {
        Some(from) if from == profile => {
            vec![format!("The line is set up for {profile} already.")]
        }
        // Its coil is in the line: so is its set-up.
        None if of.warm && of.time.set_up_ns == 0 => Vec::new(),
        Some(from) => vec![format!("Change the line over from {from} to {profile}: {time}.")],
        None => vec![format!("Set the line up for {profile}: {time}.")],
    };
    let out: Vec<&str> = inputs
        .line
        .tools()
        .filter(|(id, _)| !inputs.line.is_mounted(*id, run.profile))
        .map(|(_, tool)| &*tool.name)
        .collect();
    if !out.is_empty() {
        items.push(format!("Out in this set-up, and not fired: {}.", out.join(", ")));
    }
    items
}

/// The tools one run fires.
pub fn tools_of(inputs: &Inputs<'_>, run: &Run) -> Block {
    let named: Vec<String> = strokes(run)
        .into_iter()
        .filter_map(|(id, n)| Some(format!("{} {n}", inputs.line.tool(id)?.name)))
        .collect();
    if named.is_empty() {
        return Block::Prose("No tool fires in this run: it only cuts.".into());
    }
    Block::Prose(format!("Strokes of this run: {}.", named.join(", ")).into())
}

/// The outlines one stroke leaves, each once: `45 × 12 and Ø10`.
fn sizes(tool: &Tool, units: Units) -> String {
    let mut sizes: Vec<String> = Vec::new();
    for made in tool.marks() {
        let size = outline(made.outline, units);
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    sizes.join(" and ")
}

/// Where across its faces each mark of a stroke lies, each place once: `web, 25 left and 25 right`,
/// `lips and flanges`.
fn sides(tool: &Tool, units: Units) -> String {
    let mut places: Vec<String> = Vec::new();
    for made in tool.marks() {
        let place = on(made.faces, made.across, units);
        // The faces are named once where they stay the same.
        let faces = format!("{}, ", made.faces);
        let same = made.faces == tool.makes.faces && !places.is_empty();
        let place = place.strip_prefix(&faces).filter(|_| same).unwrap_or(&place).to_string();
        let again = places.iter().any(|p| *p == place || *p == format!("{faces}{place}"));
        if !again {
            places.push(place);
        }
    }
    places.join(" and ")
}

/// Where a feature lies on its faces: `web`, `web, 0.75 left`, `flanges, 3 out`.
pub fn on(faces: Faces, across: Length, units: Units) -> String {
    if across == Length::ZERO {
        return faces.to_string();
    }
    let far = figure(across.abs(), units);
    // On the web y grows toward the left flange, on flanges and lips away from the web.
    let (web, edge) = if across > Length::ZERO { ("left", "out") } else { ("right", "in") };
    match (faces.contains(Faces::WEB), faces == Faces::WEB) {
        (_, true) => format!("{faces}, {far} {web}"),
        (true, false) => format!("{faces}, {far} {web}, {edge}"),
        (false, false) => format!("{faces}, {far} {edge}"),
    }
}

fn makes(inputs: &Inputs<'_>, tool: &Tool) -> String {
    let mut kinds: Vec<String> = Vec::new();
    for kind in tool.marks().flat_map(|made| &made.kinds) {
        let Some(feature) = inputs.library.feature(*kind) else { continue };
        let name = feature.name.to_string();
        if !kinds.contains(&name) {
            kinds.push(name);
        }
    }
    let how = match tool.how {
        How::Point | How::End => "",
        How::Straddle => ", over a cut",
        How::Nibble { .. } => ", bite by bite",
    };
    // Further types named beside its own are alternatives; further marks come with every stroke.
    let pattern = if tool.also.is_empty() { "" } else { ", in one stroke" };
    format!("{}{how}{pattern}", kinds.join(", "))
}

fn strokes(run: &Run) -> BTreeMap<ToolId, usize> {
    let mut fired = BTreeMap::new();
    for event in &run.program.events {
        if let Event::Stop { strokes, .. } = event {
            for stroke in strokes {
                *fired.entry(stroke.tool).or_insert(0) += 1;
            }
        }
    }
    fired
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::{Made, PatternPart, StationId};
    use crate::member::model::{FeatureTypeId, Outline};
    use crate::quantity::{FileId, Span};

    #[test]
    fn every_mark_of_a_stroke_is_told() {
        let mm = Length::from_mm;
        let made = |faces, across, diameter| Made {
            kinds: vec![FeatureTypeId(0)],
            faces,
            across: mm(across),
            outline: Outline::Circle { diameter: mm(diameter) },
        };
        let tool = |own: Made, also: Vec<Made>| Tool {
            name: "pair".into(),
            station: StationId(0),
            makes: own,
            also: also.into_iter().map(|makes| PatternPart { makes, at: mm(30) }).collect(),
            how: How::Point,
            force: 0,
            footprint: mm(20),
            refire: Length::ZERO,
            time: Time::ZERO,
            accuracy: Length::ZERO,
            span: Span::new(FileId(0), 0, 0),
        };
        let told = |tool: &Tool| (sizes(tool, Units::Millimetres), sides(tool, Units::Millimetres));
        let (web, flanges) = (Faces::WEB, Faces::FLANGES);
        let pair = tool(made(web, 25, 5), vec![made(web, -25, 5)]);
        assert_eq!(told(&pair), ("Ø5".into(), "web, 25 left and 25 right".into()));
        let row = tool(made(flanges, 0, 10), vec![made(flanges, 0, 10), made(flanges, 0, 10)]);
        assert_eq!(told(&row), ("Ø10".into(), "flanges".into()));
        let mixed = tool(made(web, 19, 12), vec![made(web, 19, 12), made(flanges, 0, 10)]);
        assert_eq!(told(&mixed), ("Ø12 and Ø10".into(), "web, 19 left and flanges".into()));
    }

    #[test]
    fn sides_are_named_as_the_drawing_has_them() {
        let mm = Length::from_mm;
        let on = |faces, across| on(faces, across, Units::Millimetres);
        assert_eq!(on(Faces::WEB, mm(0)), "web");
        assert_eq!(on(Faces::WEB, mm(19)), "web, 19 left");
        assert_eq!(on(Faces::WEB, mm(-19)), "web, 19 right");
        assert_eq!(on(Faces::FLANGES, mm(3)), "flanges, 3 out");
        assert_eq!(on(Faces::LEFT_LIP, mm(-3)), "left lip, 3 in");
    }
}
