//! A comparison for people.

use super::{Change, Changed, Comparison, Listed};
use crate::quantity::Length;
use crate::report::words::count;
use std::collections::BTreeMap;

/// What differs, one line a difference, ended by a sum.
pub fn text(comparison: &Comparison) -> String {
    let mut text = String::new();
    for about in &comparison.about {
        let of = about.frame.as_ref().map_or(String::new(), |frame| format!(" {frame}"));
        text.push_str(&format!("{}{of}: {}\n", about.job, line(&about.change)));
    }
    let (by_frame, by_itself): (Vec<&Changed>, Vec<&Changed>) =
        comparison.changed.iter().partition(|member| is_by_frame(member));
    // Of members that are as they were, and more or fewer because their frames are, one line.
    let mut frames: BTreeMap<(&str, &str), Vec<&Changed>> = BTreeMap::new();
    for member in by_frame {
        frames.entry((&member.job, &member.frame)).or_default().push(member);
    }
    for ((job, frame), members) in frames {
        let sum = |side: fn(&Change) -> &Option<String>| -> u64 {
            let changes = members.iter().flat_map(|member| &member.changes);
            changes.filter_map(|change| side(change).as_ref()?.parse::<u64>().ok()).sum()
        };
        text.push_str(&format!(
            "changed  {job} {frame}: {}, {} pieces → {}\n",
            count(members.len(), "member"),
            sum(|change| &change.old),
            sum(|change| &change.new)
        ));
    }
    for member in by_itself {
        text.push_str(&format!("changed  {} {} {}\n", member.job, member.frame, member.mark));
        for change in &member.changes {
            text.push_str(&format!("         {}\n", line(change)));
        }
    }
    let one_side = [("new     ", &comparison.new), ("gone    ", &comparison.gone)];
    for (word, members) in one_side {
        for member in members {
            text.push_str(&format!("{word} {}\n", listed(member)));
        }
    }
    text.push_str(&format!(
        "{} unchanged, {} changed, {} new, {} gone.\n",
        count(comparison.unchanged, "member"),
        comparison.changed.len(),
        comparison.new.len(),
        comparison.gone.len(),
    ));
    text
}

/// Whether it differs only in how many of its frames are wanted.
fn is_by_frame(member: &Changed) -> bool {
    member.changes.iter().all(|change| change.property == "pieces")
}

/// `length: 2400 → 2412.5 (+12.5)`.
fn line(change: &Change) -> String {
    let what = &change.what;
    let told = |text: &str| if text.is_empty() { "nothing".to_string() } else { text.to_string() };
    match (&change.old, &change.new) {
        (Some(old), Some(new)) => {
            format!("{what}: {} → {}{}", told(old), told(new), by(change))
        }
        (Some(old), None) => format!("{what}: gone ({old})"),
        (None, Some(new)) => format!("{what}: new ({new})"),
        (None, None) => what.clone(),
    }
}

/// ` (+12.5)`, where there is a figure.
fn by(change: &Change) -> String {
    match (change.by_nm, change.by_number) {
        (Some(nm), _) => {
            let sign = if nm < 0 { "" } else { "+" };
            format!(" ({sign}{})", Length::from_nm(nm))
        }
        (None, Some(number)) => format!(" ({number:+})"),
        (None, None) => String::new(),
    }
}

fn listed(member: &Listed) -> String {
    let length = Length::from_nm(member.length_nm);
    format!(
        "{} {} {}: {} × {}, {} mm",
        member.job, member.frame, member.mark, member.quantity, member.profile, length
    )
}
