//! Findings as elements of a page: each with its places, excerpts, why it matters and what to write
//! instead, then what their codes mean. How they look is the page's business.

use super::excerpt::{Excerpt, Excerpts, Mark, printable};
use super::{Code, Diagnostic};
use crate::quantity::Sources;
use std::collections::BTreeMap;
use std::ops::Range;

/// Characters of a line that are shown at most.
const WIDTH: usize = 120;

/// Text from a file, fit for an element or an attribute in double quotes.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Text that may have several lines.
fn lines(text: &str) -> String {
    printable(text).lines().map(escaped).collect::<Vec<_>>().join("<br>")
}

/// One finding, an `article` of the class `finding` and of its severity.
pub fn finding(found: &Diagnostic, sources: &Sources) -> String {
    let (severity, code) = (found.severity.word(), found.code.number);
    let mut out = format!(
        "<article class=\"finding {severity}\">\n<h3>{severity} <a href=\"#{code}\">{code}</a>: \
         {}</h3>\n",
        lines(&found.message)
    );
    let excerpts = Excerpts::cut(&found.labels, sources, WIDTH);
    for piece in &excerpts.pieces {
        let (line, column) = piece.place;
        out.push_str(&format!(
            "<figure class=\"excerpt\"><figcaption>{}:{line}:{column}</figcaption>\n<pre>",
            lines(&piece.name),
        ));
        excerpt(piece, &excerpts.marks, &mut out);
        out.push_str("</pre></figure>\n");
    }
    for note in &found.notes {
        out.push_str(&format!("<p class=\"why\">{}</p>\n", lines(note)));
    }
    if let Some(help) = &found.help {
        out.push_str(&format!("<p class=\"do\">→ {}</p>\n", lines(help)));
    }
    out.push_str("</article>\n");
    out
}

/// The lines of an excerpt, each with its number, marks in place, and below it what they say.
fn excerpt(piece: &Excerpt, marks: &[Mark], out: &mut String) {
    let mut start = piece.start;
    for (number, line) in piece.text.split_inclusive('\n').enumerate() {
        let range = start..start + line.len();
        start = range.end;
        let here = marks.iter().filter(|mark| range.contains(&mark.range.start));
        let mut here: Vec<&Mark> = here.collect();
        here.sort_by_key(|mark| mark.range.start);
        out.push_str(&format!("<span class=\"at\">{}</span><span>", piece.line + number + 1));
        let mut done = 0;
        for mark in &here {
            let from = (mark.range.start - range.start).max(done);
            let to = (mark.range.end - range.start).clamp(from, line.trim_end().len().max(from));
            out.push_str(&escaped(line.get(done..from).unwrap_or("")));
            out.push_str(&format!("<mark>{}</mark>", escaped(line.get(from..to).unwrap_or(""))));
            done = to;
        }
        out.push_str(&escaped(line.get(done..).unwrap_or("").trim_end()));
        out.push_str("</span>");
        let said: Vec<String> = here
            .iter()
            .filter(|mark| !mark.text.is_empty())
            .map(|mark| {
                let marked = piece.text.get(local(&mark.range, piece.start)).unwrap_or("");
                match here.len() {
                    1 => lines(&mark.text),
                    _ => format!("<b>{}</b> {}", escaped(&shortened(marked)), lines(&mark.text)),
                }
            })
            .collect();
        if !said.is_empty() {
            let said = said.join("; ");
            out.push_str(&format!("<span class=\"at\"></span><em>▲ {said}</em>"));
        }
    }
}

/// A stretch of the common address space, in an excerpt that begins there.
fn local(range: &Range<usize>, start: usize) -> Range<usize> {
    range.start.saturating_sub(start)..range.end.saturating_sub(start)
}

/// The beginning of what is marked.
fn shortened(marked: &str) -> String {
    const MOST: usize = 24;
    match marked.char_indices().nth(MOST) {
        Some((cut, _)) => format!("{}…", marked.get(..cut).unwrap_or("")),
        None => marked.to_string(),
    }
}

/// What the codes of these findings mean, each a `details` of its number.
pub fn explained(found: &[Diagnostic]) -> String {
    let codes: BTreeMap<&str, &Code> = found.iter().map(|f| (f.code.number, f.code)).collect();
    let one = |code: &&Code| {
        let paragraphs: String =
            code.explanation.split("\n\n").map(|p| format!("<p>{}</p>\n", escaped(p))).collect();
        let (number, title) = (code.number, escaped(code.title));
        format!(
            "<details id=\"{number}\" open><summary><strong>{number}</strong> \
             {title}</summary>\n{paragraphs}</details>\n"
        )
    };
    codes.values().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::codes::resolve::E0203;
    use crate::quantity::{SourceFile, Span};

    #[test]
    fn names_cannot_leave_their_place() {
        assert_eq!(escaped("<b a=\"x\">&\u{7}"), "&lt;b a=&quot;x&quot;&gt;&amp; ");
    }

    #[test]
    fn marks_stand_in_their_lines_and_say_below_what_they_are() {
        let mut sources = Sources::default();
        let text = "one <b>\n  swag both\u{202e} ends\nthree\n";
        let file = sources.add(SourceFile::new("a<i>.members", text));
        let found = Diagnostic::new(&E0203, "there is no `swag`\nat all")
            .at(Span::new(file, 10, 14), "un<known>")
            .at(Span::new(file, 15, 19), "")
            .note("why & how")
            .help("did you mean `swage`?");
        let html = finding(&found, &sources);
        assert_eq!(
            html,
            "<article class=\"finding error\">\n<h3>error <a href=\"#E0203\">E0203</a>: there is no \
             `swag`<br>at all</h3>\n<figure class=\"excerpt\"><figcaption>a&lt;i&gt;.members:2:3\
             </figcaption>\n<pre><span class=\"at\">1</span><span>one &lt;b&gt;</span><span \
             class=\"at\">2</span><span>  <mark>swag</mark> <mark>both</mark>\u{fffd} ends</span>\
             <span class=\"at\"></span><em>▲ <b>swag</b> un&lt;known&gt;</em><span class=\"at\">3</span><span>\
             three</span></pre></figure>\n<p class=\"why\">why &amp; how</p>\n<p class=\"do\">→ did \
             you mean `swage`?</p>\n</article>\n"
        );
        assert!(explained(&[found.clone(), found]).starts_with("<details id=\"E0203\" open>"));
    }
}
