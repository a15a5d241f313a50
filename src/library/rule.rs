//! Rule sets: `rules/*.toml`.

use super::common::{Face, Found, faces, finding, out_of_range, unique, unknown};
use super::feature::{PurposeWord, purpose};
use super::model::{self, Limit, Measure, RuleFilter};
use super::reading::{At, Fraction, OneOrMany, wire, words};
use crate::diagnostic::{Severity, codes::library as codes};
use crate::member::model::{Faces, FeatureTypeId, Usage};
use crate::quantity::{Length, Rational};

words! {
    /// What a rule measures.
    pub enum MeasureWord {
        /// Width across the face, at most `limit`.
        Width = "width",
        /// Width across the face as a share of the web, at most `ratio`.
        WidthToWeb = "width-to-web",
        /// Extent along the member, at most `limit`.
        Length = "length",
        /// Centre to centre of neighbours on a face, at least `limit`.
        CentreToCentre = "centre-to-centre",
        /// Clear distance between neighbours on a face, at least `limit`.
        Clear = "clear",
        /// Near edge to the member's end, at least `limit`.
        EdgeToEnd = "edge-to-end",
        /// Centre to the member's end, at least `limit`.
        CentreToEnd = "centre-to-end",
        /// Near edge to the edge of its face, at least `limit`.
        EdgeToFaceEdge = "edge-to-face-edge",
        /// No such feature at all.
        Presence = "presence",
    }
    /// How grave a finding is.
    pub enum SeverityWord {
        /// Nothing is made.
        Error = "error",
        /// It is made; someone should look.
        Warning = "warning",
        /// A decision that is somebody else's, such as the engineer's.
        Note = "note",
    }
    /// What a member is for.
    pub enum UsageWord {
        /// Vertical wall member.
        Stud = "stud",
        /// Stud beside an opening, full height.
        KingStud = "king-stud",
        /// Stud under a header.
        TrimmerStud = "trimmer-stud",
        /// Short stud above or below an opening.
        CrippleStud = "cripple-stud",
        /// Horizontal at the top.
        TopPlate = "top-plate",
        /// The same, in the US.
        TopTrack = "top-track",
        /// Horizontal at the bottom.
        BottomPlate = "bottom-plate",
        /// The same, in the US.
        BottomTrack = "bottom-track",
        /// Plate, top or bottom.
        Plate = "plate",
        /// The same, in the US.
        Track = "track",
        /// Between studs.
        Nogging = "nogging",
        /// The same, in the US.
        Blocking = "blocking",
        /// Over an opening.
        Lintel = "lintel",
        /// The same, in the US.
        Header = "header",
        /// Under an opening.
        Sill = "sill",
        /// Diagonal brace.
        Brace = "brace",
        /// Floor joist.
        Joist = "joist",
        /// Perimeter of a floor.
        Rim = "rim",
        /// Roof rafter.
        Rafter = "rafter",
        /// Top chord of a truss.
        TopChord = "top-chord",
        /// Bottom chord of a truss.
        BottomChord = "bottom-chord",
        /// Web member of a truss.
        TrussWeb = "truss-web",
        /// Batten, purlin or girt.
        Batten = "batten",
        /// Anything else.
        Other = "other",
    }
}

wire! {
    /// A set of limits, as data. The shop answers for them: each set says what to verify.
    pub struct RuleFile {
        /// Name of the set.
        name: At<String>,
        /// What it is, with the year.
        title: String,
        /// What the shop must do before relying on it.
        verify: String,
        /// One table for each limit.
        rule: Vec<Rule>,
    }
    /// One limit. A filter that is left out lets everything through.
    pub struct Rule {
        /// Its identity in the set: what a waiver names.
        id: At<String>,
        /// Feature types it looks at.
        types: Option<At<Vec<At<String>>>>,
        /// Purposes it looks at.
        purposes: Option<Vec<PurposeWord>>,
        /// Usages of members it looks at.
        usages: Option<Vec<UsageWord>>,
        /// Faces it looks at.
        faces: Option<At<OneOrMany<Face>>>,
        /// `true`: round outlines only; `false`: others only.
        round: Option<bool>,
        /// What it measures; each standard has its own way.
        measure: At<MeasureWord>,
        /// What it compares with, for a length.
        limit: Option<At<Length>>,
        /// What it compares with, for `width-to-web`.
        ratio: Option<At<Fraction>>,
        /// How grave a finding is.
        severity: SeverityWord,
        /// Clause it was read from, printed with a finding.
        source: String,
    }
}

/// A rule set over these feature types. In a `shipped` set a type the shop has not is passed
/// over, and with it a rule that names no other; in the shop's own set it is a mistake.
pub(super) fn settle(
    file: &RuleFile,
    features: &[model::FeatureType],
    shipped: bool,
    found: &mut Found,
) -> model::RuleSet {
    unique(found, "rule", file.rule.iter().map(|r| &r.id));
    let name = super::common::plain_name(found, "the name of a rule set", &file.name);
    let rules = file.rule.iter().filter_map(|rule| settle_one(rule, features, shipped, found));
    model::RuleSet {
        name,
        title: file.title.as_str().into(),
        verify: file.verify.as_str().into(),
        rules: rules.collect(),
    }
}

fn settle_one(
    rule: &Rule,
    features: &[model::FeatureType],
    shipped: bool,
    found: &mut Found,
) -> Option<model::Rule> {
    let mut kinds = Vec::new();
    if let Some(types) = &rule.types {
        for name in &types.value {
            match features.iter().position(|f| *f.name == *name.value) {
                Some(index) => kinds.extend(u16::try_from(index).ok().map(FeatureTypeId)),
                None if shipped => {}
                None => unknown(found, "feature type", name, features.iter().map(|f| &*f.name)),
            }
        }
        // An empty list means all: a rule about types that are not here must not become one
        // about every type.
        if kinds.is_empty() {
            if types.value.is_empty() {
                let help = "name the types, or leave `types` out to look at all";
                out_of_range(found, types.span, "`types` names no feature type", help);
            }
            return None;
        }
    }
    let face_set = rule.faces.as_ref().map_or(Faces::all(), |list| faces(found, "faces", list));
    let measure = measure(rule.measure.value);
    Some(model::Rule {
        id: super::common::plain_name(found, "the id of a rule", &rule.id),
        filter: RuleFilter {
            kinds,
            purposes: rule.purposes.iter().flatten().map(|&p| purpose(p)).collect(),
            usages: rule.usages.iter().flatten().map(|&u| usage(u)).collect(),
            faces: face_set,
            round: rule.round,
        },
        measure,
        limit: limit(rule, measure, found)?,
        severity: match rule.severity {
            SeverityWord::Error => Severity::Error,
            SeverityWord::Warning => Severity::Warning,
            SeverityWord::Note => Severity::Note,
        },
        source: rule.source.as_str().into(),
        span: rule.id.span,
    })
}

/// The limit that goes with the measure, and no other.
fn limit(rule: &Rule, measure: Measure, found: &mut Found) -> Option<Limit> {
    let (key, help) = match measure {
        Measure::WidthToWeb => ("ratio", "write `ratio = 0.5`, and no `limit`"),
        Measure::Presence => {
            ("", "leave `limit` and `ratio` out: the feature alone is the finding")
        }
        _ => ("limit", "write `limit = \"600 mm\"`, and no `ratio`"),
    };
    let stranger = rule
        .limit
        .as_ref()
        .map(|at| ("limit", at.span))
        .into_iter()
        .chain(rule.ratio.as_ref().map(|at| ("ratio", at.span)))
        .find(|(written, _)| *written != key);
    if let Some((written, span)) = stranger {
        let what = format!("this measure has no `{written}`");
        found.push(finding(&codes::E0317, span, what, "does not go with the measure", help));
        return None;
    }
    match (measure, &rule.limit, &rule.ratio) {
        (Measure::Presence, ..) => Some(Limit::None),
        (Measure::WidthToWeb, _, Some(ratio)) => {
            if ratio.value.0 < Rational::ZERO || ratio.value.0 > Rational::whole(1) {
                out_of_range(found, ratio.span, "`ratio` is a share of the web", "write 0 to 1");
            }
            Some(Limit::Ratio(ratio.value.0))
        }
        (Measure::WidthToWeb, ..) | (_, None, _) => {
            let what = format!("this measure needs a `{key}`");
            let label = "compared with nothing";
            found.push(finding(&codes::E0317, rule.measure.span, what, label, help));
            None
        }
        (_, Some(at), _) => {
            super::common::not_negative(found, "limit", at, Length::from_mm(100_000));
            Some(Limit::Length(at.value))
        }
    }
}

fn measure(word: MeasureWord) -> Measure {
    match word {
        MeasureWord::Width => Measure::Width,
        MeasureWord::WidthToWeb => Measure::WidthToWeb,
        MeasureWord::Length => Measure::Length,
        MeasureWord::CentreToCentre => Measure::CentreToCentre,
        MeasureWord::Clear => Measure::Clear,
        MeasureWord::EdgeToEnd => Measure::EdgeToEnd,
        MeasureWord::CentreToEnd => Measure::CentreToEnd,
        MeasureWord::EdgeToFaceEdge => Measure::EdgeToFaceEdge,
        MeasureWord::Presence => Measure::Presence,
    }
}

fn usage(word: UsageWord) -> Usage {
    match word {
        UsageWord::Stud => Usage::Stud,
        UsageWord::KingStud => Usage::KingStud,
        UsageWord::TrimmerStud => Usage::TrimmerStud,
        UsageWord::CrippleStud => Usage::CrippleStud,
        UsageWord::TopPlate | UsageWord::TopTrack => Usage::TopPlate,
        UsageWord::BottomPlate | UsageWord::BottomTrack => Usage::BottomPlate,
        UsageWord::Plate | UsageWord::Track => Usage::Plate,
        UsageWord::Nogging | UsageWord::Blocking => Usage::Nogging,
        UsageWord::Lintel | UsageWord::Header => Usage::Lintel,
        UsageWord::Sill => Usage::Sill,
        UsageWord::Brace => Usage::Brace,
        UsageWord::Joist => Usage::Joist,
        UsageWord::Rim => Usage::Rim,
        UsageWord::Rafter => Usage::Rafter,
        UsageWord::TopChord => Usage::TopChord,
        UsageWord::BottomChord => Usage::BottomChord,
        UsageWord::TrussWeb => Usage::TrussWeb,
        UsageWord::Batten => Usage::Batten,
        UsageWord::Other => Usage::Other,
    }
}
