//! Programs in the words of RS-274: strokes as outputs that are held for a dwell.

use super::{FILE, prove, reads_back};
use crate::dialect_common::{shed_line, small_program};
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::quantity::{MemoryFiles, Sources, Time};

/// RS-274 on a line with these times, of a program that has two phases in one stop.
fn rs_274() -> Invertible {
    let mut line = shed_line();
    for (tool, ms) in line.tools.iter_mut().zip([300, 200, 450]) {
        tool.time = Time::from_ms(ms);
    }
    line.feed.settle = Time::from_ms(30);
    line.shear.time = Time::from_ns(400_000_001);
    let named = "shipped:rs-274";
    let (dialect, found) =
        load_dialect(&MemoryFiles::default(), &mut Sources::default(), named, None);
    assert!(found.is_empty(), "{found:#?}");
    prove(&dialect.unwrap(), &line)
}

/// The same words as the public documentation of RS274/NGC; `.ci/run` has an interpreter of
/// another project run such programs.
#[test]
fn rs_274_fires_phases_and_dwells() {
    reads_back(&rs_274(), &small_program());
    let printed = rs_274().print(&small_program()).unwrap();
    insta::assert_snapshot!(String::from_utf8(printed.bytes).unwrap());
}

#[test]
fn e0759_not_what_the_line_needs() {
    let dialect = rs_274();
    let text = String::from_utf8(dialect.print(&small_program()).unwrap().bytes).unwrap();
    // Shorter than the tool takes; a cut rounded down; another tool released; strokes exchanged.
    for (old, new) in [
        ("G4 P0.45\n", "G4 P0.4\n"),
        ("G4 P0.401\n", "G4 P0.4\n"),
        ("M65 P3\nM65 P4\n", "M65 P4\nM65 P3\n"),
        ("M64 P3\nM64 P4\n", "M64 P4\nM64 P3\n"),
    ] {
        assert!(text.contains(old), "{old}");
        let bad = text.replacen(old, new, 1);
        let refusal = dialect.read(FILE, bad.as_bytes()).unwrap_err();
        assert_eq!(refusal.code.number, "E0759", "{old}: {}", refusal.message);
    }
}
