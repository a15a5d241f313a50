//! Members, features, frames and jobs as values, after every name and expression is settled.
//!
//! A member says what it **is**, never how one line makes it. x runs from the member's start to
//! its end, y across each face from that face's centre line; DEVELOPERS.md has the figure.

use crate::quantity::{Finished, Length, Span, Tolerance};
use std::fmt;
use std::sync::Arc;

/// Index of a feature type in the library.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct FeatureTypeId(pub u16);

/// Index of a profile in the library.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ProfileId(pub u16);

bitflags::bitflags! {
    /// Faces of a section, looking at the outside of the web with the start to the left, the open
    /// side away. "Web" is the flat of the section here, never a truss web.
    #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
    pub struct Faces: u8 {
        /// The web (face).
        const WEB = 1;
        /// The left flange.
        const LEFT_FLANGE = 2;
        /// The right flange.
        const RIGHT_FLANGE = 4;
        /// The lip of the left flange.
        const LEFT_LIP = 8;
        /// The lip of the right flange.
        const RIGHT_LIP = 16;
        /// Both flanges.
        const FLANGES = 2 | 4;
        /// Both lips.
        const LIPS = 8 | 16;
    }
}

impl Faces {
    /// Each single face with the words for it, in the order of the unrolled strip's naming.
    pub const NAMES: [(Faces, &'static str); 5] = [
        (Faces::WEB, "web"),
        (Faces::LEFT_FLANGE, "left flange"),
        (Faces::RIGHT_FLANGE, "right flange"),
        (Faces::LEFT_LIP, "left lip"),
        (Faces::RIGHT_LIP, "right lip"),
    ];
    /// The single faces in it, in a fixed order.
    pub fn each(self) -> impl Iterator<Item = Faces> {
        Faces::NAMES.into_iter().map(|(face, _)| face).filter(move |&face| self.contains(face))
    }
    /// This set seen after the half turn about the web normal: left and right exchanged.
    #[must_use]
    pub fn turned(self) -> Faces {
        let mut turned = self & Faces::WEB;
        turned.set(Faces::LEFT_FLANGE, self.contains(Faces::RIGHT_FLANGE));
        turned.set(Faces::RIGHT_FLANGE, self.contains(Faces::LEFT_FLANGE));
        turned.set(Faces::LEFT_LIP, self.contains(Faces::RIGHT_LIP));
        turned.set(Faces::RIGHT_LIP, self.contains(Faces::LEFT_LIP));
        turned
    }
}

/// `web`, `flanges`, `left flange and web`.
impl fmt::Display for Faces {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut rest = *self;
        let mut words: Vec<&str> = Vec::new();
        for (both, word) in [(Faces::FLANGES, "flanges"), (Faces::LIPS, "lips")] {
            if rest.contains(both) {
                words.push(word);
                rest -= both;
            }
        }
        for (face, word) in Faces::NAMES {
            if rest.contains(face) {
                words.push(word);
            }
        }
        f.write_str(&words.join(" and "))
    }
}

/// One of a member's two ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum End {
    /// x = 0, the end that leaves the line first.
    Start,
    /// x = length.
    End,
}

impl fmt::Display for End {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            End::Start => "start",
            End::End => "end",
        })
    }
}

/// Where a dimension is taken from.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Datum {
    /// The member's start.
    Start,
    /// Half way along.
    Middle,
    /// The member's end.
    End,
}

/// A position along a member: a datum and a signed offset in +x. `end - 45` is `(End, -45)`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Position {
    /// Where it is measured from, by the drawing and by the judge.
    pub datum: Datum,
    /// In +x from there.
    pub offset: Length,
}

impl Position {
    /// This far from the start.
    pub const fn from_start(offset: Length) -> Position {
        Position { datum: Datum::Start, offset }
    }
    /// This far in +x from the end (negative offsets lie on the member).
    pub const fn from_end(offset: Length) -> Position {
        Position { datum: Datum::End, offset }
    }
    /// The coordinate on a member of this actual length.
    pub fn on(self, length: Length) -> Finished {
        let datum = match self.datum {
            Datum::Start => Length::ZERO,
            Datum::Middle => length.half(),
            Datum::End => length,
        };
        Finished::at(datum + self.offset)
    }
}

/// `450`, `end - 45`, `middle + 20`.
impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = match self.datum {
            Datum::Start => return write!(f, "{}", self.offset),
            Datum::Middle => "middle",
            Datum::End => "end",
        };
        if self.offset == Length::ZERO {
            f.write_str(word)
        } else {
            let sign = if self.offset.is_negative() { '-' } else { '+' };
            write!(f, "{word} {sign} {}", self.offset.abs())
        }
    }
}

/// Outline of a feature in two dimensions; `length` runs along the member, `width` across the
/// face.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Outline {
    /// A round hole or dimple.
    Circle {
        /// Its diameter.
        diameter: Length,
    },
    /// A slot with round ends.
    Slot {
        /// Overall, along the member.
        length: Length,
        /// Across the face.
        width: Length,
    },
    /// A rectangle: notches, lip cuts, swages.
    Rectangle {
        /// Along the member.
        length: Length,
        /// Across the face.
        width: Length,
    },
}

impl Outline {
    /// Extent along the member.
    pub const fn length(self) -> Length {
        match self {
            Outline::Circle { diameter } => diameter,
            Outline::Slot { length, .. } | Outline::Rectangle { length, .. } => length,
        }
    }
    /// Extent across the face.
    pub const fn width(self) -> Length {
        match self {
            Outline::Circle { diameter } => diameter,
            Outline::Slot { width, .. } | Outline::Rectangle { width, .. } => width,
        }
    }
}

/// `Ø12`, `60 × 30 slot`, `48 × 12`.
impl fmt::Display for Outline {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Outline::Circle { diameter } => write!(f, "Ø{diameter}"),
            Outline::Slot { length, width } => write!(f, "{length} × {width} slot"),
            Outline::Rectangle { length, width } => write!(f, "{length} × {width}"),
        }
    }
}

/// Where along the member a feature lies, with its own tolerance.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// Its outline's centre is at a position.
    Point {
        /// Where the centre is.
        at: Position,
        /// How far it may be off.
        tolerance: Tolerance,
    },
    /// It reaches from one position to another; each has its own tolerance.
    Range {
        /// Where it begins.
        from: Position,
        /// How far that may be off.
        from_tolerance: Tolerance,
        /// Where it stops.
        to: Position,
        /// How far that may be off.
        to_tolerance: Tolerance,
    },
    /// It reaches inward from an end by its outline's length.
    End {
        /// Which end.
        end: End,
        /// How far its inner edge may be off.
        tolerance: Tolerance,
    },
}

impl Place {
    /// First and last nominal coordinate it covers on a member of this length, for an outline of
    /// this extent along the member.
    pub fn extent(self, outline: Outline, length: Length) -> (Finished, Finished) {
        match self {
            Place::Point { at, .. } => {
                let first = at.on(length) - outline.length().half();
                (first, first + outline.length())
            }
            Place::Range { from, to, .. } => (from.on(length), to.on(length)),
            Place::End { end: End::Start, .. } => (Finished::ZERO, Finished::at(outline.length())),
            Place::End { end: End::End, .. } => {
                (Finished::at(length - outline.length()), Finished::at(length))
            }
        }
    }
    /// The tightest of its tolerances, as the smaller half-width.
    pub fn tightest(self) -> Tolerance {
        match self {
            Place::Point { tolerance, .. } | Place::End { tolerance, .. } => tolerance,
            Place::Range { from_tolerance: a, to_tolerance: b, .. } => {
                Tolerance { minus: a.minus.min(b.minus), plus: a.plus.min(b.plus) }
            }
        }
    }
}

/// Something made on a member.
///
/// Features that differ only in their face are one feature on several faces: resolve merges
/// them, so a dimple written once `on flanges` and one written twice mean the same.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Feature {
    /// Its type.
    pub kind: FeatureTypeId,
    /// On which faces; one mark on each.
    pub faces: Faces,
    /// Where along the member.
    pub place: Place,
    /// Where across each face, from its centre line.
    pub across: Length,
    /// How far across may be off.
    pub across_tolerance: Tolerance,
    /// Its outline, with every size settled. For a range the length is nominal `to − from`.
    pub outline: Outline,
    /// Where it is written.
    pub span: Span,
}

/// Shape of a member's end.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum EndShape {
    /// Cut square across.
    #[default]
    Square,
    /// Cut on a slope across the web, `rise` along the member per `run` across it; the long point
    /// is at the left flange when `rise` is positive, at the right when negative.
    Slope {
        /// Along the member.
        rise: i32,
        /// Across the web; positive.
        run: i32,
    },
}

/// Everything about a member but its name: shared by all members that are made alike.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shape {
    /// Its profile.
    pub profile: ProfileId,
    /// To the long point.
    pub length: Length,
    /// How far the length may be off.
    pub length_tolerance: Tolerance,
    /// Shape of the start.
    pub start: EndShape,
    /// Shape of the end.
    pub end: EndShape,
    /// Whether it may be made turned end for end (half turn about the web normal).
    pub turnable: bool,
    /// Its features, by nominal position from the start, then type, then face.
    pub features: Vec<Feature>,
}

impl Shape {
    /// The member turned end for end: its half turn about the web normal, the only one that lays a
    /// channel on itself. What was at x is at length − x, left is right. `None` where one feature
    /// lies off the middle of the web and on another face too: no one figure says where it is then.
    pub fn turned(&self) -> Option<Shape> {
        let features = self.features.iter().rev().map(Feature::turned);
        Some(Shape {
            start: self.end.turned(),
            end: self.start.turned(),
            features: features.collect::<Option<Vec<Feature>>>()?,
            ..self.clone()
        })
    }
}

impl EndShape {
    fn turned(self) -> EndShape {
        match self {
            EndShape::Square => EndShape::Square,
            // Along the member and across the web both change their sign.
            EndShape::Slope { rise, run } => EndShape::Slope { rise: -rise, run },
        }
    }
}

impl Feature {
    fn turned(&self) -> Option<Feature> {
        let web = self.faces.contains(Faces::WEB);
        if web && self.faces != Faces::WEB && self.across != Length::ZERO {
            return None;
        }
        let place = match self.place {
            Place::Point { at, tolerance } => {
                Place::Point { at: at.turned(), tolerance: tolerance.swapped() }
            }
            Place::Range { from, from_tolerance, to, to_tolerance } => Place::Range {
                from: to.turned(),
                from_tolerance: to_tolerance.swapped(),
                to: from.turned(),
                to_tolerance: from_tolerance.swapped(),
            },
            Place::End { end, tolerance } => Place::End {
                end: match end {
                    End::Start => End::End,
                    End::End => End::Start,
                },
                tolerance: tolerance.swapped(),
            },
        };
        Some(Feature {
            faces: self.faces.turned(),
            place,
            across: if web { -self.across } else { self.across },
            across_tolerance: if web {
                self.across_tolerance.swapped()
            } else {
                self.across_tolerance
            },
            ..*self
        })
    }
}

impl Position {
    fn turned(self) -> Position {
        let datum = match self.datum {
            Datum::Start => Datum::End,
            Datum::Middle => Datum::Middle,
            Datum::End => Datum::Start,
        };
        Position { datum, offset: -self.offset }
    }
}

/// What a member is for.
///
/// Words that mean the same in different countries are one usage; a word that means two members
/// in two countries is none.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Usage {
    /// Vertical wall member.
    Stud,
    /// Stud beside an opening, full height.
    KingStud,
    /// Stud under a header, beside the king stud.
    TrimmerStud,
    /// Short stud above or below an opening (cripple in the US).
    CrippleStud,
    /// Horizontal at the top (top track, top plate).
    TopPlate,
    /// Horizontal at the bottom (bottom track, bottom plate).
    BottomPlate,
    /// Track or plate where top and bottom are not told apart.
    Plate,
    /// Between studs (nogging, blocking, dwang, bridging).
    Nogging,
    /// Over an opening (header, lintel).
    Lintel,
    /// Under an opening.
    Sill,
    /// Diagonal brace.
    Brace,
    /// Floor joist.
    Joist,
    /// Perimeter of a floor (bearer, rim, boundary joist).
    Rim,
    /// Roof rafter.
    Rafter,
    /// Top chord of a truss.
    TopChord,
    /// Bottom chord of a truss.
    BottomChord,
    /// Web member of a truss.
    TrussWeb,
    /// Batten, purlin or girt.
    Batten,
    /// Anything else.
    Other,
}

/// One member as drawn.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Member {
    /// The text a crew looks for; unique in its frame.
    pub mark: Arc<str>,
    /// What is printed on the piece (job, frame and mark as the shop wants them).
    pub mark_text: Arc<str>,
    /// What it is for.
    pub usage: Usage,
    /// How many are wanted.
    pub quantity: u32,
    /// How it is made.
    pub shape: Arc<Shape>,
    /// Where it is written.
    pub span: Span,
    /// Where it was imported from.
    pub origin: Option<Arc<Origin>>,
}

/// The place in a list or model of the drawing office that a member was imported from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Origin {
    /// Name of its file.
    pub file: Box<str>,
    /// Where in it: a row or line, or an instance of a model. A file of one part has neither.
    pub at: Option<OriginAt>,
    /// Whether the members file has been changed since.
    pub changed: bool,
}

/// See [`Origin`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OriginAt {
    /// Row of a list or line of another text, from 1.
    Row(u32),
    /// Number of an instance: `#123`.
    Instance(u64),
}

impl Origin {
    /// Of what `import` wrote behind a member: `walls.csv:14`, `model.ifc:#123`, `s1.nc`.
    pub fn said(said: &str, changed: bool) -> Origin {
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        let placed = said.rsplit_once(':').and_then(|(file, at)| {
            let at = match at.strip_prefix('#') {
                Some(number) if digits(number) => OriginAt::Instance(number.parse().ok()?),
                None if digits(at) => OriginAt::Row(at.parse().ok()?),
                _ => return None,
            };
            Some((file, at))
        });
        let (file, at) = placed.map_or((said, None), |(file, at)| (file, Some(at)));
        Origin { file: file.into(), at, changed }
    }
}

/// `walls.csv:14`, as it was written.
impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        match self.at {
            Some(OriginAt::Row(row)) => write!(f, ":{row}"),
            Some(OriginAt::Instance(number)) => write!(f, ":#{number}"),
            None => Ok(()),
        }
    }
}

/// What a frame is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FrameKind {
    /// A wall frame.
    Wall,
    /// A floor panel.
    Floor,
    /// A roof truss or panel.
    Truss,
    /// Roof panel or rafters.
    Roof,
    /// Loose members.
    Loose,
}

/// A unit of assembly and of bundling.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Frame {
    /// Its name, unique in its job.
    pub name: Arc<str>,
    /// What it is.
    pub kind: FrameKind,
    /// Title, may be empty.
    pub title: Arc<str>,
    /// How many of this frame are wanted (each makes all its members).
    pub quantity: u32,
    /// Its members, as written.
    pub members: Vec<Member>,
    /// Where it is written.
    pub span: Span,
}

/// A finding someone has taken responsibility for: shown once in the report, not as a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Waiver {
    /// Which rule or code.
    pub rule: Arc<str>,
    /// Frame it is limited to; all when `None`.
    pub frame: Option<Arc<str>>,
    /// Mark it is limited to; all when `None`.
    pub mark: Option<Arc<str>>,
    /// Letter, drawing or calculation that allows it.
    pub reference: Arc<str>,
    /// Who allowed it.
    pub by: Arc<str>,
    /// Where it is written.
    pub span: Span,
}

/// A contract.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Job {
    /// Its identifier.
    pub name: Arc<str>,
    /// Title, may be empty.
    pub title: Arc<str>,
    /// Revision, may be empty.
    pub revision: Arc<str>,
    /// Its frames, as written.
    pub frames: Vec<Frame>,
    /// What was waived.
    pub waivers: Vec<Waiver>,
    /// Whether every member written of it is here: if not, what a waiver was for may be missing.
    pub whole: bool,
    /// Where it is written.
    pub span: Span,
}

impl Job {
    /// Each frame with each of its members.
    pub fn members(&self) -> impl Iterator<Item = (&Frame, &Member)> {
        self.frames.iter().flat_map(|frame| frame.members.iter().map(move |m| (frame, m)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::FileId;

    #[test]
    fn what_an_import_said_is_file_and_place() {
        let said = |text| Origin::said(text, false);
        assert_eq!(said("a.csv:14").at, Some(OriginAt::Row(14)));
        assert_eq!(said("a.ifc:#123").at, Some(OriginAt::Instance(123)));
        for text in ["a.csv:14", "a.ifc:#123", "s1.nc", "old:list", "a:", "a:#", "a:+5", ":7"] {
            assert_eq!(said(text).to_string(), text);
        }
        assert_eq!((&*said("a:b.csv:3").file, said("a:+5").at), ("a:b.csv", None));
    }

    #[test]
    fn a_half_turn_exchanges_the_ends_and_the_sides() {
        let mm = Length::from_mm;
        let feature = |faces, place, across| Feature {
            kind: FeatureTypeId(0),
            faces,
            place,
            across,
            across_tolerance: Tolerance { minus: mm(1), plus: mm(2) },
            outline: Outline::Circle { diameter: mm(12) },
            span: Span::new(FileId(0), 0, 0),
        };
        let uneven = Tolerance { minus: mm(3), plus: mm(4) };
        let point = |at| Place::Point { at, tolerance: uneven };
        // 300 from the start, 25 left of the web's middle; on the left flange, 10 before the end.
        let web = feature(Faces::WEB, point(Position::from_start(mm(300))), mm(25));
        let left = feature(Faces::LEFT_FLANGE, point(Position::from_end(-mm(10))), mm(3));
        let turned = web.turned().unwrap();
        let swapped = Tolerance { minus: mm(4), plus: mm(3) };
        assert_eq!(
            turned.place,
            Place::Point { at: Position::from_end(-mm(300)), tolerance: swapped }
        );
        assert_eq!((turned.across, turned.across_tolerance.minus), (-mm(25), mm(2)));
        let turned = left.turned().unwrap();
        assert_eq!((turned.faces, turned.across), (Faces::RIGHT_FLANGE, mm(3)));
        assert_eq!(turned.across_tolerance, left.across_tolerance);
        for one in [web, left] {
            assert_eq!(one.turned().and_then(|turned| turned.turned()), Some(one));
        }
        // One figure across cannot stand for the web and a flange both, but on their middles.
        let both = Faces::WEB | Faces::LEFT_FLANGE;
        assert_eq!(feature(both, point(Position::from_start(mm(1))), mm(5)).turned(), None);
        let lips = (Faces::LIPS, Faces::LEFT_LIP, Faces::WEB);
        assert_eq!(
            (lips.0.turned(), lips.1.turned(), lips.2.turned()),
            (Faces::LIPS, Faces::RIGHT_LIP, Faces::WEB)
        );
    }
}
