//! NC files that others have published, figure by figure. None of them is a channel of the line, so
//! their sections are put into a library of their own and their profile codes are exchanged, and a
//! plate becomes the web of a channel; what stands after the head is as published: order, figures,
//! letters, signs between them.
//!
//! Sources: the sample files of the crate `dstv` (its repository's folder of test data, MIT
//! licence), and among them the worked example of the standard itself, the DSTV description of
//! July 1998: a purlin ZS175*1.5.

use super::shop::{map, source};
use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::{self, Answer, DrawnJob, Map, members_text};
use coilwright::library::load_library;
use coilwright::library::model::Library;
use coilwright::quantity::{MemoryFiles, Sources};
use dstv::prelude::{Dstv, DstvElementType};

/// A library with one channel of this section, and types that leave their size open.
fn library(name: &str, web: &str, flange: &str, thickness: &str) -> Library {
    let profile = format!(
        "[[profile]]\nname = \"{name}\"\nsection = \"plain-channel\"\nweb = \"{web} mm\"\n\
         flange = \"{flange} mm\"\nthickness = \"{thickness} mm\"\nradius = \"0.5 mm\"\n\
         coating = \"Z275\"\ngrade = \"G550\"\nstrip-width = \"300 mm\"\nlength-tolerance = \"1 mm\"\n"
    );
    let files = MemoryFiles::of([
        ("library.toml", "shipped = [\"usual-features\"]\nprofiles = [\"profiles.toml\"]\n"),
        ("profiles.toml", profile.as_str()),
    ]);
    let mut sources = Sources::default();
    let (library, found) = load_library(&files, &mut sources, "library.toml");
    library.unwrap_or_else(|| panic!("{found:#?}"))
}

/// The head of a part: profile, length, height, width, thicknesses of flange and web, end cuts.
struct Head<'a> {
    mark: &'a str,
    profile: &'a str,
    code: &'a str,
    sizes: [&'a str; 5],
    cuts: [&'a str; 4],
}

impl Head<'_> {
    fn with(&self, blocks: &str) -> String {
        let Head { mark, profile, code, sizes, cuts } = self;
        let [length, web, flange, flange_thickness, thickness] = sizes;
        let [a, b, c, d] = cuts;
        format!(
            "ST\n**remark\n0008\n  NA\n  NA\n{mark}\n  G550\n  1\n  {profile}\n  {code}\n  {length}\n  \
             {web}\n  {flange}\n  {flange_thickness}\n  {thickness}\n  0.5\n  0\n  0\n  {a}\n  {b}\n  \
             {c}\n  {d}\n  \n  \n  \n  \n{blocks}"
        )
    }
    fn library(&self) -> Library {
        let [_, web, flange, _, thickness] = self.sizes;
        library(self.profile, web, flange, thickness)
    }
    fn read(&self, map: &Map, blocks: &str) -> Result<(DrawnJob, Answer), Vec<Diagnostic>> {
        let (sources, file) = source("part.nc1", &self.with(blocks));
        let (read, found) = exchange::nc::read(&sources, file, map, Some(&self.library()));
        assert!(found.iter().all(|d| d.help.is_some() && d.span().is_some()), "{found:#?}");
        read.ok_or(found)
    }
    fn members(&self, map: &Map, blocks: &str) -> String {
        let (job, _) = self.read(map, blocks).unwrap_or_else(|found| panic!("{found:#?}"));
        members_text(&job).unwrap()
    }
    /// What is refused, each with its line.
    fn refused(&self, map: &Map, blocks: &str) -> Vec<(String, String)> {
        let text = self.with(blocks);
        let found = self.read(map, blocks).expect_err("refused");
        let at = |d: &Diagnostic| {
            let span = d.span().unwrap();
            text[span.start as usize..span.end as usize].to_string()
        };
        found.iter().map(|d| (d.code.number.to_string(), at(d))).collect()
    }
}

fn holes(diameters: &[&str]) -> String {
    let hole = |d: &&str| {
        format!("[[opening]]\ndiameter = \"{d} mm\"\nfeature = \"hole\"\nsay-size = true\n")
    };
    diameters.iter().map(hole).collect()
}

/// `0008-SE0004.nc1`: a channel of 200 × 80 × 6, one end cut on a slope. Its flanges are 11 thick,
/// which no channel of one strip is: here they are 6, and the lower one ends at 241.89 for 243.96.
const SLOPED: Head<'_> = Head {
    mark: "0008-SE0004",
    profile: "U200",
    code: "U",
    sizes: ["322.25", "200", "80", "6", "6"],
    cuts: ["0", "0", "0", "0"],
};

/// Its blocks: tabs between the figures, empty lines, the letter o throughout.
const NOTCHED: &str = "AK\n  v\t\t239.41o\t\t0.00\t\t0.00\t\t\n  v\t\t0.00o\t\t0.00\t\t0.00\t\t\n  v\t\t0.00o\t\t165.00\t\t0.00\t\t\n  v\t\t61.75o\t\t165.00\t\t10.00\n  v\t\t71.75o\t\t175.00\t\t0.00\t\t\n  v\t\t71.75o\t\t200.00\t\t0.00\t\t\n  v\t\t322.25o\t\t200.00\t\t0.00\t\t\n  v\t\t239.41o\t\t0.00\t\t0.00\t\t\n\n\
SI\n  v   100.00s   50.00   0.00 012   0008-SE0004\n\n\
AK\n  o\t\t71.75o\t\t0.00\t\t0.00\n  o\t\t322.25o\t\t0.00\t\t0.00\t\t-22.5\t\t11\n  o\t\t322.25o\t\t80.00\t\t0.00\n  o\t\t71.75o\t\t80.00\t\t0.00\n  o\t\t71.75o\t\t0.00\t\t0.00\n\n\
AK\n  u\t\t0.00o\t\t80.00\t\t0.00\n  u\t\t0.00o\t\t0.00\t\t0.00\n  u\t\t241.89o\t\t0.00\t\t0.00\t\t22.5\t\t0\n  u\t\t241.89o\t\t80.00\t\t0.00\n  u\t\t0.00o\t\t80.00\t\t0.00\n\n\
BO\n  v 35.00o    60.00    22.00    0.0    0.0    0.0\n  v 35.00o    130.00    22.00    0.0    0.0    0.0\n\nEN\n";

/// Its notch is answered at its outline, and at nothing else. Without the notch the slope is read:
/// 82.84 over 200 is 22.5 degrees, which its flanges' edges say too.
#[test]
fn a_channel_with_a_sloped_end() {
    let map = map(&holes(&["22"]));
    assert_eq!(
        SLOPED.refused(&map, NOTCHED),
        [("E1163".to_string(), "v\t\t239.41o\t\t0.00\t\t0.00".to_string())]
    );
    let notch = "  v\t\t0.00o\t\t165.00\t\t0.00\t\t\n  v\t\t61.75o\t\t165.00\t\t10.00\n  v\t\t71.75o\t\t175.00\t\t0.00\t\t\n  v\t\t71.75o\t\t200.00";
    let plain =
        NOTCHED.replace(notch, "  v\t\t0.00o\t\t200.00").replace("o\t\t71.75o", "o\t\t0.00o");
    assert!(!plain.contains("75.00"), "{plain}");
    let members = SLOPED.members(&map, &plain);
    // Both from the lower edge, whatever the letter: 100 is the middle of the web.
    assert!(members.contains("hole 22 across -40 at 35\n"), "{members}");
    assert!(members.contains("hole 22 across 30 at 35\n"), "{members}");
    // tan 22.5° is √2 − 1, of which 70 : 169 is the simplest fraction within a hundredth on 200.
    assert!(members.contains("end slope 70 : 169 long point left\n"), "{members}");
    assert!(!members.contains("mark-text"), "the sign is the mark: {members}");
    let (_, answer) = SLOPED.read(&map, &plain).unwrap();
    assert!(
        answer.remarks.iter().any(|remark| remark.contains("at v 100.00s 50.00")),
        "{answer:?}"
    );
    // The upper flange ends at the long point, the lower one at the short one and what the cut
    // leans in 6 mm: 239.41 + 6 · tan 22.5° = 241.895. Another flange does not fit.
    for (from, to) in [
        ("u\t\t241.89o", "u\t\t322.25o"),
        ("o\t\t322.25o", "o\t\t239.41o"),
        ("\t\t22.5\t\t0\n", "\t\t30\t\t0\n"),
        ("o\t\t0.00o\t\t0.00\t\t0.00\n", "o\t\t5.00o\t\t0.00\t\t0.00\n"),
    ] {
        let other = plain.replace(from, to);
        assert_ne!(other, plain, "{from}");
        let refused = SLOPED.refused(&map, &other);
        assert!(
            refused.iter().all(|(code, _)| code == "E1163") && refused.len() == 1,
            "{refused:?}"
        );
    }
    // The angle of the head may say the same, and nothing else.
    let same = Head { cuts: ["0", "22.500", "0", "0"], ..SLOPED };
    assert_eq!(same.members(&map, &plain), members);
    let other = Head { cuts: ["0", "30", "0", "0"], ..SLOPED };
    assert_eq!(other.refused(&map, &plain), [("E1163".to_string(), "30".to_string())]);
    let start = Head { cuts: ["22.5", "0", "0", "0"], ..SLOPED };
    assert_eq!(start.refused(&map, &plain), [("E1163".to_string(), "22.5".to_string())]);
}

/// `P1.nc`: holes in pairs on a flange 165.10 wide, at 38.10 and 127.00 with the letter s. Counted
/// from the axis the second lies beside the steel; counted from the edge, the two are a pair.
#[test]
fn places_across_are_counted_from_the_edge() {
    let head = Head {
        mark: "B_1",
        profile: "W21",
        code: "C",
        sizes: ["6236.88", "525.78", "165.10", "8.89", "8.89"],
        cuts: ["0.000", "15.000", "0.000", "0.000"],
    };
    let blocks = "SI\n  v     152.40o    201.93       0.00       76         B_1\n\
        KO\n  v     2886.01o   455.93       0.00\n  v     2886.01o   481.33       0.00\n\
        SI\n  v     2920.93o   207.65       0.00  76 pl\n\
        BO\n  o      674.41s    38.10      20.64     0.00\n  o     1829.55s   127.00      20.64     0.00\n  o     2200.15s   127.00      20.64     0.00\nEN\n";
    let plain = map(&holes(&["20.64"]));
    let told: Vec<String> = head.refused(&plain, blocks).into_iter().map(|(_, at)| at).collect();
    assert_eq!(told, ["KO", "v     2920.93o   207.65       0.00  76 pl", "15.000"]);
    let aside = map(&format!("{}[nc]\nleave-out = [\"SI\", \"KO\"]\n", holes(&["20.64"])));
    assert_eq!(head.refused(&aside, blocks), [("E1163".to_string(), "15.000".to_string())]);
    let square = Head { cuts: ["0"; 4], ..head };
    let members = square.members(&aside, blocks);
    assert!(members.contains("hole 20.64 on left flange across -44.45 at 674.41\n"), "{members}");
    let pair = "hole 20.64 on left flange across 44.45 at 1829.55, 2200.15\n";
    assert!(members.contains(pair), "{members}");
    let (_, answer) = square.read(&aside, blocks).unwrap();
    let aside: Vec<(&str, usize)> = answer.left_out.iter().map(|(k, n)| (k.as_str(), *n)).collect();
    assert_eq!(aside, [("block KO", 1), ("block SI", 2)]);
}

/// `P465.nc`: slots 22 longer than their 18, the depth with the letter l. Counted from its first
/// half circle a slot at 24 leaves 15 of steel before it; from its middle it would leave 4, less
/// than any hole's edge. The same is said by the remarks of a published converter of NC files to
/// drawings (first half circle, size, letter l, how far to the other).
#[test]
fn slots_begin_with_a_half_circle() {
    let head = Head {
        mark: "P465",
        profile: "STRIP",
        code: "C",
        sizes: ["172.50,172.50", "110.00", "60.00", "2.00", "2.00"],
        cuts: ["0.000"; 4],
    };
    let slots = "BO\n  v      24.00s     55.00      18.00      0.00l     22.00      0.00      0.00\n  v      84.00s     55.00      18.00      0.00l     22.00      0.00      0.00\nSI\n  v   34.00s   40.00    0.00  12 P465\nEN\n";
    let outline = "AK\n  v       0.00u      0.00       0.00       0.00       0.00       0.00       0.00\n        172.50       0.00       0.00       0.00       0.00       0.00       0.00\n        172.50      64.00       0.00       0.00       0.00       0.00       0.00\n        155.00      64.00       0.00       0.00       0.00       0.00       0.00\n        155.00      64.00w      0.00       0.00       0.00       0.00       0.00\n        155.00     110.00       0.00       0.00       0.00       0.00       0.00\n          0.00     110.00       0.00       0.00       0.00       0.00       0.00\n          0.00       0.00       0.00       0.00       0.00       0.00       0.00\n";
    let map = map(
        "[[opening]]\nlength = \"40 mm\"\nwidth = \"18 mm\"\nfeature = \"slot\"\nsay-size = true\n",
    );
    let members = head.members(&map, slots);
    assert!(members.contains("slot 40 x 18 at 35, 95\n"), "{members}");
    let refused = head.refused(&map, &(outline.to_string() + slots));
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert!(
        refused[0].0 == "E1163" && refused[0].1.starts_with("155.00      64.00w"),
        "{refused:?}"
    );
}

/// `P2663.nc`, `0008-SE0008.nc1` and `product2.NC1`: openings by their outlines, with arcs that
/// begin at the corner that bears their radius and turn left where it is positive; and holes
/// without any letter.
#[test]
fn openings_by_their_outlines() {
    let plate = Head {
        mark: "P2663",
        profile: "PL20",
        code: "C",
        sizes: ["550.00,550.00", "550.00", "60.00", "2.00", "2.00"],
        cuts: ["0.000"; 4],
    };
    let sizes = map(&format!(
        "{}[[opening]]\nlength = \"198 mm\"\nwidth = \"18 mm\"\nfeature = \"slot\"\nsay-size = true\n",
        holes(&["300", "33", "18"])
    ));
    let inner = "IK\n  v     125.00u    275.00    -150.00       0.00       0.00       0.00       0.00\n        425.00     275.00    -150.00       0.00       0.00       0.00       0.00\n        125.00     275.00       0.00       0.00       0.00       0.00       0.00\n";
    let drilled = "BO\n  v      45.00s    275.00      33.00\n  v     135.90s    135.91      18.00\n  v     160.00s    474.19      33.00\nEN\n";
    let members = plate.members(&sizes, &(inner.to_string() + drilled));
    for line in [
        "hole 300 at 275\n",
        "hole 33 at 45\n",
        "hole 18 across -139.09 at 135.9\n",
        "hole 33 across 199.19 at 160\n",
    ] {
        assert!(members.contains(line), "{line}{members}");
    }
    // Its own outline is a circle too.
    let whole = "AK\n  v       0.00u    275.00     275.00       0.00\n        550.00     275.00     275.00       0.00\n          0.00     275.00       0.00       0.00\n";
    let refused = plate.refused(&sizes, &(whole.to_string() + inner + drilled));
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert!(refused[0].1.starts_with("v       0.00u    275.00"), "{refused:?}");

    let beam = Head {
        mark: "0008-SE0008",
        profile: "IPE",
        code: "C",
        sizes: ["954.5", "300", "150", "7.1", "7.1"],
        cuts: ["0"; 4],
    };
    let turned = "IK\n  v\t\t535.00u\t\t153.30\t\t0.00\n  v\t\t635.00u\t\t95.57\t\t0.00\n  v\t\t610.00u\t\t52.26\t\t0.00\n  v\t\t510.00u\t\t110.00\t\t0.00\n  v\t\t535.00u\t\t153.30\t\t0.00\n";
    let slot = "IK\n  o\t\t400.00o\t\t101.00\t\t0.00\n  o\t\t580.00o\t\t101.00\t\t9.00\n  o\t\t580.00o\t\t119.00\t\t0.00\n  o\t\t400.00o\t\t119.00\t\t9.00\n  o\t\t400.00o\t\t101.00\t\t0.00\n";
    let members = beam.members(&sizes, &format!("{slot}EN\n"));
    assert!(members.contains("slot 198 x 18 on left flange across 35 at 490\n"), "{members}");
    // Half circles that turn the other way are no slot.
    let refused = beam.refused(&sizes, &format!("{}EN\n", slot.replace("9.00\n", "-9.00\n")));
    assert_eq!(refused.len(), 1, "{refused:?}");
    let refused = beam.refused(&sizes, &format!("{turned}EN\n"));
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert!(refused[0].1.starts_with("v\t\t535.00u"), "{refused:?}");

    let plate = Head { sizes: ["320.00", "300.00", "60.00", "2.00", "2.00"], ..plate };
    let drilled = "BO\n  v    75.00     75.00     18.00     0.00\n  v    75.00    225.00     18.00     0.00\nEN\n";
    let members = plate.members(&sizes, drilled);
    assert!(members.contains("hole 18 across -75 at 75\n"), "{members}");
    assert!(members.contains("hole 18 across 75 at 75\n"), "{members}");
}

/// The worked example of the standard: a purlin with profile code SO, a section of its own in the
/// block PR and blocks that refer to its faces. The head is understood with spaces behind every
/// figure; nothing of the rest is taken for a channel's.
#[test]
fn the_standards_own_example_is_answered_at_each_block() {
    let head = Head {
        mark: "14 ",
        profile: "ZS175*1.5 ",
        code: "SO  ",
        sizes: ["1133.00 ", "175.00 ", "81.00        ", "1.50        ", "1.50 "],
        cuts: ["0.000     ", "0.000      ", "0.000 ", "0.000 "],
    };
    let library = library("ZS175", "175", "81", "1.5");
    let map = map("[profiles]\n\"ZS175*1.5\" = \"ZS175\"\n");
    let blocks = "PR \n  +   0.000     79.500   0.00 \n  +  48.000     79.500   0.00  \nE1 \n      0.00      0.00   90.00     100.00      0.00   90.00 \n      0.00    151.00   41.00 \nB1 \n    1100.00u   53.00   18.00  \n    1100.00u  131.00   18.00 \nS1 \n     100.00u   50.00 0000.00        \nEN \n";
    let read = |code: &str, blocks: &str| {
        let head = Head { code, ..head };
        let text = head.with(blocks);
        let (sources, file) = source("RST37-2.nc", &text);
        let (read, found) = exchange::nc::read(&sources, file, &map, Some(&library));
        let at = |d: &Diagnostic| {
            let span = d.span().unwrap();
            let line = text[span.start as usize..span.end as usize].to_string();
            (d.code.number, line)
        };
        (read, found.iter().map(at).collect::<Vec<_>>())
    };
    let told = |list: &[(&'static str, &str)]| -> Vec<(&'static str, String)> {
        list.iter().map(|(code, at)| (*code, at.to_string())).collect()
    };
    let (_, found) = read("SO  ", blocks);
    let blocks_told = [("E1163", "PR"), ("E1163", "E1"), ("E1163", "B1"), ("E1163", "S1")];
    assert_eq!(found[0], ("E1162", "SO".to_string()));
    assert_eq!(found[1..], told(&blocks_told));
    let (read, found) = read("C  ", "EN \n");
    assert_eq!(found, []);
    let (job, _) = read.unwrap();
    let members = members_text(&job).unwrap();
    assert!(members.contains("member 14 other profile \"ZS175\" length 1133"), "{members}");
}

/// Every file of a folder of public samples beside the project, where there is one: whatever the
/// crate `dstv` reads of their holes is read alike, and what is refused is refused at a block that
/// shapes the part, not at a hole.
#[test]
fn a_folder_of_public_samples() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data/nc");
    let Ok(entries) = std::fs::read_dir(&folder) else {
        println!("skipped: ../shared/data/nc is absent");
        return;
    };
    let mut files: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let (mut parts, mut openings) = (0, 0);
    for path in files {
        let text = String::from_utf8_lossy(&std::fs::read(&path).unwrap()).replace('\r', "");
        let Ok(other) = Dstv::from_str(&text) else {
            println!("{}: not read by the other reader", path.display());
            continue;
        };
        let lines: Vec<&str> = text.lines().collect();
        let begin = lines.iter().position(|line| line.trim() == "ST").unwrap();
        let is_remark = |line: &&str| line.trim_start().starts_with("**");
        let head: Vec<&str> =
            lines[begin + 1..].iter().filter(|l| !is_remark(l)).take(24).copied().collect();
        let word = |i: usize| head[i].trim();
        let figure = |i: usize| word(i).parse::<f64>().unwrap();
        if figure(9) <= 0.0 || word(8).matches(',').count() > 1 {
            continue;
        }
        // A plate has its width in either line; its thickness is nobody's flange.
        let web = if word(7) == "B" && figure(10) > figure(9) { word(10) } else { word(9) };
        let flange = if figure(10) < 40.0 { "60" } else { word(10) };
        let own = Head {
            mark: "P1",
            profile: "section",
            code: "C",
            sizes: [word(8), web, flange, "2", "2"],
            cuts: ["0"; 4],
        };
        let (web, wide) = (web.parse::<f64>().unwrap(), flange.parse::<f64>().unwrap());
        // What follows the head, block by block; only holes are kept.
        let (mut kept, mut block) = (String::new(), "");
        let after = lines.iter().rposition(|l| *l == *head.last().unwrap() && l.trim().is_empty());
        let first =
            lines.iter().position(|l| matches!(l.trim(), "AK" | "BO" | "IK" | "SI" | "EN" | "PR"));
        let first = first.unwrap_or_else(|| after.unwrap());
        for line in &lines[first..] {
            if !line.starts_with([' ', '\t']) {
                block = line.trim();
            }
            if matches!(block, "BO" | "EN") {
                kept.push_str(line);
                kept.push('\n');
            }
        }
        let mut sizes = std::collections::BTreeSet::new();
        let mut wanted = Vec::new();
        for element in &other.elements {
            match element {
                DstvElementType::Hole(hole) => {
                    sizes
                        .insert(format!("diameter = \"{} mm\"\nfeature = \"hole\"", hole.diameter));
                    wanted.push((hole.x_coord, hole.y_coord, hole.diameter));
                }
                DstvElementType::Slot(slot) if slot.slot_length + slot.slot_width > 0.0 => {
                    let long = slot.slot_length + slot.diameter;
                    sizes.insert(format!(
                        "length = \"{long} mm\"\nwidth = \"{} mm\"\nfeature = \"slot\"",
                        slot.diameter
                    ));
                    wanted.push((
                        slot.x_coord + slot.slot_length / 2.0,
                        slot.y_coord,
                        slot.diameter,
                    ));
                }
                DstvElementType::Slot(slot) => {
                    sizes
                        .insert(format!("diameter = \"{} mm\"\nfeature = \"hole\"", slot.diameter));
                    wanted.push((slot.x_coord, slot.y_coord, slot.diameter));
                }
                _ => {}
            }
        }
        let sizes: String =
            sizes.iter().map(|size| format!("[[opening]]\n{size}\nsay-size = true\n")).collect();
        // Cut short, or with holes beside what its own head says: refused, not read.
        let long = word(8).split(',').next().unwrap().parse::<f64>().unwrap();
        let beside = wanted.iter().any(|(x, y, _)| *x < 0.0 || *x > long || *y > web.max(wide));
        if !kept.trim_end().ends_with("EN") || beside {
            assert!(own.read(&map(&sizes), &kept).is_err(), "{}", path.display());
            continue;
        }
        let (job, _) = own
            .read(&map(&sizes), &kept)
            .unwrap_or_else(|found| panic!("{}: {found:#?}\n{kept}", path.display()));
        let (_, member) = job.members().next().unwrap();
        let found: usize =
            member.features.iter().map(|f| f.faces.map_or(1, |faces| faces.each().count())).sum();
        assert_eq!(found, wanted.len(), "{}", path.display());
        for (x, y, diameter) in &wanted {
            let near = |a: f64, b: f64| (a - b).abs() < 1e-3;
            let is = member.features.iter().any(|feature| {
                let coilwright::exchange::drawn::DrawnPlace::Point { at, .. } = feature.place
                else {
                    return false;
                };
                let mm = |length: coilwright::quantity::Length| length.nm() as f64 / 1e6;
                let across = mm(feature.across.unwrap_or_default());
                let (size, width) = feature.size.unwrap();
                near(mm(at.offset), *x)
                    && (near(across + web / 2.0, *y) || near(across + wide / 2.0, *y))
                    && near(mm(width.unwrap_or(size)), *diameter)
            });
            assert!(is, "{}: {x} {y} {diameter}\n{:#?}", path.display(), member.features);
        }
        parts += 1;
        openings += wanted.len();
    }
    println!("{parts} public parts, {openings} holes and slots read alike");
    assert!(parts > 0, "none of the files was read");
}
