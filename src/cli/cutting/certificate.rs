//! Certificates for another program to check: after a line `# FILE` and a line `bound N` the tree
//! of cases, in the form of [`crate::proof::text`]. Pieces are numbered longest first.

use super::Answer;
use crate::plan::certificate_lines;

pub fn print(name: &str, answer: &Answer) -> String {
    let mut page = format!("# {name}\nbound {}\n", answer.bound);
    for line in certificate_lines(&answer.certificate) {
        page.push_str(&line);
        page.push('\n');
    }
    page
}
