//! Findings as text, with the source under them and a caret where it is.
//!
//! The picture is drawn by miette; nothing of it shows outside this file. Header, notes and help
//! are our own.

use super::excerpt::{Excerpts, printable};
use super::{Arranged, Diagnostic, Severity};
use crate::quantity::Sources;
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents,
    SourceCode, SourceSpan, SpanContents,
};
use std::borrow::Cow;
use std::fmt;

/// Letters of a word that is shown whole: a name may be as long as somebody makes it.
const LONGEST_WORD: usize = 240;

/// How text is to look.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Look {
    /// Whether to colour it (a terminal that did not ask for none).
    pub colour: bool,
    /// Columns to fill; less than 40 counts as 40.
    pub width: usize,
}

impl Default for Look {
    /// Without colour, 100 columns: files and pipes.
    fn default() -> Look {
        Look { colour: false, width: 100 }
    }
}

/// All that is shown of these findings, and the summary as the last line. Empty for none.
pub fn report(found: &Arranged, sources: &Sources, look: Look) -> String {
    let mut out = String::new();
    for diagnostic in &found.shown {
        out.push_str(&one(diagnostic, sources, look));
        out.push('\n');
    }
    let summary = found.summary();
    if !summary.is_empty() {
        out.push_str(&summary);
        out.push('\n');
    }
    out
}

/// One finding: header, picture, notes, help. Ends in a line feed.
pub fn one(diagnostic: &Diagnostic, sources: &Sources, look: Look) -> String {
    let width = look.width.max(40);
    let severity = diagnostic.severity;
    let kind = format!("{}[{}]", severity.word(), diagnostic.code.number);
    let mut out = String::new();
    let ink = match severity {
        Severity::Error => "1;31",
        Severity::Warning => "1;33",
        Severity::Note => "1;36",
    };
    paragraph(&mut out, "", &kind, ink, &diagnostic.message, look.colour, width);
    let excerpts = Excerpts::cut(&diagnostic.labels, sources, width.saturating_sub(12));
    out.push_str(&picture(&excerpts, severity, look.colour, width));
    for note in &diagnostic.notes {
        paragraph(&mut out, "  ", "note", "1", note, look.colour, width);
    }
    if let Some(help) = &diagnostic.help {
        paragraph(&mut out, "  ", "help", "36", help, look.colour, width);
    }
    out
}

/// `indent head: text`, wrapped at spaces, the rest indented under the text.
fn paragraph(
    out: &mut String,
    indent: &str,
    head: &str,
    ink: &str,
    text: &str,
    colour: bool,
    width: usize,
) {
    out.push_str(indent);
    if colour {
        out.push_str(&format!("\u{1b}[{ink}m{head}\u{1b}[0m: "));
    } else {
        out.push_str(&format!("{head}: "));
    }
    // A header's later lines need no deep indent; a note's line up with its text.
    let hang = if indent.is_empty() { 2 } else { indent.len() + head.len() + 2 };
    let mut column = indent.len() + head.chars().count() + 2;
    for (i, line) in printable(text).lines().enumerate() {
        if i > 0 {
            out.push('\n');
            out.push_str(&" ".repeat(hang));
            column = hang;
        }
        let mut fresh = true;
        for word in line.split(' ') {
            let word = &*seen_whole(word);
            let length = word.chars().count();
            if !fresh && column + 1 + length > width {
                out.push('\n');
                out.push_str(&" ".repeat(hang));
                column = hang;
            } else if !fresh {
                out.push(' ');
                column += 1;
            }
            out.push_str(word);
            column += length;
            fresh = false;
        }
    }
    out.push('\n');
}

/// A word as long as anybody reads; of a longer one its beginning and its end. The other forms
/// have it whole.
fn seen_whole(word: &str) -> Cow<'_, str> {
    let letters = word.chars().count();
    if letters <= LONGEST_WORD {
        return Cow::Borrowed(word);
    }
    let half = LONGEST_WORD / 2;
    let front = word.chars().take(half).chain(['…']);
    Cow::Owned(front.chain(word.chars().skip(letters - half)).collect())
}

fn picture(excerpts: &Excerpts, severity: Severity, colour: bool, width: usize) -> String {
    if excerpts.pieces.is_empty() {
        return String::new();
    }
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(width)
        .with_context_lines(0)
        .without_cause_chain()
        .without_primary_span_start()
        .without_syntax_highlighting();
    let mut drawn = String::new();
    if handler.render_report(&mut drawn, &Picture { excerpts, severity }).is_err() {
        // Never lose the place, whatever becomes of the picture.
        return excerpts
            .pieces
            .iter()
            .map(|p| format!("  --> {}:{}:{}\n", printable(&p.name), p.place.0, p.place.1))
            .collect();
    }
    // Its first line is a header of miette's own, left empty here.
    drawn.split_once('\n').map_or(String::new(), |(_, rest)| rest.to_string())
}

/// What miette is shown of a finding.
#[derive(Debug)]
struct Picture<'a> {
    excerpts: &'a Excerpts,
    severity: Severity,
}

impl fmt::Display for Picture<'_> {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Picture<'_> {}

impl miette::Diagnostic for Picture<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self)
    }
    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.excerpts.marks.iter().map(|mark| {
            let text = (!mark.text.is_empty()).then(|| mark.text.clone());
            LabeledSpan::new(text, mark.range.start, mark.range.end - mark.range.start)
        })))
    }
}

impl SourceCode for Picture<'_> {
    /// A whole excerpt whatever is asked for inside it. A stretch that spans two excerpts is
    /// refused: miette then draws them apart, each under its own file name.
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _: usize,
        _: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let range = span.offset()..span.offset() + span.len();
        let piece = self.excerpts.holding(range).ok_or(MietteError::OutOfBounds)?;
        // The place of the mark, not of the excerpt's first line.
        let name = format!("{}:{}:{}", printable(&piece.name), piece.place.0, piece.place.1);
        Ok(Box::new(MietteSpanContents::new_named(
            name,
            piece.text.as_bytes(),
            (piece.start, piece.text.len()).into(),
            piece.line,
            0,
            piece.text.lines().count(),
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::codes::files::E0904;
    use crate::diagnostic::{MOST_SHOWN, arrange};
    use crate::quantity::{FileId, SourceFile, Span};

    fn sources(files: &[(&str, &str)]) -> Sources {
        let mut sources = Sources::default();
        for (name, text) in files {
            sources.add(SourceFile::new(*name, *text));
        }
        sources
    }

    fn span(sources: &Sources, file: u32, needle: &str) -> Span {
        let text = sources.get(FileId(file)).unwrap().text();
        let start = u32::try_from(text.find(needle).unwrap()).unwrap();
        Span::new(FileId(file), start, start + u32::try_from(needle.len()).unwrap())
    }

    fn shown(diagnostic: &Diagnostic, sources: &Sources) -> String {
        let look = Look { colour: false, width: 60 };
        let text = one(diagnostic, sources, look);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        text
    }

    #[test]
    fn draws_the_place_and_says_why_and_what_instead() {
        let s = sources(&[("a.members", "member S1 {\n\tdimple at 2400\n}\n")]);
        let found = Diagnostic::new(
            &E0904,
            "the dimple lies outside the member, whose end is 14 mm before it",
        )
        .at(span(&s, 0, "2400"), "beyond the end")
        .note("the shear would cut it in half")
        .help("write `end - 45`");
        assert_eq!(
            shown(&found, &s),
            "\
error[E0904]: the dimple lies outside the member, whose end
  is 14 mm before it
   ╭─[a.members:2:12]
 1 │ member S1 {
 2 │     dimple at 2400
   ·               ──┬─
   ·                 ╰── beyond the end
 3 │ }
   ╰────
  note: the shear would cut it in half
  help: write `end - 45`
"
        );
    }

    #[test]
    fn shows_labels_in_several_files_and_on_one_line() {
        let s = sources(&[
            ("a.members", "hole at 22, 25\n"),
            ("shop/rules.toml", "a = 1\nb = 2\nlimit = 12\n"),
        ]);
        let found = Diagnostic::new(&E0904, "too near")
            .at(span(&s, 0, "22"), "this one")
            .at(span(&s, 0, "25"), "and this")
            .at(span(&s, 1, "12"), "the limit");
        assert_eq!(
            shown(&found, &s),
            "\
error[E0904]: too near
   ╭─[a.members:1:9]
 1 │ hole at 22, 25
   ·         ─┬  ─┬
   ·          │   ╰── and this
   ·          ╰── this one
   ╰────
   ╭─[shop/rules.toml:3:9]
 2 │ b = 2
 3 │ limit = 12
   ·         ─┬
   ·          ╰── the limit
   ╰────
"
        );
    }

    #[test]
    fn overlapping_labels_are_drawn_apart() {
        let s = sources(&[("a", "one two three\n")]);
        let found = Diagnostic::new(&E0904, "m")
            .at(span(&s, 0, "one two"), "first")
            .at(span(&s, 0, "two three"), "second");
        let text = shown(&found, &s);
        assert_eq!(text.matches(" 1 │ one two three").count(), 2, "{text}");
        assert!(text.contains("first") && text.contains("second"), "{text}");
    }

    #[test]
    fn an_empty_place_at_the_end_of_the_file_has_a_caret() {
        for text in ["frame N1 {\n", "frame N1 {", "frame N1 {\r\n\r\n  \r\n"] {
            let s = sources(&[("a", text)]);
            let end = u32::try_from(text.len()).unwrap();
            let found =
                Diagnostic::new(&E0904, "m").at(Span::new(FileId(0), end, end), "not closed");
            let text = shown(&found, &s);
            assert!(text.contains("[a:1:10]"), "{text}");
            assert!(text.contains("·          ┬\n   ·          ╰── not closed"), "{text}");
        }
        let s = sources(&[("empty", "")]);
        let found = Diagnostic::new(&E0904, "m").at(Span::new(FileId(0), 0, 0), "nothing here");
        let text = shown(&found, &s);
        assert!(text.contains("[empty:1:1]") && text.contains("nothing here"), "{text}");
    }

    #[test]
    fn a_place_over_many_lines_is_shown_by_its_first() {
        let text = format!("frame N1 {{\n{}}}\n", "  member\n".repeat(1000));
        let s = sources(&[("a", &text)]);
        let all = Span::new(FileId(0), 0, u32::try_from(text.len()).unwrap());
        let text = shown(&Diagnostic::new(&E0904, "m").at(all, "this frame"), &s);
        assert!(text.lines().count() < 8 && text.contains("this frame"), "{text}");
    }

    #[test]
    fn a_line_of_ten_megabytes_is_clipped_around_the_mark() {
        let text = format!("{}ÄWRONG {}", "é".repeat(5_000_000), "x".repeat(1_000_000));
        let s = sources(&[("a", &text)]);
        let shown = shown(&Diagnostic::new(&E0904, "m").at(span(&s, 0, "WRONG"), "here"), &s);
        assert!(shown.len() < 1000, "{}", shown.len());
        assert!(shown.contains("…ééé") && shown.contains("éÄWRONG xxx"), "{shown}");
        assert!(shown.contains("here"), "{shown}");
    }

    #[test]
    fn a_mark_wider_than_the_window_is_cut() {
        let s = sources(&[("a", &"y".repeat(5_000))]);
        let all = Span::new(FileId(0), 10, 5_000);
        let shown = shown(&Diagnostic::new(&E0904, "m").at(all, "all of it"), &s);
        assert!(shown.contains('…') && shown.contains("all of it"), "{shown}");
    }

    #[test]
    fn files_cannot_move_the_cursor() {
        let s = sources(&[("a\u{1b}[2J", "x\u{1b}[31my\u{202e}z\rq\u{9b}1m\n")]);
        let found = Diagnostic::new(&E0904, "in `\u{1b}]0;`")
            .at(Span::new(FileId(0), 3, 4), "\u{8}")
            .help("\u{7f}");
        let shown = shown(&found, &s);
        assert!(!shown.chars().any(|c| c.is_control() && c != '\n'), "{shown:?}");
        assert!(!shown.contains('\u{202e}'), "{shown:?}");
    }

    #[test]
    fn no_place_is_too_odd_to_draw() {
        let text = "é\r\n\tü x\n\n\u{1f9f1}y";
        let s = sources(&[("a", text), ("b", "")]);
        let n = u32::try_from(text.len()).unwrap() + 3;
        for start in 0..n {
            for end in 0..n {
                for other in [0, n / 2, n] {
                    let found = Diagnostic::new(&E0904, "m")
                        .at(Span::new(FileId(0), start, end), "one")
                        .at(Span::new(FileId(0), other, other), "two")
                        .at(Span::new(FileId(1), start, end), "three")
                        .at(Span::new(FileId(9), start, end), "no such file");
                    let text = one(&found, &s, Look { colour: true, width: 0 });
                    assert!(["one", "two", "three"].iter().all(|t| text.contains(t)), "{text}");
                }
            }
        }
    }

    #[test]
    fn colour_is_only_where_it_is_asked_for() {
        let s = sources(&[("a", "abc\n")]);
        let found = Diagnostic::new(&E0904, "m").at(span(&s, 0, "b"), "here").help("h");
        let plain = one(&found, &s, Look::default());
        let coloured = one(&found, &s, Look { colour: true, ..Look::default() });
        assert!(!plain.contains('\u{1b}'));
        assert!(coloured.starts_with("\u{1b}[1;31merror[E0904]\u{1b}[0m: m\n"), "{coloured:?}");
    }

    #[test]
    fn the_summary_is_the_last_line() {
        let s = sources(&[("a", "abc\n")]);
        let found = vec![
            Diagnostic::new(&E0904, "m").at(span(&s, 0, "b"), "here"),
            Diagnostic::new(&E0904, "n").severity(Severity::Warning),
        ];
        let text = report(&arrange(found, MOST_SHOWN), &s, Look::default());
        assert_eq!(text.lines().last(), Some("1 error, 1 warning"));
        assert_eq!(report(&arrange(Vec::new(), 0), &s, Look::default()), "");
    }

    #[test]
    fn a_word_of_a_hundred_thousand_letters_is_shown_by_its_ends() {
        let message =
            format!("there is no mark `a{}é{}z` here", "m".repeat(60_000), "ü".repeat(20_000));
        let text = one(&Diagnostic::new(&E0904, message), &Sources::default(), Look::default());
        assert!(
            text.contains("`amm") && text.contains("m…ü") && text.ends_with("üz`\n  here\n"),
            "{text}"
        );
        assert!(text.chars().count() < 400);
    }
}
