use super::Joints;
use super::random::Random;
use super::text::{list, member};
use std::fmt::Write;

/// Screw line from the outside of a web, and from the end of a member that nests or laps.
const SCREW: i64 = 20;
pub const JOINT: i64 = 18;
const FIT: i64 = SCREW - JOINT;
const HEIGHT: i64 = 2_700;
const NOG: i64 = 1_350;
const HEAD: i64 = 2_120;
const SILL: i64 = 880;
/// Noggings closer than this are left out.
const LEAST_NOG: i64 = 200;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Stud,
    King,
}

/// An upright that noggings meet. Its web is to the left unless `open_left`.
#[derive(Clone, Copy)]
struct Upright {
    at: i64,
    kind: Kind,
    open_left: bool,
}

/// Kings stand at `left` and `right`, trimmers 40 inside.
#[derive(Clone, Copy)]
struct Opening {
    left: i64,
    right: i64,
    door: bool,
}

struct Wall {
    length: i64,
    module: i64,
    outer: bool,
    openings: Vec<Opening>,
    joints: Joints,
}

/// The walls of a house: about 50 m outside and 45 m inside.
pub fn write(out: &mut String, random: &mut Random, joints: Joints) {
    let outer_module = random.one_of(&[400, 450, 600]).unwrap_or(600);
    let mut number = 0;
    for (outer, total) in [(true, 51_000), (false, 46_000)] {
        let mut left: i64 = total + 100 * random.between(-20, 20);
        while left > 1_000 {
            let length = (100 * random.between(16, 42)).min(left.max(1_200));
            left -= length;
            number += 1;
            let module = if outer { outer_module } else { 450 };
            let openings = openings(random, length, outer);
            let wall = Wall { length, module, outer, openings, joints };
            wall.write(out, &format!("W{number:02}"), random);
        }
    }
}

fn openings(random: &mut Random, length: i64, outer: bool) -> Vec<Opening> {
    let chance = if outer { 55 } else { 45 };
    if length < 2_200 || !random.percent(chance) {
        return Vec::new();
    }
    let door = if outer { random.percent(20) } else { true };
    let widths: &[i64] = if door { &[960] } else { &[900, 1_200, 1_800] };
    let width = random.one_of(widths).unwrap_or(960).min(length - 1_000);
    let left = 10 * random.between(30, (length - width - 300) / 10);
    vec![Opening { left, right: left + width, door }]
}

impl Wall {
    fn write(&self, out: &mut String, name: &str, random: &mut Random) {
        let uprights = self.uprights(random);
        let kind = if self.outer { "outer" } else { "inner" };
        let _ = writeln!(out, "frame {name} wall \"{kind} wall\" profile C90 {{");
        self.plates(out, &uprights);
        self.studs(out, &uprights);
        for (index, opening) in (1..).zip(&self.openings) {
            self.opening(out, index, *opening);
        }
        noggings(out, &uprights, &self.openings, self.joints);
        out.push_str("}\n\n");
    }

    fn uprights(&self, random: &mut Random) -> Vec<Upright> {
        let end = self.length - SCREW;
        let mut all = vec![
            Upright { at: SCREW, kind: Kind::Stud, open_left: false },
            Upright { at: end, kind: Kind::Stud, open_left: true },
        ];
        for opening in &self.openings {
            all.push(Upright { at: opening.left, kind: Kind::King, open_left: true });
            all.push(Upright { at: opening.right, kind: Kind::King, open_left: false });
        }
        let mut extra = Vec::new();
        if self.outer {
            // Two extra at a corner: one in each of its walls, here at both ends.
            extra.extend([SCREW + 100, end - 100]);
        } else if random.percent(60) {
            extra.push(10 * random.between(20, self.length / 10 - 20));
        }
        extra.extend((1..self.length / self.module).map(|i| i * self.module));
        for at in extra {
            let in_opening = |o: &Opening| at > o.left - 100 && at < o.right + 100;
            if at < SCREW + 100 || at > end - 100 || self.openings.iter().any(in_opening) {
                continue;
            }
            if all.iter().all(|u| (u.at - at).abs() >= 100) {
                all.push(Upright { at, kind: Kind::Stud, open_left: false });
            }
        }
        all.sort_by_key(|u| u.at);
        if self.joints == Joints::Nested {
            face_in_pairs(&mut all);
        }
        all
    }

    /// Cripples over (and under) an opening, from the start of the wall.
    fn cripples(&self, opening: Opening) -> Vec<i64> {
        let inside = |at: &i64| *at > opening.left + 140 && *at < opening.right - 140;
        let found: Vec<i64> =
            (1..self.length / self.module).map(|i| i * self.module).filter(inside).collect();
        if found.is_empty() { vec![(opening.left + opening.right) / 2] } else { found }
    }

    fn plates(&self, out: &mut String, uprights: &[Upright]) {
        // Trimmers end under the lintel: the top plate meets kings and cripples alone.
        let mut top: Vec<i64> = uprights.iter().map(|u| u.at).collect();
        top.extend(self.openings.iter().flat_map(|o| self.cripples(*o)));
        plate(out, "T1", "top plate", (0, self.length), &top, &[], false);
        let mut from = 0;
        let mut number = 0;
        let doors = self.openings.iter().filter(|o| o.door);
        let stops = doors.map(|o| (o.left + 60, o.right - 60));
        for (to, next) in stops.chain([(self.length, self.length)]) {
            let mut bottom: Vec<i64> =
                uprights.iter().filter(|u| u.kind == Kind::Stud).map(|u| u.at).collect();
            let windows = self.openings.iter().filter(|o| !o.door);
            bottom.extend(windows.flat_map(|o| self.cripples(*o)));
            number += 1;
            let mark = format!("B{number}");
            plate(out, &mark, "bottom plate", (from, to), &bottom, &self.openings, true);
            from = next;
        }
    }

    fn studs(&self, out: &mut String, uprights: &[Upright]) {
        let (mut studs, mut kings) = (0, 0);
        for (i, upright) in uprights.iter().enumerate() {
            let before = i.checked_sub(1).and_then(|i| uprights.get(i));
            let after = uprights.get(i + 1);
            let meets = |other: Option<&Upright>| {
                other.is_some_and(|o| self.nogged(upright.at.min(o.at), upright.at.max(o.at)))
            };
            let (left, right) = (meets(before), meets(after));
            let nests = if upright.open_left { left } else { right };
            let nog = NOG - FIT;
            let length = HEIGHT - 2 * FIT;
            let mut dimples = vec![JOINT];
            if left || right {
                dimples.push(nog);
            }
            let king = upright.kind == Kind::King;
            if king {
                dimples.push(HEAD - FIT);
            }
            let mut lines = vec![
                "swage both ends".to_string(),
                format!("dimple at {}, end - {JOINT}", list(&dimples)),
                "service-hole at 450, 1080, 1710, 2340".to_string(),
            ];
            if nests {
                lines.push(format!("lip-notch at {} .. {}", nog - 24, nog + 24));
            }
            let (mark, usage) = if king {
                kings += 1;
                lines.push(PILOTS.to_string());
                (format!("K{kings}"), "king stud")
            } else {
                studs += 1;
                (format!("S{studs}"), "stud")
            };
            member(out, &mark, usage, 100 * length, &lines);
        }
    }

    /// Whether a nogging stands between neighbours at these places.
    fn nogged(&self, left: i64, right: i64) -> bool {
        nogged(left, right, &self.openings)
    }

    fn opening(&self, out: &mut String, index: usize, opening: Opening) {
        let space = opening.right - opening.left;
        let cripples: Vec<i64> =
            self.cripples(opening).into_iter().map(|c| c - opening.left).collect();
        for side in ["L", "R"] {
            let mut dimples = vec![JOINT];
            let mut lines = vec!["joggle start".into(), "web-cut end".into(), "lip-cut end".into()];
            if !opening.door {
                let sill = SILL - FIT;
                dimples.push(sill);
                lines.push(format!("lip-notch at {} .. {}", sill - 24, sill + 24));
            }
            lines.push(format!("dimple at {}, end - {JOINT}", list(&dimples)));
            lines.push("service-hole at 450, 1080, 1710".into());
            lines.push(PILOTS.into());
            let length = HEAD + JOINT - FIT;
            member(out, &format!("J{side}{index}"), "trimmer", 100 * length, &lines);
        }
        let crossed = |from: i64| {
            let places: Vec<i64> = cripples.iter().map(|c| c + from).collect();
            let notches: Vec<String> =
                places.iter().map(|p| format!("{} .. {}", p - 24, p + 24)).collect();
            [format!("lip-notch at {}", notches.join(", ")), format!("dimple at {}", list(&places))]
        };
        let mut lines = vec![
            "web-cut both ends".to_string(),
            "lip-cut both ends".to_string(),
            format!("dimple, both ends at {JOINT}, {}", JOINT + 2 * SCREW),
        ];
        lines.extend(crossed(JOINT));
        member(out, &format!("H{index}"), "lintel", 100 * (space + 2 * JOINT), &lines);
        if !opening.door {
            let ends = match self.joints {
                Joints::Lapped => "joggle both ends",
                Joints::Nested => "swage both ends",
            };
            let mut lines = vec![ends.to_string(), format!("dimple, both ends at {JOINT}")];
            lines.extend(crossed(JOINT - 2 * SCREW));
            let length = space - 4 * SCREW + 2 * JOINT;
            member(out, &format!("L{index}"), "sill", 100 * length, &lines);
        }
        for (i, _) in (1..).zip(&cripples) {
            let lines = ["swage both ends".to_string(), format!("dimple, both ends at {JOINT}")];
            let above = HEIGHT - HEAD + SCREW - 2 * FIT;
            member(out, &format!("CA{index}{i}"), "cripple", 100 * above, &lines);
            if !opening.door {
                let mut lines = lines.to_vec();
                lines.push("service-hole at 450".into());
                let below = SILL + SCREW - 2 * FIT;
                member(out, &format!("CB{index}{i}"), "cripple", 100 * below, &lines);
            }
        }
    }
}

/// Turns the studs so that every second bay lies between two open sides. The first and the last
/// stay as they are, open to the wall, and so do kings, which carry trimmers on their backs.
fn face_in_pairs(uprights: &mut [Upright]) {
    let mut open_left = true;
    let last = uprights.len().saturating_sub(1);
    for (i, upright) in uprights.iter_mut().enumerate() {
        if upright.kind == Kind::Stud && i > 0 && i < last {
            upright.open_left = open_left;
        }
        open_left = !upright.open_left;
    }
}

/// Screws through king and trimmer, half way between service holes.
const PILOTS: &str = "pilot across -25, 25 at 135, 765, 1395, 2025";

fn nogged(left: i64, right: i64, openings: &[Opening]) -> bool {
    right - left >= LEAST_NOG && !openings.iter().any(|o| o.left == left && o.right == right)
}

fn noggings(out: &mut String, uprights: &[Upright], openings: &[Opening], joints: Joints) {
    let mut number = 0;
    for pair in uprights.windows(2) {
        let [a, b] = pair else { continue };
        if !nogged(a.at, b.at, openings) {
            continue;
        }
        number += 1;
        let mut lines = Vec::new();
        let ends = [(!a.open_left, "start"), (b.open_left, "end")];
        if joints == Joints::Nested && ends.iter().all(|(nests, _)| *nests) {
            lines.push("swage both ends".into());
        } else {
            for (nests, end) in ends {
                if nests {
                    lines.push(format!("joggle {end}"));
                } else {
                    lines.push(format!("web-cut {end}"));
                    lines.push(format!("lip-cut {end}"));
                }
            }
        }
        lines.push(format!("dimple, both ends at {JOINT}"));
        let length = b.at - a.at + 2 * JOINT;
        member(out, &format!("G{number}"), "nogging", 100 * length, &lines);
    }
}

/// A plate between two places of the wall; `singles` are uprights that stand alone.
fn plate(
    out: &mut String,
    mark: &str,
    usage: &str,
    (from, to): (i64, i64),
    singles: &[i64],
    openings: &[Opening],
    anchored: bool,
) {
    let inside = |at: i64| at > from && at < to;
    let mut dimples = Vec::new();
    let mut notches = Vec::new();
    for &at in singles.iter().filter(|at| inside(**at)) {
        dimples.push(at - from);
        if at - from > SCREW && to - at > SCREW {
            notches.push((at - from - 24, at - from + 24));
        }
    }
    for opening in openings {
        for (king, trimmer) in
            [(opening.left, opening.left + 40), (opening.right, opening.right - 40)]
        {
            if !inside(king) || !inside(trimmer) {
                continue;
            }
            dimples.extend([king - from, trimmer - from]);
            // At a door the plate ends behind the trimmer, and its lips are cut there already.
            if trimmer - from > SCREW && to - trimmer > SCREW {
                let middle = (king + trimmer) / 2 - from;
                notches.push((middle - 44, middle + 44));
            } else {
                notches.push((king - from - 24, king - from + 24));
            }
        }
    }
    dimples.sort_unstable();
    notches.sort_unstable();
    let mut lines = vec!["lip-cut both ends".to_string(), format!("dimple at {}", list(&dimples))];
    if !notches.is_empty() {
        let ranges: Vec<String> = notches.iter().map(|(a, b)| format!("{a} .. {b}")).collect();
        lines.push(format!("lip-notch at {}", ranges.join(", ")));
    }
    if anchored {
        // In the middle of a bay, some 1200 apart.
        let mut last = i64::MIN / 2;
        let mut anchors = Vec::new();
        for pair in dimples.windows(2) {
            let [a, b] = pair else { continue };
            let middle = (a + b) / 2;
            if b - a >= 200 && middle - last >= 900 {
                anchors.push(middle);
                last = middle;
            }
        }
        if !anchors.is_empty() {
            lines.push(format!("hole 14 at {}", list(&anchors)));
        }
    }
    member(out, mark, usage, 100 * (to - from), &lines);
}
