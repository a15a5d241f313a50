//! Members that a line can make in several ways: what planning chooses against the exact search
//! over all of them.
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

const HOLE: FeatureTypeId = FeatureTypeId(0);

fn library() -> Library {
    let hole = FeatureType {
        name: "hole".into(),
        form: Form::Point,
        outline: OutlineForm::Circle { diameter: None },
        allowed: Faces::WEB,
        default_faces: Faces::WEB,
        across: Length::ZERO,
        across_tolerance: Tolerance::even(mm(1)),
        tolerance: None,
        purpose: Purpose::Joint,
        span: SPAN,
    };
    Library { features: vec![hole], profiles: vec![profile()], rule_sets: Vec::new() }
}

/// Stations at these places, each with a punch for the same hole.
fn line(places: &[i64], times: &[u64]) -> Line {
    let mut line = bare_line();
    line.head.first_advance = mm(-2_000);
    for (i, (at, time)) in places.iter().zip(times).enumerate() {
        let station = station(&mut line, &format!("punch {i}"), mm(*at), Works::Flat);
        let round = Outline::Circle { diameter: mm(12) };
        let id =
            tool(&mut line, &format!("hole {i}"), station, HOLE, Faces::WEB, round, How::Point);
        line.tools[usize::from(id.0)].time = Time::from_ms(*time as i64);
        line.tools[usize::from(id.0)].refire = Length::ZERO;
    }
    line
}

fn member(number: usize, length: i64, holes: &[i64]) -> Member {
    let features = holes
        .iter()
        .map(|at| Feature {
            kind: HOLE,
            faces: Faces::WEB,
            place: Place::Point {
                at: Position::from_start(mm(*at)),
                tolerance: Tolerance::even(mm(1)),
            },
            across: Length::ZERO,
            across_tolerance: Tolerance::even(mm(1)),
            outline: Outline::Circle { diameter: mm(12) },
            span: SPAN,
        })
        .collect();
    member_of("S", number, Usage::Stud, square_shape(length, features))
}

fn planned(line: &Line, members: Vec<Member>) -> Plan {
    let (plan, errors) = tried(&library(), line, members);
    assert!(errors.is_empty(), "{errors:?}");
    plan.unwrap()
}

/// Tools in the order in which they strike.
fn struck(run: &Run) -> Vec<u16> {
    let strokes = run.program.events.iter().flat_map(|event| match event {
        Event::Stop { strokes, .. } => strokes.as_slice(),
        _ => &[],
    });
    strokes.map(|stroke| stroke.tool.0).collect()
}

/// Every hole of the run by any station, windows figured here from drawing and line.
fn instance(line: &Line, run: &Run) -> Instance {
    let grid = line.grid.increment().nm();
    let steps = |length: Length| length.nm().div_euclid(grid);
    let strokes = run.pieces.iter().flat_map(|piece| {
        let start = piece.start.distance();
        piece.shape.features.iter().map(move |feature| {
            let Place::Point { at, tolerance } = feature.place else { panic!("holes only") };
            let ways = line.tools().map(|(id, tool)| {
                let offset = line.station(tool.station).unwrap().offset;
                let due = start + at.offset - offset;
                Way {
                    tool: id.0,
                    station: tool.station.0,
                    force: 0,
                    press: None,
                    time: tool.time,
                    lo: steps(due - tolerance.minus + Length::from_nm(grid - 1))
                        .max(steps(line.head.first_advance)),
                    hi: steps(due + tolerance.plus),
                }
            });
            ways.collect()
        })
    });
    let scrap = run.program.events.iter().filter_map(|event| match event {
        Event::Cut { at, .. } => Some(steps(at.distance())),
        _ => None,
    });
    Instance {
        strokes: strokes.collect(),
        cuts: scrap.collect(),
        clashes: Vec::new(),
        presses: Vec::new(),
        most: usize::MAX,
        least_feed: 1,
    }
}

#[test]
fn two_stations_as_far_apart_as_two_holes_make_them_at_one_stop() {
    let members = || vec![member(1, 1_000, &[300, 600])];
    let stops = |places: &[i64], times: &[u64]| {
        let plan = planned(&line(places, times), members());
        (plan.runs[0].stops, struck(&plan.runs[0]))
    };
    // Trim, two holes, cut.
    assert_eq!(stops(&[4_200], &[200]), (4, vec![0, 0]));
    assert_eq!(stops(&[4_200, 4_500], &[200, 200]), (3, vec![0, 1]));
    // A station that stands otherwise saves no stop: the nearer one makes both.
    assert_eq!(stops(&[4_200, 4_450], &[200, 200]).0, 4);
    // Where it saves no stop but is faster, it is taken for its time.
    assert!(stops(&[4_200, 4_450], &[900, 100]).1.contains(&1));
    // What is slower is not, where it saves nothing.
    assert_eq!(stops(&[4_200, 4_450], &[200, 300]), (4, vec![0, 0]));
}

#[test]
fn what_is_chosen_comes_near_the_fewest_stops_of_all_ways() {
    let (mut fewest, mut chosen, mut single, mut equal, mut cases) = (0, 0, 0, 0, 0);
    for seed in 0..150 {
        let mut dice = Dice(seed);
        // Places in common steps: holes of neighbours then meet by the second station or third.
        let places: Vec<i64> = (0..3).map(|i| 4_000 + 300 * i + 50 * dice.between(0, 3)).collect();
        let members: Vec<Member> = (0..3)
            .map(|number| {
                let length = 50 * dice.between(12, 24);
                let first = 50 * dice.between(2, 4);
                let second = first + 50 * dice.between(2, 6);
                member(number, length, &[first, second][..dice.between(1, 2) as usize])
            })
            .collect();
        let line = line(&places, &[200; 3]);
        let run = &planned(&line, members.clone()).runs[0];
        let instance = instance(&line, run);
        let Found::Fewest(best) = exact(&instance, 3_000_000) else { continue };
        let alone = planned(&self::line(&places[..1], &[200]), members).runs[0].stops;
        assert!(
            best.len() <= run.stops,
            "seed {seed}: {} planned, {} fewest",
            run.stops,
            best.len()
        );
        assert!(run.stops <= alone, "seed {seed}: {} planned, {alone} with one station", run.stops);
        cases += 1;
        fewest += best.len();
        chosen += run.stops;
        single += alone;
        equal += usize::from(best.len() == run.stops);
    }
    println!("{cases} cases: {single} stops with one station, {chosen} chosen, {fewest} fewest");
    println!("{equal} of them with the fewest");
    assert!(cases > 100 && chosen < single);
    assert!((chosen - fewest) * 100 <= 3 * fewest, "{chosen} chosen, {fewest} fewest");
}
