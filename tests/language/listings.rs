//! What is said about files with several mistakes, as a whole.

use super::{listing, read};
use coilwright::language::tree::{FramePart, Item, Statement};

#[test]
fn a_detailer_s_bad_day() {
    insta::assert_snapshot!(listing(
        r#"
job KP07 "Kestrel Point boatshed" revision B.1
unit mm
profile C90 = C90x40-0.75

recipe wall-stud(height, nog = height/2, {
  lenght height
  swage both end
  dimple on flange, both ends at 22
  service-hole 60x30 on web at 450, 1080
  lip-notch nog-24 .. nog+24
  if height = 2400 {
    hole 12 at 3 1/2"
  }
  else {
  }
}

frame N1 "north wall" {
  member S1..S7 jack stud = wall-stud(2386)
  member S8 stud wall-stud(2386)
  B1 bottom plate length 3600
  member B2 bottom length 3600 {
    dimple on flanges every 600 from 600 to 3000
    hole 12 on web at 310 1490
    hole 12 across 5 on web at 310
    start slope 4/12
    connect S1
  }
  hole 12 on web at 310
}
waive hole-to-end mark C2 by "M. Aroha" reference "12"
"#
    ));
}

#[test]
fn blocks_that_are_not_closed() {
    insta::assert_snapshot!(listing(
        "frame N1 wall {\n  member S1 stud length 2386 {\n    dimple on web at 22\n  \
         member S2 stud length 2386 {\n    dimple on web at (22\n    dimple on web at 44\n  }\n\
         frame N2 wall {\n  }\n}\n}\nrecipe a() {\n  if 1 < 2 {\n"
    ));
}

#[test]
fn what_is_sound_around_a_mistake_is_read() {
    let text = "let a = \nframe N1 wal {\n  member S1 studd {\n    dimple at 3\n    hole at\n    \
                swage start\n  }\n  member S2 stud length 5\n}\nlet b = 2\n";
    let (tree, findings) = read(text);
    assert_eq!(findings.len(), 4, "{}", listing(text));
    let [Item::Broken(_), Item::Frame(frame), Item::Let(_)] = &tree.items[..] else {
        panic!("{:?}", tree.items)
    };
    assert!(frame.broken);
    let [FramePart::Member(first), FramePart::Member(second)] = tree.get(frame.parts) else {
        panic!("{:?}", tree.get(frame.parts))
    };
    assert!(first.broken && !second.broken);
    let body = tree.get(first.body.unwrap().statements);
    assert!(
        matches!(body, [Statement::Feature(_), Statement::Broken(_), Statement::Feature(_)]),
        "{body:?}"
    );
}
