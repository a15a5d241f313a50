//! A paper as one page for a browser: nothing is asked for from elsewhere, and it prints.

use super::model::{Block, Cell, Sheet, Table, Word, Words};
use crate::diagnostic::html::escaped;
use crate::library::model::Units;

/// Tables of no more rows than this are not parted in print.
const WHOLE: usize = 12;

const STYLE: &str = include_str!("assets/sheet.css");

/// The page.
pub fn print(sheet: &Sheet) -> String {
    let mut out = String::from(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"generator\" content=\"coilwright papers\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n",
    );
    let title = escaped(&sheet.title());
    out.push_str(&format!("<title>{title}</title>\n<style>\n{STYLE}{}</style>\n", edges(sheet)));
    out.push_str(&format!("</head>\n<body>\n<header><h1>{title}</h1></header>\n"));
    let mut anchors = 0;
    out.push_str(&contents(sheet));
    out.push_str("<main>\n");
    for section in &sheet.sections {
        let class = if section.own_page { " class=\"leaf\"" } else { "" };
        out.push_str(&format!("<section{class}>\n"));
        blocks(&section.blocks, &mut anchors, &mut out);
        out.push_str("</section>\n");
    }
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

/// What stands at the edges of printed pages, and their size.
fn edges(sheet: &Sheet) -> String {
    let size = match sheet.units {
        Units::Millimetres => "A4",
        Units::Inches => "letter",
    };
    let mut jobs: Vec<&str> = Vec::new();
    for job in sheet.sections.iter().flat_map(|section| &section.jobs) {
        if !jobs.contains(&job.as_str()) {
            jobs.push(job);
        }
    }
    let quoted = |text: &str| -> String {
        // Nothing that could end the string, the rule or the element it stands in.
        let letters = text.chars().map(|c| match c {
            c if c.is_alphanumeric() || " .,:-–_/()+".contains(c) => c.to_string(),
            c => format!("\\{:x} ", u32::from(c)),
        });
        letters.collect()
    };
    format!(
        "@page {{ size: {size}; margin: 18mm 14mm; @top-left {{ content: \"{}\"; }} @top-right {{ \
         content: \"{}\"; }} @bottom-right {{ content: counter(page) \" of \" counter(pages); }} \
         }}\n",
        quoted(&sheet.title()),
        quoted(&jobs.join(", ")),
    )
}

/// Where each section is, to jump to.
fn contents(sheet: &Sheet) -> String {
    let blocks = sheet.sections.iter().flat_map(|section| &section.blocks);
    let heads = blocks.filter_map(|block| match block {
        Block::Heading(2, words) => Some(words),
        _ => None,
    });
    let entries: String = heads
        .enumerate()
        .map(|(i, words)| format!("<li><a href=\"#s{}\">{}</a></li>\n", i + 1, marked(words)))
        .collect();
    format!("<nav aria-label=\"Sections\"><ol>\n{entries}</ol></nav>\n")
}

fn blocks(blocks: &[Block], anchors: &mut usize, out: &mut String) {
    let mut listed = false;
    for block in blocks {
        let entry = matches!(block, Block::Item(_));
        if entry != listed {
            out.push_str(if entry { "<ul>\n" } else { "</ul>\n" });
            listed = entry;
        }
        match block {
            Block::Heading(depth, words) => {
                let id = if *depth == 2 {
                    *anchors += 1;
                    format!(" id=\"s{anchors}\"")
                } else {
                    String::new()
                };
                out.push_str(&format!("<h{depth}{id}>{}</h{depth}>\n", marked(words)));
            }
            Block::Prose(words) => out.push_str(&format!("<p>{}</p>\n", marked(words))),
            Block::Caption(words) => {
                out.push_str(&format!("<p class=\"caption\">{}</p>\n", marked(words)));
            }
            Block::SignOff(words) => {
                out.push_str(&format!("<p class=\"sign\">{}</p>\n", marked(words)));
            }
            Block::Item(words) => out.push_str(&format!("<li>{}</li>\n", marked(words))),
            Block::Cautions(items) => {
                let items: String =
                    items.iter().map(|words| format!("<li>{}</li>\n", marked(words))).collect();
                out.push_str(&format!("<ul class=\"cautions\">\n{items}</ul>\n"));
            }
            Block::Table(of) => table(of, out),
        }
    }
    if listed {
        out.push_str("</ul>\n");
    }
}

fn table(of: &Table, out: &mut String) {
    let whole = if of.rows.len() <= WHOLE { " whole" } else { "" };
    out.push_str(&format!("<div class=\"wide{whole}\"><table>\n"));
    let class = |i: usize| match of.columns.get(i) {
        Some(column) if column.right => " class=\"num\"",
        Some(column) if column.room > 0 => " class=\"room\"",
        _ => "",
    };
    if !of.is_headless() {
        let heads = of.columns.iter().enumerate();
        let heads: String = heads
            .map(|(i, column)| {
                format!("<th scope=\"col\"{}>{}</th>", class(i), escaped(&column.head))
            })
            .collect();
        out.push_str(&format!("<thead><tr>{heads}</tr></thead>\n"));
    }
    out.push_str("<tbody>\n");
    for row in &of.rows {
        let cell = |(i, cell): (usize, &Cell)| {
            let words = if cell.again { String::new() } else { marked(&cell.words) };
            format!("<td{}>{words}</td>", class(i))
        };
        let cells: String = row.iter().enumerate().map(cell).collect();
        out.push_str(&format!("<tr>{cells}</tr>\n"));
    }
    out.push_str("</tbody>\n</table></div>\n");
}

fn marked(words: &Words) -> String {
    words.0.iter().fold(String::new(), |mut out, word| {
        match word {
            Word::Plain(text) => out.push_str(&escaped(text)),
            Word::Bold(text) => out.push_str(&format!("<b>{}</b>", escaped(text))),
            Word::Italic(text) => out.push_str(&format!("<i>{}</i>", escaped(text))),
            Word::Code(text) => out.push_str(&format!("<code>{}</code>", escaped(text))),
            Word::Blank(letters) => {
                out.push_str(&format!("<span class=\"blank\" style=\"--n:{letters}\"></span>"));
            }
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sheet::model::Section;

    #[test]
    fn names_cannot_leave_their_place_and_lists_are_closed() {
        let name = "</style><script>\"'\\\n}@import";
        let sheet = Sheet {
            kind: "Run sheet",
            batch: name.to_string(),
            units: Units::Inches,
            sections: vec![Section {
                jobs: vec![name.to_string()],
                own_page: true,
                blocks: vec![
                    Block::Heading(2, name.into()),
                    Block::Item(name.into()),
                    Block::Table(Table::new(&[name], &[], vec![vec![name.into()]])),
                    Block::Item(Words::default().code(name).blank(3)),
                ],
            }],
        };
        let page = print(&sheet);
        assert_eq!(page.matches("<script").count(), 0);
        assert_eq!(page.matches("</style>").count(), 1);
        assert!(!page.contains("\"'\\\n"), "a name ends the string it stands in");
        assert!(page.contains("size: letter"));
        for tag in ["ul", "li", "table", "section", "tr", "td", "h2"] {
            let (open, close) = (format!("<{tag}"), format!("</{tag}>"));
            assert_eq!(page.matches(&open).count(), page.matches(&close).count(), "{tag}");
        }
    }
}
