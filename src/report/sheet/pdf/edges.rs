//! What stands on every page: batch, jobs, and which page of how many it is.

use super::look::{EDGE, EDGE_BOLD, SIDE, TOP, leading};
use super::wrap::{Line, lines};
use crate::report::pdf::{At, Document, Page, Paper, Pen, Pt, Runs, Shade};
use crate::report::sheet::model::{Section, Sheet, bold};
use crate::report::words::count;

/// Lines that jobs take at most, and a batch's name of unheard-of length.
const JOB_LINES: usize = 2;
const MOST_LINES: usize = 6;
const FOOT: &str = "Coilwright is no safety function and designs no structure. Check against the drawings in hand.";

/// The head of a section's pages.
pub struct Head {
    left: Vec<Line>,
    right: Vec<Line>,
    column: Pt,
}

impl Head {
    /// Of a section.
    pub fn new(sheet: &Sheet, section: &Section, paper: Paper) -> Head {
        let column = (paper.width - SIDE.times(2)).half() - Pt::new(6);
        let mut left = lines(&bold(sheet.title()), EDGE_BOLD, column);
        left.truncate(MOST_LINES);
        let mut right = jobs(&section.jobs, column);
        right.truncate(MOST_LINES);
        Head { left, right, column }
    }
    /// Where the page's content begins.
    pub fn bottom(&self) -> Pt {
        let lines = self.left.len().max(self.right.len());
        TOP + leading(EDGE).times(i64::try_from(lines).unwrap_or(1)) + Pt::new(14)
    }
    /// Draws it.
    pub fn draw(&self, page: &mut Page) {
        let (left, right) = (SIDE, page.paper.width - SIDE);
        let top = TOP + EDGE.ascent();
        let down = |i: usize| leading(EDGE).times(i64::try_from(i).unwrap_or(0));
        for (i, line) in self.left.iter().enumerate() {
            super::flow::put(page, line, At { x: left, y: top + down(i) });
        }
        for (i, line) in self.right.iter().enumerate() {
            let x = (right - line.width).max(right - self.column);
            super::flow::put(page, line, At { x, y: top + down(i) });
        }
        let y = self.bottom() - Pt::new(11);
        page.line(At { x: left, y }, At { x: right, y }, Pen::ink(Pt::mil(800)));
    }
}

/// Names of jobs on few lines; of many the first, and how many more there are.
fn jobs(jobs: &[String], column: Pt) -> Vec<Line> {
    let word = if jobs.len() == 1 { "Job" } else { "Jobs" };
    let told = |shown: usize| {
        let names = jobs.get(..shown).unwrap_or_default().join(", ");
        let more = match jobs.len().saturating_sub(shown) {
            0 => String::new(),
            more => format!(" and {} more", count(more, "job")),
        };
        lines(&format!("{word} {names}{more}").into(), EDGE, column)
    };
    // Names that are all short fit twelve on a line.
    let most = jobs.len().min(JOB_LINES * 12);
    (1..=most).rev().map(told).find(|lines| lines.len() <= JOB_LINES).unwrap_or_else(|| told(1))
}

/// Writes `3 of 12` on every page.
pub fn number(document: &mut Document) {
    let of = document.pages.len();
    for (i, page) in document.pages.iter_mut().enumerate() {
        let y = page.paper.height - Pt::new(28);
        let (left, right) = (SIDE, page.paper.width - SIDE);
        let rule = y - EDGE.ascent() - Pt::new(5);
        page.line(At { x: left, y: rule }, At { x: right, y: rule }, Pen::faint(Pt::mil(500)));
        page.say(At { x: left, y }, EDGE, Shade::Soft, Runs::Across, FOOT);
        let number = format!("{} of {of}", i + 1);
        page.text(At { x: right - EDGE_BOLD.width(&number), y }, EDGE_BOLD, &number);
    }
}
