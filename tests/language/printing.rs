//! The formatter: what it prints means the same, keeps every comment, and is left alone by it.

use super::grammar::Grammar;
use super::random::{Random, file};
use super::shape::shape;
use super::{members_files, read};
use coilwright::language::format;

#[track_caller]
fn prints(text: &str) -> String {
    let (tree, findings) = read(text);
    assert!(findings.is_empty(), "{findings:?} in\n{text}");
    let printed = format(&tree, text).expect("no findings, so it can be printed");
    let (again, findings) = read(&printed);
    assert!(findings.is_empty(), "{findings:?}\nfrom\n{text}\nprinted\n{printed}");
    assert_eq!(shape(&tree, text), shape(&again, &printed), "from\n{text}\nprinted\n{printed}");
    assert_eq!(format(&again, &printed).as_deref(), Some(&*printed), "from\n{text}");
    printed
}

#[test]
fn fixtures_mean_the_same_when_printed() {
    for (_, text) in members_files() {
        prints(&text);
    }
}

#[test]
fn random_files_mean_the_same_when_printed() {
    let grammar = Grammar::of_the_project();
    let mut random = Random(4);
    let mut printed = 0;
    for _ in 0..3_000 {
        let steps = 20 + random.below(200);
        let text = file(&grammar, &mut random, steps);
        if read(&text).1.is_empty() {
            prints(&text);
            printed += 1;
        }
    }
    assert!(printed > 2_500, "{printed}");
}

#[test]
fn the_ugly_file_printed() {
    let (_, text) =
        members_files().into_iter().find(|(path, _)| path.ends_with("ugly.members")).unwrap();
    insta::assert_snapshot!(prints(&text));
}

#[test]
fn windows_line_ends_and_long_lists() {
    let list: Vec<String> = (1..60).map(|i| (i * 100).to_string()).collect();
    let text = format!("let a = [{}] # all\r\n\r\n\r\nlet b = 2\r\n", list.join(" , "));
    let printed = prints(&text);
    assert!(printed.lines().all(|line| line.len() <= 110), "{printed}");
    assert!(printed.ends_with("]  # all\n\nlet b = 2\n"), "{printed}");
}

#[test]
fn a_file_with_mistakes_is_not_printed() {
    let text = "let a = \n";
    assert_eq!(format(&read(text).0, text), None);
}
