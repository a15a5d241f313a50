//! A library for these tests, and members shown as lines.

use coilwright::diagnostic::Diagnostic;
use coilwright::library::load_library;
use coilwright::library::model::Library;
use coilwright::member::model::{EndShape, Job, Place};
use coilwright::member::resolve::resolve;
use coilwright::quantity::{MemoryFiles, Sources, Span, Tolerance};
use std::sync::LazyLock;

/// Name, form, outline with its sizes, faces, tolerance.
const TYPES: [(&str, &str, &str, &str, &str); 9] = [
    ("hole", "point", "outline = \"circle\"", "web, flanges", "1 mm"),
    ("dimple", "point", "outline = \"circle\"\ndiameter = \"10 mm\"", "flanges, web", "0.5 mm"),
    (
        "service-hole",
        "point",
        "outline = \"slot\"\nlength = \"60 mm\"\nwidth = \"32 mm\"",
        "web",
        "3 mm",
    ),
    ("slot", "point", "outline = \"slot\"", "web, lips, flanges", ""),
    ("lip-notch", "range", "outline = \"rectangle\"", "lips", "1 mm"),
    ("web-notch", "range", "outline = \"rectangle\"", "web", "1 mm"),
    ("flange-notch", "end", "outline = \"rectangle\"\nlength = \"45 mm\"", "flanges", "1 mm"),
    ("swage", "end", "outline = \"rectangle\"\nlength = \"60 mm\"", "web, flanges, lips", "2 mm"),
    ("cut", "end", "outline = \"rectangle\"\nwidth = \"20 mm\"", "web", "1 mm"),
];

/// Name, web, flange, lip, length tolerance.
const PROFILES: [(&str, &str, &str, &str, bool); 8] = [
    ("C90x40-0.75", "90", "40", "12", true),
    ("C90x40-0.95", "90", "40", "12", true),
    ("U92x40-0.75", "92", "40", "", true),
    ("C200x50-1.15", "200", "50", "15", true),
    ("U203x50-1.15", "203", "50", "", true),
    ("362S162-43", "92", "41", "12.7", true),
    ("362T125-43", "94", "32", "", true),
    ("C75x35-0.75", "75", "35", "10", false),
];

pub static LIBRARY: LazyLock<Library> = LazyLock::new(|| {
    let mut features = String::new();
    for (name, form, outline, faces, tolerance) in TYPES {
        let faces = faces.replace(", ", "\", \"");
        let tolerance = match tolerance {
            "" => String::new(),
            given => format!("tolerance = \"{given}\"\n"),
        };
        features.push_str(&format!(
            "[[feature]]\nname = \"{name}\"\nform = \"{form}\"\n{outline}\nfaces = [\"{faces}\"]\n\
             {tolerance}across-tolerance = \"1 mm\"\npurpose = \"joint\"\n\n"
        ));
    }
    let mut profiles = String::new();
    for (name, web, flange, lip, tolerance) in PROFILES {
        let (section, lip) = match lip {
            "" => ("plain-channel", String::new()),
            lip => ("lipped-channel", format!("lip = \"{lip} mm\"\n")),
        };
        let legs: f64 = [web, flange, flange].iter().map(|l| l.parse::<f64>().unwrap()).sum();
        let lips = lip.trim_start_matches("lip = \"").trim_end_matches(" mm\"\n");
        let strip = legs + 2.0 * lips.parse::<f64>().unwrap_or(0.0) - 8.0;
        let tolerance = if tolerance { "length-tolerance = \"1 mm\"\n" } else { "" };
        profiles.push_str(&format!(
            "[[profile]]\nname = \"{name}\"\nsection = \"{section}\"\nweb = \"{web} mm\"\n\
             flange = \"{flange} mm\"\n{lip}thickness = \"0.75 mm\"\nradius = \"1.5 mm\"\n\
             coating = \"Z275\"\ngrade = \"G550\"\nstrip-width = \"{strip} mm\"\n{tolerance}\n"
        ));
    }
    let files = MemoryFiles::of([
        (
            "library.toml",
            "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\nrules = []\n",
        ),
        ("features.toml", &features),
        ("profiles.toml", &profiles),
    ]);
    let (library, found) = load_library(&files, &mut Sources::default(), "library.toml");
    let errors: Vec<_> = found.iter().filter(|d| d.is_error()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    library.unwrap()
});

/// What came of some files.
pub struct Made {
    pub jobs: Vec<Job>,
    pub found: Vec<Diagnostic>,
    pub sources: Sources,
}

impl Made {
    /// Codes of what was found, in the order of the sources.
    pub fn codes(&self) -> Vec<&'static str> {
        self.found.iter().map(|d| d.code.number).collect()
    }
    pub fn messages(&self) -> Vec<String> {
        self.found.iter().map(|d| format!("{}: {}", d.code.number, d.message)).collect()
    }
}

/// Resolves these files; the first is listed.
pub fn make(files: &[(&str, &str)]) -> Made {
    make_listed(files, &[files[0].0])
}
pub fn make_listed(files: &[(&str, &str)], listed: &[&str]) -> Made {
    let files = MemoryFiles::of(files.iter().copied());
    let mut sources = Sources::default();
    let paths: Vec<(String, Option<Span>)> =
        listed.iter().map(|path| (path.to_string(), None)).collect();
    let (jobs, found) = resolve(&files, &mut sources, &paths, &LIBRARY, "{job} {frame} {mark}");
    for diagnostic in &found {
        assert!(diagnostic.help.is_some(), "{}: {}", diagnostic.code.number, diagnostic.message);
        // Other labels may lie in the library, whose sources are not kept here.
        if let Some(span) = diagnostic.span() {
            let length = sources.get(span.file).map(|f| f.text().len()).unwrap();
            assert!(span.start <= span.end && span.end as usize <= length, "{diagnostic:?}");
        }
    }
    Made { jobs, found, sources }
}

/// One stud of 2400 mm with this in its body, under this head.
pub fn stud(head: &str, body: &str) -> Made {
    let text = format!(
        "job J1 revision A\n{head}\nframe N1 wall profile \"C90x40-0.75\" {{\n\
         member S1 stud length 2400 {{\n{body}\n}}\n}}\n"
    );
    make(&[("job.members", &text)])
}

fn tolerance(t: Tolerance) -> String {
    t.to_string()
}

/// The features of the first member, a line each.
pub fn features(made: &Made) -> Vec<String> {
    let errors: Vec<_> = made.messages();
    assert!(!made.found.iter().any(Diagnostic::is_error), "{errors:#?}");
    let (_, member) = made.jobs[0].members().next().unwrap();
    let shape = &member.shape;
    shape
        .features
        .iter()
        .map(|f| {
            let name = &LIBRARY.feature(f.kind).unwrap().name;
            let place = match f.place {
                Place::Point { at, tolerance: t } => format!("{at} {}", tolerance(t)),
                Place::Range { from, from_tolerance, to, to_tolerance } => format!(
                    "{from} {} .. {to} {}",
                    tolerance(from_tolerance),
                    tolerance(to_tolerance)
                ),
                Place::End { end, tolerance: t } => format!("{end} {}", tolerance(t)),
            };
            let across = match f.across.nm() {
                0 => String::new(),
                _ => format!(" across {}", f.across),
            };
            format!("{name} {} {}{across} @ {place}", f.outline, f.faces)
        })
        .collect()
}

pub fn ends(made: &Made) -> (EndShape, EndShape) {
    let (_, member) = made.jobs[0].members().next().unwrap();
    (member.shape.start, member.shape.end)
}
