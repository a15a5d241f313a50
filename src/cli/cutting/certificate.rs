//! Certificates for another program to check. After a line `# FILE` and a line `bound N` the tree
//! of cases, each case before those below it:
//!
//! ```text
//! length VALUE UNIT                 a unit of length is worth VALUE, a unit of cost UNIT
//! worths UNIT PIECE VALUE …         what pieces are worth, by number
//! three A B C CHARGE                charges that belong to the worths above
//! sieve UNIT PIECE VALUE …          below, only patterns that lack no more worth than is to spare
//! split A B                         first the case where some stock holds both, then the other
//! ```
//!
//! Pieces are numbered from 0, longest first; a joined pair gets the next number on its way from
//! the root. Costs count in their greatest common divisor.

use super::Answer;
use crate::nest::cutting::{Certificate, Leaf};
use std::fmt::Write;

pub fn print(name: &str, answer: &Answer) -> String {
    let mut page = format!("# {name}\nbound {}\n", answer.bound);
    let mut cases = vec![&answer.certificate];
    while let Some(case) = cases.pop() {
        match case {
            Certificate::ByLength { value, unit } => {
                let _infallible = writeln!(page, "length {value} {unit}");
            }
            Certificate::Leaf(leaf) => worths(&mut page, "worths", leaf),
            Certificate::Sieve { leaf, then } => {
                worths(&mut page, "sieve", leaf);
                cases.push(then);
            }
            Certificate::Split { pair: (a, b), together, apart } => {
                let _infallible = writeln!(page, "split {a} {b}");
                cases.push(apart);
                cases.push(together);
            }
        }
    }
    page
}

fn worths(page: &mut String, word: &str, leaf: &Leaf) {
    let _infallible = write!(page, "{word} {}", leaf.unit);
    for (piece, value) in &leaf.values {
        let _infallible = write!(page, " {piece} {value}");
    }
    page.push('\n');
    for ([a, b, c], charge) in &leaf.threes {
        let _infallible = writeln!(page, "three {a} {b} {c} {charge}");
    }
}
