//! A calibration as the file it is read from.

use super::model::Ran;
use crate::library::model::{AppliedBy, Calibration, Measured};

/// The file, with where it comes from in its first lines. Reading it gives the same calibration.
pub fn calibration(calibration: &Calibration, measured: &Measured, ran: &Ran<'_>) -> String {
    let quoted = |text: &str| format!("{text:?}");
    let by: String = measured.by.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut text = format!(
        "# Proposed by `coilwright first-off` from pieces that {by} taped on {}, made with the\n# \
         calibration of {}. Tape the first piece that comes off with it.\ndate = {}\napplied-by = \
         {}\n",
        measured.date.0,
        ran.calibration.date,
        quoted(&calibration.date),
        quoted(match calibration.applied_by {
            AppliedBy::Controller => "controller",
            AppliedBy::Coilwright => "coilwright",
        }),
    );
    let profiles: Vec<String> = calibration
        .profiles
        .iter()
        .filter_map(|(id, factor)| {
            let name = &ran.library.profile(*id)?.name;
            Some(format!("{} = {}\n", key(name), quoted(&share(*factor))))
        })
        .collect();
    if !profiles.is_empty() {
        text.push_str(&format!("\n[profiles]\n{}", profiles.concat()));
    }
    let stations: Vec<String> = calibration
        .stations
        .iter()
        .filter_map(|correction| {
            let name = &ran.line.station(correction.station)?.name;
            let mut parts = Vec::new();
            if correction.factor != 0 {
                parts.push(format!("factor = {}", quoted(&share(correction.factor))));
            }
            parts.push(format!("shift = {}", quoted(&format!("{} mm", correction.shift))));
            Some(format!("{} = {{ {} }}\n", key(name), parts.join(", ")))
        })
        .collect();
    if !stations.is_empty() {
        text.push_str(&format!("\n[stations]\n{}", stations.concat()));
    }
    text
}

/// A name as a key: bare where TOML allows, else in quotes. Names are plain (letters, digits,
/// `-`, `_`, `.`), so nothing in them needs an escape.
fn key(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if name.chars().all(bare) { name.to_string() } else { format!("\"{name}\"") }
}

/// Parts in 10⁹ as percent, exactly: `-0.018 %`.
fn share(ppb: i64) -> String {
    let sign = if ppb < 0 { "-" } else { "" };
    let (whole, rest) = (ppb.unsigned_abs() / 10_000_000, ppb.unsigned_abs() % 10_000_000);
    let decimals = format!("{rest:07}");
    let decimals = decimals.trim_end_matches('0');
    if decimals.is_empty() {
        return format!("{sign}{whole} %");
    }
    format!("{sign}{whole}.{decimals} %")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_and_keys_are_exact() {
        assert_eq!(share(-180_000), "-0.018 %");
        assert_eq!(share(0), "0 %");
        assert_eq!(share(1), "0.0000001 %");
        assert_eq!(share(50_000_000), "5 %");
        assert_eq!(key("C90x40-0.75"), "\"C90x40-0.75\"");
        assert_eq!(key("web-punch"), "web-punch");
    }
}
