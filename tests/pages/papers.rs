//! Run sheet and schedule, as people and other programs read them.

use super::made::{Planned, export};
use super::poppler::{self, Read, tight};
use super::{house, ugly};
use coilwright::diagnostic::Diagnostic;
use coilwright::report::papers::{self, KINDS, Made, Papers};
use coilwright::report::schedule::{self, Schedule};
use coilwright::report::sheet::html;
use coilwright::report::sheet::model::{Block, Sheet, Words};
use coilwright::report::sheet::pdf::{self, Laid, LaidCell};
use coilwright::report::{Report, run_sheet};
use std::collections::BTreeMap;

/// Thousandths of a point.
const POINT: i64 = 1000;
/// Half a point: what a reader's rounding may come to.
const SLACK: i64 = POINT / 2;
/// Blank edges of a page, left and right, as the layout has them.
const SIDE: i64 = 40 * POINT;

fn batches() -> Vec<(&'static str, Planned)> {
    let mut batches: Vec<(&str, Planned)> = ["boatshed", "porch", "slip-office"]
        .into_iter()
        .map(|name| (name, Planned::fixture(name)))
        .collect();
    batches.push(("house", Planned::of(&house::files(1), house::BATCH)));
    for (name, units) in [("ugly", "mm"), ("ugly in inches", "in")] {
        batches.push((name, Planned::of(&ugly::bundles(units), ugly::BATCH)));
    }
    batches
}

/// Both papers of a batch.
fn sheets(of: &Planned) -> [Sheet; 2] {
    of.with(|source, report| {
        let schedule = Schedule::of(source.inputs, source.plan);
        [
            run_sheet::sheet(report, source.inputs, source.plan),
            schedule::sheet(&schedule, &report.batch, source.inputs.batch.units),
        ]
    })
}

fn made(of: &Planned) -> Papers {
    let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
    of.with(|source, report| {
        papers::make(&names, &Made { report, inputs: source.inputs, plan: source.plan })
    })
}

/// As the font can set it.
fn set(text: &str) -> String {
    tight(&coilwright::report::pdf::settable(text))
}

/// Words whose middle lies in the cell's box.
fn found(cell: &LaidCell, pages: &[Read]) -> String {
    let area = &cell.area;
    let [left, top, right, bottom] =
        [area.x, area.y, area.right(), area.bottom()].map(|at| at.thousandths());
    let mut found = String::new();
    for word in &pages[cell.page].words {
        let (x, y) = word.middle();
        if x > left && x < right && y > top && y < bottom {
            assert!(
                word.left >= left - SLACK && word.right <= right + SLACK,
                "`{}` reaches out of its cell `{}` on page {}",
                word.text,
                cell.text,
                cell.page + 1
            );
            // A line of letters is taller than its capitals; it may not reach the next line's.
            assert!(
                word.top >= top - 2 * POINT && word.bottom <= bottom + 2 * POINT,
                "{word:?} in {cell:?}"
            );
            found.push_str(&word.text);
        }
    }
    found
}

#[test]
fn words_keep_within_their_boxes_and_say_what_the_sheet_says() {
    for (name, of) in batches() {
        for sheet in sheets(&of) {
            let Laid { document, cells } = pdf::lay(&sheet);
            let Some(pages) = poppler::read(&document.bytes()) else { return };
            assert_eq!(pages.len(), document.pages.len());
            for (number, page) in pages.iter().enumerate() {
                for word in &page.words {
                    let inside = word.left >= SIDE - SLACK
                        && word.right <= page.width - SIDE + SLACK
                        && word.top >= 20 * POINT
                        && word.bottom <= page.height - 20 * POINT;
                    assert!(inside, "{name}: {word:?} on page {}", number + 1);
                }
            }
            for cell in &cells {
                assert_eq!(found(cell, &pages), set(&cell.text), "{name}: {cell:?}");
            }
        }
    }
}

#[test]
fn every_row_of_the_sheet_is_on_paper_once() {
    for (name, of) in batches() {
        for sheet in sheets(&of) {
            let laid = pdf::lay(&sheet);
            let tables = sheet.sections.iter().flat_map(|s| &s.blocks).filter_map(|b| match b {
                Block::Table(table) => Some(table),
                _ => None,
            });
            for (number, table) in tables.enumerate() {
                // Column by column, for rows that go over pages; what is said again on a new page
                // is left to the eye.
                for (column, of_it) in table.columns.iter().enumerate() {
                    let says_again = table.rows.iter().any(|row| row[column].again);
                    if says_again {
                        continue;
                    }
                    let laid: String = laid
                        .cells
                        .iter()
                        .filter(|c| c.table == number && c.column == column && !c.head)
                        .map(|c| tight(&c.text))
                        .collect();
                    let wanted: String =
                        table.rows.iter().map(|row| tight(&row[column].words.text())).collect();
                    assert_eq!(laid, wanted, "{name}: column {}", of_it.head);
                }
            }
        }
    }
}

#[test]
fn prose_headings_and_cautions_are_there_in_order() {
    for (name, of) in batches() {
        for sheet in sheets(&of) {
            let Some(text) = poppler::text(&pdf::lay(&sheet).document.bytes()) else { return };
            let mut rest = &text[..];
            for block in sheet.sections.iter().flat_map(|section| &section.blocks) {
                let said: Vec<&Words> = match block {
                    Block::Heading(_, words)
                    | Block::Prose(words)
                    | Block::Caption(words)
                    | Block::Item(words)
                    | Block::SignOff(words) => vec![words],
                    Block::Cautions(items) => items.iter().collect(),
                    Block::Table(_) => Vec::new(),
                };
                for words in said {
                    let words = set(&words.text());
                    let at = rest.find(&words);
                    let at = at.unwrap_or_else(|| panic!("{name}: `{words}` is not on paper"));
                    rest = &rest[at + words.len()..];
                }
            }
        }
    }
}

#[test]
fn page_number_batch_and_job_stand_on_every_page() {
    for (name, of) in batches() {
        let job = &of.shop.jobs[0].name;
        for sheet in sheets(&of) {
            let bytes = pdf::lay(&sheet).document.bytes();
            let Some(pages) = poppler::read(&bytes) else { return };
            for (i, page) in pages.iter().enumerate() {
                let words = |wanted: &dyn Fn(&poppler::Word) -> bool| -> String {
                    let words = page.words.iter().filter(|word| wanted(word));
                    words.map(|word| word.text.as_str()).collect()
                };
                let middle = page.width / 2;
                let foot = words(&|word| word.top > page.height - 50 * POINT);
                assert!(foot.ends_with(&format!("{}of{}", i + 1, pages.len())), "{name}: {foot}");
                let left = words(&|word| word.bottom < 80 * POINT && word.right < middle);
                assert!(left.starts_with(&tight(&sheet.title())), "{name}: {left}");
                let right = words(&|word| word.bottom < 80 * POINT && word.left > middle);
                assert!(right.starts_with(&format!("Job{}", set(job))), "{name}: {right}");
            }
        }
    }
}

/// `3–5, 7; 9` as 3, 4, 5, 7, 9.
fn serials(text: &str) -> Vec<u32> {
    let parts = text.split([',', ';', ' ']).map(str::trim).filter(|part| !part.is_empty());
    let ends = parts.map(|part| part.split_once('–').unwrap_or((part, part)));
    ends.flat_map(|(a, b)| a.parse::<u32>().unwrap()..=b.parse().unwrap()).collect()
}

/// Serials of all pieces, by frame and mark.
type Pieces = BTreeMap<(String, String), Vec<u32>>;

fn pieces(of: &Planned) -> Pieces {
    let mut pieces = Pieces::new();
    for piece in of.plan.runs.iter().flat_map(|run| &run.pieces) {
        let (_, frame, member) = piece.member.of(&of.shop.jobs).unwrap();
        let key = (frame.name.to_string(), member.mark.to_string());
        pieces.entry(key).or_default().push(piece.serial.0);
    }
    pieces.values_mut().for_each(|serials| serials.sort_unstable());
    pieces
}

#[test]
fn the_schedule_has_every_piece_once_on_paper() {
    for (name, of) in batches() {
        let [_, sheet] = sheets(&of);
        let laid = pdf::lay(&sheet);
        let Some(pages) = poppler::read(&laid.document.bytes()) else { return };
        // The two tables of totals come first; then one for each frame, jobs in order.
        let frames = of.shop.jobs.iter().flat_map(|job| &job.frames);
        let mut printed = Pieces::new();
        for (frame, table) in frames.zip(2..) {
            let text = |column: usize| -> Vec<String> {
                let cells = laid.cells.iter();
                let of_it = cells.filter(|c| c.table == table && c.column == column && !c.head);
                of_it.map(|cell| found(cell, &pages)).collect()
            };
            // A cell that goes over a page begins no new member: its mark is blank there.
            let mut mark = String::new();
            for (told, serial) in text(0).into_iter().zip(text(7)) {
                if !told.is_empty() {
                    mark = told;
                }
                let key = (frame.name.to_string(), mark.clone());
                printed.entry(key).or_default().extend(serials(&serial));
            }
        }
        printed.values_mut().for_each(|serials| serials.sort_unstable());
        let wanted: Pieces = pieces(&of).into_iter().map(|((f, m), s)| ((f, set(&m)), s)).collect();
        assert_eq!(printed, wanted, "{name}");
    }
}

#[test]
fn the_order_of_a_run_has_every_piece_once_on_paper() {
    for (name, of) in batches() {
        let [sheet, _] = sheets(&of);
        let laid = pdf::lay(&sheet);
        let Some(pages) = poppler::read(&laid.document.bytes()) else { return };
        let is_order = |table: usize| {
            let mut heads = laid.cells.iter().filter(|c| c.table == table && c.head);
            heads.next().is_some_and(|head| head.text == "serials")
        };
        let cells = laid.cells.iter().filter(|c| c.column == 0 && !c.head && is_order(c.table));
        let printed: Vec<u32> = cells.flat_map(|cell| serials(&found(cell, &pages))).collect();
        let wanted: Vec<u32> =
            of.plan.runs.iter().flat_map(|run| &run.pieces).map(|p| p.serial.0).collect();
        assert_eq!(printed, wanted, "{name}");
    }
}

#[test]
fn the_schedule_in_csv_is_read_as_it_was_meant() {
    for (name, of) in batches() {
        let table = String::from_utf8(made(&of).files["schedule.csv"].clone()).unwrap();
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        let heads = reader.headers().unwrap().clone();
        let mut read = Pieces::new();
        for record in reader.records() {
            let record = record.unwrap();
            let field = |head: &str| {
                let at = heads.iter().position(|h| h == head);
                record[at.unwrap_or_else(|| panic!("no column {head}"))].to_string()
            };
            let (frame, mark) = (field("frame"), field("mark"));
            let jobs = of.shop.jobs.iter();
            let (job, drawn) = jobs
                .flat_map(|job| job.frames.iter().map(move |frame| (job, frame)))
                .find(|(_, drawn)| *drawn.name == *frame)
                .unwrap();
            let member = drawn.members.iter().find(|m| *m.mark == *mark).unwrap();
            assert_eq!(field("frame_title"), *drawn.title);
            assert_eq!(field("revision"), *job.revision);
            assert_eq!(field("length_mm"), member.shape.length.to_string());
            let features: usize = field("features")
                .split("; ")
                .filter(|told| !told.is_empty())
                .map(|told| told.split(' ').next().unwrap().parse::<usize>().unwrap())
                .sum();
            assert_eq!(features, member.shape.features.len());
            let made = serials(&field("serials"));
            assert_eq!(field("quantity"), made.len().to_string());
            read.entry((frame, mark)).or_default().extend(made);
        }
        read.values_mut().for_each(|serials| serials.sort_unstable());
        assert_eq!(read, pieces(&of), "{name}");
    }
}

#[test]
fn a_page_asks_for_nothing_and_has_every_member() {
    for (name, of) in batches() {
        for sheet in sheets(&of) {
            let page = html::print(&sheet);
            for asking in ["http", "src=", "url(", "<script", "@import", "<link"] {
                assert!(!page.contains(asking), "{name}: {asking}");
            }
            let rows: usize = sheet
                .sections
                .iter()
                .flat_map(|section| &section.blocks)
                .map(|block| match block {
                    Block::Table(table) => table.rows.len() + usize::from(!table.is_headless()),
                    _ => 0,
                })
                .sum();
            assert_eq!(page.matches("<tr>").count(), rows, "{name}");
            for member in of.shop.jobs.iter().flat_map(|job| &job.frames).flat_map(|f| &f.members) {
                let escaped = member.mark.replace('&', "&amp;").replace('<', "&lt;");
                assert!(page.contains(&*escaped), "{name}: {}", member.mark);
            }
        }
    }
}

#[test]
fn two_runs_have_the_same_bytes() {
    for make in [|| Planned::fixture("boatshed"), || Planned::of(&ugly::bundles("mm"), ugly::BATCH)]
    {
        let [one, two] = [made(&make()).files, made(&make()).files];
        assert!(one == two, "papers of one batch differ");
        let names: Vec<&str> = one.keys().map(String::as_str).collect();
        for file in
            ["run-sheet.html", "run-sheet.pdf", "schedule.csv", "schedule.html", "schedule.pdf"]
        {
            assert!(names.contains(&file), "{names:?}");
        }
    }
}

#[test]
fn letters_the_font_lacks_are_told_and_told_apart() {
    let of = Planned::of(&ugly::bundles("mm"), ugly::BATCH);
    let papers = made(&of);
    let lacking = |papers: &Papers| -> Vec<Diagnostic> {
        let found = papers.found().into_iter();
        found.filter(|found| found.code.number == "W0924").collect()
    };
    let found = lacking(&papers);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].code.number, "W0924");
    assert!(found[0].message.contains('の'), "{}", found[0].message);
    assert!(found[0].help.is_some());
    let page = String::from_utf8(papers.files["schedule.html"].clone()).unwrap();
    assert!(page.contains("東の壁"), "the page has the name as it is");
    let Some(text) = poppler::text(&papers.files["schedule.pdf"]) else { return };
    assert!(text.contains("[6771][306E][58C1]"), "{text}");
    // Latin, Greek and Cyrillic names bring no finding.
    assert!(lacking(&made(&Planned::of(&ugly::files("mm"), ugly::BATCH))).is_empty());
}

/// Papers for the eye: written where COILWRIGHT_EXPORT says, with the batch.
#[test]
fn outside_tools_are_shown_an_ugly_batch() {
    let files = ugly::bundles("mm");
    export("ugly-bundles", &files, &Planned::of(&files, ugly::BATCH));
}

#[test]
fn a_batch_in_inches_is_on_letter_paper() {
    for (name, size) in [("boatshed", [595_276, 841_890]), ("slip-office", [612_000, 792_000])] {
        for sheet in sheets(&Planned::fixture(name)) {
            for page in pdf::lay(&sheet).document.pages {
                let paper = [page.paper.width, page.paper.height].map(|side| side.thousandths());
                assert_eq!(paper, size, "{name}");
            }
        }
    }
}

#[test]
fn a_report_and_its_papers_agree_on_what_goes_back_to_the_rack() {
    let of = Planned::fixture("boatshed");
    let report: Report = of.with(|_, report| report.clone());
    let [sheet, _] = sheets(&of);
    let Some(text) = poppler::text(&pdf::lay(&sheet).document.bytes()) else { return };
    for remnant in &report.remnants {
        let metres = (remnant.length_nm + 50_000_000).div_euclid(100_000_000);
        let said = format!("Coil{}:{}.{}m", remnant.coil, metres / 10, metres % 10);
        assert!(text.contains(&said), "{said}");
    }
}
