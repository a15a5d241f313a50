//! Which member is drawn in which file, as CSV.

use super::part::Part;
use crate::library::model::Library;
use crate::report::csv::row;
use crate::report::words;

/// Column heads.
const HEADS: [&str; 9] =
    ["file", "job", "revision", "frame", "mark", "usage", "profile", "length_mm", "pieces"];

/// The list; files end in `ending`. Lengths are exact millimetres.
pub fn list(parts: &[Part<'_>], library: &Library, ending: &str) -> String {
    let mut table = String::new();
    row(&mut table, &HEADS.map(str::to_string));
    for part in parts {
        let profile = library.profile(part.shape.profile).map_or("", |profile| &profile.name);
        for one in &part.wanted {
            let pieces = u64::from(one.frame.quantity) * u64::from(one.member.quantity);
            row(
                &mut table,
                &[
                    format!("{}.{ending}", part.stem),
                    one.job.name.to_string(),
                    one.job.revision.to_string(),
                    one.frame.name.to_string(),
                    one.member.mark.to_string(),
                    words::usage(one.member.usage).to_string(),
                    profile.to_string(),
                    part.shape.length.to_string(),
                    pieces.to_string(),
                ],
            );
        }
    }
    table
}
