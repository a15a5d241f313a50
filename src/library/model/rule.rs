use super::Purpose;
use crate::diagnostic::Severity;
use crate::member::model::{Faces, FeatureTypeId, Usage};
use crate::quantity::{Length, Rational, Span};
use std::sync::Arc;

/// What a rule measures. Standards differ: each rule names its own measure.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Measure {
    /// Width across the face (at most).
    Width,
    /// Width across the face as a share of the web, out to out (at most).
    WidthToWeb,
    /// Extent along the member (at most).
    Length,
    /// Centre to centre of neighbours on a face (at least).
    CentreToCentre,
    /// Clear distance between neighbours on a face (at least).
    Clear,
    /// Near edge to the member's end (at least).
    EdgeToEnd,
    /// Centre to the member's end (at least).
    CentreToEnd,
    /// Near edge to the edge of its face (at least).
    EdgeToFaceEdge,
    /// No such feature at all.
    Presence,
}

/// The value a rule compares with.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Limit {
    /// A length.
    Length(Length),
    /// A ratio.
    Ratio(Rational),
    /// Nothing: presence alone is the finding.
    None,
}

/// Which features a rule looks at; an empty list means all.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RuleFilter {
    /// Feature types.
    pub kinds: Vec<FeatureTypeId>,
    /// Purposes.
    pub purposes: Vec<Purpose>,
    /// Usages of the member.
    pub usages: Vec<Usage>,
    /// Faces.
    pub faces: Faces,
    /// Only round outlines (`true`) or only others (`false`); standards limit the two apart.
    pub round: Option<bool>,
}

/// One limit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rule {
    /// Its identity in its set, such as `hole-spacing`: what a waiver names.
    pub id: Arc<str>,
    /// What it looks at.
    pub filter: RuleFilter,
    /// What it measures.
    pub measure: Measure,
    /// What it compares with.
    pub limit: Limit,
    /// How grave a finding is.
    pub severity: Severity,
    /// Clause it was read from, as printed with a finding.
    pub source: Arc<str>,
    /// Where it is described.
    pub span: Span,
}

/// A set of limits, as data.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RuleSet {
    /// Its name.
    pub name: Arc<str>,
    /// What it is, with the year.
    pub title: Arc<str>,
    /// What the shop must do before relying on it.
    pub verify: Arc<str>,
    /// Its rules.
    pub rules: Vec<Rule>,
}
