//! A program that shows what a description writes: every tool of the line, once in company.

use crate::library::model::{Firing, Line, Slope, ToolId};
use crate::program::{Event, Program, Serial, Stroke};
use crate::quantity::{Advance, Length};

/// Where the sample's piece begins and ends, as far as the line's increment allows.
const TRIM: Length = Length::from_mm(50);
const CUT: Length = Length::from_mm(1250);

/// A trimmed head, then one piece: its mark where the line has a marker, a stop for each tool,
/// and one stop where the first tools fire in two phases, or at once where the line fires so. Only a sample: no machine makes a
/// member of it.
pub(super) fn sample(line: &Line) -> Program {
    let at = |length: Length| line.grid.floor(Advance::at(length));
    let tools = u16::try_from(line.tools.len()).unwrap_or(u16::MAX);
    let mut events = vec![Event::Cut { at: at(TRIM), piece: None, slope: Slope::SQUARE }];
    if line.marker.is_some() {
        events.push(Event::Mark { at: at(TRIM), text: "N1 S1".into() });
    }
    // Evenly over the piece: the first gap is left to the trim.
    let gaps = i64::from(tools) + 2;
    let place = |index: i64| at(TRIM + (CUT - TRIM).scaled(index, gaps));
    for tool in 0..tools {
        let strokes = vec![Stroke { phase: 0, tool: ToolId(tool) }];
        events.push(Event::Stop { at: place(i64::from(tool) + 1), strokes });
    }
    if tools > 1 {
        let phase = |number| if line.firing == Firing::AtOnce { 0 } else { number };
        let stroke = |number: u8| Stroke { phase: phase(number), tool: ToolId(u16::from(number)) };
        let strokes = (0..2).map(stroke).collect();
        events.push(Event::Stop { at: place(gaps - 1), strokes });
    }
    let slope = line.shear.slopes.listed.first().copied().unwrap_or(Slope::SQUARE);
    events.push(Event::Cut { at: at(CUT), piece: Some(Serial(1)), slope });
    Program {
        id: "SAMPLE-1".into(),
        batch: "sample".into(),
        line: line.name.clone(),
        profile: "sample".into(),
        coil: "sample".into(),
        warm: false,
        events,
        end: at(CUT + line.shear.slug),
    }
}
