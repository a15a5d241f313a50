//! What this program writes beside a model's geometry: it comes back, or what is lost is told.

use super::shop::{bare, drawn, job, library, with_map};
use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::drawn::DrawnJob;
use coilwright::exchange::{self, Choice, members_text};
use coilwright::member::model::Job;

const JOB: &str = "job KP31 \"Kestrel Point, größer\" revision B
units mm
waive hole-to-end frame N1 mark S1 reference \"letter 12\" by \"M. Aroha, CPEng\"
frame N1 wall profile \"C90x40-0.75\" {
  member S1 stud length 2396 {
    dimple at 18, 40, 300, 900, 1200, 1500, 1800, 2100, 2378
    hole 14 at 60, end - 60
    service-hole at 450, 1080
    lip-notch at 576 .. 624
    swage 45 on flanges start
  }
  member S2 stud length 1200 {
    dimple at 18, 1182
    hole 14 at 60
  }
}
";

fn was() -> Job {
    job(JOB, &library())
}

fn model() -> String {
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    let choice = Choice {
        cut: words(&["hole", "service-hole", "lip-notch"]),
        pressed: words(&["dimple", "swage"]),
        ..Choice::default()
    };
    let library = library();
    exchange::ifc::write(&was(), &drawn(&was(), &library), &library, &choice).unwrap()
}

fn read_with(text: &str, map: &str) -> (Option<(DrawnJob, String)>, Vec<Diagnostic>) {
    let (map, sources, file) = with_map(map, "job.ifc", text);
    let (read, found) = exchange::ifc::read(&sources, file, &map, Some(&library()));
    assert!(found.iter().all(|found| found.help.is_some()));
    (
        read.map(|(job, answer)| {
            let told = answer.text(&job);
            (job, told)
        }),
        found,
    )
}

/// The codes of what is found in a model.
fn codes(text: &str) -> Vec<&'static str> {
    read_with(text, "").1.iter().map(|found| found.code.number).collect()
}

/// The model without lines that have this in them.
fn without(text: &str, what: &str) -> String {
    assert!(text.contains(what), "{what}");
    text.lines().filter(|line| !line.contains(what)).map(|line| format!("{line}\n")).collect()
}

/// Its texts cut as a program cuts that keeps so many letters.
fn cut_at(text: &str, most: usize) -> String {
    let cut = |line: &str| match line.split_once("IFCTEXT('") {
        Some((before, after)) => {
            let (text, after) = after.rsplit_once("')").unwrap();
            let kept: String = text.chars().take(most).collect();
            format!("{before}IFCTEXT('{kept}'){after}\n")
        }
        None => format!("{line}\n"),
    };
    text.lines().map(cut).collect()
}

#[test]
fn everything_comes_back_from_a_program_that_cuts_texts_at_255() {
    let cut = cut_at(&model(), 255);
    assert_eq!(cut, model());
    let (read, found) = read_with(&cut, "");
    assert!(found.is_empty(), "{found:#?}");
    let (read, answer) = read.unwrap();
    assert_eq!(bare(&job(&members_text(&read).unwrap(), &library())), bare(&was()));
    assert!(
        answer.contains(
            "2 members in 1 frame, 18 features; to make 2 pieces with 18 features; 1 waiver."
        ),
        "{answer}"
    );
    // Properties in another order, and as another kind of text.
    let other = model().replace("IFCTEXT(", "IFCLABEL(");
    assert_eq!(codes(&other), [""; 0]);
}

/// E1151
#[test]
fn words_that_are_lost_are_told() {
    let model = model();
    // Both members' texts are longer than 240 letters only in the first of them.
    for (most, told) in [(100, 2), (200, 2), (240, 1)] {
        assert_eq!(codes(&cut_at(&model, most)), vec!["E1151"; told], "{most}");
    }
    // One of its properties, or their number.
    for property in ["'Member 2'", "'Openings 1'", "'Parts'"] {
        let line = model.lines().find(|line| line.contains(&format!("({property},"))).unwrap();
        let number = line.split_once('=').unwrap().0;
        let gone = without(&model, line)
            .replace(&format!("{number},"), "")
            .replace(&format!(",{number})"), ")");
        let (read, found) = read_with(&gone, "");
        assert!(read.is_none(), "{property}");
        assert_eq!(found[0].code.number, "E1151", "{property}: {found:#?}");
    }
    // A figure in it that somebody has changed, and a set that belongs to nothing.
    let changed = model.replacen("\"offset\":\"300 mm\"", "\"offset\":\"310 mm\"", 1);
    assert_ne!(changed, model);
    assert_eq!(codes(&changed), ["E1151"]);
    let (_, found) = read_with(&without(&model, "IFCRELDEFINESBYPROPERTIES"), "");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].code.number, "E1151");
    assert!(found[0].message.contains("3 sets"), "{}", found[0].message);
    // The shop may go on with what is drawn; what that leaves is counted.
    let map = "[ifc]\ngeometry-only = true\n";
    let (read, found) = read_with(&cut_at(&model, 100), map);
    assert!(found.is_empty(), "{found:#?}");
    let (read, answer) = read.unwrap();
    assert!(answer.contains("2  sets Coilwright_Member, with what is not drawn"), "{answer}");
    assert!(answer.contains("1  sets Coilwright_Job"), "{answer}");
    assert_eq!((read.counts(), read.waivers.len()), ((2, 7), 0));
}

/// W1155: a copied member, and a project without its waivers.
#[test]
fn members_without_words_among_others_are_told() {
    let model = model();
    let line =
        model.lines().filter(|line| line.contains("IFCRELDEFINESBYPROPERTIES")).nth(2).unwrap();
    let set = format!("{}=", line.rsplit_once(",").unwrap().1.trim_end_matches(");"));
    let copied = without(&without(&model, line), &set);
    let (read, found) = read_with(&copied, "");
    assert_eq!(found.iter().map(|d| d.code.number).collect::<Vec<_>>(), ["W1155"]);
    assert!(found[0].message.contains("1 member has no set"), "{}", found[0].message);
    let read = read.unwrap().0;
    assert_eq!(read.frames[0].members[1].features.len(), 1);
    let renamed = model.replace("Coilwright_Member", "Another");
    assert_eq!(codes(&renamed), ["W1155"]);
    let line = model.lines().find(|line| line.contains("IFCRELDEFINESBYPROPERTIES")).unwrap();
    let set = format!("{}=", line.rsplit_once(",").unwrap().1.trim_end_matches(");"));
    assert_eq!(codes(&without(&without(&model, line), &set)), ["W1155"]);
}

/// A frame without members leaves no assembly without parts, which would be refused.
#[test]
fn frames_without_members_are_not_written() {
    let library = library();
    let made = job(
        "job KP31\nframe N1 wall profile \"C90x40-0.75\" {\n  member S1 stud length 2396\n}\nframe N2 wall {\n}\n",
        &library,
    );
    let model =
        exchange::ifc::write(&made, &drawn(&made, &library), &library, &Choice::default()).unwrap();
    assert_eq!(model.matches("IFCELEMENTASSEMBLY").count(), 1);
    let (read, found) = read_with(&model, "");
    assert!(found.is_empty(), "{found:#?}");
    assert_eq!(read.unwrap().0.frames.len(), 1);
}

/// What a map rounds lengths to is for what others drew.
#[test]
fn rounding_does_not_make_a_model_another() {
    let library = library();
    let made = job(&JOB.replace("2396", "2396.5").replace("at 450", "at 450.4"), &library);
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    let choice = Choice {
        cut: words(&["hole", "service-hole", "lip-notch"]),
        pressed: words(&["dimple", "swage"]),
        ..Choice::default()
    };
    let model = exchange::ifc::write(&made, &drawn(&made, &library), &library, &choice).unwrap();
    let map = "[ifc]\nround = \"1 mm\"\n";
    let (read, found) = read_with(&model, map);
    assert!(found.is_empty(), "{found:#?}");
    assert_eq!(bare(&job(&members_text(&read.unwrap().0).unwrap(), &library)), bare(&made));
    let (read, _) = read_with(&model.replace("Coilwright_", "Another_"), map);
    let rounded = members_text(&read.unwrap().0).unwrap();
    assert!(
        rounded.contains("length 2397") && rounded.contains("service-hole at 450"),
        "{rounded}"
    );
}

/// A mark that was changed is not what is printed, where the job says what is.
#[test]
fn what_is_printed_on_a_renamed_member_is_told() {
    let library = library();
    let text = JOB
        .replace("    dimple at 18, 1182\n", "    mark-text \"N1 S2\"\n    dimple at 18, 1182\n");
    let made = job(&text.replace("waive", "# waive"), &library);
    let mut names = drawn(&made, &library);
    names.frames[0].members[1].mark_text = Some("KP S2".into());
    let choice = Choice {
        cut: vec!["hole".into(), "service-hole".into(), "lip-notch".into()],
        pressed: vec!["dimple".into(), "swage".into()],
        ..Choice::default()
    };
    let model = exchange::ifc::write(&made, &names, &library, &choice).unwrap();
    let answer = read_with(&model.replace("'S2'", "'S9'"), "").0.unwrap().1;
    assert!(
        answer.contains(
            "Member S9 was S2 when this program wrote the model; `KP S2` is still printed on it."
        ),
        "{answer}"
    );
    assert!(!read_with(&model, "").0.unwrap().1.contains("printed"));
}

/// W1150: a model that somebody changed is read as it is drawn now.
#[test]
fn openings_that_were_changed_count_as_they_are_drawn() {
    let model = model();
    let read = |text: &str| {
        let (read, found) = read_with(text, "");
        let codes: Vec<_> = found.iter().map(|d| d.code.number).collect();
        assert_eq!(codes, ["W1150"]);
        members_text(&read.unwrap().0).unwrap()
    };
    let holes: Vec<&str> = model.lines().filter(|l| l.contains("'hole',$,'hole'")).collect();
    assert_eq!(holes.len(), 3);
    // Moved: the second hole of the stud.
    let moved = read(&model.replacen(",2336.))", ",2300.))", 1));
    assert!(moved.contains("hole 14 at 60, 2300"), "{moved}");
    assert!(moved.contains("dimple at 18, 40, 300"), "pressed features stay: {moved}");
    // Called another type, of the same size.
    let called = read(&model.replacen("'hole',$,'hole'", "'anchor-hole',$,'anchor-hole'", 1));
    assert!(called.contains("anchor-hole 14 at 60"), "{called}");
    // Deleted: all holes of the stud, and none comes back.
    let mut gone = model.clone();
    for hole in &holes[..2] {
        let number = hole.split_once('=').unwrap().0;
        gone = without(&without(&gone, hole), &format!(",{number});"));
    }
    let gone = read(&gone);
    let stud = gone.split_once("member S2").unwrap().0;
    assert!(!stud.contains("hole 14") && stud.contains("swage"), "{gone}");
    // Another outline in the same box.
    let slot = model.lines().find(|line| line.contains("IFCROUNDEDRECTANGLE")).unwrap();
    let square =
        format!("{}=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,60.,32.);", slot.split_once('=').unwrap().0);
    assert_eq!(codes(&model.replacen(slot, &square, 1)), ["W1150", "E1154"]);
}

/// Models of the first form, which had each text in one property, are read as before.
#[test]
fn models_of_the_first_form_are_read() {
    let first = include_str!("first_form.ifc");
    let (read, found) = read_with(first, "");
    assert!(found.is_empty(), "{found:#?}");
    let mut wanted = was();
    wanted.waivers.clear();
    let read = read.unwrap().0;
    assert_eq!(bare(&job(&members_text(&read).unwrap(), &library())), bare(&wanted));
    let cut: Vec<_> = codes(&cut_at(first, 255));
    assert_eq!(cut, ["E1151"]);
    // All holes of the stud are deleted: they do not come back as if they were pressed.
    let mut gone = first.to_string();
    let holes: Vec<&str> = first.lines().filter(|l| l.contains("'hole',$,'hole'")).collect();
    for hole in &holes[..2] {
        let number = hole.split_once('=').unwrap().0;
        gone = without(&without(&gone, hole), &format!(",{number});"));
    }
    let (read, found) = read_with(&gone, "");
    assert_eq!(found[0].code.number, "W1150");
    let gone = members_text(&read.unwrap().0).unwrap();
    let stud = gone.split_once("member S2").unwrap().0;
    assert!(!stud.contains("hole 14") && stud.contains("dimple at 18, 40"), "{gone}");
}
