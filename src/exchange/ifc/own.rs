//! What this program writes beside a model's geometry: long texts in properties so short that no
//! program cuts them, with their number and a check, so that one that is missing or changed is told.

use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Name of the set of properties that carries what a model has no words for on a member.
pub const MEMBER_SET: &str = "Coilwright_Member";

/// Name of the project's set: waivers.
pub const JOB_SET: &str = "Coilwright_Job";

/// Most characters of a text, its escapes counted: programs are known to cut at 255. From memory,
/// no source.
const LONGEST: usize = 250;

/// Name of the property that says how many parts each text has.
const PARTS: &str = "Parts";

/// Texts by their names, as properties: how many parts each has and a check of all, then the parts.
pub fn properties(texts: &[(&str, String)]) -> Vec<(String, String)> {
    let (mut counts, mut made) = (Vec::new(), Vec::new());
    for (name, text) in texts {
        let parts = parted(text);
        counts.push(format!("{name} {}", parts.len()));
        for (i, part) in parts.iter().enumerate() {
            made.push((format!("{name} {}", i + 1), (*part).to_string()));
        }
    }
    counts.push(format!("check {}", check(texts)));
    made.insert(0, (PARTS.to_string(), counts.join(", ")));
    made
}

/// The texts of these names, put together again. `None` where the set is of the first form, which
/// had each text in one property; else why they cannot be.
pub fn joined(
    held: &BTreeMap<String, String>,
    names: &[&'static str],
) -> Result<Option<Vec<String>>, String> {
    let Some(said) = held.get(PARTS) else {
        // Parts without their number: the property with it is what is missing.
        let parted = names.iter().any(|name| held.contains_key(&format!("{name} 1")));
        return if parted { Err(format!("its property `{PARTS}` is missing")) } else { Ok(None) };
    };
    let counts: BTreeMap<&str, &str> =
        said.split(", ").filter_map(|part| part.split_once(' ')).collect();
    let unknown = || format!("its property `{PARTS}` is not as it was written");
    let mut texts = Vec::new();
    for &name in names {
        let count: usize = counts.get(name).and_then(|n| n.parse().ok()).ok_or_else(unknown)?;
        let mut text = String::new();
        for i in 1..=count {
            let part = format!("{name} {i}");
            match held.get(&part) {
                Some(part) => text.push_str(part),
                None => return Err(format!("its property `{part}` of {count} is missing")),
            }
        }
        texts.push((name, text));
    }
    if counts.get("check") != Some(&check(&texts).as_str()) {
        return Err("a text in it is cut or changed".to_string());
    }
    Ok(Some(texts.into_iter().map(|(_, text)| text).collect()))
}

/// Sixteen digits of what the texts say.
fn check(texts: &[(&str, String)]) -> String {
    let mut hash = Sha256::new();
    for (name, text) in texts {
        hash.update(format!("{name} {}\0{text}\0", text.len()));
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

/// A text in parts of [`LONGEST`] at most, none with a blank at an edge: programs trim them.
fn parted(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let mut written = 0;
        let mut cut = rest.len();
        let mut safe = 0;
        let mut blank = true;
        for (at, c) in rest.char_indices() {
            let here = c.is_whitespace();
            if at > 0 && !blank && !here {
                safe = at;
            }
            // As a STEP file writes it at most, each letter with its own escape.
            written += match c {
                '\'' | '\\' => 2,
                ' '..='~' => 1,
                _ => 16,
            };
            if written > LONGEST {
                cut = if safe > 0 { safe } else { at };
                break;
            }
            blank = here;
        }
        let (part, after) = rest.split_at(cut);
        parts.push(part);
        rest = after;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::step::text::encoded;

    #[test]
    fn texts_come_back_from_their_parts_or_tell_what_is_missing() {
        let long: String = (0..400).map(|i| format!("top plate {i} größer 'it' ")).collect();
        let texts = [("Member", long.clone()), ("Openings", String::new())];
        let made = properties(&texts);
        assert!(made.len() > 30);
        for (_, part) in &made {
            assert!(encoded(part).len() <= 255, "{part}");
        }
        let whole: BTreeMap<String, String> = made.into_iter().collect();
        let names = ["Member", "Openings"];
        assert_eq!(joined(&whole, &names), Ok(Some(vec![long, String::new()])));
        for name in whole.keys() {
            let mut without = whole.clone();
            without.remove(name);
            let why = joined(&without, &names).unwrap_err();
            assert!(why.contains(&format!("`{name}`")), "{why}");
            let mut cut = whole.clone();
            cut.get_mut(name).unwrap().pop();
            assert!(joined(&cut, &names).is_err(), "{name}");
        }
        let first_form = BTreeMap::from([("Member".to_string(), "{}".to_string())]);
        assert_eq!(joined(&first_form, &names), Ok(None));
    }

    #[test]
    fn no_part_begins_or_ends_with_a_blank_where_it_may_not() {
        let text = "word ".repeat(300);
        let parts = parted(text.trim_end());
        assert!(parts.len() > 5);
        assert!(parts.iter().all(|part| part.trim() == *part), "{parts:?}");
        assert_eq!(parted(&" ".repeat(600)).concat(), " ".repeat(600));
        assert!(parted("").is_empty());
    }
}
