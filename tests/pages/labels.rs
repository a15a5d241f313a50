//! Labels and tickets against the pieces they are for: the table, words and codes as other
//! programs take them out of the PDF (poppler's tools, the crate rqrr).
#![allow(clippy::print_stdout, reason = "a test that cannot be made says so")]

use crate::made::Planned;
use crate::poppler::{self, Word};
use crate::ugly;
use coilwright::diagnostic::Diagnostic;
use coilwright::library::model::{LabelLayout, Units};
use coilwright::library::{load_labels, plain_layout};
use coilwright::quantity::{Length, MemoryFiles, Sources};
use coilwright::report::labels::{self, Label, Of, code_text};
use qrcodegen::{QrCode, QrCodeEcc};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

const SHEET: &str = include_str!("../../fixtures/boatshed/shop/labels.toml");
const ROLL: &str = include_str!("../../fixtures/boatshed/shop/tickets.toml");

fn read(text: &str) -> (Option<LabelLayout>, Vec<Diagnostic>, Sources) {
    let files = MemoryFiles::of([("labels.toml", text)]);
    let mut sources = Sources::default();
    let (layout, found) = load_labels(&files, &mut sources, "labels.toml");
    (layout, found, sources)
}

fn layout(text: &str) -> LabelLayout {
    let (layout, found, _) = read(text);
    assert!(found.is_empty(), "{found:?}");
    layout.unwrap()
}

fn ugly_batch() -> Planned {
    Planned::of(&ugly::files("mm"), ugly::BATCH)
}

fn of(planned: &Planned, of: Of) -> Vec<Label> {
    planned.with(|source, report| labels::labels(report, source.inputs, of))
}

fn print(of: &[Label], layout: &LabelLayout, start: usize) -> (Vec<u8>, Vec<Diagnostic>) {
    let (document, found) = labels::pdf::print(of, layout, start, "labels").unwrap();
    (document.bytes(), found)
}

/// Pieces by job, frame, copy and mark.
fn wanted(planned: &Planned) -> BTreeMap<(String, String, String, String), usize> {
    let mut wanted = BTreeMap::new();
    for run in &planned.plan.runs {
        for piece in &run.pieces {
            let (job, frame, member) = piece.member.of(&planned.shop.jobs).unwrap();
            let copy = (piece.member.copy + 1).to_string();
            let key = (job.name.to_string(), frame.name.to_string(), copy, member.mark.to_string());
            *wanted.entry(key).or_insert(0) += 1;
        }
    }
    wanted
}

#[test]
fn every_member_has_one_label_and_every_piece_is_counted_once() {
    for planned in [Planned::fixture("boatshed"), Planned::fixture("landing"), ugly_batch()] {
        let wanted = wanted(&planned);
        let labels = of(&planned, Of::Members);
        let table = labels::csv(&labels, Of::Members);
        let mut rows = csv::Reader::from_reader(table.as_bytes());
        let heads = rows.headers().unwrap().clone();
        let column = |name: &str| heads.iter().position(|head| head == name).unwrap();
        let mut seen = BTreeMap::new();
        for row in rows.records() {
            let row = row.unwrap();
            let cell = |name: &str| row[column(name)].to_string();
            let key = (cell("job"), cell("frame"), cell("copy"), cell("mark"));
            assert_eq!(seen.insert(key, cell("pieces").parse().unwrap()), None);
            let fields = ["job", "revision", "frame", "copy", "mark", "pieces", "length_mm"];
            let fields: Vec<String> = fields.iter().map(|name| cell(name)).collect();
            let mut code = vec!["M"];
            code.extend(fields.iter().map(String::as_str));
            assert_eq!(cell("code"), code_text(&code));
        }
        assert_eq!(seen, wanted);
        let pieces = of(&planned, Of::Pieces);
        let serials: BTreeSet<&str> = pieces.iter().map(|label| label.row[9].as_str()).collect();
        assert_eq!(serials.len(), wanted.values().sum::<usize>());
        assert_eq!(pieces.len(), serials.len());
        // Every piece is in one bundle; each lies on the one before it.
        let tickets = of(&planned, Of::Bundles);
        let held: usize =
            tickets.iter().map(|ticket| ticket.row[5].parse::<usize>().unwrap()).sum();
        assert_eq!(held, wanted.values().sum::<usize>());
        for (n, ticket) in tickets.iter().enumerate() {
            assert_eq!(ticket.row[9], (n + 1).to_string());
            assert_eq!(ticket.row[10], tickets.len().to_string());
            assert_eq!(ticket.row[11] == "lies at the bottom", n == 0);
            assert_eq!(ticket.row[12] == "on top of all", n + 1 == tickets.len());
            assert_eq!(ticket.counts.iter().sum::<usize>().to_string(), ticket.row[5]);
        }
    }
}

fn run(tool: &str, args: &[&str]) {
    let run = Command::new(tool).args(args).output().unwrap();
    assert!(run.status.success(), "{tool}: {}", String::from_utf8_lossy(&run.stderr));
}

/// Grey pictures of the pages.
struct Picture {
    width: usize,
    grey: Vec<u8>,
}

const DOTS: i64 = 250;

fn pictures(pdf: &Path) -> Vec<Picture> {
    let folder = tempfile::tempdir().unwrap();
    let begin = folder.path().join("p");
    let dots = DOTS.to_string();
    run("pdftoppm", &["-gray", "-r", &dots, pdf.to_str().unwrap(), begin.to_str().unwrap()]);
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|path| picture(&std::fs::read(path).unwrap())).collect()
}

fn picture(pgm: &[u8]) -> Picture {
    let mut words = Vec::new();
    let mut at = 0;
    while words.len() < 4 {
        let end = at + pgm[at..].iter().position(u8::is_ascii_whitespace).unwrap();
        words.push(String::from_utf8(pgm[at..end].to_vec()).unwrap());
        at = end + 1;
    }
    assert_eq!((words[0].as_str(), words[3].as_str()), ("P5", "255"));
    Picture { width: words[1].parse().unwrap(), grey: pgm[at..].to_vec() }
}

fn dots(length: Length) -> usize {
    usize::try_from(length.nm() * DOTS / 25_400_000).unwrap()
}

/// What the code in this box of a picture says.
fn decoded(picture: &Picture, layout: &LabelLayout, place: usize) -> Vec<String> {
    let (x, y) = layout.corner(place);
    let (x, y) = (dots(x), dots(y));
    let grey = |column: usize, row: usize| {
        picture.grey.get((y + row) * picture.width + x + column).copied().unwrap_or(255)
    };
    let (width, height) = (dots(layout.width), dots(layout.height));
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, grey);
    image.detect_grids().iter().map(|grid| grid.decode().unwrap().1).collect()
}

fn codes_are_read(of: &[Label], layout: &LabelLayout, start: usize) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("labels.pdf");
    std::fs::write(&path, print(of, layout, start).0).unwrap();
    let pictures = pictures(&path);
    let each = layout.on_a_page();
    assert_eq!(pictures.len(), (start + of.len()).div_ceil(each));
    for (n, label) in of.iter().enumerate() {
        let (page, place) = ((start + n) / each, (start + n) % each);
        let read = decoded(&pictures[page], layout, place);
        assert_eq!(
            read,
            std::slice::from_ref(&label.code),
            "label {n}, page {page}, place {place}"
        );
    }
    for place in 0..start {
        let grey = decoded(&pictures[0], layout, place);
        assert!(grey.is_empty(), "a label that is gone is printed on");
    }
}

#[test]
fn codes_say_what_they_stand_for_to_another_reader() {
    if Command::new("pdftoppm").arg("-v").output().is_err() {
        println!("skipped: no pdftoppm (Debian: poppler-utils)");
        return;
    }
    let boatshed = Planned::fixture("boatshed");
    codes_are_read(&of(&boatshed, Of::Members), &layout(SHEET), 4);
    codes_are_read(&of(&boatshed, Of::Bundles), &layout(ROLL), 0);
    codes_are_read(&of(&ugly_batch(), Of::Bundles), &layout(ROLL), 0);
}

/// In thousandths of a point.
fn points(length: Length) -> i64 {
    length.nm() * 72_000 / 25_400_000
}

/// Whether the squares of a label's code are 0.3 mm at least, with the white that belongs to it.
fn has_code(label: &Label, layout: &LabelLayout) -> bool {
    let code = QrCode::encode_text(&label.code, QrCodeEcc::Low).unwrap();
    layout.code.unwrap().nm() >= (i64::from(code.size()) + 8) * 300_000
}

/// Every word inside the insets of its label, and none on the code. The boxes that pdftotext tells
/// are as high as the font, a little more than its letters.
fn words_are_inside(of: &[Label], layout: &LabelLayout) {
    let (bytes, found) = print(of, layout, 0);
    let Some(pages) = poppler::read(&bytes) else { return };
    let each = layout.on_a_page();
    assert_eq!(pages.len(), of.len().div_ceil(each));
    let whole = found.iter().all(|found| found.code.number != "W1215");
    let inset = points(layout.inset);
    for (n, label) in of.iter().enumerate() {
        let (x, y) = layout.corner(n % each);
        let (left, top) = (points(x), points(y));
        let (right, bottom) = (left + points(layout.width), top + points(layout.height));
        let own: Vec<&Word> = pages[n / each]
            .words
            .iter()
            .filter(|word| {
                let (x, y) = word.middle();
                left < x && x < right && top < y && y < bottom
            })
            .collect();
        let said: Vec<&str> = own.iter().map(|word| word.text.as_str()).collect();
        assert!(!own.is_empty(), "{}", label.about);
        let slack = 100;
        for Word { text: word, left: x1, top: y1, right: x2, bottom: y2 } in own {
            assert!(x1 + slack >= left + inset && x2 - slack <= right - inset, "{word} {said:?}");
            let rise = (y2 - y1) / 4;
            assert!(y1 + rise >= top + inset && y2 - rise <= bottom - inset, "{word} {said:?}");
            let code = points(layout.code.unwrap());
            let beside = *x2 - slack <= right - inset - code;
            let below = y1 + rise >= top + inset + code;
            assert!(
                beside || below || !has_code(label, layout),
                "{word} lies on the code: {said:?}"
            );
        }
        if whole && !label.band.is_empty() {
            for entry in &label.list {
                let mark: String = entry[1].split_whitespace().collect();
                assert!(said.concat().contains(&mark), "{mark} in {said:?}");
            }
        } else if whole || label.lines[0].words.len() < 12 {
            let first: String = label.lines[0].words.split_whitespace().collect();
            assert!(said.concat().starts_with(&first), "{first} in {said:?}");
        }
    }
    let all: usize = pages.iter().map(|page| page.words.len()).sum();
    assert!(all > of.len(), "{all} words");
}

#[test]
fn words_stay_inside_their_labels_and_off_the_codes() {
    let (sheet, roll) = (layout(SHEET), layout(ROLL));
    let small = layout(
        "name = \"small\"\n[roll]\nwidth = \"46 mm\"\n[label]\nwidth = \"46 mm\"\n\
         height = \"21 mm\"\ncode = \"18 mm\"\nleast = \"1.5 mm\"\n",
    );
    for planned in [Planned::fixture("boatshed"), Planned::fixture("slip-office"), ugly_batch()] {
        for what in [Of::Members, Of::Pieces] {
            words_are_inside(&of(&planned, what), &sheet);
            words_are_inside(&of(&planned, what), &small);
        }
        words_are_inside(&of(&planned, Of::Bundles), &roll);
    }
}

#[test]
fn two_runs_print_the_same() {
    let boatshed = Planned::fixture("boatshed");
    for (what, text) in [(Of::Members, SHEET), (Of::Bundles, ROLL)] {
        let layout = layout(text);
        let (one, found) = print(&of(&boatshed, what), &layout, 0);
        assert_eq!(one, print(&of(&boatshed, what), &layout, 0).0);
        assert!(found.is_empty(), "{found:?}");
    }
}

/// A shop without layouts has plain paper: as large as its printer's, every label on it.
#[test]
fn plain_paper_holds_labels_and_tickets_in_both_units() {
    for (units, page) in
        [(Units::Millimetres, (210_000, 297_000)), (Units::Inches, (215_900, 279_400))]
    {
        let um = |length: Length| length.nm() / 1_000;
        let labels = plain_layout(false, units).unwrap();
        let tickets = plain_layout(true, units).unwrap();
        assert!(labels.on_a_page() > 20 && tickets.on_a_page() == 4 && tickets.holds_tickets());
        for layout in [labels, tickets] {
            assert_eq!((um(layout.page().0), um(layout.page().1)), page);
            let (x, y) = layout.corner(layout.on_a_page() - 1);
            assert!(um(x + layout.width) <= page.0 && um(y + layout.height) <= page.1);
        }
    }
}

/// W1215, W1216, W1217
#[test]
fn what_does_not_fit_is_told() {
    let ugly = ugly_batch();
    let tiny = layout(
        "name = \"tiny\"\n[roll]\nwidth = \"40 mm\"\n[label]\nwidth = \"40 mm\"\n\
         height = \"20 mm\"\ncode = \"12 mm\"\nleast = \"1.5 mm\"\n",
    );
    let codes = |found: &[Diagnostic]| -> Vec<&str> {
        assert!(found.iter().all(|found| found.help.is_some()));
        found.iter().map(|found| found.code.number).collect()
    };
    let (_, found) = print(&of(&ugly, Of::Members), &tiny, 0);
    assert_eq!(codes(&found), ["W1215", "W1216"], "{found:?}");
    let low = layout(
        "name = \"low\"\n[roll]\nwidth = \"95 mm\"\n[label]\nwidth = \"95 mm\"\n\
         height = \"70 mm\"\nleast = \"2.2 mm\"\n",
    );
    let boatshed = Planned::fixture("boatshed");
    let (_, found) = print(&of(&boatshed, Of::Bundles), &low, 0);
    assert_eq!(codes(&found), ["W1217"], "{found:?}");
    // Labels that no ticket goes onto are refused.
    let refused = labels::pdf::print(&of(&boatshed, Of::Bundles), &layout(SHEET), 0, "x");
    assert_eq!(refused.unwrap_err().code.number, "E1213");
}

/// Layouts that cannot be, each with the code and the line it is told at.
#[test]
fn a_layout_that_cannot_be_is_told_at_its_line() {
    let changes = [
        ("rows = 8", "rows = 1000000000", "E0306", "rows"),
        ("rows = 8", "rows = 0", "E0306", "rows"),
        ("rows = 8", "rows = 9223372036854775807", "E0306", "rows"),
        ("columns = 3", "columns = -3", "E0306", "columns"),
        ("columns = 3", "columns = 4", "E1212", "width = \"64 mm\""),
        ("rows = 8", "rows = 9", "E1212", "height = \"34 mm\""),
        ("width = \"210 mm\"", "width = \"-210 mm\"", "E0306", "width"),
        ("width = \"64 mm\"", "width = \"0 mm\"", "E0306", "width = \"0"),
        ("gap-across = \"2 mm\"", "gap-across = \"-1 mm\"", "E0306", "gap-across"),
        ("left = \"7 mm\"", "left = \"70 mm\"", "E1212", "width = \"64 mm\""),
        ("top = \"12 mm\"", "top = \"9 m\"", "E0306", "top"),
        ("inset = \"2 mm\"", "inset = \"16 mm\"", "E1213", "height = \"34 mm\""),
        ("code = \"22 mm\"", "code = \"50 mm\"", "E1213", "code"),
        ("code = \"22 mm\"", "code = \"5 mm\"", "E1213", "code"),
        ("least = \"1.6 mm\"", "least = \"9 mm\"", "E1213", "least"),
        ("least = \"1.6 mm\"", "least = \"0.49 mm\"", "E1213", "least"),
        ("left = \"7 mm\"\n", "", "E0303", "[sheet]"),
        ("height = \"34 mm\"\n", "", "E0303", "[label]"),
        ("[sheet]", "[shete]", "E0302", "[shete]"),
        ("rows = 8", "rows = \"8\"", "E0304", "rows"),
    ];
    for (from, to, code, place) in changes {
        assert!(SHEET.contains(from), "{from}");
        let (layout, found, sources) = read(&SHEET.replacen(from, to, 1));
        assert!(layout.is_none(), "{to}");
        let told = found.iter().any(|found| {
            let line = found.span().map(|span| {
                let file = sources.get(span.file).unwrap();
                file.line(file.position(span.start).line).to_string()
            });
            found.code.number == code
                && found.help.is_some()
                && line.is_some_and(|line| line.contains(place))
        });
        assert!(told, "{to}: {found:?}");
    }
}
