use super::Expected;
use super::matching::Matching;
use super::seen::Seen;
use super::wanted::{Target, Wanted};
use super::witness;
use crate::library::model::Library;
use crate::member::model::Faces;
use crate::quantity::Length;
use crate::replay::products::{Piece, Products};
use crate::replay::refusals::Refusals;

/// Room to work in, kept from face to face.
#[derive(Default)]
pub(super) struct Bench {
    matching: Matching,
    order: Vec<usize>,
}

/// One face of one piece.
pub(super) struct Face<'a> {
    pub face: Faces,
    pub name: &'static str,
    pub piece: &'a Piece,
    pub wanted: &'a Expected<'a>,
    /// Whether the piece is taken for one turned end for end: its end came first.
    pub turned: bool,
    /// Real length of the piece.
    pub length: Length,
    pub products: &'a Products<'a>,
    pub library: &'a Library,
}

impl Face<'_> {
    /// Pairs features and marks, and finds what is left on either side. The number of features
    /// found.
    pub(super) fn judge(
        &self,
        marks: &[Seen],
        bench: &mut Bench,
        findings: &mut Refusals,
    ) -> usize {
        let mut seen: Vec<&Seen> = marks
            .iter()
            .filter(|mark| mark.made.faces.contains(self.face) && mark.can_be_on())
            .collect();
        let wanted: Vec<Wanted> = self
            .wanted
            .shape
            .features
            .iter()
            .filter(|feature| feature.faces.contains(self.drawn_face()))
            .map(|feature| {
                let wanted = Wanted::new(feature, self.length, self.library);
                if self.turned { wanted.turned(self.face, self.length) } else { wanted }
            })
            .collect();
        if seen.is_empty() && wanted.is_empty() {
            return 0;
        }
        seen.sort_unstable_by_key(|mark| (mark.on, mark.swept.event, mark.swept.tool));

        let Bench { matching, order } = bench;
        matching.clear(seen.len());
        for one in &wanted {
            // A feature with as many candidates as there are features always finds a free one:
            // more need not be kept.
            let fitting = Self::near(one, &seen).filter(|&index| {
                seen.get(index).is_some_and(|mark| one.is_made_by(mark, self.length, true))
            });
            matching.add(fitting.take(wanted.len()));
        }
        order.clear();
        order.extend(0..wanted.len());
        order.sort_by_key(|&index| wanted.get(index).map(|one| one.first_edge().1));
        matching.solve(order);

        let mut left: Vec<&Seen> = Vec::new();
        for (index, mark) in seen.iter().enumerate() {
            if matching.owner.get(index).is_some_and(Option::is_none) {
                left.push(mark);
            }
        }
        let mut without: Vec<&Wanted> = Vec::new();
        for (one, mark) in wanted.iter().zip(&matching.mark) {
            if mark.is_none() {
                without.push(one);
            }
        }
        if left.is_empty() && without.is_empty() {
            return wanted.len();
        }
        self.join(&wanted, &matching.mark, &seen, &mut left, &mut without);
        let found = wanted.len() - without.len();
        witness::report(self, &without, &left, findings);
        found
    }

    /// The face of the drawing that lies here.
    fn drawn_face(&self) -> Faces {
        const SIDES: [(Faces, Faces); 2] =
            [(Faces::LEFT_FLANGE, Faces::RIGHT_FLANGE), (Faces::LEFT_LIP, Faces::RIGHT_LIP)];
        let other = |(left, right): &(Faces, Faces)| match self.face {
            face if face == *left => Some(*right),
            face if face == *right => Some(*left),
            _ => None,
        };
        let other = SIDES.iter().find_map(other).filter(|_| self.turned);
        other.unwrap_or(self.face)
    }

    /// Indices of the marks whose first edge lies where this feature's may.
    fn near(one: &Wanted, seen: &[&Seen]) -> std::ops::Range<usize> {
        let (from, to) = one.first_edge();
        let first = seen.partition_point(|mark| mark.on.0 < from);
        let last = seen.partition_point(|mark| mark.on.0 <= to);
        first..last.max(first)
    }

    /// Several marks that overlap may together sweep one feature that reaches from edge to edge:
    /// gives marks that are left to such features, and takes both off the lists where the sweep
    /// is whole and its edges fit, however each mark is off within its accuracy.
    fn join<'s>(
        &self,
        wanted: &'s [Wanted<'s>],
        single: &[Option<usize>],
        seen: &[&'s Seen<'s>],
        left: &mut Vec<&'s Seen<'s>>,
        without: &mut Vec<&'s Wanted<'s>>,
    ) {
        for (index, one) in wanted.iter().enumerate() {
            if left.is_empty() {
                return;
            }
            if !matches!(one.target, Target::Span { .. }) {
                continue;
            }
            let own = single.get(index).copied().flatten();
            let mut sweep: Vec<&Seen> =
                left.iter().copied().filter(|mark| one.may_hold(mark)).collect();
            if sweep.is_empty() {
                continue;
            }
            sweep.extend(own.and_then(|mark| seen.get(mark).copied()));
            if !self.sweeps(one, &mut sweep) {
                continue;
            }
            left.retain(|mark| !one.may_hold(mark));
            without.retain(|other| !std::ptr::eq(*other, one));
        }
    }

    /// Whether these marks together are the feature.
    fn sweeps(&self, one: &Wanted, sweep: &mut [&Seen]) -> bool {
        sweep.sort_unstable_by_key(|mark| (mark.from, mark.to));
        let clip = |x: Length| x.max(Length::ZERO).min(self.length);
        let mut first: Option<(Length, Length)> = None;
        let mut last: Option<(Length, Length)> = None;
        for mark in sweep.iter() {
            let (a, b) = (mark.from - mark.accuracy, mark.from + mark.accuracy);
            let (c, d) = (mark.to - mark.accuracy, mark.to + mark.accuracy);
            // The furthest place swept for certain must reach this mark's last possible start.
            if let Some((sure, _)) = last
                && clip(b) > clip(sure)
            {
                return false;
            }
            first = Some(first.map_or((a, b), |(x, y)| (x.min(a), y.min(b))));
            last = Some(last.map_or((c, d), |(x, y)| (x.max(c), y.max(d))));
        }
        match (first, last) {
            (Some(first), Some(last)) => one.edges_fit(first, last, self.length),
            _ => false,
        }
    }
}
