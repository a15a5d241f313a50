//! The check of what was printed, on a description that was never proved.

use super::lower::{Coding, Op};
use super::*;
use crate::library::model::{Field, NumberFormat, Padding, Sign, Slope, TextFormat, Unit};
use crate::program::Event;
use crate::quantity::{Advance, Grid, Length};

const NOWHERE: Span = Span::new(FileId(0), 0, 0);

fn literal(text: &str) -> Step {
    Step { op: Op::Literal(text.into()), span: NOWHERE }
}

/// A dialect that no proof would let through: it writes no batch, line, profile or coil.
fn forgetful() -> Invertible {
    let grid = Grid::new(Length::from_um(100)).unwrap();
    let number = NumberFormat {
        name: "position".into(),
        unit: Unit::Micrometre,
        decimals: 0,
        last_place: None,
        point: '.',
        short: false,
        width: None,
        padding: Padding::Zero,
        sign: Sign::Minus,
        relative: false,
        span: NOWHERE,
    };
    let text = TextFormat {
        name: "name".into(),
        quote: None,
        escapes: Vec::new(),
        hex: None,
        refused: Vec::new(),
        width: None,
        span: NOWHERE,
    };
    let number = Coding::Number(number::Number::prove(&number, grid).unwrap());
    let text = Coding::Text(Arc::new(text::Text::prove(&text, Characters::Ascii).unwrap()));
    let field =
        |field, coding: &Coding| Step { op: Op::Field(field, coding.clone()), span: NOWHERE };
    let event = |word| vec![literal(word), field(Field::At, &number), literal("\n")];
    Invertible {
        name: "forgetful".into(),
        characters: Characters::Ascii,
        line_end: LineEnd::Lf,
        limits: Limits::default(),
        files: None,
        pitch: None,
        lists: false,
        records: Scope::ALL
            .iter()
            .map(|scope| match scope {
                Scope::RunBegin => {
                    vec![literal("run "), field(Field::Program, &text), literal("\n")]
                }
                Scope::Stop => event("stop "),
                Scope::Stroke => event("fire "),
                Scope::CutPiece => event("cut "),
                Scope::CutScrap => event("trim "),
                Scope::Mark => event("mark "),
                Scope::RunEnd => vec![literal("end "), field(Field::End, &number), literal("\n")],
                _ => Vec::new(),
            })
            .collect(),
        times: Times::default(),
        model: None,
    }
}

fn empty() -> Program {
    Program {
        id: "KP07-1".into(),
        batch: "".into(),
        line: "".into(),
        profile: "".into(),
        coil: "".into(),
        warm: false,
        events: Vec::new(),
        end: Advance::ZERO,
    }
}

#[test]
fn e0735_what_does_not_read_back_is_not_printed() {
    assert!(forgetful().print(&empty()).is_ok());
    let lost = Program { batch: "north".into(), ..empty() };
    let refusal = forgetful().print(&lost).unwrap_err();
    assert_eq!(refusal.code.number, "E0735", "{}", refusal.message);
    let cut = |serial| Event::Cut {
        at: Advance::ZERO,
        piece: Some(Serial(serial)),
        slope: Slope::SQUARE,
    };
    let lost = Program { events: vec![cut(0), cut(7)], ..empty() };
    let refusal = forgetful().print(&lost).unwrap_err();
    assert_eq!(refusal.code.number, "E0735");
    assert!(refusal.message.contains("event 2"), "{}", refusal.message);
}
