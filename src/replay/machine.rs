use super::Situation;
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{Ends, How, Line, Marker, Section, Slope, StationId, Tool, ToolId};
use crate::member::model::Faces;
use crate::quantity::{Advance, Grid, Length, Strip, Time};

/// One tool as it really stands: what a stroke at reference point c leaves and clamps.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fitted {
    pub station: StationId,
    /// Distance from the shear, calibrated: c = A + offset.
    pub offset: Length,
    pub how: How,
    pub faces: Faces,
    /// The mark reaches from c − before to c + after.
    pub before: Length,
    pub after: Length,
    /// The clamped stretch reaches from c − clamp_before to c + clamp_after.
    pub clamp_before: Length,
    pub clamp_after: Length,
    /// How far the mark may be off: the line's stop and the tool together.
    pub accuracy: Length,
    pub refire: Length,
    pub time: Time,
}

impl Fitted {
    /// What a tool leaves is described as it is on the finished member; the strip under it is
    /// longer or shorter by the forming factor.
    fn new(tool: &Tool, offset: Length, line: &Line, factor: i64) -> Fitted {
        let reach = tool.makes.outline.length().stretched(factor);
        let slug = line.shear.slug;
        let parts = tool.also.iter().map(|part| {
            (part.at.stretched(factor), part.makes.outline.length().stretched(factor).half())
        });
        // Halves of odd lengths: one nanometre more on the far side.
        let nm = Length::from_nm(1);
        let (before, after, clamp_before, clamp_after) = match tool.how {
            How::Point | How::Nibble { .. } | How::End => {
                let (mut before, mut after) = (reach.half(), reach - reach.half());
                for (at, half) in parts {
                    before = before.max(half - at);
                    after = after.max(at + half + nm);
                }
                (before, after, tool.footprint.max(before), tool.footprint.max(after))
            }
            // Its reference is the cut; it sweeps its reach to either side of the slug, and its
            // footprint is measured from the slug's centre.
            How::Straddle => {
                let middle = slug.half();
                let reach = parts.fold(reach, |reach, (at, half)| reach.max(at + half + nm));
                let (before, after) = (reach, slug + reach);
                let clamp_before = (tool.footprint - middle).max(before);
                (before, after, clamp_before, (tool.footprint + middle).max(after))
            }
        };
        Fitted {
            station: tool.station,
            offset,
            how: tool.how,
            faces: tool.faces(),
            before,
            after,
            clamp_before,
            clamp_after,
            accuracy: line.accuracy + tool.accuracy,
            refire: tool.refire,
            time: tool.time,
        }
    }
    /// Furthest point of the strip before c that it may touch, accuracy included.
    pub(super) fn touch_before(&self) -> Length {
        self.clamp_before.max(self.before + self.accuracy)
    }
    /// Furthest point of the strip after c that it may touch, accuracy included.
    pub(super) fn touch_after(&self) -> Length {
        self.clamp_after.max(self.after + self.accuracy)
    }
}

/// The line with its figures checked and calibrated, for one coil.
pub(super) struct Machine<'a> {
    pub line: &'a Line,
    /// What is lost at the ends of this coil or bar.
    pub ends: Ends,
    pub grid: Grid,
    pub tools: Vec<Fitted>,
    pub marker: Option<&'a Marker>,
    pub slug: Length,
    /// Strip on the coil.
    pub strip: Length,
    /// First advance at which anything may happen.
    pub start: Advance,
    /// Whether the strip was threaded before, with a clean cut at the shear.
    pub warm: bool,
    /// Flat strip per finished length, parts per 10⁹ over 1.
    pub factor: i64,
    /// Web of the profile, out to out; `None` where a cut across its section is not understood.
    pub web: Option<Length>,
    /// Defect zones of the coil, in order, merged.
    pub defects: Vec<(Strip, Strip)>,
    /// Pairs of tools that may overlap, first before second; sorted.
    pub overlaps: Vec<(ToolId, ToolId)>,
}

impl<'a> Machine<'a> {
    /// Checks every figure that arithmetic rests on; `None`, with a finding, where one is
    /// unusable.
    pub(super) fn fit(
        situation: &Situation<'a>,
        warm: bool,
        refusals: &mut Refusals,
    ) -> Option<Machine<'a>> {
        let Situation { line, calibration, coil, .. } = *situation;
        let mut unusable: Option<String> = None;
        let mut check = |what: &str, figure: Length, signed: bool| {
            let fits = figure <= Length::LIMIT
                && figure >= if signed { -Length::LIMIT } else { Length::ZERO };
            if !fits && unusable.is_none() {
                unusable = Some(format!("{what} is {figure} mm"));
            }
        };
        check("the slug", line.shear.slug, false);
        check("the least drop of the shear", line.shear.least_drop, false);
        check("the line's accuracy", line.accuracy, false);
        let ends = line.ends(coil);
        check("the line's tail", ends.tail, false);
        check("the line's parting length", ends.parting, false);
        check("the line's first advance", line.head.first_advance, true);
        check("the line's least head", ends.head, false);
        check("the line's increment", line.grid.increment(), false);
        check("the line's shortest member", line.shortest, true);
        check("the line's longest member", line.longest, true);
        check("the coil's length", coil.length, false);
        if let Some(marker) = &line.marker {
            check("the marker's offset", marker.offset, true);
            check("the marker's pitch", marker.pitch, false);
            check("the marker's place on a member", marker.from_start, true);
        }
        for tool in &line.tools {
            for part in &tool.also {
                check("a pattern's place", part.at, true);
                check("a pattern's outline", part.makes.outline.length(), false);
            }
            check("a tool's outline", tool.makes.outline.length(), false);
            check("a tool's footprint", tool.footprint, false);
            check("a tool's re-fire distance", tool.refire, false);
            check("a tool's accuracy", tool.accuracy, false);
        }
        // What `move_time` can square and multiply within 128 bits.
        let feed = &line.feed;
        for rate in [feed.speed, feed.acceleration, feed.deceleration] {
            if !(1..=1_000_000_000).contains(&rate) {
                unusable =
                    Some(format!("a speed or acceleration of the feed is {rate} µm/s or µm/s²"));
            }
        }
        if feed.jerk.is_some_and(|jerk| !(1_000..=1_000_000_000_000).contains(&jerk)) {
            unusable = Some("the jerk of the feed is not within 0.001 to 1000000 m/s³".to_owned());
        }
        let factor = calibration.strip_factor(situation.profile);
        let stretch = calibration.controller_factor(situation.profile);
        let factor_fits = |factor: i64| (-500_000_000..=500_000_000).contains(&factor);
        if !factor_fits(factor) || !factor_fits(stretch) {
            unusable = Some(format!("the forming factor is {factor} parts in 10⁹"));
        }
        let mut tools = Vec::with_capacity(line.tools.len());
        for tool in &line.tools {
            let Some(station) = line.station(tool.station) else {
                unusable = Some(format!("tool `{}` stands at no station", tool.name));
                break;
            };
            let bounded = |length: Length| length >= -Length::LIMIT && length <= Length::LIMIT;
            let correction = calibration.correction(tool.station);
            let usable = bounded(station.offset)
                && correction.is_none_or(|c| factor_fits(c.factor) && bounded(c.shift));
            if !usable {
                unusable = Some(format!("station `{}` has no usable distance", station.name));
                break;
            }
            tools.push((tool, calibration.offset(tool.station, station.offset, situation.profile)));
        }
        if let Some(what) = unusable {
            refusals.stop(None, || {
                Diagnostic::new(&codes::E0828, format!("{what}: this cannot be replayed"))
                    .help("correct the figure in the line, calibration or stock file")
            });
            return None;
        }
        let mut overlaps: Vec<_> = line.overlaps.iter().map(|o| (o.first, o.then)).collect();
        overlaps.sort_unstable();
        Some(Machine {
            line,
            ends: line.ends(coil),
            grid: line.grid,
            tools: tools
                .into_iter()
                .map(|(tool, at)| Fitted::new(tool, at, line, factor))
                .collect(),
            marker: line.marker.as_ref(),
            slug: line.shear.slug,
            strip: counted(coil.length, stretch),
            start: if warm { Advance::ZERO } else { Advance::at(line.head.first_advance) },
            warm,
            factor,
            web: situation
                .library
                .profile(situation.profile)
                .filter(|profile| profile.section != Section::Hat)
                .map(|profile| profile.web),
            defects: merged(&counted_zones(&coil.defects, stretch)),
            overlaps,
        })
    }

    /// Whether the strip can be fed from `last` to `at`; findings for a fall, a stop off the
    /// grid and places that cannot be reached. `event` is `None` for the program's end.
    pub(super) fn can_feed(
        &self,
        event: Option<usize>,
        last: Advance,
        at: Advance,
        refusals: &mut Refusals,
    ) -> bool {
        let what = || event.map_or("the program's end".to_string(), numbered);
        if at.distance() > Length::LIMIT || at.distance() < -Length::LIMIT {
            refusals.stop(event, || {
                Diagnostic::new(&codes::E0801, format!("{} is at advance {at} mm", what()))
                    .help(COMPILE_AGAIN)
            });
            return false;
        }
        // Before the first advance nothing has happened yet, so nothing falls.
        if at < last && last > self.start {
            refusals.stop(event, || {
                let message = format!("{} is at advance {at} mm, after one at {last} mm", what());
                Diagnostic::new(&codes::E0802, message)
                    .note("the strip is never pulled back")
                    .help(COMPILE_AGAIN)
            });
            return false;
        }
        if at < self.start {
            refusals.add(event, || {
                let message = format!(
                    "{} is at advance {at} mm, before the strip is held at {} mm",
                    what(),
                    self.start
                );
                Diagnostic::new(&codes::E0804, message).help(COMPILE_AGAIN)
            });
        }
        let last_driven = Advance::at(self.strip - self.ends.tail);
        if at > last_driven && at > self.start {
            refusals.add(event, || {
                let message = format!(
                    "{} is at advance {at} mm; the strip can be driven to {last_driven} mm",
                    what()
                );
                Diagnostic::new(&codes::E0814, message)
                    .note(format!(
                        "the coil holds {} mm and the last {} mm of it cannot be fed",
                        self.strip, self.ends.tail
                    ))
                    .help("check the coil's length in the stock file; compile the batch again")
            });
        }
        true
    }

    /// Whether the line can stand still here.
    pub(super) fn can_stand(&self, event: usize, at: Advance, refusals: &mut Refusals) {
        if !self.grid.has(at) {
            refusals.add(Some(event), || {
                let message = format!(
                    "{} stops at advance {at} mm; the nearest stop of this line is {} mm",
                    numbered(event),
                    self.grid.nearest(at)
                );
                Diagnostic::new(&codes::E0803, message)
                    .note(format!("the line moves in increments of {} mm", self.grid.increment()))
                    .help(COMPILE_AGAIN)
            });
        }
    }

    /// How far upstream of its middle a cut lies at the left edge of the web, on the strip.
    pub(super) fn at_left(&self, slope: Slope) -> Length {
        slope.at_left(self.web.unwrap_or(Length::ZERO)).stretched(self.factor)
    }

    /// The name of a tool.
    pub(super) fn tool_name(&self, id: ToolId) -> &str {
        self.line.tool(id).map_or("?", |tool| &tool.name)
    }
}

/// The last figure of a program whose advances the controller stretches by `stretch` parts in 10⁹
/// at which the strip is not yet past `strip`.
fn counted(strip: Length, stretch: i64) -> Length {
    let (nm, one) = (i128::from(strip.nm()), 1_000_000_000_i128);
    let figure = (nm * one).div_euclid(one + i128::from(stretch));
    Length::from_nm(i64::try_from(figure).unwrap_or(i64::MAX))
}

fn counted_zones(zones: &[(Length, Length)], stretch: i64) -> Vec<(Length, Length)> {
    let widened = |to: Length| match stretch {
        0 => to,
        _ => counted(to, stretch) + Length::from_nm(1),
    };
    zones.iter().map(|(from, to)| (counted(*from, stretch), widened(*to))).collect()
}

/// Defect zones in order, those that touch made one.
fn merged(zones: &[(Length, Length)]) -> Vec<(Strip, Strip)> {
    let mut sorted: Vec<_> = zones.iter().filter(|(from, to)| from <= to).copied().collect();
    sorted.sort_unstable();
    let mut merged: Vec<(Strip, Strip)> = Vec::with_capacity(sorted.len());
    for (from, to) in sorted {
        let (from, to) = (Strip::at(from), Strip::at(to));
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}
