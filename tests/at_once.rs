//! Lines that fire all tools of a stop at once: planned programs against the exact search, with
//! windows, forces and clashes figured here from drawing and line.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::plan::{Plan, Run};
use coilwright::program::Event;
use coilwright::quantity::*;
use coilwright::sequence::exact::{Found, Instance, Way, exact};
use common::made::*;
use common::*;
use std::sync::Arc;

/// A feature type for each face, so that no footprint is in the way of another.
const FACES: [Faces; 4] = [Faces::WEB, Faces::LEFT_FLANGE, Faces::RIGHT_FLANGE, Faces::LIPS];

fn library() -> Library {
    let kind = |(i, face): (usize, &Faces)| FeatureType {
        name: format!("hole {i}").into(),
        form: Form::Point,
        outline: OutlineForm::Circle { diameter: None },
        allowed: *face | Faces::WEB,
        default_faces: *face,
        across: Length::ZERO,
        across_tolerance: Tolerance::even(mm(1)),
        tolerance: None,
        purpose: Purpose::Joint,
        span: SPAN,
    };
    let features = FACES.iter().enumerate().map(kind).collect();
    Library { features, profiles: vec![profile()], rule_sets: Vec::new() }
}

/// Four stations in common steps, of two presses and alone, with a pair or two that clash.
fn line(dice: &mut Dice) -> Line {
    let mut line = bare_line();
    line.firing = Firing::AtOnce;
    line.head.first_advance = mm(-2_000);
    for (i, face) in FACES.iter().enumerate() {
        let at = 3_000 + 300 * i as i64 + 50 * dice.between(0, 3);
        let station = station(&mut line, &format!("punch {i}"), mm(at), Works::Flat);
        let round = Outline::Circle { diameter: mm(12) };
        let kind = FeatureTypeId(i as u16);
        let id = tool(&mut line, &format!("hole {i}"), station, kind, *face, round, How::Point);
        let tool = &mut line.tools[usize::from(id.0)];
        tool.refire = Length::ZERO;
        tool.force = dice.between(2, 6) * 10_000;
    }
    let press = |name: &str, stations: &[u16], force| Press {
        name: name.into(),
        stations: stations.iter().map(|n| StationId(*n)).collect(),
        force,
        recovery: Time::ZERO,
        span: SPAN,
    };
    line.presses = match dice.below(3) {
        0 => vec![press("all", &[0, 1, 2, 3], Some(dice.between(6, 11) * 10_000))],
        1 => vec![
            press("front", &[0, 1], Some(dice.between(6, 9) * 10_000)),
            press("rear", &[2, 3], Some(dice.between(6, 9) * 10_000)),
        ],
        _ => vec![press("front", &[0, 2], None)],
    };
    line.clashes = match dice.below(3) {
        0 => Vec::new(),
        1 => vec![(ToolId(0), ToolId(1))],
        _ => vec![(ToolId(0), ToolId(1)), (ToolId(1), ToolId(3))],
    };
    line
}

fn member(number: usize, dice: &mut Dice) -> Member {
    let length = 50 * dice.between(12, 20);
    let mut places: Vec<(usize, i64)> = (0..dice.between(3, 7))
        .map(|_| (dice.below(4) as usize, dice.between(2, length / 50 - 2)))
        .collect();
    // No two holes on each other: windows are then those of the drawing.
    places.sort_unstable();
    places.dedup();
    let features = places
        .into_iter()
        .map(|(kind, place)| {
            let at = um(50_000 * place + 100 * dice.between(-15, 15));
            let tolerance = Tolerance::even(um(100 * dice.between(3, 20)));
            Feature {
                kind: FeatureTypeId(kind as u16),
                faces: FACES[kind],
                place: Place::Point { at: Position::from_start(at), tolerance },
                across: Length::ZERO,
                across_tolerance: Tolerance::even(mm(1)),
                outline: Outline::Circle { diameter: mm(12) },
                span: SPAN,
            }
        })
        .collect();
    member_of("S", number, Usage::Stud, square_shape(length, features))
}

fn planned(line: &Line, members: Vec<Member>) -> Option<Plan> {
    let (plan, errors) = tried(&library(), line, members);
    // Holes that fall on each other, or that no choice of stops serves.
    let refused = ["E0504", "E0513", "E0516", "E0505"];
    for error in &errors {
        assert!(refused.contains(&error.code.number), "{error:?}");
    }
    plan.filter(|_| errors.is_empty())
}

/// Every hole of the run with the window of its drawing.
fn instance(line: &Line, run: &Run) -> Instance {
    let grid = line.grid.increment().nm();
    let steps = |length: Length| length.nm().div_euclid(grid);
    let strokes = run.pieces.iter().flat_map(|piece| {
        let start = piece.start.distance();
        piece.shape.features.iter().map(move |feature| {
            let Place::Point { at, tolerance } = feature.place else { panic!("holes only") };
            let tool = &line.tools[usize::from(feature.kind.0)];
            let due = start + at.offset - line.station(tool.station).unwrap().offset;
            vec![Way {
                tool: feature.kind.0,
                station: tool.station.0,
                force: tool.force,
                press: line.press_of(tool.station).map(|press| press as u16),
                time: tool.time,
                lo: steps(due - tolerance.minus + Length::from_nm(grid - 1))
                    .max(steps(line.head.first_advance)),
                hi: steps(due + tolerance.plus),
            }]
        })
    });
    let cuts = run.program.events.iter().filter_map(|event| match event {
        Event::Cut { at, .. } => Some(steps(at.distance())),
        _ => None,
    });
    Instance {
        strokes: strokes.collect(),
        cuts: cuts.collect(),
        clashes: line.clashes.iter().map(|(a, b)| (a.0, b.0)).collect(),
        presses: line.presses.iter().map(|press| press.force.unwrap_or(i64::MAX)).collect(),
        most: usize::MAX,
        least_feed: 1,
    }
}

#[test]
fn programs_have_the_fewest_stops_that_force_and_clash_allow() {
    let (mut cases, mut dearer, mut stops, mut in_phases) = (0, 0, 0, 0);
    for seed in 0..400 {
        let mut dice = Dice(seed);
        let line = line(&mut dice);
        let members: Vec<Member> = (0..4).map(|number| member(number, &mut dice)).collect();
        let Some(plan) = planned(&line, members.clone()) else { continue };
        let run = &plan.runs[0];
        for event in &run.program.events {
            let Event::Stop { strokes, .. } = event else { continue };
            assert!(strokes.iter().all(|stroke| stroke.phase == 0), "seed {seed}: {strokes:?}");
        }
        let Found::Fewest(best) = exact(&instance(&line, run), 5_000_000) else { continue };
        assert_eq!(run.stops, best.len(), "seed {seed}");
        assert!(run.bound.stops as usize == run.stops, "seed {seed}: {:?}", run.bound);
        let other = Line { firing: Firing::InPhases, ..line };
        let phases = planned(&other, members).unwrap().runs[0].stops;
        assert!(phases <= run.stops, "seed {seed}: {phases} in phases, {} at once", run.stops);
        cases += 1;
        dearer += usize::from(phases < run.stops);
        (stops, in_phases) = (stops + run.stops, in_phases + phases);
    }
    println!("{cases} runs: {stops} stops, {in_phases} in phases; more in {dearer} of them");
    assert!(cases > 250 && dearer > 60, "{cases} {dearer}");
}

/// Two holes on one place of the web by two tools at one distance, the first through the second:
/// in phases they may share a stop, at once they need two.
#[test]
fn what_must_come_first_comes_at_a_stop_of_its_own() {
    let struck = |firing, tolerance: i64| {
        let mut line = bare_line();
        line.firing = firing;
        line.head.first_advance = mm(-2_000);
        let round = Outline::Circle { diameter: mm(12) };
        for kind in 0..2 {
            let station = station(&mut line, &format!("punch {kind}"), mm(3_000), Works::Flat);
            let (name, of) = (format!("hole {kind}"), FeatureTypeId(kind));
            let id = tool(&mut line, &name, station, of, Faces::WEB, round, How::Point);
            line.tools[usize::from(id.0)].refire = Length::ZERO;
        }
        line.overlaps = vec![OverlapOrder { first: ToolId(1), then: ToolId(0) }];
        let mut member = member(0, &mut Dice(1));
        let mut shape = (*member.shape).clone();
        let mut hole = shape.features[0].clone();
        let (at, faces) = (Position::from_start(mm(400)), Faces::WEB);
        let place = Place::Point { at, tolerance: Tolerance::even(um(tolerance)) };
        shape.features = Vec::new();
        for kind in 0..2 {
            hole = Feature { kind: FeatureTypeId(kind), faces, place, ..hole };
            shape.features.push(hole.clone());
        }
        member.shape = Arc::new(shape);
        let (plan, errors) = tried(&library(), &line, vec![member]);
        let tools = |event: &Event| match event {
            Event::Stop { strokes, .. } => Some(strokes.iter().map(|s| s.tool.0).collect()),
            _ => None,
        };
        let stops =
            plan.iter().flat_map(|plan| plan.runs[0].program.events.iter()).filter_map(tools);
        let stops: Vec<Vec<u16>> = stops.collect();
        (stops, errors.first().map(|error| (error.code.number, error.message.clone())))
    };
    assert_eq!(struck(Firing::InPhases, 300), (vec![vec![1, 0]], None));
    assert_eq!(struck(Firing::AtOnce, 300), (vec![vec![1], vec![0]], None));
    assert_eq!(struck(Firing::InPhases, 0), (vec![vec![1, 0]], None));
    let (_, error) = struck(Firing::AtOnce, 0);
    let (code, message) = error.unwrap();
    assert!(code == "E0503" && message.contains("fire at once"), "{code} {message}");
}
