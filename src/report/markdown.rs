//! Markdown that reads well as plain text too: cells padded, prose broken before column 100.

/// Columns a line of prose takes at most.
const WIDTH: usize = 98;

/// A table: heads, then rows. Columns named in `right` are flush right.
pub fn table(heads: &[&str], right: &[usize], rows: &[Vec<String>]) -> String {
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_string()).collect();
    let width = |column: usize| {
        let cells = rows.iter().chain([&heads]).filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0).max(3)
    };
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let line = |row: &[String]| {
        let mut line = String::from("|");
        for (i, &width) in widths.iter().enumerate() {
            let cell = row.get(i).map_or("", String::as_str);
            let fill = " ".repeat(width.saturating_sub(cell.chars().count()));
            line.push_str(&if right.contains(&i) {
                format!(" {fill}{cell} |")
            } else {
                format!(" {cell}{fill} |")
            });
        }
        line.push('\n');
        line
    };
    let mut table = line(&heads);
    table.push('|');
    for (i, &width) in widths.iter().enumerate() {
        table.push_str(&if right.contains(&i) {
            format!("{}:|", "-".repeat(width + 1))
        } else {
            format!("{}|", "-".repeat(width + 2))
        });
    }
    table.push('\n');
    for row in rows {
        table.push_str(&line(row));
    }
    table
}

/// Prose with a line feed at its end, broken at spaces; lines after the first begin with
/// `indent` spaces.
pub fn prose(text: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut column = 0;
    for word in text.split(' ') {
        let long = word.chars().count();
        if column > indent && column + 1 + long > WIDTH {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if !out.is_empty() {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += long;
    }
    out.push('\n');
    out
}

/// One entry of a list.
pub fn item(text: &str) -> String {
    prose(&format!("- {text}"), 2)
}

/// Text from a file, fit for a table cell.
pub fn text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '|' | '\\' | '`' | '*' | '_' | '<' | '[' | ']' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_a_table() {
        assert_eq!(text("a|b\n*c*"), "a\\|b \\*c\\*");
    }

    #[test]
    fn columns_line_up_and_prose_is_broken() {
        let rows = [vec!["Ö1".to_string(), "12.5".to_string()], vec!["K-118".to_string()]];
        assert_eq!(
            table(&["id", "m"], &[1], &rows),
            "| id    |    m |\n|-------|-----:|\n| Ö1    | 12.5 |\n| K-118 |      |\n"
        );
        let broken = item(&"word ".repeat(40));
        assert!(broken.lines().count() > 1);
        assert!(broken.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(broken.lines().skip(1).all(|line| line.starts_with("  word")));
        assert_eq!(prose(&"x".repeat(200), 0), format!("{}\n", "x".repeat(200)));
    }
}
