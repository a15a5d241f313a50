//! Features and placed groups: size, faces, positions, tolerances.

use super::super::lex::Kind;
use super::super::tree::*;
use super::super::words::Word;
use super::{Parsed, Parser};
use crate::member::model::{End, Faces};

impl Parser<'_> {
    /// A statement that begins with a name: a feature, a recipe, or a group placed.
    pub(super) fn feature_or_call(&mut self) -> Parsed<Statement> {
        let kind = self.bump();
        if self.on(Kind::OpenParen) {
            let call = self.deeper(|p| p.call(kind))?;
            let places = if self.at_places() { Some(self.places()?) } else { None };
            return Ok(Statement::Call(Placed { at: self.since(kind), call, places }));
        }
        let size = self.size()?;
        let faces = if self.take_word(Word::On) { Some(self.faces()?) } else { None };
        let across = if self.take_word(Word::Across) { self.rows()? } else { Slice::EMPTY };
        if !self.at_places() {
            return Err(self.say_no_place(kind, size));
        }
        let places = self.places()?;
        let tolerance =
            if self.take_word(Word::Tolerance) { self.tolerances()? } else { Slice::EMPTY };
        let across_tolerance = if self.take_word(Word::AcrossTolerance) {
            let tolerance = self.tolerance()?;
            self.tree.keep(&mut vec![tolerance], 0)
        } else {
            Slice::EMPTY
        };
        Ok(Statement::Feature(Feature {
            at: self.since(kind),
            kind,
            size,
            faces,
            across,
            places,
            tolerance,
            across_tolerance,
        }))
    }

    fn size(&mut self) -> Parsed<Option<Size>> {
        if !matches!(self.token.kind, Kind::Number | Kind::Word(Word::Name)) {
            return Ok(None);
        }
        let start = self.token.at;
        let length = self.dimension()?;
        let width = if self.take_text("x") { Some(self.dimension()?) } else { None };
        Ok(Some(Size { at: self.since(start), length, width }))
    }

    fn dimension(&mut self) -> Parsed<ExprId> {
        match self.token.kind {
            Kind::Number => Ok(self.number()),
            Kind::Word(Word::Name) => {
                let name = self.bump();
                Ok(self.tree.add(Expr::Name(name)))
            }
            _ => Err(self.say_expected(
                "a size",
                "write a number or a name: `hole 12`, `slot 60 x 30`; for sums, `let` a name first",
            )),
        }
    }

    fn faces(&mut self) -> Parsed<OnFaces> {
        let start = self.token.at;
        let mut faces = self.face()?;
        while self.take_word(Word::And) {
            faces |= self.face()?;
        }
        Ok(OnFaces { at: self.since(start), faces })
    }

    fn face(&mut self) -> Parsed<Faces> {
        let sides = [
            ("left", Faces::LEFT_FLANGE, Faces::LEFT_LIP),
            ("right", Faces::RIGHT_FLANGE, Faces::RIGHT_LIP),
        ];
        for (side, flange, lip) in sides {
            if self.take_text(side) {
                for (word, face) in [("flange", flange), ("lip", lip)] {
                    if self.take_text(word) {
                        return Ok(face);
                    }
                }
                return Err(self.say_face());
            }
        }
        for (word, faces) in
            [("web", Faces::WEB), ("flanges", Faces::FLANGES), ("lips", Faces::LIPS)]
        {
            if self.take_text(word) {
                return Ok(faces);
            }
        }
        Err(self.say_face())
    }

    /// Positions across the face. A comma before `at` or `both` belongs to what follows.
    fn rows(&mut self) -> Parsed<Slice<ExprId>> {
        let first = self.scratch.ids.len();
        let read = self.read_rows();
        let rows = self.tree.keep(&mut self.scratch.ids, first);
        read.map(|()| rows)
    }
    fn read_rows(&mut self) -> Parsed<()> {
        loop {
            let row = self.expression("a position across the face")?;
            self.scratch.ids.push(row);
            if !self.on(Kind::Comma) || self.comma_before_places() {
                return Ok(());
            }
            self.bump();
        }
    }

    fn comma_before_places(&mut self) -> bool {
        if !self.on(Kind::Comma) {
            return false;
        }
        let stand = self.stand();
        self.bump();
        let before = self.on_word(Word::At) || self.on_word(Word::Both);
        self.back_to(stand);
        before
    }

    /// Whether places begin here, with or without a comma before them.
    fn at_places(&mut self) -> bool {
        matches!(self.token.kind, Kind::Word(Word::At | Word::Both | Word::Start | Word::End))
            || self.comma_before_places()
    }

    fn places(&mut self) -> Parsed<Places> {
        self.take(Kind::Comma);
        let start = self.token.at;
        let kind = if self.take_word(Word::At) {
            PlacesKind::At(self.spots(true)?)
        } else if self.take_word(Word::Both) {
            self.ends_word()?;
            if self.take_word(Word::At) {
                PlacesKind::Mirrored(self.spots(false)?)
            } else {
                PlacesKind::Ends(Ends::Both)
            }
        } else if self.take_word(Word::Start) {
            PlacesKind::Ends(Ends::One(End::Start))
        } else {
            self.bump();
            PlacesKind::Ends(Ends::One(End::End))
        };
        Ok(Places { at: self.since(start), kind })
    }

    /// `ends`, after `both`.
    pub(super) fn ends_word(&mut self) -> Parsed<()> {
        if self.take_text("ends") {
            return Ok(());
        }
        Err(self.say_expected("`ends`", "write `both ends`"))
    }

    /// Spots, separated by commas; steps only `from_start`, not from both ends.
    fn spots(&mut self, from_start: bool) -> Parsed<Slice<Spot>> {
        let first = self.scratch.spots.len();
        let read = self.read_spots(from_start);
        let spots = self.tree.keep(&mut self.scratch.spots, first);
        read.map(|()| spots)
    }
    fn read_spots(&mut self, from_start: bool) -> Parsed<()> {
        loop {
            let spot = self.spot(from_start)?;
            self.scratch.spots.push(spot);
            if !self.take(Kind::Comma) {
                return Ok(());
            }
        }
    }

    fn spot(&mut self, from_start: bool) -> Parsed<Spot> {
        let start = self.token.at;
        match self.token.kind {
            Kind::Word(Word::Every) if from_start => {
                self.bump();
                let step = self.expression("a step")?;
                let (from, to) = self.bounds()?;
                Ok(Spot::Every { at: self.since(start), step, from, to })
            }
            Kind::Word(Word::Equal) if from_start => {
                self.bump();
                if !(self.take_word(Word::At) && self.take_text("most")) {
                    return Err(self.say_expected(
                        "`at most`",
                        "write `equal at most 600 from 300 to end - 300`",
                    ));
                }
                let most = self.expression("the largest space")?;
                let (from, to) = self.bounds()?;
                let round = if self.take_text("round") {
                    Some(self.expression("a step to round to")?)
                } else {
                    None
                };
                Ok(Spot::Equal { at: self.since(start), most, from, to, round })
            }
            _ => {
                let at = self.expression("a position")?;
                if self.take(Kind::Dots) {
                    return Ok(Spot::Range(at, self.expression("where the range stops")?));
                }
                Ok(Spot::One(at))
            }
        }
    }

    fn bounds(&mut self) -> Parsed<(ExprId, ExprId)> {
        let help = "write `every 600 from 300 to end - 300`: where the first and the last may be";
        if !self.take_word(Word::From) {
            return Err(self.say_expected("`from`", help));
        }
        let from = self.expression("the first position")?;
        if !self.take_word(Word::To) {
            return Err(self.say_expected("`to`", help));
        }
        Ok((from, self.expression("the last position")?))
    }

    fn tolerances(&mut self) -> Parsed<Slice<Tolerance>> {
        let mut both = vec![self.tolerance()?];
        if self.take(Kind::Dots) {
            both.push(self.tolerance()?);
        }
        Ok(self.tree.keep(&mut both, 0))
    }
}
