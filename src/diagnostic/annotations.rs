//! Findings as workflow commands, one a line: what build services that know them show in the
//! margin of a review (`::error file=…,line=…,col=…,title=…::message`).

use super::{Arranged, Diagnostic, Severity};
use crate::quantity::Sources;

/// These findings, one a line.
pub fn report(found: &Arranged, sources: &Sources) -> String {
    found.shown.iter().map(|d| command(d, sources)).collect()
}

fn command(diagnostic: &Diagnostic, sources: &Sources) -> String {
    let word = match diagnostic.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "notice",
    };
    let mut said = vec![("title", format!("{} {}", diagnostic.code.number, diagnostic.code.title))];
    let source = diagnostic.span().and_then(|span| Some((span, sources.get(span.file)?)));
    if let Some((span, file)) = source {
        let (start, end) = (file.position(span.start), file.position(span.end));
        said.push(("file", file.name().to_string()));
        said.push(("line", start.line.to_string()));
        said.push(("endLine", end.line.to_string()));
        // Columns are understood on one line only.
        if start.line == end.line {
            said.push(("col", start.column.to_string()));
            said.push(("endColumn", end.column.to_string()));
        }
    }
    let said: Vec<String> =
        said.into_iter().map(|(name, value)| format!("{name}={}", property(&value))).collect();
    format!("::{word} {}::{}\n", said.join(","), data(&diagnostic.lines()))
}

/// A message on one line.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

/// A property's value, which also ends at a colon or a comma.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::arrange;
    use crate::diagnostic::codes::files::E0904;
    use crate::quantity::{SourceFile, Span};

    #[test]
    fn one_line_each_whatever_is_said() {
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("a,b:c.members", "é1\nöäü x\n"));
        let found = vec![
            Diagnostic::new(&E0904, "50 %,\nthen: all").at(Span::new(file, 4, 6), "here").help("h"),
            Diagnostic::new(&E0904, "over lines").at(Span::new(file, 0, 6), ""),
            Diagnostic::new(&E0904, "no place").severity(Severity::Note),
        ];
        let title = property(E0904.title);
        assert_eq!(
            report(&arrange(found, 0), &sources),
            format!(
                "::error title=E0904 {title},file=a%2Cb%3Ac.members,line=1,endLine=2::over lines\n\
                 ::error title=E0904 {title},file=a%2Cb%3Ac.members,line=2,endLine=2,col=1,\
                 endColumn=2::50 %25,%0Athen: all%0Ah\n\
                 ::notice title=E0904 {title}::no place\n"
            )
        );
    }
}
