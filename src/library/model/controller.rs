use crate::quantity::{Length, Span};

/// How much a controller is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Level {
    /// Every advance and every stroke.
    Stop,
    /// Members and where their features are: when to stop and to fire is the controller's, as
    /// this model of it says.
    Member(Controller),
}

impl Level {
    /// Its name in a description.
    pub const fn word(&self) -> &'static str {
        match self {
            Level::Stop => "stop",
            Level::Member(_) => "member",
        }
    }
    /// The controller, at member level.
    pub const fn controller(&self) -> Option<&Controller> {
        match self {
            Level::Stop => None,
            Level::Member(controller) => Some(controller),
        }
    }
}

/// What a controller at member level does with the members it is given, one after the other along
/// the strip: the first begins where the strip does when the run begins, the next where the cut
/// of the one before ends. A cut is at the end of its member.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Controller {
    /// Whose work the distances of the stations are.
    pub offsets: Offsets,
    /// Strokes that are due within this distance of the first of them are done where that is due.
    /// A cut is between those due before it and those due after it, and is never moved.
    pub merges: Length,
    /// Strokes due at the same advance.
    pub ties: Ties,
    /// To which of the points that the line can stop at an advance is moved.
    pub snapping: Snapping,
    /// Where it is described.
    pub span: Span,
}

/// Whose work the distances of the stations from the shear are, as the line's file has them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Offsets {
    /// The controller's: a program says where on the member a feature is.
    Controller,
    /// The program's: it says how far the member has passed the shear when its tool fires.
    Program,
}

/// Strokes due at the same advance. A cut due there comes after them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ties {
    /// All of them in one phase.
    Together,
    /// One after the other: the earlier member's first, and within a member as listed.
    Listed,
}

/// To which point an advance is moved.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Snapping {
    /// The nearest; the upper one of two.
    Nearest,
    /// The last one not beyond it.
    Down,
}

impl Controller {
    /// What it is taken to do, one sentence each.
    pub fn sentences(&self) -> Vec<String> {
        let mut told = vec![
            "It makes the members one after the other as listed, from the strip's edge on, and \
             cuts each at its length."
                .to_string(),
            match self.offsets {
                Offsets::Controller => {
                    "It knows how far each station is from the shear, as the line's file has it."
                }
                Offsets::Program => {
                    "It fires a tool when its member has passed the shear by the figure given."
                }
            }
            .to_string(),
            match self.snapping {
                Snapping::Nearest => "It stops at the point of the line nearest to what is due.",
                Snapping::Down => "It stops at the last point of the line before what is due.",
            }
            .to_string(),
            match self.ties {
                Ties::Together => "Strokes due at one advance fire together, before a cut there.",
                Ties::Listed => {
                    "Strokes due at one advance fire one after the other, the earlier member's \
                     first and else as listed, before a cut there."
                }
            }
            .to_string(),
        ];
        told.push(match self.merges {
            Length::ZERO => "It merges no strokes that are due apart.".to_string(),
            merges => format!(
                "Strokes due within {merges} mm of the first of them are done there, but none \
                 across a cut."
            ),
        });
        told
    }
}
