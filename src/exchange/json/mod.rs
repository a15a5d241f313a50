//! A job as JSON, in a schema of our own: what members text says, for scripts.
//!
//! Sizes are text with a unit, as in the shop's files, and as exact: `"2396 mm"`, `"3/32 in"`.

mod place;
mod read;
mod words;
mod write;

use super::drawn::{DrawnMember, DrawnWaiver};
use crate::member::model;
use crate::quantity;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use words::{Figure, Kind, Usage};

pub(super) use read::place_of;
pub use read::{load, read};
pub use write::write;

/// The version that is written and read.
const FORM: &str = "coilwright members 1";

/// A job: frames of members with their features.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Members {
    /// Always `coilwright members 1`.
    format: String,
    /// Which contract.
    job: Job,
    /// Its frames.
    frames: Vec<Frame>,
    /// Findings somebody has taken responsibility for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    waivers: Vec<Waiver>,
}

/// A contract.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Job {
    /// Its identifier.
    name: String,
    /// Its title.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    title: String,
    /// Its revision.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    revision: String,
}

/// A frame: the unit of assembly.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Frame {
    /// Its name, unique in the job.
    name: String,
    /// `wall`, `floor`, `truss`, `roof` or `loose`.
    kind: Kind,
    /// Its title.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    title: String,
    /// How many are wanted; 1 when left out.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    quantity: u32,
    /// Its members.
    members: Vec<Member>,
}

/// A member.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Member {
    /// The text a crew looks for, unique in its frame.
    mark: String,
    /// What it is for, in the language's words: `stud`, `top plate`.
    usage: Usage,
    /// How many are wanted; 1 when left out.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    quantity: u32,
    /// Its profile, by the library's name.
    profile: String,
    /// To the long point.
    length: Figure,
    /// How far the length may be off; the profile's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    length_tolerance: Option<Tolerance>,
    /// Shape of the start; square when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    start: Option<Slope>,
    /// Shape of the end; square when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<Slope>,
    /// Whether it may be made turned end for end.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    turnable: bool,
    /// What is printed on it, where not as the batch says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mark_text: Option<String>,
    /// Its features.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    features: Vec<Feature>,
}

/// A sloped end: so much along the member for so much across the web.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Slope {
    /// Along the member; the long point is at the left flange when positive, else at the right.
    rise: i32,
    /// Across the web; above nought.
    run: i32,
}

/// A feature.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Feature {
    /// Its type, by the library's name.
    kind: String,
    /// Diameter, or length along the member, where the type leaves it open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    size: Option<Figure>,
    /// Width across the face, where the type leaves it open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    width: Option<Figure>,
    /// Its faces; the type's usual ones when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    faces: Vec<Face>,
    /// Where across the face; the type's usual place when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    across: Option<Figure>,
    /// How far across it may be off; the type's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    across_tolerance: Option<Tolerance>,
    /// Where its centre is; or `from` and `to`; or `end`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<Place>,
    /// Where it begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    from: Option<Place>,
    /// Where it stops.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    to: Option<Place>,
    /// The end it shapes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<End>,
    /// How far along it (or its beginning) may be off; the type's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tolerance: Option<Tolerance>,
    /// How far its other edge may be off, of a range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    to_tolerance: Option<Tolerance>,
}

/// A position along the member.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Place {
    /// What it is measured from; the start when left out.
    #[serde(default, skip_serializing_if = "Origin::is_start")]
    datum: Origin,
    /// Toward the member's end from there: negative before its end.
    offset: Figure,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Default, Debug)]
#[serde(rename_all = "kebab-case")]
enum Origin {
    #[default]
    Start,
    Middle,
    End,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum End {
    Start,
    End,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum Face {
    Web,
    LeftFlange,
    RightFlange,
    LeftLip,
    RightLip,
}

const FACES: [(Face, model::Faces); 5] = [
    (Face::Web, model::Faces::WEB),
    (Face::LeftFlange, model::Faces::LEFT_FLANGE),
    (Face::RightFlange, model::Faces::RIGHT_FLANGE),
    (Face::LeftLip, model::Faces::LEFT_LIP),
    (Face::RightLip, model::Faces::RIGHT_LIP),
];

/// How far a figure may be below and above.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Tolerance {
    /// Below, as a positive figure.
    minus: Figure,
    /// Above.
    plus: Figure,
}

impl Tolerance {
    fn to_wire(of: quantity::Tolerance) -> Tolerance {
        Tolerance { minus: Figure(of.minus), plus: Figure(of.plus) }
    }
    fn settled(&self) -> quantity::Tolerance {
        quantity::Tolerance { minus: self.minus.0, plus: self.plus.0 }
    }
}

/// A waiver.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Waiver {
    /// Which rule or code.
    rule: String,
    /// Frame it is limited to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    frame: Option<String>,
    /// Mark it is limited to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mark: Option<String>,
    /// Letter, drawing or calculation that allows it.
    reference: String,
    /// Who allows it.
    by: String,
}

fn one() -> u32 {
    1
}
#[allow(clippy::trivially_copy_pass_by_ref)] // serde asks for it
fn is_one(n: &u32) -> bool {
    *n == 1
}
impl Origin {
    #[allow(clippy::trivially_copy_pass_by_ref)]
    fn is_start(&self) -> bool {
        *self == Origin::Start
    }
}

/// One member on one line: how formats without words of their own carry it.
pub(super) fn member_line(member: &DrawnMember) -> String {
    serde_json::to_string(&write::to_wire(member)).unwrap_or_default()
}

/// The member of such a line; `None` where it is none.
pub(super) fn member_of(line: &str) -> Option<DrawnMember> {
    read::from_wire(&serde_json::from_str(line).ok()?).ok()
}

/// What somebody has taken responsibility for, on one line.
pub(super) fn waivers_line(waivers: &[DrawnWaiver]) -> String {
    let wire: Vec<Waiver> = waivers.iter().map(write::waiver).collect();
    serde_json::to_string(&wire).unwrap_or_default()
}

/// The waivers of such a line; `None` where they are none.
pub(super) fn waivers_of(line: &str) -> Option<Vec<DrawnWaiver>> {
    let wire: Vec<Waiver> = serde_json::from_str(line).ok()?;
    Some(wire.into_iter().map(read::waiver).collect())
}
