//! The preview as one page that opens from the disk: data, styles and script in one file, and
//! nothing that is asked for from elsewhere. A batch that is not planned has a page of its own.

mod data;
mod refused;
mod shapes;
mod strokes;

use super::model::Report;
use super::run_sheet::CAUTIONS;
use super::{Source, json};
use crate::diagnostic::html::escaped;

pub use refused::print as refused;

/// How every page begins: by this a page of ours is known.
pub const FIRST_LINES: &str = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta name=\"generator\" content=\"coilwright preview\">\n";

const FRAME: &str = include_str!("assets/page.html");
const STYLE: &str = include_str!("assets/page.css");
/// In the order they build on each other.
const SCRIPTS: [&str; 10] = [
    include_str!("assets/data.js"),
    include_str!("assets/figures.js"),
    include_str!("assets/steel.js"),
    include_str!("assets/section.js"),
    include_str!("assets/member.js"),
    include_str!("assets/axis.js"),
    include_str!("assets/strip.js"),
    include_str!("assets/clock.js"),
    include_str!("assets/list.js"),
    include_str!("assets/main.js"),
];

/// The page of a plan.
pub fn print(source: &Source<'_>, report: &Report) -> String {
    let data = json::compact(&data::data(source, report, CAUTIONS));
    // Whatever a name holds, it cannot end the element it stands in.
    let data = data.replace('<', "\\u003c");
    filled(FRAME, |what, page| match what {
        "title" => page.push_str(&escaped(&report.batch)),
        "style" => page.push_str(STYLE),
        "data" => page.push_str(&data),
        "script" => SCRIPTS.iter().for_each(|script| page.push_str(script)),
        _ => {}
    })
}

/// A page with what stands for each `{{name}}` in it.
fn filled(frame: &str, mut fill: impl FnMut(&str, &mut String)) -> String {
    let mut page = String::with_capacity(200_000);
    let mut rest = frame;
    while let Some((before, after)) = rest.split_once("{{") {
        page.push_str(before);
        let Some((what, after)) = after.split_once("}}") else { break };
        fill(what, &mut page);
        rest = after;
    }
    page.push_str(rest);
    page
}
