//! The controller's log says how far a run has come: nobody counts by hand.

#![allow(clippy::float_arithmetic)]

use super::first_off::{REST, each_once, pieces, standing, two_walls};
use super::shop::{Run, Shop};

/// A line for each piece and each scrap, behind a time of day.
pub const READ_AS: &str = r#"
name = "tally"
characters = "ascii"
before = [{ skip = 8 }, " "]
ignore = ["note "]

[numbers.count]
unit = "count"

[numbers.mm]
unit = "mm"
decimals = 1

[texts.plain]
refuse = " "

[lines]
started = ["begin ", { field = "program", format = "plain" }]
piece = [
  "piece ", { field = "serial", format = "count" }, " is ", { field = "made", format = "count" },
  ", cut at ", { field = "at", format = "mm" },
]
scrap = ["scrap at ", { field = "at", format = "mm" }]
rejected = ["bad ", { field = "serial", format = "count" }, " ", { skip-to = "" }]
stopped = ["rest at ", { field = "at", format = "mm" }]
ended = ["done ", { field = "program", format = "plain" }]
"#;

/// What the controller writes until so many pieces have dropped.
fn log(shop: &Shop, pieces: usize) -> Vec<String> {
    let program = shop.read("out/programs/small-shop-01.txt");
    let mut lines = vec!["begin small-shop-01".to_string(), "note strip tension 4".to_string()];
    let mut made = 0;
    for fields in program.lines().map(|line| line.split(';').collect::<Vec<_>>()) {
        let at = || format!("{:.1}", fields[1].parse::<f64>().unwrap());
        match fields[0] {
            "trim" if made < pieces => lines.push(format!("scrap at {}", at())),
            "cut" if made < pieces => {
                made += 1;
                lines.push(format!("piece {} is {made}, cut at {}", fields[2], at()));
            }
            _ => {}
        }
    }
    let last = lines.last().unwrap().rsplit(' ').next().unwrap().to_string();
    lines.push(format!("rest at {last}"));
    lines
}

fn write(shop: &Shop, lines: &[String]) {
    let text: String = lines.iter().map(|line| format!("07:15:09 {line}\r\n")).collect();
    shop.write("run.log", text);
    shop.write("tally.toml", READ_AS);
}

pub const BY_LOG: &str = "log = \"run.log\"\nlog-as = \"tally.toml\"\nposition = \"kept\"";

/// The rest by the log is the rest by what was counted.
#[test]
fn the_log_says_where_the_line_stands() {
    let shop = two_walls();
    standing(&shop, -400.0, "after = 5\nposition = \"kept\"\nagain = [3]");
    shop.exits(0, &REST);
    shop.exits(0, &["first-off", "taped.toml", "--rest", "counted"]);
    let mut lines = log(&shop, 5);
    lines.insert(lines.len() - 1, "bad 3 lip bent".to_string());
    write(&shop, &lines);
    standing(&shop, -400.0, BY_LOG);
    shop.exits(0, &["first-off", "taped.toml", "--rest", "logged"]);
    shop.exits(0, &["verify", "logged"]);
    assert_eq!(shop.files("logged/programs"), shop.files("counted/programs"));
    assert_eq!(shop.read("logged/marks.csv"), shop.read("counted/marks.csv"));
    // Nothing has to be taped for it.
    shop.write(
        "stopped.toml",
        format!(
            "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n[stands]\n{BY_LOG}\n"
        ),
    );
    shop.exits(0, &["first-off", "stopped.toml", "--rest", "untaped"]);
    shop.exits(0, &["verify", "untaped"]);
    // The log stays with what came of it.
    assert_eq!(shop.read("logged/log/01.txt"), shop.read("run.log"));
    assert_eq!(shop.read("logged/log/read-as.toml"), READ_AS);
    // In two files, in their order; and with what was counted besides.
    let (first, second) = lines.split_at(4);
    write(&shop, second);
    let text = shop.read("run.log");
    write(&shop, first);
    shop.write("night.log", text);
    let both = BY_LOG.replace("\"run.log\"", "[\"run.log\", \"night.log\"]");
    standing(&shop, -400.0, &format!("after = 5\n{both}"));
    shop.exits(0, &["first-off", "taped.toml", "--rest", "twice"]);
    assert_eq!(shop.files("twice/programs"), shop.files("counted/programs"));
    each_once(&pieces(&shop, "twice").into_iter().filter(|(s, _)| *s != 3).collect::<Vec<_>>());
}

/// One line of the log in another's place, and what is told of it.
#[track_caller]
fn told(shop: &Shop, code: &str, shown: &str, change: impl FnOnce(&mut Vec<String>)) -> Run {
    let mut lines = log(shop, 5);
    change(&mut lines);
    write(shop, &lines);
    let run = shop.exits(1, &["first-off", "taped.toml", "--rest", "never"]);
    run.finds(code);
    assert!(run.err.contains("run.log:") && run.err.contains(shown), "{shown}: {}", run.err);
    assert!(!shop.path("never").exists());
    run
}

#[test]
fn a_log_that_disagrees_is_told_with_its_line() {
    // E0970, E0971, E0972, E0973, E0974, E0975
    let shop = two_walls();
    standing(&shop, -400.0, BY_LOG);
    let piece = |lines: &[String], n: usize| {
        lines.iter().position(|line| line.contains(&format!(" is {n},"))).unwrap()
    };
    told(&shop, "E0970", "begins so", |lines| lines[1] = "pieec 4 is 4".into());
    told(&shop, "E0971", "no number", |lines| {
        let at = piece(lines, 2);
        lines[at] = lines[at].replace(" is 2,", " is two,");
    });
    told(&shop, "E0971", "goes on", |lines| lines[2].push_str(" mm"));
    told(&shop, "E0972", "does not hold", |lines| lines[0] = "begin small-shop-07".into());
    told(&shop, "E0972", "before any program", |lines| drop(lines.remove(0)));
    told(&shop, "E0972", "again from its beginning", |lines| lines.push(lines[0].clone()));
    told(&shop, "E0973", "comes next", |lines| {
        let (a, b) = (piece(lines, 2), piece(lines, 3));
        lines.swap(a, b);
    });
    told(&shop, "E0973", "the log counts 3", |lines| {
        let at = piece(lines, 2);
        lines[at] = lines[at].replace(" is 2,", " is 3,");
    });
    told(&shop, "E0973", "programmed at", |lines| {
        let at = piece(lines, 4);
        let (head, _) = lines[at].rsplit_once(' ').unwrap();
        lines[at] = format!("{head} 1.0");
    });
    told(&shop, "E0973", "scrap is cut first", |lines| drop(lines.remove(2)));
    told(&shop, "E0973", "scrap drops, and piece 1", |lines| lines.insert(2, lines[2].clone()));
    told(&shop, "E0973", "has not dropped", |lines| lines.push("bad 9 bow".into()));
    told(&shop, "E0973", "of its pieces have not dropped", |lines| {
        lines.push("done small-shop-01".into());
    });
    told(&shop, "E0973", "before the cut", |lines| *lines.last_mut().unwrap() = "rest at 3".into());
    told(&shop, "E0973", "past the cut", |lines| {
        *lines.last_mut().unwrap() = "rest at 99000.0".into();
    });
    told(&shop, "E0975", "no piece has dropped", |lines| lines.truncate(3));
    // More pieces than the program makes.
    let all = log(&shop, 99);
    let run = told(&shop, "E0973", "makes no more pieces", |lines| {
        *lines = all.clone();
        let last = lines.iter().rposition(|line| line.starts_with("piece ")).unwrap();
        lines.insert(last + 1, "piece 99 is 99, cut at 1.0".into());
        lines.truncate(last + 2);
    });
    assert!(run.err.contains("piece 99 is 99"), "{}", run.err);
    // It has moved since, and somebody says it has not.
    told(&shop, "E0974", "stands at", |lines| {
        let last = lines.pop().unwrap();
        let at: f64 = last.rsplit(' ').next().unwrap().parse().unwrap();
        lines.push(format!("rest at {:.1}", at + 20.0));
    });
    // So it has where scrap was cut behind the last piece.
    told(&shop, "E0974", "scrap was cut", |lines| {
        *lines = all.clone();
        let scrap = lines.iter().rposition(|line| line.starts_with("scrap ")).unwrap();
        assert!(scrap > 3, "{lines:?}");
        lines.truncate(scrap + 1);
    });
    // Half a line: no piece is counted by it.
    write(&shop, &log(&shop, 5));
    let whole = shop.read("run.log");
    shop.write("run.log", &whole[..whole.len() - 5]);
    shop.exits(1, &REST).finds("E0971");
    // The file says otherwise.
    shop.write("run.log", whole);
    standing(&shop, -400.0, &format!("after = 4\n{BY_LOG}"));
    shop.exits(1, &REST).finds("E0974");
    // Half of what is needed to read a log.
    for says in ["log = \"run.log\"", "after = 5\nlog-as = \"tally.toml\"", "position = \"kept\""] {
        standing(&shop, -400.0, says);
        shop.exits(1, &REST).finds("E0964");
    }
    standing(&shop, -400.0, &BY_LOG.replace("run.log", "walk.log"));
    shop.exits(1, &REST).finds("E0901");
}

/// A description that would count a piece twice, or pass one over, is not read by.
#[test]
fn descriptions_of_logs_are_proved() {
    let shop = two_walls();
    standing(&shop, -400.0, BY_LOG);
    write(&shop, &log(&shop, 5));
    for (old, new, code) in [
        ("ignore = [\"note \"]", "ignore = [\"p\"]", "E0708"),
        ("ignore = [\"note \"]", "ignore = [\"\"]", "E0707"),
        ("[\"scrap at \"", "[\"piece at \"", "E0708"),
        ("\" is \"", "\"\"", "E0709"),
        (
            "field = \"at\", format = \"mm\" }]\nrej",
            "field = \"at\", format = \"count\" }]\nrej",
            "E0706",
        ),
        ("[\"begin \", { field = \"program\", format = \"plain\" }]", "[\"begin\"]", "E0704"),
        (
            "[\"rest at \", ",
            "[\"rest at \", { field = \"serial\", format = \"count\" }, \" \", ",
            "E0703",
        ),
        (", \" is \"", ", \" = \", { field = \"serial\", format = \"count\" }, \" is \"", "E0705"),
        ("refuse = \" \"", "quote = \"!\"", "E0715"),
        ("skip = 8", "skip = 0", "E0306"),
        ("started = ", "starts = ", "E0302"),
        ("unit = \"mm\"", "unit = \"mm\"\nadvance = \"relative\"", "E0717"),
        (
            "\"bad \", { field = \"serial\", format = \"count\" },",
            "{ field = \"serial\", format = \"count\" },",
            "E0707",
        ),
    ] {
        assert!(READ_AS.contains(old), "{old}");
        shop.write("tally.toml", READ_AS.replacen(old, new, 1));
        let run = shop.exits(1, &REST);
        run.finds(code);
    }
}

/// What the bench at the boatshed writes on the morning that `first-off.toml` tells of: as many
/// pieces as the first program makes, then the second up to piece `after`, with a halt on the way.
fn bench(shop: &Shop, after: u64) -> String {
    let cuts = |number: usize| -> Vec<(f64, u64)> {
        let program = shop.read(format!("out/programs/boatshed-0{number}.jsonl"));
        let records = program.lines().map(|line| line.parse::<serde_json::Value>().unwrap());
        records
            .filter_map(|record| Some((record["cut"].as_f64()?, record["piece"].as_u64()?)))
            .collect()
    };
    let (first, second) = (cuts(1).len(), cuts(2));
    let last = second.iter().position(|(_, piece)| *piece == after).unwrap();
    let halt = last / 2;
    format!(
        "06:58:10 power on\n07:01:36 coil K-118 threaded\n07:02:44 load boatshed-01\n\
         07:02:51 run\n07:31:20 over after {first} pieces\n07:43:05 coil K-131 threaded\n\
         07:44:02 load boatshed-02\n07:44:15 run\n08:06:11 alarm 3 run-out full\n\
         08:06:12 halt at {:.1} mm after {} pieces\n08:09:48 run\n08:21:40 alarm 9 halt key\n\
         08:21:41 halt at {:.1} mm after {} pieces\n",
        (second[halt].0 + second[halt + 1].0) / 2.0,
        halt + 1,
        second[last].0,
        last + 1
    )
}

/// The demo: a controller that counts its pieces and says so where it stops.
/// `COILWRIGHT_BLESS=1` writes its log anew, when planning moves pieces.
#[test]
fn the_bench_of_the_boatshed_says_where_it_stands() {
    let shop = Shop::new();
    shop.copy_from("fixtures/boatshed", "demo");
    shop.exits(0, &["compile", "demo/batch.toml", "--out", "out"]);
    let taped: toml::Table = shop.read("demo/first-off.toml").parse().unwrap();
    let after = taped["stands"]["after"].as_integer().unwrap();
    let fresh = bench(&shop, after as u64);
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/boatshed/bench.log");
        std::fs::write(file, &fresh).unwrap();
        shop.write("demo/bench.log", &fresh);
    }
    let stands = shop.read("demo/bench.log");
    assert!(stands == fresh, "bench.log is stale: COILWRIGHT_BLESS=1 cargo test --test cli");
    let looks = ["--as", "demo/shop/bench-log.toml", "--ran", "out"];
    let run = shop.exits(0, &[&["dialect", "log", "demo/bench.log"], &looks[..]].concat());
    let says = format!("The last of them is piece {after} ");
    assert!(run.out.contains(&says) && run.out.contains("right after that cut"), "{}", run.out);
    shop.exits(1, &[&["dialect", "log", "demo/batch.toml"], &looks[..]].concat()).finds("E0970");
    shop.edit("demo/first-off.toml", "../../target/boatshed", "../out");
    shop.exits(0, &["first-off", "demo/first-off.toml", "--rest", "counted"]);
    let by_log = "log = \"bench.log\"\nlog-as = \"shop/bench-log.toml\"";
    shop.edit("demo/first-off.toml", &format!("after = {after}"), by_log);
    shop.exits(0, &["first-off", "demo/first-off.toml", "--rest", "logged"]);
    assert_eq!(shop.files("logged/programs"), shop.files("counted/programs"));
    shop.exits(0, &["verify", "logged"]);
    let args = ["first-off", "demo/first-off.toml", "--rest", "never"];
    let counts: Vec<u32> = stands
        .lines()
        .filter_map(|line| line.strip_suffix(" pieces")?.rsplit_once(' ')?.1.parse().ok())
        .collect();
    let [first, halt, last] = counts[..] else { panic!("{stands}") };
    let counted = |count: u32| format!("after {count} pieces");
    for (old, new, shown) in [
        (first, first + 1, format!("which makes {first}")),
        (first, first - 1, "have not dropped".to_string()),
        (last, halt - 1, format!("counted {halt} before")),
        (last, last + 1, "before the cut".to_string()),
    ] {
        shop.edit("demo/bench.log", &counted(old), &counted(new));
        let run = shop.exits(1, &args);
        run.finds("E0973");
        assert!(run.err.contains(&shown), "{new}: {}", run.err);
        shop.write("demo/bench.log", &stands);
    }
    // One piece less: the strip stands where that cut is due, and not where it was.
    shop.edit("demo/bench.log", &counted(last), &counted(last - 1));
    shop.exits(1, &args).finds("E0974");
}
