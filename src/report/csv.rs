//! Rows of comma separated values as RFC 4180 has them.

/// Adds a row.
pub fn row(table: &mut String, fields: &[String]) {
    for (i, field) in fields.iter().enumerate() {
        if i > 0 {
            table.push(',');
        }
        table.push_str(&quoted(field));
    }
    table.push_str("\r\n");
}

/// A field in quotes where it needs them. A text that a spreadsheet would take for a formula is
/// kept as it is inside quotes: marks must come out as they are printed on the piece.
fn quoted(field: &str) -> String {
    if field.contains([',', '"', '\n', '\r']) || field.starts_with([' ', '=', '+', '@']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_what_would_break_a_line() {
        assert_eq!(quoted("N1-S1"), "N1-S1");
        assert_eq!(quoted("wall, 3\" pipe"), "\"wall, 3\"\" pipe\"");
        assert_eq!(quoted("a\nb"), "\"a\nb\"");
    }
}
