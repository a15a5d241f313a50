//! Parser and specification say the same of every file: those written by the specification, those
//! damaged afterwards, and the fixtures.

use super::grammar::Grammar;
use super::random::{Random, damage, file};
use super::{listing, members_files, read};
use coilwright::language::{FRAME_KINDS, RESERVED, USAGES};
use std::collections::BTreeSet;

#[track_caller]
fn agree(grammar: &Grammar, text: &str) -> bool {
    let specified = grammar.accepts(text);
    let findings = read(text).1;
    assert_eq!(specified, findings.is_empty(), "in\n{text}\nthe parser says\n{}", listing(text));
    specified
}

#[test]
fn what_the_specification_writes_is_read_without_a_finding() {
    let grammar = Grammar::of_the_project();
    let mut random = Random(1);
    let mut long = 0;
    for _ in 0..3_000 {
        let steps = 20 + random.below(200);
        let text = file(&grammar, &mut random, steps);
        // Neighbours may grow together: `2` and `m` are not `2 m`.
        if grammar.accepts(&text) {
            long += usize::from(text.len() > 200);
            let said = listing(&text);
            assert!(said.is_empty(), "{said}in\n{text}");
        }
    }
    assert!(long > 1_000, "only {long} of the files say much");
}

#[test]
fn damaged_files_are_refused_by_both_or_by_neither() {
    let grammar = Grammar::of_the_project();
    let mut random = Random(2);
    let (mut right, mut wrong) = (0, 0);
    for _ in 0..6_000 {
        let steps = 10 + random.below(60);
        let mut text = file(&grammar, &mut random, steps);
        for _ in 0..=random.below(2) {
            text = damage(&text, &grammar, &mut random);
        }
        if agree(&grammar, &text) { right += 1 } else { wrong += 1 }
    }
    assert!(right > 500 && wrong > 2_000, "{right} right and {wrong} wrong tell little");
}

#[test]
fn fixtures_are_members_files_by_both_and_damaged_lines_of_them_agree() {
    let grammar = Grammar::of_the_project();
    let mut random = Random(3);
    for (path, text) in members_files() {
        assert!(agree(&grammar, &text), "{}: {}", path.display(), listing(&text));
        for _ in 0..40 {
            // A frame's worth of text: Earley takes its time.
            let lines: Vec<&str> = text.lines().collect();
            let from = random.below(lines.len());
            let piece = lines[from..lines.len().min(from + 12)].join("\n");
            agree(&grammar, &damage(&piece, &grammar, &mut random));
        }
    }
}

#[test]
fn the_specification_reserves_the_words_the_parser_reserves() {
    let grammar = Grammar::of_the_project();
    let parser: BTreeSet<String> = RESERVED.iter().map(|word| (*word).to_string()).collect();
    assert_eq!(*grammar.reserved(), parser);
}

#[test]
fn the_specification_knows_the_words_of_the_trade_the_parser_knows() {
    let grammar = Grammar::of_the_project();
    for (phrase, _) in USAGES {
        let phrase = phrase.join(" ");
        assert!(agree(&grammar, &format!("frame N1 wall {{ member S1 {phrase} }}")), "{phrase}");
    }
    for (kind, _) in FRAME_KINDS {
        assert!(agree(&grammar, &format!("frame N1 {kind} {{ }}")), "{kind}");
    }
}

#[test]
fn traps_go_the_way_the_specification_says() {
    let grammar = Grammar::of_the_project();
    let right = [
        "let a = b - c",
        "let a = b-c",
        "let a = 5-1/2in",
        "let a = 3 1/2in * 2",
        "let a = 8ft-4-1/2in",
        "let a = 8 ft 4 in",
        "let a = 1/2",
        "let a = b / 1/2in",
        "let a = b / 2 / 3",
        "let a = -b - -c",
        "let a = [1,\n2]",
        "tolerance -1/16/+0",
        "tolerance -0.5",
        "frame 7 loose { member 2B-14, 5-1, 1..9 other }",
        "frame end roof { member member stud }",
    ];
    let wrong = [
        "let a = 2386-24",
        "let a = 60x30",
        "let a = 2.5-1",
        "let a = 5-1/2in-3",
        "let a = b / 1/2",
        "let a = b / -1/2",
        "let a = .5",
        "let a = 1 < 2 < 3",
        "let a = [1, 2,]",
        "let a = (1;\n2)",
        "let a = 8'",
        "let end = 3",
        "tolerance 0.5/+1",
        "frame N1 loose { member S1 jack stud }",
    ];
    for text in right {
        assert!(agree(&grammar, text), "{text}");
    }
    for text in wrong {
        assert!(!agree(&grammar, text), "{text}");
    }
}
