//! NC files: read by another program's reader, and refused where they say more than holes.

use super::shop::{Dice, Scope, job, library, map, random, source};
use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::{self, Choice, members_text};
use dstv::prelude::{Dstv, DstvElementType, PartFace};

const MAP: &str = "[[opening]]\ndiameter = \"14 mm\"\nfeature = \"hole\"\n\
                   [[opening]]\nlength = \"60 mm\"\nwidth = \"32 mm\"\nfeature = \"service-hole\"\n";

const PART: &str = "ST\n** a remark\n  KP31\n  N1\n  B\n  B1\n  G550\n  2\n  C90x40-0.75\n  C\n  2400.00, 2405.00\n  90.00\n  40.00\n  0.75\n  0.75\n  1.50\n  1.158\n  0.376\n  0.00\n  0.00\n  0.00\n  0.00\n  bottom plate\n  wall\n  \n  \n\
AK\n  v  0.00u  0.00  0.00  0.00\n  2400.00  0.00  0.00\n  2400.00  90.00  0.00\n  0.00  90.00  0.00\n  0.00  0.00  0.00\n\
BO\n  v  310.00u  45.00  14.00  0.00\n  v  600.00o  40.00  14.00\n  v  700.00s  52.00  14.00\n  v  450.00u  45.00  32.00  0.00  28.00  0.00  0.00\n  o  20.00u  20.00  14.00  0.00\n  u  20.00u  20.00  14.00  0.00\nEN\n";

fn read(text: &str) -> Result<String, Vec<Diagnostic>> {
    let (sources, file) = source("B1.nc1", text);
    let (read, found) = exchange::nc::read(&sources, file, &map(MAP), Some(&library()));
    assert!(found.iter().all(|d| d.help.is_some() && d.span().is_some()), "{found:#?}");
    match read {
        Some((job, _)) => Ok(members_text(&job).unwrap()),
        None => Err(found),
    }
}

#[test]
fn a_part_with_every_way_to_say_a_hole() {
    let members = read(PART).unwrap_or_else(|found| panic!("{found:#?}"));
    assert!(
        members.contains("member B1 bottom plate profile \"C90x40-0.75\" length 2400 quantity 2"),
        "{members}"
    );
    assert!(members.contains("hole 14 at 310\n"), "{members}");
    assert!(members.contains("hole 14 across -5 at 600\n"), "{members}");
    assert!(members.contains("hole 14 across 7 at 700\n"), "{members}");
    assert!(members.contains("service-hole at 464\n"), "{members}");
    assert!(members.contains("hole 14 on flanges at 20\n"), "{members}");
    assert!(read(&PART.replace('\n', "\r\n")).is_ok());
    // A length to be sawn that is another is put aside, and told; so is where a sign stands.
    let signed = PART.replace("BO\n", "SI\n  v  60.00s  45.00  90.00  10r  N1 of 2\nBO\n");
    let (sources, file) = source("B1.nc1", &signed);
    let (job, answer) = exchange::nc::read(&sources, file, &map(MAP), Some(&library())).0.unwrap();
    assert!(members_text(&job).unwrap().contains("mark-text \"N1 of 2\"\n"));
    assert_eq!(
        answer.remarks,
        ["The sign `N1 of 2` is printed where the line's marker prints, not at v 60.00s 45.00."]
    );
    assert_eq!(answer.left_out.keys().collect::<Vec<_>>(), ["length to be sawn 2405.00"]);
}

/// E1161, E1162, E1163, E1148, E1149: parts that are refused, each at its line.
#[test]
fn parts_that_say_more_than_holes_are_refused() {
    let told = |from: &str, to: &str| -> Vec<&'static str> {
        let text = PART.replace(from, to);
        assert_ne!(text, PART, "{from}");
        let mut codes: Vec<_> = read(&text).expect_err(to).iter().map(|d| d.code.number).collect();
        codes.dedup();
        codes
    };
    assert_eq!(told("ST\n", "AK\n"), ["E1161"]);
    assert_eq!(told("EN\n", ""), ["E1161"]);
    assert_eq!(told("EN\n", "EN\nST\n"), ["E1161"]);
    assert_eq!(told("  90.00\n  40.00\n", "  90,00\n  40.00\n"), ["E1161"]);
    assert_eq!(told("v  310.00u", "v  3100.00u"), ["E1161"]);
    assert_eq!(told("  v  310.00u", "  v  310.00s  45.00  14.00\n  v  310.00u"), ["E1161"]);
    assert_eq!(told("2400.00, 2405.00", "2400.00, 2405.00, 3"), ["E1161"]);
    assert_eq!(told("  C\n", "  I\n"), ["E1162"]);
    assert_eq!(told("BO\n", "SI\n  v 10 10 0 10 B1\n  v 90 10 0 10 B2\nBO\n"), ["E1163"]);
    assert_eq!(told("BO\n", "SI\n  v 10 10 0 10\nBO\n"), ["E1161"]);
    assert_eq!(told("v  700.00s  52.00", "v  700.00s  -5.00"), ["E1161"]);
    assert_eq!(told("v  700.00s  52.00", "v  700.00t  52.00"), ["E1161"]);
    assert_eq!(told("0.00  28.00  0.00  0.00", "0.00l  28.00  4.00  0.00"), ["E1163"]);
    assert_eq!(told("0.00  28.00  0.00  0.00", "0.00  28.00  0.00  45.00"), ["E1163"]);
    assert_eq!(told("2400.00  90.00  0.00\n", "2400.00  60.00  0.00\n"), ["E1163"]);
    assert_eq!(told("2400.00  90.00  0.00\n", "2450.00  90.00  0.00\n"), ["E1163"]);
    assert_eq!(told("2400.00  90.00  0.00\n", "2399.995  90.00  0.00\n"), ["E1163"]);
    assert_eq!(told("2400.00  90.00  0.00\n", "2400.00  90.00w  0.00\n"), ["E1163"]);
    assert_eq!(told("2400.00  90.00  0.00\n", "2400.00  90.00  0.00  45  0\n"), ["E1163"]);
    assert_eq!(told("v  0.00u  0.00", "h  0.00u  0.00"), ["E1163"]);
    assert_eq!(told("  0.00  0.00  0.00\nBO", "BO"), ["E1163"]);
    let web = "AK\n  v  0u  0\n  2400  0\n  2400  90\n  0  90\n  0  0\nBO\n";
    assert_eq!(told("BO\n", web), ["E1163"]);
    assert_eq!(told("14.00  0.00\n  v  600", "14.00  3.00\n  v  600"), ["E1163"]);
    assert_eq!(told("  0.00\n  bottom", "  7.50\n  bottom"), ["E1163"]);
}

/// E1163: each end cut and each block that is not read says what it would be and what to do.
#[test]
fn every_cut_and_block_is_refused_by_its_own_sentence() {
    let said = |text: &str| -> (String, String, String) {
        let mut found = read(text).expect_err(text);
        assert_eq!(found.len(), 1, "{found:#?}");
        let found = found.remove(0);
        assert_eq!(found.code.number, "E1163");
        let span = found.span().unwrap();
        let at = text.get(span.start as usize..span.end as usize).unwrap().to_string();
        (at, found.message, found.help.unwrap())
    };
    let head = "  0.00\n  0.00\n  0.00\n  0.00\n";
    let mut messages = Vec::new();
    for (line, words) in [
        (0, ["start of this part", "18.435 degrees across its web"]),
        (1, ["end of this part", "18.435 degrees across its web"]),
        (2, ["start of this part", "18.435 degrees across its flanges"]),
        (3, ["end of this part", "18.435 degrees across its flanges"]),
    ] {
        let mut lines = ["  0.00\n"; 4];
        lines[line] = "  18.435\n";
        let (at, message, help) = said(&PART.replace(head, &lines.concat()));
        assert_eq!(at, "18.435");
        assert!(words.iter().all(|word| message.contains(word)), "{message}");
        messages.push(message + &help);
    }
    for block in ["PU", "KO", "SC", "KA", "UE", "TO", "PR", "AG", "XX"] {
        let (at, message, help) = said(&PART.replace("BO\n", &format!("{block}\n  v 1 2 3\nBO\n")));
        assert_eq!(at, block);
        assert!(message.starts_with(&format!("the block {block} ")), "{message}");
        messages.push(message + &help);
    }
    messages.sort();
    messages.dedup();
    assert_eq!(messages.len(), 13);
}

/// E1148 and E1149, and what a file that is cut short says.
#[test]
fn sections_and_sizes_that_nobody_knows_are_refused() {
    let code = |text: &str| read(text).expect_err("refused")[0].code.number;
    assert_eq!(code(&PART.replace("C90x40-0.75", "C91")), "E1148");
    assert_eq!(code(&PART.replace("  90.00\n  40.00", "  92.00\n  40.00")), "E1148");
    assert_eq!(code(&PART.replace("  0.75\n  0.75\n", "  1.00\n  0.75\n")), "E1148");
    assert_eq!(code(&PART.replace("  0.75\n  0.75\n", "  0.81\n  0.81\n")), "E1148");
    // Another steel, another radius: the shop's are used, and the file's are listed.
    let other = PART.replace("G550", "S350").replace("  1.50\n", "  3.00\n");
    let (sources, file) = source("B1.nc1", &other);
    let (_, answer) = exchange::nc::read(&sources, file, &map(MAP), Some(&library())).0.unwrap();
    let listed: Vec<&str> = answer.left_out.keys().map(String::as_str).collect();
    assert_eq!(
        listed,
        [
            "grade S350, of C90x40-0.75 G550",
            "length to be sawn 2405.00",
            "radius 3, of C90x40-0.75 1.5"
        ]
    );
    assert_eq!(code(&PART.replace("310.00u  45.00  14.00", "310.00u  45.00  15.00")), "E1149");
    for cut in (0..PART.len() - 4).step_by(7) {
        assert!(read(&PART[..cut]).is_err(), "{cut}");
    }
}

/// The crate `dstv` (0.8.0) reads what is written, and finds the same figures.
#[test]
fn another_reader_finds_the_same_holes() {
    let library = library();
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    let choice = Choice { cut: words(&["hole", "service-hole"]), ..Choice::default() };
    let near = |a: f64, nm: i64| assert!((a - nm as f64 / 1e6).abs() < 1e-6, "{a} {nm}");
    let mut holes = 0;
    for seed in 0..150 {
        let scope = Scope {
            all: false,
            outlines: false,
            profiles: &["C90x40-0.75", "362S162-43", "U60x30-0.75"],
        };
        let mut made = random(&mut Dice(seed), scope);
        for member in made.frames.iter_mut().flat_map(|frame| &mut frame.members) {
            member.mark = member.mark.replace('ö', "oe").replace('ß', "ss");
        }
        let one = job(&members_text(&made).unwrap(), &library);
        let parts = exchange::nc::write(&one, &library, &choice).unwrap();
        for ((frame, member), part) in one.members().zip(&parts) {
            let other = Dstv::from_str(&part.text).unwrap_or_else(|_| panic!("{}", part.text));
            let profile = library.profile(member.shape.profile).unwrap();
            assert_eq!(other.header.order_identification, *one.name);
            assert_eq!(other.header.drawing_identification, *frame.name);
            assert_eq!(other.header.piece_identification, *member.mark);
            assert_eq!(other.header.profile, *profile.name);
            assert_eq!(other.header.quantity_of_pieces, i32::try_from(member.quantity).unwrap());
            near(other.header.length, member.shape.length.nm());
            near(other.header.profile_height, profile.web.nm());
            near(other.header.flange_width, profile.left_flange.nm());
            near(other.header.web_thickness, profile.thickness.nm());
            let mut wanted = Vec::new();
            for feature in &member.shape.features {
                for face in feature.faces.each() {
                    let (letter, width) = match face {
                        coilwright::member::model::Faces::WEB => (PartFace::Front, profile.web),
                        coilwright::member::model::Faces::LEFT_FLANGE => {
                            (PartFace::Top, profile.left_flange)
                        }
                        _ => (PartFace::Bottom, profile.right_flange),
                    };
                    let coilwright::member::model::Place::Point { at, .. } = feature.place else {
                        panic!()
                    };
                    let x = at.on(member.shape.length).distance().nm();
                    let y = width.nm() / 2 + feature.across.nm();
                    wanted.push((letter, x, y, feature.outline));
                }
            }
            assert_eq!(other.elements.len(), wanted.len(), "{}", part.text);
            for (element, (face, x, y, outline)) in other.elements.iter().zip(wanted) {
                holes += 1;
                match element {
                    DstvElementType::Hole(hole) => {
                        assert_eq!(hole.fl_code, face);
                        near(hole.x_coord, x);
                        near(hole.y_coord, y);
                        near(hole.diameter, outline.length().nm());
                    }
                    DstvElementType::Slot(slot) => {
                        assert_eq!(slot.fl_code, face);
                        near(slot.x_coord + slot.slot_length / 2.0, x);
                        near(slot.y_coord, y);
                        near(slot.diameter, outline.width().nm());
                        near(slot.slot_length + slot.diameter, outline.length().nm());
                    }
                    _ => panic!("{}", part.text),
                }
            }
        }
    }
    assert!(holes > 1_000, "{holes}");
}

/// E1171 and E1172: what is not decided, and what the format cannot say.
#[test]
fn what_cannot_be_said_is_refused_before_anything_is_written() {
    let library = library();
    // Of neighbours of the golden ratio the simpler ones are nearer than a millionth of a
    // millimetre on a web.
    let text = "job KP\nframe N1 wall profile \"C90x40-0.75\" {\n  member S1 stud length 2000 {\n    end slope 514229 : 832040\n    dimple at 20\n    hole 12 on left flange at 100\n    lip-cut 45 start\n    web-notch 40 at 320\n    hatch at 15\n  }\n}\n";
    let one = job(text, &library);
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect::<Vec<_>>();
    let codes = |choice: &Choice| -> Vec<(&'static str, String)> {
        exchange::nc::write(&one, &library, choice)
            .unwrap_err()
            .into_iter()
            .map(|d| (d.code.number, d.message))
            .collect()
    };
    let undecided = codes(&Choice { cut: words(&["hole", "dimpel"]), ..Choice::default() });
    assert_eq!(undecided.iter().filter(|(code, _)| *code == "E1171").count(), 5, "{undecided:?}");
    let said = codes(&Choice {
        cut: words(&["hole", "lip-cut", "web-notch", "hatch"]),
        pressed: words(&["dimple"]),
        leave_out: vec![],
    });
    let all: String = said.iter().map(|(code, text)| format!("{code} {text}\n")).collect();
    assert!(all.contains("E1172 NC files have no words for a dimple"), "{all}");
    for told in [
        "tell the slope of an end of member S1",
        "a lip-cut is on the left lip",
        "a web-notch reaches an edge",
        "a hatch reaches an edge",
    ] {
        assert!(all.contains(told), "{told}\n{all}");
    }
}
