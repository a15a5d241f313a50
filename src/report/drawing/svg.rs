//! A drawing as SVG 1.1: full size, a user unit is a millimetre, a group for each layer.

use super::figure::{self, Anchor, Figure, Point, Text};
use super::{Drawing, Item, Layer};
use crate::diagnostic::html::escaped;
use crate::quantity::Length;
use std::fmt::Write;

/// How every drawing of ours begins: by this it is known.
pub const FIRST_LINES: &str =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- coilwright drawing -->\n";

/// Black on white; lines as wide on a screen as on paper, whatever the size they are shown at.
const STYLE: &str = "
.sheet { fill: #fff; stroke: none }
g { fill: none; stroke: #000; stroke-width: 1px; stroke-linejoin: round }
path, circle { vector-effect: non-scaling-stroke }
#contour { stroke-width: 2px }
#bends { stroke-width: .7px; stroke-dasharray: 12 3 3 3 }
#service-features { fill: #ddd }
#anchor-features { stroke-width: 2.5px }
#end-features { stroke-dasharray: 6 3 }
#dimensions { stroke-width: .5px }
text { fill: #000; stroke: none; font-family: \"Liberation Sans\", Arial, Helvetica, sans-serif }
";

/// White around what is drawn.
const MARGIN: Length = Length::from_mm(10);

/// The drawing as a file.
pub fn print(drawing: &Drawing) -> String {
    let (low, high) = drawing.extent();
    let sheet = Sheet { left: low.0 - MARGIN, top: high.1 + MARGIN };
    let (width, height) = (high.0 - low.0 + MARGIN.times(2), high.1 - low.1 + MARGIN.times(2));
    let mut out = String::from(FIRST_LINES);
    let _infallible = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{width}mm\" \
         height=\"{height}mm\" viewBox=\"{} {} {width} {height}\" role=\"img\" \
         aria-labelledby=\"title desc\">\n\
         <title id=\"title\">{}</title>\n<desc id=\"desc\">{}</desc>\n<style>{STYLE}</style>\n\
         <rect class=\"sheet\" x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\"/>\n",
        sheet.left,
        -sheet.top,
        escaped(&drawing.title),
        escaped(&drawing.about),
        sheet.left,
        -sheet.top,
    );
    for layer in Layer::ALL {
        let _infallible = writeln!(out, "<g id=\"{0}\" class=\"layer\">", layer.name());
        for item in drawing.items.iter().filter(|item| item.layer == layer) {
            element(&mut out, item);
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

/// Where the upper left corner lies.
struct Sheet {
    left: Length,
    top: Length,
}

fn element(out: &mut String, item: &Item) {
    let _infallible = match &item.figure {
        Figure::Text(text) => return words(out, text),
        Figure::Circle { centre, diameter } => write!(
            out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"",
            centre.0,
            -centre.1,
            diameter.half()
        ),
        Figure::Outline(corners) => {
            write!(out, "<path d=\"{}\"", path(corners.iter().map(|&at| (at, false)), None))
        }
        Figure::Slot { centre, length, width } => {
            let corners = figure::slot(*centre, *length, *width).into_iter();
            write!(out, "<path d=\"{}\"", path(corners, Some((*length).min(*width).half())))
        }
        Figure::Line(from, to) => {
            write!(out, "<path d=\"M{} {}L{} {}\"", from.0, -from.1, to.0, -to.1)
        }
    };
    if item.about.is_empty() {
        out.push_str("/>\n");
        return;
    }
    let tag = if matches!(item.figure, Figure::Circle { .. }) { "circle" } else { "path" };
    let _infallible = writeln!(out, "><title>{}</title></{tag}>", escaped(&item.about));
}

/// A closed line. y points down here, so what is counter-clockwise on the blank is on the screen
/// too: arcs sweep backward.
fn path(corners: impl Iterator<Item = figure::Corner>, radius: Option<Length>) -> String {
    let mut out = String::new();
    let mut first: Option<Point> = None;
    let mut round = false;
    let step = |out: &mut String, (x, y): Point, round: bool, begins: bool| {
        let _infallible = match radius.filter(|_| round) {
            Some(r) => write!(out, "A{r} {r} 0 0 0 {x} {}", -y),
            None => write!(out, "{}{x} {}", if begins { 'M' } else { 'L' }, -y),
        };
    };
    for (at, leads_round) in corners {
        step(&mut out, at, round, first.is_none());
        first.get_or_insert(at);
        round = leads_round;
    }
    if let Some(first) = first.filter(|_| round) {
        step(&mut out, first, true, false);
    }
    out.push('Z');
    out
}

fn words(out: &mut String, text: &Text) {
    let (x, y) = (text.at.0, -text.at.1);
    // Half of a capital's height below the middle; a capital is 0.7 of the fount's size.
    let turn =
        if text.upward { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let anchor = match text.anchor {
        Anchor::Begin => "",
        Anchor::End => " text-anchor=\"end\"",
    };
    let _infallible = writeln!(
        out,
        "<text x=\"{x}\" y=\"{}\" font-size=\"{}\"{anchor}{turn}>{}</text>",
        y + text.height.half(),
        text.height.scaled(10, 7),
        escaped(&text.words)
    );
}
