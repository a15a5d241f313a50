//! The tree of one members file, as written.
//!
//! Nodes hold places in the text, never copies of it: read a name with [`At::text`] or
//! [`At::words`]. Children lie side by side in a few long vectors of the [`Tree`]; a node holds a
//! [`Slice`] or an [`ExprId`] of them. What could not be read is there as `Broken` or `Missing`,
//! already reported: whoever meets one says nothing more about it.
//!
//! Long because it is the whole vocabulary of the language, one type a production of
//! `grammar/members.ebnf`: parser, printer and resolver are read beside it, not beside six files.

mod expression;
pub mod origin;
mod store;

use crate::member::model::{End, Faces, FrameKind, Usage};

pub use expression::{Arg, Binary, Call, Expr, Number, Tolerance, Unary, Unit};
pub use store::{At, Child, ExprId, Slice, Tree};

/// One parameter of a recipe or group.
#[derive(Clone, Copy, Debug)]
pub struct Param {
    /// Its name.
    pub name: At,
    /// Its default; may speak of the parameters before it.
    pub default: Option<ExprId>,
}

/// `let name = value`.
#[derive(Clone, Copy, Debug)]
pub struct Let {
    /// All of it.
    pub at: At,
    /// Its name.
    pub name: At,
    /// Its value.
    pub value: ExprId,
}

/// Something said about a member, or as default for all members of a recipe, frame or job.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// All of it.
    pub at: At,
    /// What is said.
    pub kind: SettingKind,
}

/// See [`Setting`].
#[derive(Clone, Copy, Debug)]
pub enum SettingKind {
    /// `length 2386`.
    Length(ExprId),
    /// `tolerance 0.5`: of features along the member.
    Tolerance(Tolerance),
    /// `length-tolerance -1/+0`.
    LengthTolerance(Tolerance),
    /// `profile C90`: an alias of the job or, in quotes or not, a profile of the library.
    Profile(At),
    /// `quantity 2`.
    Quantity(ExprId),
    /// `turnable`, `not turnable`.
    Turnable(bool),
    /// `mark-text "KP07 {frame}-{mark}"`; a string.
    MarkText(At),
}

/// `{ … }` of a recipe, group, member, condition or repetition.
#[derive(Clone, Copy, Debug)]
pub struct Block {
    /// From `{` to `}`.
    pub at: At,
    /// What is in it. Holds a `Broken` wherever something could not be read.
    pub statements: Slice<Statement>,
}

/// What can stand in a [`Block`].
#[derive(Clone, Copy, Debug)]
pub enum Statement {
    /// A constant, known from here to the end of its block.
    Let(Let),
    /// A condition.
    If(If),
    /// A repetition.
    For(For),
    /// Something said about the member.
    Setting(Setting),
    /// Shape of one end or both.
    EndShape(EndShape),
    /// A feature, at one place or many.
    Feature(Feature),
    /// A recipe, or a group placed.
    Call(Placed),
    /// Could not be read; reported already.
    Broken(At),
}

/// `if … { } else if … { } else { }`.
#[derive(Clone, Copy, Debug)]
pub struct If {
    /// All of it.
    pub at: At,
    /// Conditions in order, each with its block.
    pub branches: Slice<Branch>,
    /// Block of the last `else`.
    pub otherwise: Option<Block>,
}

/// One condition and its block.
#[derive(Clone, Copy, Debug)]
pub struct Branch {
    /// When.
    pub condition: ExprId,
    /// What.
    pub block: Block,
}

/// `for name in list { }`.
#[derive(Clone, Copy, Debug)]
pub struct For {
    /// All of it.
    pub at: At,
    /// Stands for each item in turn.
    pub name: At,
    /// The list.
    pub list: ExprId,
    /// What is done for each.
    pub block: Block,
}

/// Which ends.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Ends {
    /// One of them.
    One(End),
    /// Both.
    Both,
}

/// Left or right, looking at the outside of the web with the start to the left.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)] // each is its word
pub enum Side {
    Left,
    Right,
}

/// `end slope 4 : 12 long point left`.
#[derive(Clone, Copy, Debug)]
pub struct EndShape {
    /// All of it.
    pub at: At,
    /// Which ends.
    pub ends: Ends,
    /// `None` for `square`.
    pub slope: Option<Slope>,
}

/// A slope across the web.
#[derive(Clone, Copy, Debug)]
pub struct Slope {
    /// Along the member.
    pub rise: ExprId,
    /// Across the web.
    pub run: ExprId,
    /// Flange at which the member is longest; the left one where it is not said. With
    /// `both ends` it is the same flange at both.
    pub long: Option<Side>,
}

/// `hole 12 on web across 10 at 310, end - 310 tolerance 0.5`.
#[derive(Clone, Copy, Debug)]
pub struct Feature {
    /// All of it.
    pub at: At,
    /// Name of its type.
    pub kind: At,
    /// Its size, if said. On a range type placed at single positions it is the range's length,
    /// half of it on each side.
    pub size: Option<Size>,
    /// Its faces, if said.
    pub faces: Option<OnFaces>,
    /// Where across the face, if said: one row each.
    pub across: Slice<ExprId>,
    /// Where along the member.
    pub places: Places,
    /// None, one, or one for each end of a range (`tolerance 0.5 .. -1/+0`).
    pub tolerance: Slice<Tolerance>,
    /// None or one, of the positions across the face.
    pub across_tolerance: Slice<Tolerance>,
}

/// `12` or `60 x 30`.
#[derive(Clone, Copy, Debug)]
pub struct Size {
    /// All of it.
    pub at: At,
    /// Diameter, or extent along the member.
    pub length: ExprId,
    /// Extent across the face.
    pub width: Option<ExprId>,
}

/// `on web and left flange`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OnFaces {
    /// Without `on`.
    pub at: At,
    /// All of them.
    pub faces: Faces,
}

/// Where along the member.
#[derive(Clone, Copy, Debug)]
pub struct Places {
    /// All of it.
    pub at: At,
    /// What is said.
    pub kind: PlacesKind,
}

/// See [`Places`].
#[derive(Clone, Copy, Debug)]
pub enum PlacesKind {
    /// `at 45, every 600 from 600 to 3000, end - 45`. A spot may be a list: it means its items.
    At(Slice<Spot>),
    /// `both ends at 22, 40 .. 60`: at these distances inward from each end. A group placed so is
    /// mirrored at the end.
    Mirrored(Slice<Spot>),
    /// `start`, `end` or `both ends` alone: for types that shape an end.
    Ends(Ends),
}

/// One entry of a list of places.
#[derive(Clone, Copy, Debug)]
pub enum Spot {
    /// A position, or a list of them.
    One(ExprId),
    /// `a .. b`.
    Range(ExprId, ExprId),
    /// `every step from a to b`: a, a + step, … as far as b.
    Every {
        /// All of it.
        at: At,
        /// Step.
        step: ExprId,
        /// First.
        from: ExprId,
        /// Not beyond.
        to: ExprId,
    },
    /// `equal at most s from a to b`: a, b, and the fewest equal spaces of at most s between.
    Equal {
        /// All of it.
        at: At,
        /// Largest space.
        most: ExprId,
        /// First.
        from: ExprId,
        /// Last.
        to: ExprId,
        /// `round 0.5`: positions between are rounded to multiples of this.
        round: Option<ExprId>,
    },
}

/// `plate-joints(22)` or `bolt-square(12) at 300, end - 300`.
#[derive(Clone, Copy, Debug)]
pub struct Placed {
    /// All of it.
    pub at: At,
    /// The recipe or group.
    pub call: Call,
    /// Where a group's centre goes; `None` calls a recipe.
    pub places: Option<Places>,
}

/// One mark or a range of marks: `S1`, `S1..S7`, `2B-14`, `"N 3"`.
#[derive(Clone, Copy, Debug)]
pub struct Marks {
    /// All of it.
    pub at: At,
    /// The first.
    pub from: At,
    /// The last, of a range.
    pub to: Option<At>,
}

/// `member S1..S7 stud length 2386 = recipe(args) { … }`.
#[derive(Clone, Copy, Debug)]
pub struct Member {
    /// All of it.
    pub at: At,
    /// Its marks.
    pub marks: Slice<Marks>,
    /// What it is for; `None` if it could not be read.
    pub usage: Option<Usage>,
    /// Where that is said.
    pub usage_at: At,
    /// What is said before the body.
    pub settings: Slice<Setting>,
    /// Its recipe.
    pub recipe: Option<Call>,
    /// Its body.
    pub body: Option<Block>,
    /// Whether part of its first line could not be read.
    pub broken: bool,
}

/// `frame N1 wall "title" profile C90 quantity 2 { … }`.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// All of it.
    pub at: At,
    /// Its name.
    pub name: At,
    /// What it is; `None` if it could not be read.
    pub kind: Option<FrameKind>,
    /// Title; a string.
    pub title: Option<At>,
    /// What is said before the body.
    pub settings: Slice<Setting>,
    /// From `{` to `}`.
    pub body: At,
    /// What is in it.
    pub parts: Slice<FramePart>,
    /// Whether part of its first line could not be read.
    pub broken: bool,
}

/// What can stand in a frame.
#[derive(Clone, Copy, Debug)]
pub enum FramePart {
    /// A member.
    Member(Member),
    /// A constant, known from here to the end of the frame.
    Let(Let),
    /// A default for the frame's members.
    Setting(Setting),
    /// A waiver limited to this frame.
    Waive(Waive),
    /// Could not be read; reported already.
    Broken(At),
}

/// `waive RULE frame N1 mark S3 reference "…" by "…"`.
#[derive(Clone, Copy, Debug)]
pub struct Waive {
    /// All of it.
    pub at: At,
    /// Which rule or code.
    pub rule: At,
    /// In which frame.
    pub frame: Option<At>,
    /// Of which mark.
    pub mark: Option<At>,
    /// What allows it; a string.
    pub reference: At,
    /// Who allows it; a string.
    pub by: At,
}

/// `job KP07 "title" revision B`.
#[derive(Clone, Copy, Debug)]
pub struct Job {
    /// All of it.
    pub at: At,
    /// Its name.
    pub name: At,
    /// Its title; a string.
    pub title: Option<At>,
    /// Its revision.
    pub revision: Option<At>,
}

/// `recipe name(params) { … }`, or a `group`, whose positions are relative to its centre.
#[derive(Clone, Copy, Debug)]
pub struct Recipe {
    /// All of it.
    pub at: At,
    /// Its name.
    pub name: At,
    /// Its parameters.
    pub params: Slice<Param>,
    /// Its body.
    pub body: Block,
    /// Whether part of its first line could not be read: parameters may be missing.
    pub broken: bool,
}

/// What can stand at the outer level of a file.
#[derive(Clone, Copy, Debug)]
pub enum Item {
    /// A job's title line.
    Job(Job),
    /// Unit of bare numbers in this file.
    Units(At, Unit),
    /// Another file: all of the line, and its path; a string.
    Include(At, At),
    /// `profile C90 = "C90x40-0.75"`: all of the line, the alias, the library's name for it.
    Profile(At, At, At),
    /// A default for the job.
    Setting(Setting),
    /// A constant, known from here to the end of the file and to files that include it.
    Let(Let),
    /// A recipe.
    Recipe(Recipe),
    /// A group.
    Group(Recipe),
    /// A frame.
    Frame(Frame),
    /// A waiver.
    Waive(Waive),
    /// Could not be read; reported already.
    Broken(At),
}

impl Item {
    /// All of it.
    pub const fn at(&self) -> At {
        match self {
            Item::Job(Job { at, .. })
            | Item::Units(at, _)
            | Item::Include(at, _)
            | Item::Profile(at, _, _)
            | Item::Setting(Setting { at, .. })
            | Item::Let(Let { at, .. })
            | Item::Recipe(Recipe { at, .. })
            | Item::Group(Recipe { at, .. })
            | Item::Frame(Frame { at, .. })
            | Item::Waive(Waive { at, .. })
            | Item::Broken(at) => *at,
        }
    }
}

impl FramePart {
    /// All of it.
    pub const fn at(&self) -> At {
        match self {
            FramePart::Member(Member { at, .. })
            | FramePart::Let(Let { at, .. })
            | FramePart::Setting(Setting { at, .. })
            | FramePart::Waive(Waive { at, .. })
            | FramePart::Broken(at) => *at,
        }
    }
}

impl Statement {
    /// All of it.
    pub const fn at(&self) -> At {
        match self {
            Statement::Let(Let { at, .. })
            | Statement::If(If { at, .. })
            | Statement::For(For { at, .. })
            | Statement::Setting(Setting { at, .. })
            | Statement::EndShape(EndShape { at, .. })
            | Statement::Feature(Feature { at, .. })
            | Statement::Call(Placed { at, .. })
            | Statement::Broken(at) => *at,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nodes_stay_small() {
        // The parser's speed is mostly the memory it fills.
        assert!(size_of::<Expr>() <= 32, "{}", size_of::<Expr>());
        assert!(size_of::<Spot>() <= 28, "{}", size_of::<Spot>());
        assert!(size_of::<Statement>() <= 100, "{}", size_of::<Statement>());
    }
}
