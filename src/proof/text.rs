//! Certificates as lines, each case before those below it:
//!
//! ```text
//! covering                          by how many stocks are needed, each with what it costs besides
//! length VALUE UNIT                 a unit of length is worth VALUE, a unit of cost UNIT
//! worths UNIT PIECE VALUE …         what pieces are worth, by number
//! three A B C CHARGE                charges that belong to the worths above
//! sieve UNIT PIECE VALUE …          below, only patterns that lack no more worth than is to spare
//! split A B                         first the case where some stock holds both, then the other
//! ```
//!
//! Pieces are numbered from 0 as they are listed; a joined pair gets the next number on its way
//! from the root. Costs count in their greatest common divisor, or in units of length where stock
//! is kept.

use super::{DEEPEST, Reason};

/// A certificate, line by line.
pub fn print(reason: &Reason) -> Vec<String> {
    let mut lines = Vec::new();
    let mut cases = vec![reason];
    while let Some(case) = cases.pop() {
        match case {
            Reason::ByLength { value, unit } => lines.push(format!("length {value} {unit}")),
            Reason::Covering => lines.push("covering".to_string()),
            Reason::Worths { unit, values, threes } => {
                worths(&mut lines, "worths", *unit, values, threes);
            }
            Reason::Sieve { unit, values, threes, then } => {
                worths(&mut lines, "sieve", *unit, values, threes);
                cases.push(then);
            }
            Reason::Split { pair: (a, b), together, apart } => {
                lines.push(format!("split {a} {b}"));
                cases.push(apart);
                cases.push(together);
            }
        }
    }
    lines
}

fn worths(
    lines: &mut Vec<String>,
    word: &str,
    unit: i64,
    values: &[(u32, i64)],
    threes: &[([u32; 3], i64)],
) {
    let each: String = values.iter().map(|(piece, value)| format!(" {piece} {value}")).collect();
    lines.push(format!("{word} {unit}{each}"));
    lines.extend(threes.iter().map(|([a, b, c], charge)| format!("three {a} {b} {c} {charge}")));
}

/// A certificate from its lines; `None` where they are none.
pub fn read<'a>(lines: impl IntoIterator<Item = &'a str>) -> Option<Reason> {
    let lines: Vec<&str> = lines.into_iter().collect();
    let mut left = lines.as_slice();
    let reason = case(&mut left, 0)?;
    left.is_empty().then_some(reason)
}

fn case(left: &mut &[&str], depth: usize) -> Option<Reason> {
    let (first, rest) = left.split_first().filter(|_| depth <= DEEPEST)?;
    *left = rest;
    let mut words = first.split(' ');
    let word = words.next()?;
    let numbers: Option<Vec<i64>> = words.map(|word| word.parse().ok()).collect();
    let numbers = numbers?;
    match (word, numbers.as_slice()) {
        ("length", &[value, unit]) => Some(Reason::ByLength { value, unit }),
        ("covering", []) => Some(Reason::Covering),
        ("split", &[a, b]) => {
            let pair = (u32::try_from(a).ok()?, u32::try_from(b).ok()?);
            let together = Box::new(case(left, depth + 1)?);
            let apart = Box::new(case(left, depth + 1)?);
            Some(Reason::Split { pair, together, apart })
        }
        ("worths" | "sieve", [unit, values @ ..]) => {
            let pair = |pair: &[i64]| match pair {
                &[piece, value] => Some((u32::try_from(piece).ok()?, value)),
                _ => None,
            };
            let values: Option<Vec<(u32, i64)>> = values.chunks(2).map(pair).collect();
            let (unit, values, threes) = (*unit, values?, threes(left)?);
            if word == "worths" {
                return Some(Reason::Worths { unit, values, threes });
            }
            let then = Box::new(case(left, depth + 1)?);
            Some(Reason::Sieve { unit, values, threes, then })
        }
        _ => None,
    }
}

fn threes(left: &mut &[&str]) -> Option<Vec<([u32; 3], i64)>> {
    let mut threes = Vec::new();
    while let Some((first, rest)) = left.split_first()
        && let Some(numbers) = first.strip_prefix("three ")
    {
        let numbers: Option<Vec<i64>> = numbers.split(' ').map(|word| word.parse().ok()).collect();
        let &[a, b, c, charge] = numbers?.as_slice() else { return None };
        let piece = |number: i64| u32::try_from(number).ok();
        threes.push(([piece(a)?, piece(b)?, piece(c)?], charge));
        *left = rest;
    }
    Some(threes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_is_read() {
        let leaf = |value| Reason::Worths {
            unit: 7,
            values: vec![(0, value), (3, 9)],
            threes: vec![([0, 1, 2], 5)],
        };
        let tree = Reason::Split {
            pair: (1, 1),
            together: Box::new(leaf(4)),
            apart: Box::new(Reason::Sieve {
                unit: 3,
                values: vec![],
                threes: vec![],
                then: Box::new(Reason::Split {
                    pair: (0, 4),
                    together: Box::new(leaf(8)),
                    apart: Box::new(Reason::ByLength { value: 2, unit: 1 }),
                }),
            }),
        };
        let lines = print(&tree);
        let shown: Vec<&str> = lines.iter().map(String::as_str).collect();
        assert_eq!(read(shown.iter().copied()), Some(tree));
        for (place, line) in shown.iter().enumerate() {
            let without = shown.iter().enumerate().filter(|(at, _)| *at != place);
            let without = read(without.map(|(_, line)| *line));
            assert!(without.is_none() || line.starts_with("three") || line.starts_with("sieve"));
            let more = [&shown[..], &["length 1 1"]].concat();
            assert_eq!(read(more), None);
        }
        for bad in ["", "worths", "worths 1 2", "split 1", "length 1 x", "three 1 2 3 4", "x 1"] {
            assert_eq!(read([bad]), None, "{bad}");
        }
    }
}
