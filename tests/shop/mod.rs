//! Shapes, members and jobs built by hand, for tests of the checks.

#![allow(dead_code)] // each test uses its part

use coilwright::diagnostic::Severity;
use coilwright::library::model::{
    Coating, FeatureType, Form, Library, Limit, Measure, OutlineForm, Profile, Purpose, Rule,
    RuleFilter, RuleSet, Section,
};
use coilwright::member::model::{
    End, EndShape, Faces, Feature, FeatureTypeId, Frame, FrameKind, Job, Member, Outline, Place,
    Position, ProfileId, Shape, Usage, Waiver,
};
use coilwright::quantity::{FileId, Length, MassPerLength, Span, Tolerance};
use std::sync::Arc;

pub fn mm(n: i64) -> Length {
    Length::from_mm(n)
}

/// Span `n` of the file: distinct places for distinct features.
pub fn span(n: u32) -> Span {
    Span::new(FileId(0), 10 * n, 10 * n + 5)
}

pub const HOLE: FeatureTypeId = FeatureTypeId(0);
pub const SERVICE: FeatureTypeId = FeatureTypeId(1);
pub const DIMPLE: FeatureTypeId = FeatureTypeId(2);
pub const LIP_NOTCH: FeatureTypeId = FeatureTypeId(3);
pub const SWAGE: FeatureTypeId = FeatureTypeId(4);
pub const COPE: FeatureTypeId = FeatureTypeId(5);
pub const BEVEL: FeatureTypeId = FeatureTypeId(6);
pub const WEB_NOTCH: FeatureTypeId = FeatureTypeId(7);

/// C 90 × 40 × 12, t 0.75, r 1.5, with and without lips, and eight feature types.
pub fn library() -> Library {
    let all = Faces::all();
    let round = OutlineForm::Circle { diameter: None };
    let whole = OutlineForm::Rectangle { length: None, width: None };
    let slot = OutlineForm::Slot { length: None, width: None };
    let kinds = [
        ("hole", Form::Point, round, Purpose::Anchor),
        ("service-hole", Form::Point, slot, Purpose::Service),
        ("dimple", Form::Point, round, Purpose::Joint),
        ("lip-notch", Form::Range, whole, Purpose::Joint),
        ("swage", Form::End, whole, Purpose::Joint),
        ("cope", Form::End, whole, Purpose::End),
        ("bevel", Form::End, whole, Purpose::End),
        (
            "web-notch",
            Form::Range,
            OutlineForm::Rectangle { length: None, width: Some(mm(30)) },
            Purpose::Joint,
        ),
    ];
    let features = kinds
        .into_iter()
        .map(|(name, form, outline, purpose)| FeatureType {
            name: name.into(),
            form,
            outline,
            allowed: all,
            default_faces: Faces::WEB,
            across: Length::ZERO,
            across_tolerance: Tolerance::even(mm(1)),
            tolerance: Some(Tolerance::even(mm(1))),
            purpose,
            span: span(0),
        })
        .collect();
    Library { features, profiles: vec![profile("C90", 12), profile("T90", 0)], rule_sets: vec![] }
}

fn profile(name: &str, lip: i64) -> Profile {
    Profile {
        name: name.into(),
        section: if lip == 0 { Section::PlainChannel } else { Section::LippedChannel },
        web: mm(90),
        left_flange: mm(40),
        right_flange: mm(40),
        left_lip: mm(lip),
        right_lip: mm(lip),
        thickness: Length::from_um(750),
        radius: Length::from_um(1500),
        coating: Coating {
            name: "Z275".into(),
            grams_per_square_metre: 275,
            thickness: Length::ZERO,
        },
        grade: "G550".into(),
        strip_width: mm(182),
        length_tolerance: None,
        coated_mass: MassPerLength::from_ug_per_m(1_121_575_000),
        span: span(0),
    }
}

fn feature(kind: FeatureTypeId, faces: Faces, place: Place, outline: Outline, n: u32) -> Feature {
    let even = Tolerance::even(mm(1));
    Feature {
        kind,
        faces,
        place,
        across: Length::ZERO,
        across_tolerance: even,
        outline,
        span: span(n),
    }
}

pub fn point(kind: FeatureTypeId, faces: Faces, at: Position, outline: Outline, n: u32) -> Feature {
    feature(kind, faces, Place::Point { at, tolerance: Tolerance::even(mm(1)) }, outline, n)
}

pub fn hole(x: i64, diameter: i64, n: u32) -> Feature {
    let outline = Outline::Circle { diameter: mm(diameter) };
    point(HOLE, Faces::WEB, Position::from_start(mm(x)), outline, n)
}

pub fn service(x: i64, length: i64, width: i64, n: u32) -> Feature {
    let outline = Outline::Slot { length: mm(length), width: mm(width) };
    point(SERVICE, Faces::WEB, Position::from_start(mm(x)), outline, n)
}

pub fn dimples(x: i64, n: u32) -> Feature {
    let outline = Outline::Circle { diameter: mm(10) };
    point(DIMPLE, Faces::FLANGES, Position::from_start(mm(x)), outline, n)
}

pub fn range(kind: FeatureTypeId, faces: Faces, from: Position, to: Position, n: u32) -> Feature {
    let even = Tolerance::even(mm(1));
    let place = Place::Range { from, from_tolerance: even, to, to_tolerance: even };
    // What resolve gives a range: its nominal length, and the width of the widest face.
    let outline = Outline::Rectangle { length: mm(1), width: mm(90) };
    feature(kind, faces, place, outline, n)
}

pub fn at_end(kind: FeatureTypeId, faces: Faces, end: End, length: i64, n: u32) -> Feature {
    let place = Place::End { end, tolerance: Tolerance::even(mm(1)) };
    let outline = Outline::Rectangle { length: mm(length), width: mm(90) };
    feature(kind, faces, place, outline, n)
}

pub fn shape(length: i64, features: Vec<Feature>) -> Shape {
    Shape {
        profile: ProfileId(0),
        length: mm(length),
        length_tolerance: Tolerance::even(mm(1)),
        start: EndShape::Square,
        end: EndShape::Square,
        turnable: false,
        features,
    }
}

pub fn member(mark: &str, usage: Usage, shape: &Arc<Shape>) -> Member {
    Member {
        mark: mark.into(),
        mark_text: mark.into(),
        usage,
        quantity: 1,
        shape: shape.clone(),
        span: span(100_000),
        origin: None,
    }
}

pub fn frame(name: &str, members: Vec<Member>) -> Frame {
    Frame {
        name: name.into(),
        kind: FrameKind::Wall,
        title: "".into(),
        quantity: 1,
        members,
        span: span(0),
    }
}

pub fn job(frames: Vec<Frame>, waivers: Vec<Waiver>) -> Job {
    Job {
        name: "J".into(),
        title: "".into(),
        revision: "".into(),
        frames,
        waivers,
        whole: true,
        span: span(0),
    }
}

/// One stud S1 of frame N1, of this shape.
pub fn one(shape: Shape) -> Vec<Job> {
    let shape = Arc::new(shape);
    vec![job(vec![frame("N1", vec![member("S1", Usage::Stud, &shape)])], vec![])]
}

pub fn waiver(rule: &str, frame: Option<&str>, mark: Option<&str>) -> Waiver {
    Waiver {
        rule: rule.into(),
        frame: frame.map(Into::into),
        mark: mark.map(Into::into),
        reference: "letter 12".into(),
        by: "engineer".into(),
        span: span(200_000),
    }
}

pub fn rule(id: &str, measure: Measure, limit: Limit) -> Rule {
    Rule {
        id: id.into(),
        filter: RuleFilter {
            kinds: vec![],
            purposes: vec![],
            usages: vec![],
            faces: Faces::all(),
            round: None,
        },
        measure,
        limit,
        severity: Severity::Warning,
        source: "clause 7".into(),
        span: span(0),
    }
}

/// The library with one rule set of these rules.
pub fn ruled(rules: Vec<Rule>) -> Library {
    let mut library = library();
    library.rule_sets.push(RuleSet {
        name: "shop-rules".into(),
        title: "Rules of the shop".into(),
        verify: "verify against your copy".into(),
        rules,
    });
    library
}
