use super::face::Face;
use super::subject::Item;
use crate::library::model::OutlineForm;
use crate::member::model::Outline;

/// An outline on one face, in half-nanometres: a box, and how far it is rounded off.
///
/// Circle and slot are what a disc sweeps along a core (a point or a stretch); a rectangle is its
/// own core with a disc of no size. Distances between any two are then exact.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Placed {
    /// Along the member.
    pub(super) x: (i64, i64),
    /// Across the face; see [`Face`].
    pub(super) y: (i64, i64),
    /// Radius its corners are rounded with.
    round: i64,
}

impl Placed {
    /// A feature on a face. A type that covers the whole face is kept to this one: its width is
    /// the widest of its faces.
    pub(super) fn new(item: &Item<'_>, face: &Face) -> Placed {
        let feature = item.feature;
        let (middle, half) = (2 * feature.across.nm(), feature.outline.width().nm());
        let mut y = (middle - half, middle + half);
        if whole_face(item) {
            y = (y.0.max(face.edge.0), y.1.min(face.edge.1));
        }
        let round = match feature.outline {
            Outline::Circle { diameter } => diameter.nm(),
            Outline::Slot { length, width } => length.nm().min(width.nm()),
            Outline::Rectangle { .. } => 0,
        };
        Placed { x: item.x, y, round }
    }

    pub(super) fn centre(&self) -> (i64, i64) {
        // Sums of both edges: quarter-nanometres would not be exact otherwise.
        (self.x.0 + self.x.1, self.y.0 + self.y.1)
    }

    /// Square of the distance between the cores, and what rounding takes off it, both in
    /// half-nanometres: the outlines lie `√square − round` apart.
    fn apart(&self, other: &Placed) -> (i128, i128) {
        let gap = |a: (i64, i64), ar: i64, b: (i64, i64), br: i64| {
            let (a, b) = ((a.0 + ar, a.1 - ar), (b.0 + br, b.1 - br));
            i128::from((b.0 - a.1).max(a.0 - b.1).max(0))
        };
        let dx = gap(self.x, self.round, other.x, other.round);
        let dy = gap(self.y, self.round, other.y, other.round);
        (dx * dx + dy * dy, i128::from(self.round) + i128::from(other.round))
    }

    /// Whether less than `least` half-nanometres of steel stand between the two. With a `least`
    /// of zero: whether they overlap (touching is not overlapping).
    pub(super) fn nearer_than(&self, other: &Placed, least: i64) -> bool {
        let (square, round) = self.apart(other);
        let needed = round + i128::from(least);
        needed > 0 && square < needed * needed
            || needed <= 0 && least == 0 && self.boxes_meet(other)
    }

    /// Whether the insides of two rectangles meet.
    fn boxes_meet(&self, other: &Placed) -> bool {
        self.x.0 < other.x.1 && other.x.0 < self.x.1 && self.y.0 < other.y.1 && other.y.0 < self.y.1
    }

    /// Steel between the two, in half-nanometres, rounded down; nothing where they overlap.
    pub(super) fn clear(&self, other: &Placed) -> i64 {
        let (square, round) = self.apart(other);
        i64::try_from(square.isqrt() - round).unwrap_or(i64::MAX).max(0)
    }

    /// Square of the distance of the centres, in quarter-nanometres.
    pub(super) fn centres_squared(&self, other: &Placed) -> i128 {
        let (a, b) = (self.centre(), other.centre());
        let (dx, dy) = (i128::from(b.0 - a.0), i128::from(b.1 - a.1));
        dx * dx + dy * dy
    }
}

/// Whether the type covers its faces from edge to edge.
pub(super) fn whole_face(item: &Item<'_>) -> bool {
    matches!(item.kind.outline, OutlineForm::Rectangle { width: None, .. })
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: i64 = 2_000_000;

    fn circle(x: i64, y: i64, d: i64) -> Placed {
        let r = d * MM / 2;
        Placed { x: (x * MM - r, x * MM + r), y: (y * MM - r, y * MM + r), round: r }
    }
    fn rectangle(x: (i64, i64), y: (i64, i64)) -> Placed {
        Placed { x: (x.0 * MM, x.1 * MM), y: (y.0 * MM, y.1 * MM), round: 0 }
    }

    #[test]
    fn circles_pass_each_other_on_the_diagonal() {
        // 3-4-5: centres 50 apart, radii 10 and 15, so 25 of steel.
        let (a, b) = (circle(0, 0, 20), circle(30, 40, 30));
        assert_eq!(a.clear(&b), 25 * MM);
        assert!(!a.nearer_than(&b, 25 * MM) && a.nearer_than(&b, 25 * MM + 1));
        assert!(!a.nearer_than(&b, 0));
    }

    #[test]
    fn touching_is_not_overlapping() {
        assert!(!circle(0, 0, 20).nearer_than(&circle(20, 0, 20), 0));
        assert!(circle(0, 0, 20).nearer_than(&circle(19, 0, 20), 0));
        let a = rectangle((0, 10), (0, 10));
        assert!(!a.nearer_than(&rectangle((10, 20), (0, 10)), 0));
        assert!(a.nearer_than(&rectangle((9, 20), (9, 12)), 0));
        assert!(a.nearer_than(&rectangle((2, 3), (2, 3)), 0), "one inside the other");
        assert!(!circle(14, 14, 10).nearer_than(&a, 0), "past the corner");
        assert!(circle(13, 13, 10).nearer_than(&a, 0), "over the corner");
    }

    #[test]
    fn a_slot_is_rounded_at_its_ends() {
        let slot = Placed { x: (0, 60 * MM), y: (-15 * MM, 15 * MM), round: 15 * MM };
        // Straight behind its end, and past its corner, where a rectangle would meet.
        assert_eq!(slot.clear(&circle(75, 0, 10)), 10 * MM);
        assert!(!slot.nearer_than(&circle(60, 15, 10), 0));
        assert!(rectangle((0, 60), (-15, 15)).nearer_than(&circle(60, 15, 10), 0));
    }
}
