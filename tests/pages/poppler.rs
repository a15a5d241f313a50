//! What an outside reader of PDF (Debian's poppler-utils) makes of a paper.

use std::io::Write;
use std::process::Command;

/// A word and its box, in thousandths of a point from the top left corner.
#[derive(Clone, Debug)]
pub struct Word {
    pub text: String,
    pub left: i64,
    pub top: i64,
    pub right: i64,
    pub bottom: i64,
}

impl Word {
    pub fn middle(&self) -> (i64, i64) {
        (i64::midpoint(self.left, self.right), i64::midpoint(self.top, self.bottom))
    }
}

/// A page: how wide and tall, and its words.
pub struct Read {
    pub width: i64,
    pub height: i64,
    pub words: Vec<Word>,
}

/// The pages of a paper; nothing, said so, where the reader is not installed.
pub fn read(pdf: &[u8]) -> Option<Vec<Read>> {
    let text = run(pdf, "-bbox")?;
    let pages = text.split("<page ").skip(1).map(|page| Read {
        width: number(page, "width"),
        height: number(page, "height"),
        words: page.split("<word ").skip(1).map(word).collect(),
    });
    Some(pages.collect())
}

/// Its text in the order it was drawn, without any white space.
pub fn text(pdf: &[u8]) -> Option<String> {
    Some(tight(&run(pdf, "-raw")?))
}

pub fn tight(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

fn run(pdf: &[u8], how: &str) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("paper.pdf");
    std::fs::File::create(&path).unwrap().write_all(pdf).unwrap();
    let ran = Command::new("pdftotext").arg(how).arg(&path).arg("-").output();
    let Ok(ran) = ran else {
        println!("skipped: no pdftotext (Debian: poppler-utils)");
        return None;
    };
    let complaints = String::from_utf8_lossy(&ran.stderr).to_string();
    assert!(ran.status.success() && complaints.is_empty(), "{complaints}");
    Some(String::from_utf8(ran.stdout).unwrap())
}

/// `56.800000` in thousandths.
fn number(tag: &str, name: &str) -> i64 {
    let (_, rest) = tag.split_once(&format!("{name}=\"")).unwrap();
    let (whole, part) = rest.split_once('"').unwrap().0.split_once('.').unwrap();
    let mils = whole.parse::<i64>().unwrap() * 1000;
    let part = part[..3].parse::<i64>().unwrap();
    if whole.starts_with('-') { mils - part } else { mils + part }
}

fn word(tag: &str) -> Word {
    let (_, rest) = tag.split_once('>').unwrap();
    let text = rest.split_once("</word>").unwrap().0;
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    Word {
        text: text.replace("&#39;", "'").replace("&apos;", "'").replace("&amp;", "&"),
        left: number(tag, "xMin"),
        top: number(tag, "yMin"),
        right: number(tag, "xMax"),
        bottom: number(tag, "yMax"),
    }
}
