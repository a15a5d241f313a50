//! A paper in Markdown: one blank line between blocks, none between entries of a list.

use super::model::{Block, Sheet, Table, Word, Words};
use crate::report::markdown::{item, prose, table, text};

/// The paper.
pub fn print(sheet: &Sheet) -> String {
    let mut out = format!("# {}\n", text(&sheet.title()));
    let mut listed = false;
    for block in sheet.sections.iter().flat_map(|section| &section.blocks) {
        let entry = matches!(block, Block::Item(_) | Block::Cautions(_));
        if !(entry && listed) {
            out.push('\n');
        }
        listed = entry;
        match block {
            Block::Heading(depth, words) => {
                out.push_str(&format!("{} {}\n", "#".repeat((*depth).into()), marked(words)));
            }
            Block::Prose(words) | Block::Caption(words) | Block::SignOff(words) => {
                out.push_str(&prose(&marked(words), 0));
            }
            Block::Item(words) => out.push_str(&item(&marked(words))),
            Block::Cautions(cautions) => {
                cautions.iter().for_each(|words| out.push_str(&item(&marked(words))));
            }
            Block::Table(of) => out.push_str(&rows(of)),
        }
    }
    out
}

fn rows(of: &Table) -> String {
    let heads: Vec<&str> = of.columns.iter().map(|column| &*column.head).collect();
    let right: Vec<usize> =
        of.columns.iter().enumerate().filter(|(_, column)| column.right).map(|(i, _)| i).collect();
    let rows: Vec<Vec<String>> = of
        .rows
        .iter()
        .map(|row| {
            let shown = row.iter().map(|cell| match cell.again {
                true => String::new(),
                false => marked(&cell.words),
            });
            shown.collect()
        })
        .collect();
    table(&heads, &right, &rows)
}

fn marked(words: &Words) -> String {
    words.0.iter().fold(String::new(), |mut out, word| {
        match word {
            Word::Plain(words) => out.push_str(&text(words)),
            Word::Bold(words) => out.push_str(&format!("**{}**", text(words))),
            Word::Italic(words) => out.push_str(&format!("*{}*", text(words))),
            Word::Code(words) => out.push_str(&format!("`{words}`")),
            Word::Blank(letters) => out.push_str(&"_".repeat(*letters)),
        }
        out
    })
}
