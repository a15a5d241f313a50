//! The second judge: pieces, marks and times in floating point.

use super::{Bench, Piece};
use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::program::{Event, Program, Serial, move_time};
use coilwright::quantity::{Advance, Length, Time, Tolerance};

/// Rounding of what is exact elsewhere, in millimetres.
const ROUND: f64 = 1e-5;

/// Executes a program by itself.
pub struct Naive<'a> {
    pub bench: Bench<'a>,
    pub program: &'a Program,
    /// Whether the piece has to be right however the line and its tools are off within their
    /// accuracies; otherwise as programmed.
    pub strict: bool,
}

/// One mark as it lies on a piece, in millimetres of finished member from its start.
#[derive(Clone, Copy, Debug)]
struct Mark<'a> {
    made: &'a Made,
    faces: Faces,
    across: f64,
    /// Past the piece's ends where it reaches there.
    from: f64,
    to: f64,
    /// How far it may be off.
    by: f64,
}

impl Mark<'_> {
    /// Its edges on a piece so long: where the first may lie, and where the last.
    fn edges(&self, length: f64) -> ((f64, f64), (f64, f64)) {
        let on = |x: f64| x.clamp(0.0, length);
        let around = |x: f64| (on(x - self.by), on(x + self.by));
        (around(self.from), around(self.to))
    }
}

/// What a piece is.
#[derive(Clone, Copy)]
struct Dropped {
    serial: Option<Serial>,
    /// From its long point at the start to that at the end, on the strip.
    start: f64,
    cut: f64,
    /// How far the steel is whole from there.
    back: (f64, f64),
    /// How far each of its cuts lies upstream at the left edge of the web, against the right.
    runs: (f64, f64),
    event: usize,
}

pub fn f(length: Length) -> f64 {
    length.nm() as f64 / 1e6
}

fn admits(tolerance: Tolerance, off: f64) -> bool {
    off >= -f(tolerance.minus) - ROUND && off <= f(tolerance.plus) + ROUND
}

impl<'a> Naive<'a> {
    fn by_programs(&self) -> bool {
        self.bench.calibration.applied_by == AppliedBy::Coilwright
    }
    fn stretch(&self) -> f64 {
        let of = self.bench.calibration.profiles.iter().find(|(id, _)| *id == self.bench.profile);
        match of {
            // Behind the rolls there is nothing to stretch any more.
            Some(_) if self.bench.calibration.counted != Counted::Strip => 1.0,
            Some((_, factor)) if self.by_programs() => 1.0 + *factor as f64 / 1e9,
            _ => 1.0,
        }
    }
    fn offset(&self, station: StationId) -> f64 {
        let nominal = f(self.bench.line.stations[usize::from(station.0)].offset);
        let corrected = self.bench.calibration.stations.iter().find(|c| c.station == station);
        let tape = match corrected.filter(|_| self.by_programs()) {
            Some(c) => nominal * (1.0 + c.factor as f64 / 1e9) + f(c.shift),
            None => nominal,
        };
        // So much of it is flat yet, and will be longer or shorter when the encoder meets it.
        match self.bench.calibration.counted {
            Counted::Section { flat_from } if self.by_programs() && tape > f(flat_from) => {
                let of = self.bench.calibration.profiles.iter();
                let mut of = of.filter(|(id, _)| *id == self.bench.profile);
                let factor = of.next().map_or(0.0, |(_, factor)| *factor as f64 / 1e9);
                f(flat_from) + (tape - f(flat_from)) / (1.0 + factor)
            }
            _ => tape,
        }
    }
    /// How far a cut runs along the strip across the web.
    fn run(&self, slope: Slope) -> f64 {
        let web = self.bench.library.profile(self.bench.profile).map_or(0.0, |p| f(p.web));
        web * f64::from(slope.rise) / f64::from(slope.run) * self.stretch()
    }
    /// Every cut that meets strip.
    fn pieces(&self) -> Vec<Dropped> {
        let mut pieces = Vec::new();
        let (mut edge, mut before) = (0.0, 0.0_f64);
        for (index, event) in self.program.events.iter().enumerate() {
            if let Event::Cut { at, piece, slope } = event {
                let at = f(at.distance());
                if at >= edge - 1e-9 {
                    let run = self.run(*slope);
                    pieces.push(Dropped {
                        serial: *piece,
                        start: edge - before.abs() / 2.0,
                        cut: at + run.abs() / 2.0,
                        back: (before.abs(), run.abs()),
                        runs: (before, run),
                        event: index,
                    });
                    before = run;
                    edge = at + f(self.bench.line.shear.slug);
                }
            }
        }
        pieces
    }
    /// What one stroke leaves on the strip.
    fn marks(&self, at: Advance, tool: &'a Tool) -> Vec<(&'a Made, f64, f64)> {
        let c = f(at.distance()) + self.offset(tool.station);
        let slug = f(self.bench.line.shear.slug);
        let long = |made: &Made| f(made.outline.length()) * self.stretch();
        let own = long(&tool.makes);
        let straddles = tool.how == How::Straddle;
        let mut marks = match straddles {
            true => vec![(&tool.makes, c - own, c + slug + own)],
            false => vec![(&tool.makes, c - own / 2.0, c + own / 2.0)],
        };
        for part in &tool.also {
            let (away, half) = (f(part.at) * self.stretch(), long(&part.makes) / 2.0);
            let centres = if straddles { vec![c + slug + away, c - away] } else { vec![c + away] };
            marks.extend(centres.into_iter().map(|x| (&part.makes, x - half, x + half)));
        }
        marks
    }
    /// Whether every wanted piece drops once and is within tolerance, and why not.
    pub fn judge(&self, wanted: &[Piece<'_>]) -> Result<(), String> {
        let pieces = self.pieces();
        for piece in &pieces {
            if let Some(serial) = piece.serial
                && !wanted.iter().any(|w| w.serial == serial)
            {
                return Err(format!("{serial} is nobody's"));
            }
        }
        for one in wanted {
            let mut mine = pieces.iter().filter(|p| p.serial == Some(one.serial));
            let piece = mine.next().ok_or(format!("{} never drops", one.serial))?;
            if mine.next().is_some() {
                return Err(format!("{} drops twice", one.serial));
            }
            self.piece(one, piece)?;
        }
        Ok(())
    }
    fn piece(&self, one: &Piece<'_>, dropped: &Dropped) -> Result<(), String> {
        let &Dropped { start, cut, event: last, .. } = dropped;
        let serial = one.serial;
        let finished = |u: f64| (u - start) / self.stretch();
        let length = finished(cut);
        let off = length - f(one.shape.length);
        let by = if self.strict { f(self.bench.line.accuracy) / self.stretch() } else { 0.0 };
        let tolerance = one.shape.length_tolerance;
        if !admits(tolerance, off - by) || !admits(tolerance, off + by) {
            return Err(format!("{serial} is {length} long"));
        }
        self.text(one, dropped)?;
        let mut marks: Vec<Mark<'_>> = Vec::new();
        // What is done after the piece has dropped does not reach it any more.
        for event in &self.program.events[..last] {
            let Event::Stop { at, strokes } = event else { continue };
            for stroke in strokes {
                let Some(tool) = self.bench.line.tool(stroke.tool) else { continue };
                let by = f(self.bench.line.accuracy) + f(tool.accuracy);
                let by = if self.strict { by } else { 0.0 };
                for (made, from, to) in self.marks(*at, tool) {
                    if (to + by).min(cut) - (from - by).max(start) > 1e-6 {
                        marks.push(Mark {
                            made,
                            faces: made.faces,
                            across: f(made.across),
                            from: finished(from),
                            to: finished(to),
                            by: by / self.stretch(),
                        });
                    }
                }
            }
        }
        let as_drawn = self
            .ends(one.shape, dropped.runs)
            .and_then(|()| self.features(one.shape, length, &marks));
        let section = self.bench.library.profile(one.shape.profile);
        if as_drawn.is_ok() || !one.shape.turnable || !section.is_some_and(Profile::may_turn) {
            return as_drawn.map_err(|why| format!("{serial}, {why}"));
        }
        // Taken up end for end: every mark lies the other way round.
        let turned: Vec<Mark<'_>> = marks.iter().map(|mark| turned(mark, length)).collect();
        // Both cuts have changed places, and kept their slopes.
        self.ends(one.shape, (dropped.runs.1, dropped.runs.0))
            .and_then(|()| self.features(one.shape, length, &turned))
            .map_err(|other| format!("{serial}: {as_drawn:?}; turned, {other}"))
    }
    /// Whether its corners are those of the drawing: the left one of the start lies as far behind
    /// the right one as the start is drawn, and so at the end.
    fn ends(&self, shape: &Shape, (first, last): (f64, f64)) -> Result<(), String> {
        let web = self.bench.library.profile(shape.profile).map_or(0.0, |p| f(p.web));
        let longer_at_left = |end: EndShape| match end {
            EndShape::Square => 0.0,
            EndShape::Slope { rise, run } => web * f64::from(rise) / f64::from(run),
        };
        let got = (-first / self.stretch(), last / self.stretch());
        let wanted = (longer_at_left(shape.start), longer_at_left(shape.end));
        match (got.0 - wanted.0).abs() < ROUND && (got.1 - wanted.1).abs() < ROUND {
            true => Ok(()),
            false => Err(format!("its ends run {got:?}, drawn {wanted:?}")),
        }
    }
    /// Its text, once, whole, in its place; blank only where it could not be printed.
    fn text(&self, one: &Piece<'_>, dropped: &Dropped) -> Result<(), String> {
        let &Dropped { start: long, cut, event: last, back, .. } = dropped;
        let (start, cut) = (long + back.0, cut - back.1);
        let serial = one.serial;
        let Some(marker) = &self.bench.line.marker else { return Ok(()) };
        let mut texts = Vec::new();
        for event in &self.program.events[..last] {
            let Event::Mark { at, text } = event else { continue };
            let from = f(at.distance()) + f(marker.offset);
            let to = from + f(marker.pitch) * text.chars().count() as f64;
            if from < cut && to > start {
                texts.push((from, to, &**text));
            }
        }
        let slack = marker.stamp.map_or(0.0, |stamp| f(stamp.slack));
        let step = f(self.bench.line.grid.increment());
        let due = start + f(marker.from_start) * self.stretch();
        match texts.as_slice() {
            [] => {
                let count = one.mark_text.chars().count();
                let long = f(marker.pitch) * count as f64;
                let first = match self.program.warm {
                    true => 0.0,
                    false => f(self.bench.line.head.first_advance),
                };
                // Every stop near enough, with a hair to spare.
                let middle = ((due - f(marker.offset)) / step).round() as i64;
                let about = if marker.stamp.is_some() { (slack / step).ceil() as i64 } else { 0 };
                let could = (middle - about..=middle + about).any(|n| {
                    let at = n as f64 * step;
                    let from = at + f(marker.offset);
                    let held = match marker.stamp {
                        Some(_) => at <= cut - 1e-3,
                        None => at + long <= cut - 1e-3,
                    };
                    let near = (from - due).abs() <= slack - 1e-3 || about == 0 || n == middle;
                    near && at >= first - 1e-6
                        && from >= start - 1e-6
                        && from + long <= cut - 1e-3
                        && held
                });
                match could && count > 0 && count <= marker.most {
                    true => Err(format!("{serial} is blank")),
                    false => Ok(()),
                }
            }
            [(from, to, text)] => {
                let whole = *from >= start - 1e-6 && *to <= cut + 1e-6;
                let placed = (from - due).abs() <= slack.max(step / 2.0) + ROUND;
                match whole && placed && *text == one.mark_text {
                    true => Ok(()),
                    false => Err(format!("{serial} carries {texts:?}, due at {due}")),
                }
            }
            _ => Err(format!("{serial} carries {texts:?}")),
        }
    }
    fn features(&self, shape: &Shape, length: f64, marks: &[Mark<'_>]) -> Result<(), String> {
        for (face, name) in Faces::NAMES {
            let mut left: Vec<Mark<'_>> =
                marks.iter().filter(|m| m.faces.contains(face)).copied().collect();
            let drawn = || shape.features.iter().filter(|w| w.faces.contains(face));
            let is_point = |feature: &&Feature| matches!(feature.place, Place::Point { .. });
            for feature in drawn().filter(|feature| !is_point(feature)) {
                self.range(feature, length, &mut left).map_err(|why| format!("{name}: {why}"))?;
            }
            let points: Vec<&Feature> = drawn().filter(is_point).collect();
            if points.len() != left.len() {
                return Err(format!(
                    "{name}: {} marks for {} points: {left:?}",
                    left.len(),
                    points.len()
                ));
            }
            pair(&points, &left, length).map_err(|why| format!("{name}: {why}"))?;
        }
        Ok(())
    }
    /// Takes the marks that together sweep a range or an end: features of one type lie so far
    /// apart here that no mark is near two.
    fn range(
        &self,
        feature: &Feature,
        length: f64,
        marks: &mut Vec<Mark<'_>>,
    ) -> Result<(), String> {
        let reach = f(feature.outline.length());
        let (from, from_by, to, to_by) = match feature.place {
            Place::Point { .. } => return Ok(()),
            Place::Range { from, from_tolerance, to, to_tolerance } => {
                (along(from, length), from_tolerance, along(to, length), to_tolerance)
            }
            Place::End { end: End::Start, tolerance } => (0.0, tolerance, reach, tolerance),
            Place::End { end: End::End, tolerance } => {
                (length - reach, tolerance, length, tolerance)
            }
        };
        let whole_face =
            self.bench.library.feature(feature.kind).is_some_and(|kind| {
                matches!(kind.outline, OutlineForm::Rectangle { width: None, .. })
            });
        let mut mine: Vec<((f64, f64), (f64, f64))> = Vec::new();
        marks.retain(|mark| {
            let (first, last) = mark.edges(length);
            let takes = alike(mark, feature, whole_face)
                && first.0 >= from - f(from_by.minus) - ROUND
                && last.1 <= to + f(to_by.plus) + ROUND;
            if takes {
                mine.push((first, last));
            }
            !takes
        });
        // Where its edges lie at the earliest, and at the latest.
        mine.sort_by(|x, y| x.0.0.total_cmp(&y.0.0));
        if mine.is_empty() {
            return Err(format!("nothing from {from} to {to}"));
        }
        let mut reached = f64::NEG_INFINITY;
        for (n, (first, last)) in mine.iter().enumerate() {
            if n > 0 && first.1 > reached {
                return Err(format!("swept in parts: {mine:?}"));
            }
            reached = reached.max(last.0);
        }
        let least = |edges: Vec<f64>| edges.into_iter().fold(f64::INFINITY, f64::min);
        let most = |edges: Vec<f64>| edges.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let first = (
            least(mine.iter().map(|m| m.0.0).collect()),
            least(mine.iter().map(|m| m.0.1).collect()),
        );
        let last = (
            most(mine.iter().map(|m| m.1.0).collect()),
            most(mine.iter().map(|m| m.1.1).collect()),
        );
        let fits = |tolerance, edge: (f64, f64), at: f64| {
            admits(tolerance, edge.0 - at) && admits(tolerance, edge.1 - at)
        };
        match fits(from_by, first, from) && fits(to_by, last, to) {
            true => Ok(()),
            false => Err(format!("swept {first:?}..{last:?} for {from}..{to}")),
        }
    }
    /// Seconds: of strokes with the waits for presses, and of everything.
    pub fn clock(&self) -> (f64, f64) {
        let line = self.bench.line;
        let seconds = |time: Time| time.ns() as f64 / 1e9;
        let (mut now, mut strokes) = (0.0, 0.0);
        let mut blade = Slope::SQUARE;
        let mut struck = vec![f64::NEG_INFINITY; line.presses.len()];
        let mut stood = match self.program.warm {
            true => Advance::ZERO,
            false => Advance::at(line.head.first_advance),
        };
        let feed = |now: &mut f64, stood: &mut Advance, to: Advance| {
            *now += seconds(move_time(&line.feed, to - *stood));
            *stood = to;
        };
        for event in &self.program.events {
            let at = event.at();
            let stands = match event {
                Event::Mark { .. } => line.marker.as_ref().is_some_and(|m| m.stamp.is_some()),
                _ => true,
            };
            if stands && at != stood {
                feed(&mut now, &mut stood, at);
                now += seconds(line.feed.settle);
            }
            match event {
                Event::Stop { strokes: fired, .. } => {
                    let mut phases: Vec<u8> = fired.iter().map(|s| s.phase).collect();
                    phases.sort_unstable();
                    phases.dedup();
                    for phase in phases {
                        let tools: Vec<&Tool> = fired
                            .iter()
                            .filter(|s| s.phase == phase)
                            .filter_map(|s| line.tool(s.tool))
                            .collect();
                        let slow = tools.iter().map(|t| seconds(t.time)).fold(0.0, f64::max);
                        let drives = |press: &Press| {
                            tools.iter().any(|tool| press.stations.contains(&tool.station))
                        };
                        let ready = line
                            .presses
                            .iter()
                            .zip(&struck)
                            .filter(|(press, _)| drives(press))
                            .map(|(press, struck)| struck + seconds(press.recovery))
                            .fold(now, f64::max);
                        strokes += ready - now + slow;
                        now = ready + slow;
                        for (press, struck) in line.presses.iter().zip(&mut struck) {
                            if drives(press) {
                                *struck = now;
                            }
                        }
                    }
                }
                Event::Cut { piece, slope, .. } => {
                    if std::mem::replace(&mut blade, *slope) != *slope {
                        now += seconds(line.shear.slope_time);
                    }
                    now += seconds(line.shear.time);
                    if piece.is_some() {
                        now += seconds(line.unloading);
                    }
                }
                Event::Mark { .. } => {
                    if let Some(stamp) = line.marker.as_ref().and_then(|m| m.stamp) {
                        strokes += seconds(stamp.time);
                        now += seconds(stamp.time);
                    }
                }
            }
        }
        feed(&mut now, &mut stood, self.program.end);
        if blade.rise != 0 {
            now += seconds(line.shear.slope_time);
        }
        (strokes, now)
    }
}

fn along(position: Position, length: f64) -> f64 {
    f(position.offset)
        + match position.datum {
            Datum::Start => 0.0,
            Datum::Middle => length / 2.0,
            Datum::End => length,
        }
}

/// Whether the mark is of this type, outline and place across the face.
fn alike(mark: &Mark<'_>, feature: &Feature, whole_face: bool) -> bool {
    let (made, drawn) = (mark.made.outline, feature.outline);
    let point = matches!(feature.place, Place::Point { .. });
    let spare = if whole_face { (f(made.width()) - f(drawn.width())) / 2.0 } else { 0.0 };
    let off = mark.across - f(feature.across);
    let across = feature.across_tolerance;
    mark.made.kinds.contains(&feature.kind)
        && std::mem::discriminant(&made) == std::mem::discriminant(&drawn)
        && (made.width() == drawn.width() || whole_face && spare >= 0.0)
        && (!point || made.length() == drawn.length())
        && off >= -f(across.minus) - spare - ROUND
        && off <= f(across.plus) + spare + ROUND
}

/// Pairs each point with a mark of its own, trying every way there is.
fn pair(points: &[&Feature], marks: &[Mark<'_>], length: f64) -> Result<(), String> {
    fn serves(
        point: usize,
        fits: &[Vec<usize>],
        owner: &mut [Option<usize>],
        tried: &mut [bool],
    ) -> bool {
        for &mark in &fits[point] {
            if !std::mem::replace(&mut tried[mark], true)
                && owner[mark].is_none_or(|other| serves(other, fits, owner, tried))
            {
                owner[mark] = Some(point);
                return true;
            }
        }
        false
    }
    let fits: Vec<Vec<usize>> = points
        .iter()
        .map(|point| {
            let Place::Point { at, tolerance } = point.place else { return Vec::new() };
            let centre = along(at, length);
            let fits = |mark: &Mark<'_>| {
                let off = (mark.from + mark.to) / 2.0 - centre;
                mark.from - mark.by >= -ROUND
                    && mark.to + mark.by <= length + ROUND
                    && alike(mark, point, false)
                    && admits(tolerance, off - mark.by)
                    && admits(tolerance, off + mark.by)
            };
            (0..marks.len()).filter(|&m| fits(&marks[m])).collect()
        })
        .collect();
    let mut owner = vec![None; marks.len()];
    for (number, point) in points.iter().enumerate() {
        if !serves(number, &fits, &mut owner, &mut vec![false; marks.len()]) {
            return Err(format!("nothing makes {:?} among {marks:?}", point.place));
        }
    }
    Ok(())
}

/// A mark seen from the other end.
fn turned<'a>(mark: &Mark<'a>, length: f64) -> Mark<'a> {
    let swap = [
        (Faces::LEFT_FLANGE, Faces::RIGHT_FLANGE),
        (Faces::RIGHT_FLANGE, Faces::LEFT_FLANGE),
        (Faces::LEFT_LIP, Faces::RIGHT_LIP),
        (Faces::RIGHT_LIP, Faces::LEFT_LIP),
        (Faces::WEB, Faces::WEB),
    ];
    let faces = swap.iter().filter(|(face, _)| mark.faces.contains(*face));
    Mark {
        faces: faces.fold(Faces::empty(), |faces, (_, other)| faces | *other),
        // Across the web it comes to lie on the other side; flanges and lips change places.
        across: if mark.faces.contains(Faces::WEB) { -mark.across } else { mark.across },
        from: length - mark.to,
        to: length - mark.from,
        ..*mark
    }
}
