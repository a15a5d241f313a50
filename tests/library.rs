//! The library room from outside: the base shop, the shipped sets, every library fixture, and
//! input that is no library at all.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]
#![allow(clippy::disallowed_methods)] // tests read fixtures

use coilwright::diagnostic::{Diagnostic, any_error, codes};
use coilwright::library::model::{Counted, Firing, Limit, Measure};
use coilwright::library::{Loaded, SHIPPED, load_batch, load_library};
use coilwright::quantity::{Length, MemoryFiles, Sources};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const FILES: [&str; 7] = [
    "batch.toml",
    "features.toml",
    "profiles.toml",
    "rules.toml",
    "line.toml",
    "calibration.toml",
    "stock.toml",
];

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/diagnostics")
}

fn base() -> MemoryFiles {
    let mut files = MemoryFiles::default();
    for entry in fs::read_dir(fixtures().join("base")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        files.0.insert(name, fs::read(&path).unwrap());
    }
    files
}

fn loaded(files: &MemoryFiles) -> (Option<Loaded>, Vec<Diagnostic>, Sources) {
    let mut sources = Sources::default();
    let (loaded, found) = load_batch(files, &mut sources, "batch.toml");
    (loaded, found, sources)
}

/// The base with one text in one file put in another's place.
fn changed(file: &str, from: &str, to: &str) -> (Option<Loaded>, Vec<Diagnostic>, Sources) {
    let mut files = base();
    let text = String::from_utf8(files.0[file].clone()).unwrap();
    assert!(text.contains(from), "{from}");
    files.0.insert(file.into(), text.replace(from, to).into());
    loaded(&files)
}

/// `file: severity[code] line:col-col`, sorted.
fn told(found: &[Diagnostic], sources: &Sources) -> Vec<String> {
    let mut told: Vec<String> = found
        .iter()
        .map(|d| {
            let span = d.span().unwrap_or_else(|| panic!("no place: {}", d.message));
            let file = sources.get(span.file).unwrap();
            let (from, to) = (file.position(span.start), file.position(span.end.max(1) - 1));
            let (name, severity) = (file.name(), d.severity.word());
            let (code, line, first, last) = (d.code.number, from.line, from.column, to.column);
            format!("{name}: {severity}[{code}] {line}:{first}-{last}")
        })
        .collect();
    told.sort();
    told
}

fn words(found: &[Diagnostic]) -> String {
    found.iter().map(|d| format!("{} {}\n", d.code.number, d.message)).collect()
}

#[test]
fn the_base_shop_loads_without_a_finding() {
    let (loaded, found, _) = loaded(&base());
    assert!(found.is_empty(), "{}", words(&found));
    let loaded = loaded.unwrap();
    assert_eq!(loaded.jobs[0].0, "job.members");
    assert_eq!(loaded.dialect.0, "dialect.toml");
    assert_eq!(loaded.library.features.len(), 5);
    assert_eq!(loaded.line.stations.len(), 4);
    assert_eq!(loaded.line.tools.len(), 5);
    assert_eq!(loaded.line.availability, 850);
    assert_eq!(loaded.line.feed.speed, 1_000_000);
    assert_eq!(loaded.line.feed.jerk, None);
    assert_eq!(loaded.line.grid.increment(), Length::from_um(100));
    assert_eq!(loaded.line.forming, (Length::from_mm(900), Length::from_mm(3_000)));
    assert_eq!(loaded.calibration.profiles[0].1, -200_000, "-0.02 % in parts per 10⁹");
    assert_eq!(loaded.calibration.stations[0].shift, Length::from_um(300));
    assert_eq!(loaded.stock.coils[0].defects, [(Length::from_mm(20_000), Length::from_mm(20_400))]);
    assert_eq!(loaded.stock.coils[0].uncertainty, 5_000);
    assert_eq!(loaded.stock.coils[1].cost, Some(145_000));
    // 800 kg over 187 mm × (0.75 mm × 7850 kg/m³ + 275 g/m²) = 1.1523875 kg/m: 694.21 m.
    assert_eq!(loaded.stock.coils[1].length.nm() / 10_000_000, 69_421);
}

/// Rounded down to whole µm/s³: never above what the shop states.
#[test]
fn a_jerk_is_read_in_its_units() {
    for (written, um) in [
        ("50 m/s3", 50_000_000),
        ("0.0015 mm/s³", 1),
        ("800 mm/s3", 800_000),
        ("30 ft/s3", 9_144_000),
    ] {
        let line = format!("settle = \"30 ms\"\njerk = \"{written}\"\n");
        let (loaded, found, _) = changed("line.toml", "settle = \"30 ms\"\n", &line);
        assert_eq!(found.is_empty(), um >= 1_000, "{written}: {}", words(&found));
        if let Some(loaded) = loaded {
            assert_eq!(loaded.line.feed.jerk, Some(um), "{written}");
        }
    }
}

#[test]
fn a_library_file_lists_what_a_batch_can_list() {
    let mut files = base();
    let list = "features = [\"../features.toml\"]\nprofiles = [\"../profiles.toml\"]\n\
                rules = [\"../rules.toml\"]\nshipped = [\"usual-features\", \"astm-c955-01\"]\n";
    files.0.insert("shop/library.toml".into(), list.into());
    let mut sources = Sources::default();
    let (library, found) = load_library(&files, &mut sources, "shop/library.toml");
    assert!(found.is_empty(), "{}", words(&found));
    let library = library.unwrap();
    let (_, own) = library.feature_named("service-hole").unwrap();
    assert_eq!(sources.get(own.span.file).unwrap().name().as_ref(), "features.toml");
    assert!(library.feature_named("swage").is_some(), "shipped types stay beside the shop's");
    assert_eq!(library.rule_sets.len(), 2);

    let batch = String::from_utf8(files.0["batch.toml"].clone()).unwrap();
    let (head, _) = batch.split_once("[library]").unwrap();
    files.0.insert("batch.toml".into(), format!("{head}library = \"shop/library.toml\"\n").into());
    let (loaded, found, _) = loaded(&files);
    assert!(found.is_empty(), "{}", words(&found));
    assert_eq!(loaded.unwrap().library.rule_sets.len(), 2);
}

#[test]
fn shipped_sets_are_valid_and_say_what_to_verify() {
    for set in &SHIPPED {
        let text = if set.name == "usual-features" {
            "shipped = [\"usual-features\"]".to_string()
        } else {
            format!("shipped = [\"usual-features\", \"{}\"]", set.name)
        };
        let files = MemoryFiles::of([("library.toml", text.as_str())]);
        let (library, found) = load_library(&files, &mut Sources::default(), "library.toml");
        assert!(found.is_empty(), "{}: {}", set.name, words(&found));
        for rules in &library.unwrap().rule_sets {
            assert_eq!(&*rules.name, set.name);
            let verify = rules.verify.to_lowercase();
            assert!(verify.contains("verify") && verify.contains("your"), "{}", set.name);
            assert!(!rules.rules.is_empty());
            for rule in &rules.rules {
                let marked = ["read", "memory", "abstract"].iter().any(|m| rule.source.contains(m));
                assert!(marked, "{} {} does not say how it was come by", set.name, rule.id);
            }
        }
    }
}

/// ASTM C955-01 §4.6, read: 64, 114, 610 and 254 mm, half the web.
#[test]
fn the_read_rule_set_has_the_figures_read() {
    let files = MemoryFiles::of([("library.toml", "shipped = [\"astm-c955-01\"]")]);
    let (library, _) = load_library(&files, &mut Sources::default(), "library.toml");
    let library = library.unwrap();
    let limit = |measure| {
        let rules = &library.rule_sets[0].rules;
        rules.iter().find(|rule| rule.measure == measure).unwrap().limit
    };
    assert_eq!(limit(Measure::Width), Limit::Length(Length::from_mm(64)));
    assert_eq!(limit(Measure::Length), Limit::Length(Length::from_um(114_300)));
    assert_eq!(limit(Measure::CentreToCentre), Limit::Length(Length::from_um(609_600)));
    assert_eq!(limit(Measure::EdgeToEnd), Limit::Length(Length::from_mm(254)));
    assert!(matches!(limit(Measure::WidthToWeb), Limit::Ratio(r) if r.to_string() == "1/2"));
}

/// A rule about types the shop has not must not turn into one about every type.
#[test]
fn a_shipped_rule_about_absent_types_is_left_out() {
    let files = MemoryFiles::of([("library.toml", "shipped = [\"irc-2009-r603-3-4\"]")]);
    let (library, found) = load_library(&files, &mut Sources::default(), "library.toml");
    assert!(found.is_empty());
    assert!(library.unwrap().rule_sets[0].rules.is_empty());
}

#[test]
fn usable_from_and_to_become_a_defect_and_an_end() {
    let (loaded, found, _) = changed(
        "stock.toml",
        "part-used = true\n",
        "part-used = true\nusable-from = \"3 m\"\nusable-to = \"20.2 m\"\n",
    );
    assert!(found.is_empty(), "{}", words(&found));
    let coil = &loaded.unwrap().stock.coils[0];
    let mm = Length::from_mm;
    assert_eq!(coil.length, mm(20_200));
    assert_eq!(coil.defects, [(mm(0), mm(3_000)), (mm(20_000), mm(20_200))]);
}

#[test]
fn touching_defects_are_one() {
    let (loaded, _, _) = changed(
        "stock.toml",
        "[{ from = \"20 m\", to = \"20.4 m\" }]",
        "[{ from = \"20 m\", to = \"20.4 m\" }, { from = \"5 m\", to = \"6 m\" }, \
         { from = \"20.4 m\", to = \"21 m\" }]",
    );
    let mm = Length::from_mm;
    let coil = &loaded.unwrap().stock.coils[0];
    assert_eq!(coil.defects, [(mm(5_000), mm(6_000)), (mm(20_000), mm(21_000))]);
}

#[test]
fn a_straddling_tool_may_stand_in_the_shear_and_nothing_else() {
    let (_, found, _) = changed("line.toml", "offset = \"0.4 m\"", "offset = 0");
    assert!(found.is_empty(), "{}", words(&found));
    let (_, found, _) = changed("line.toml", "offset = \"0.7 m\"", "offset = 0");
    assert!(found.iter().any(|d| d.code.number == "E0319"), "{}", words(&found));
}

#[test]
fn every_file_that_is_missing_is_told_in_one_pass() {
    let mut files = base();
    for name in ["line.toml", "stock.toml", "calibration.toml", "rules.toml"] {
        files.0.remove(name);
    }
    let (loaded, found, _) = loaded(&files);
    assert!(loaded.is_none());
    assert_eq!(found.len(), 4, "{}", words(&found));
    assert!(found.iter().all(|d| d.code.number == "E0901"));
}

// -- fixtures ---------------------------------------------------------------------------------

/// The overlay of one fixture: files by name, and the findings expected in each.
fn overlay(text: &str) -> (BTreeMap<String, String>, Vec<String>) {
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    let mut name = String::new();
    for line in text.lines() {
        if let Some(next) = line.strip_prefix("-- ").and_then(|l| l.strip_suffix(" --")) {
            name = next.to_string();
            files.insert(name.clone(), String::new());
        } else {
            let file = files.get_mut(&name).expect("a fixture begins with a file name");
            file.push_str(line);
            file.push('\n');
        }
    }
    let mut expected = Vec::new();
    for (name, text) in &files {
        for line in text.lines().take_while(|line| line.starts_with('#')) {
            let line = line.trim_start_matches('#').trim();
            if ["error[", "warning[", "note["].iter().any(|word| line.starts_with(word)) {
                expected.push(format!("{name}: {line}"));
            }
        }
    }
    expected.sort();
    (files, expected)
}

#[test]
fn every_library_code_has_a_fixture_that_triggers_it_and_one_that_does_not() {
    let mut failures = String::new();
    for code in codes::library::ALL {
        for ending in ["wrong", "right"] {
            let name = format!("{}-{}.{ending}", code.number, code.slug);
            let Ok(text) = fs::read_to_string(fixtures().join(&name)) else {
                failures += &format!("{name}: no such fixture\n");
                continue;
            };
            let (overlay, expected) = overlay(&text);
            let mut files = base();
            files.0.extend(overlay.into_iter().map(|(name, text)| (name, text.into_bytes())));
            let (_, found, sources) = loaded(&files);
            let (told, said) = (told(&found, &sources), words(&found));
            let good = match ending {
                "wrong" => {
                    told == expected && expected.iter().any(|line| line.contains(code.number))
                }
                _ => !any_error(&found) && found.iter().all(|d| d.code != *code),
            };
            if !good {
                failures += &format!("{name}:\n  expected {expected:#?}\n  got {told:#?}\n{said}");
            }
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

// -- anything at all --------------------------------------------------------------------------

/// Pieces of library files and of nonsense, so that random files come near to valid ones.
fn fragment() -> impl Strategy<Value = String> {
    let pieces = vec![
        "[feed]\n",
        "[[station]]\n",
        "[[station.tool]]\n",
        "[[coil]]\n",
        "[library]\n",
        "name = \"a\"\n",
        "offset = \"-1e9 m\"\n",
        "offset = 1e18\n",
        "slug = -1\n",
        "length = \"9999 m\"\n",
        "mass = \"999 t\"\n",
        "thickness = 0.000001\n",
        "width = \"1/3 in\"\n",
        "defects = [{ from = 1, to = 0 }]\n",
        "jobs = []\n",
        "most = 99999999999999999999\n",
        "uncertainty = \"1e-18 %\"\n",
        "ratio = \"1/0\"\n",
        "outline = \"slot\"\n",
        "= \n",
        "\"\"\"",
        "x = [[[[{",
        "a.b.c = 1\n",
        "\u{feff}",
        "\r\n",
    ];
    prop_oneof![any::<String>(), prop::sample::select(pieces).prop_map(str::to_string)]
}

/// A figure of any size in any unit, good or not.
fn figure() -> impl Strategy<Value = String> {
    let units = vec!["mm", "m", "in", "s", "ms", "m/s", "m/min", "m/s2", "kg", "t", "%", "ppm", ""];
    let unit = prop::sample::select(units);
    prop_oneof![
        (any::<i64>(), unit.clone()).prop_map(|(n, unit)| format!("\"{n} {unit}\"")),
        (-20_000..20_000_i64, 0..1_000_000_u32, unit)
            .prop_map(|(n, part, unit)| format!("\"{n}.{part:06} {unit}\"")),
        any::<i64>().prop_map(|n| n.to_string()),
        (-20_000_000..20_000_000_i64).prop_map(|n| format!("{n}.5")),
    ]
}

/// Every finding has help, and places that are in their files; nothing is given with an error.
fn sound(value: Option<&Loaded>, found: &[Diagnostic], sources: &Sources) {
    assert_eq!(value.is_some(), !any_error(found), "{}", words(found));
    for d in found {
        assert!(d.help.as_ref().is_some_and(|h| !h.is_empty()), "no help: {}", d.message);
        for label in &d.labels {
            let text = sources.get(label.span.file).unwrap().text();
            assert!(label.span.start <= label.span.end, "{}", d.message);
            let (from, to) = (label.span.start as usize, label.span.end as usize);
            assert!(text.get(from..to).is_some(), "{}", d.message);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(384))]

    #[test]
    fn any_bytes_for_any_file_are_survived(
        which in prop::sample::select(FILES.to_vec()),
        bytes in prop::collection::vec(any::<u8>(), 0..200),
    ) {
        let mut files = base();
        files.0.insert(which.into(), bytes);
        let (value, found, sources) = loaded(&files);
        sound(value.as_ref(), &found, &sources);
    }

    #[test]
    fn broken_and_mixed_files_are_survived(
        which in prop::sample::select(FILES.to_vec()),
        at in any::<prop::sample::Index>(),
        cut in 0..60_usize,
        fragments in prop::collection::vec(fragment(), 0..4),
    ) {
        let mut files = base();
        let text = String::from_utf8(files.0[which].clone()).unwrap();
        let chars: Vec<char> = text.chars().collect();
        let at = at.index(chars.len());
        let mut mixed: String = chars[..at].iter().collect();
        mixed.extend(fragments);
        mixed.extend(&chars[(at + cut).min(chars.len())..]);
        files.0.insert(which.into(), mixed.into_bytes());
        let (value, found, sources) = loaded(&files);
        sound(value.as_ref(), &found, &sources);
    }

    /// Any figure in the place of any value: read, refused, never a panic or an overflow.
    #[test]
    fn any_figures_are_survived(
        which in prop::sample::select(FILES.to_vec()),
        figures in prop::collection::vec((any::<prop::sample::Index>(), figure()), 1..6),
    ) {
        let mut files = base();
        let text = String::from_utf8(files.0[which].clone()).unwrap();
        let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
        for (index, figure) in figures {
            let index = index.index(lines.len());
            if let Some((key, _)) = lines[index].split_once(" = ") {
                lines[index] = format!("{key} = {figure}");
            }
        }
        files.0.insert(which.into(), lines.join("\n").into_bytes());
        let (value, found, sources) = loaded(&files);
        sound(value.as_ref(), &found, &sources);
    }
}

/// A shear says what slopes it is turned to, and how long that takes.
#[test]
fn a_shear_says_its_slopes() {
    let with = |lines: &str| {
        let (loaded, found, sources) = changed(
            "line.toml",
            "least-drop = \"30 mm\"",
            &format!("least-drop = \"30 mm\"\n{lines}"),
        );
        (loaded, told(&found, &sources))
    };
    let (loaded, found) = with(
        "slopes = [\"4 : 12\", \"2.5:10\"]\nslope-step = \"1 : 24\"\nsteepest = \"1 : 1\"\nslope-time = \"6 s\"",
    );
    assert_eq!(found, [""; 0]);
    let shear = loaded.unwrap().line.shear;
    assert_eq!(shear.slopes.to_string(), "1 : 3, 1 : 4 and multiples of 1 : 24 up to 1 : 1");
    assert_eq!(shear.slope_time.ns(), 6_000_000_000);
    for (lines, code) in [
        ("slopes = [\"4 : 12\"]", "E0303"),
        ("slope-step = \"1 : 24\"\nslope-time = \"6 s\"", "E0303"),
        ("steepest = \"1 : 1\"\nslope-time = \"6 s\"", "E0303"),
        ("slopes = [\"4 : 12\", \"1 : 3\"]\nslope-time = \"6 s\"", "E0308"),
        ("slopes = [\"0 : 12\"]\nslope-time = \"6 s\"", "E0306"),
        ("slopes = [\"4 in 12\"]\nslope-time = \"6 s\"", "E0305"),
        ("slopes = [\"4 : 0\"]\nslope-time = \"6 s\"", "E0305"),
        ("slopes = [\"-4 : 12\"]\nslope-time = \"6 s\"", "E0305"),
        ("slopes = [\"1 : 3000001\"]\nslope-time = \"6 s\"", "E0305"),
        ("slopes = [18]\nslope-time = \"6 s\"", "E0305"),
    ] {
        let (_, found) = with(lines);
        assert_eq!(found.len(), 1, "{lines}: {found:?}");
        assert!(found[0].contains(code), "{lines}: {found:?}");
    }
}

/// Where the encoder sits says what programs count and what a coil's end loses; when tools fire is
/// said in two words.
#[test]
fn a_line_says_where_it_counts_and_when_its_tools_fire() {
    let with = |from: &str, to: &str| {
        let (loaded, found, sources) = changed("line.toml", from, to);
        (loaded, told(&found, &sources))
    };
    let encoder = |at: &str| {
        with("tail = \"1.2 m\"", &format!("encoder = {{ offset = \"{at}\" }}\ntail = \"1.2 m\""))
    };
    // The zone is 0.9 m to 3 m: flat from its middle on.
    let (loaded, found) = encoder("0.2 m");
    assert_eq!(found, [""; 0]);
    let loaded = loaded.unwrap();
    let behind = Counted::Section { flat_from: Length::from_mm(1_950) };
    assert_eq!((loaded.line.counted(), loaded.calibration.counted), (behind, behind));
    let tail = |of: &Loaded| of.line.ends(&of.stock.coils[0]).tail;
    assert_eq!(tail(&loaded), Length::from_mm(1_200));
    let (loaded, _) = encoder("4 m");
    let loaded = loaded.unwrap();
    assert_eq!(loaded.calibration.counted, Counted::Strip);
    assert_eq!(tail(&loaded), Length::from_mm(4_000));
    for (at, code) in [("2 m", "E0320"), ("-0.2 m", "E0306"), ("200 m", "E0306")] {
        let (_, found) = encoder(at);
        assert!(found.len() == 1 && found[0].contains(code), "{at}: {found:?}");
    }
    // No tool fires on strip that has not reached the encoder yet.
    let head = |advance: &str, encoder: &str| {
        format!("[head]\nfirst-advance = \"{advance}\"\nleast = \"10 mm\"\n{encoder}")
    };
    let encoder = "\n[encoder]\noffset = \"0.2 m\"\n";
    for (advance, count) in [("-200 mm", 0), ("-200.1 mm", 1)] {
        let (_, found) = with(&head("0 mm", ""), &head(advance, encoder));
        assert_eq!(found.len(), count, "{found:?}");
    }
    let (loaded, found) = with("tail =", "firing = \"at-once\"\ntail =");
    assert_eq!((found, loaded.unwrap().line.firing), (Vec::new(), Firing::AtOnce));
    let (_, found) = with("tail =", "firing = \"one-by-one\"\ntail =");
    assert_eq!(found.len(), 1, "{found:?}");
    // A shear upstream of the rolls, by where the zone lies.
    let zone = "forming = { from = \"0.9 m\", to = \"3 m\" }";
    let (_, found) = with(zone, "forming = { from = \"-3 m\", to = \"-0.9 m\" }");
    assert!(found.iter().any(|found| found.contains("E0343")), "{found:?}");
}
