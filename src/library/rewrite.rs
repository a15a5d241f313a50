//! Files of a batch written anew for what is left of it: everything else in them, comments too,
//! stays as it was.

use super::model::Coil;
use crate::quantity::Length;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, value};

/// A stock file with its coils as they are `now`; `was` is what it says itself. Coils and bars
/// that are used up go, bars are counted, what is left of one becomes an entry of its own. `None`
/// where the text is not such a stock.
pub fn stock_as_it_is(text: &str, was: &[Coil], now: &[Coil]) -> Option<String> {
    let mut stock: DocumentMut = text.parse().ok()?;
    if let Some(mut coils) = tables(&mut stock, "coil")? {
        coils.retain(|table| {
            let id = table.get("id").and_then(Item::as_str).unwrap_or_default();
            let gone = |coil: &Coil| &*coil.id == id && coil.length <= Length::ZERO;
            !now.iter().any(gone)
        });
        for table in coils.iter_mut() {
            let id = table.get("id").and_then(Item::as_str).unwrap_or_default();
            let find = |coils: &'_ [Coil]| coils.iter().position(|coil| &*coil.id == id);
            let (before, after) = (was.get(find(was)?)?, now.get(find(now)?)?);
            if before != after {
                coil_as_it_is(table, before, after);
            }
        }
        put(&mut stock, "coil", coils);
    }
    if let Some(mut bars) = tables(&mut stock, "bar")? {
        let mut left_over = Vec::new();
        for table in bars.iter_mut() {
            let id = table.get("id").and_then(Item::as_str).unwrap_or_default().to_string();
            let of_kind = was.iter().zip(now).filter(|(bar, _)| bar.bar.as_deref() == Some(&id));
            let used: Vec<&Coil> =
                of_kind.clone().filter(|(a, b)| a != b).map(|(_, after)| after).collect();
            table.insert("count", value(i64::try_from(of_kind.count() - used.len()).ok()?));
            for bar in used.into_iter().filter(|bar| bar.length > Length::ZERO) {
                let mut entry = table.clone();
                entry.decor_mut().set_prefix("\n");
                entry.insert("id", value(format!("{}-left", bar.id)));
                entry.insert("length", value(format!("{} mm", bar.length)));
                entry.insert("count", value(1));
                entry.insert("part-used", value(true));
                if let Some(cost) = bar.cost {
                    entry.insert("cost", value(money(cost)));
                }
                left_over.push(entry);
            }
        }
        bars.retain(|table| table.get("count").and_then(Item::as_integer) != Some(0));
        for entry in left_over {
            bars.push(entry);
        }
        put(&mut stock, "bar", bars);
    }
    Some(stock.to_string())
}

/// The tables under a key, whichever way they are written. `None` where they are none.
#[allow(clippy::option_option, reason = "no such key is no fault")]
fn tables(document: &mut DocumentMut, key: &str) -> Option<Option<ArrayOfTables>> {
    match document.remove(key) {
        None => Some(None),
        Some(item) => item.into_array_of_tables().ok().map(Some),
    }
}

fn put(document: &mut DocumentMut, key: &str, tables: ArrayOfTables) {
    if !tables.is_empty() {
        document.insert(key, Item::ArrayOfTables(tables));
    }
}

fn coil_as_it_is(table: &mut Table, before: &Coil, after: &Coil) {
    for told_otherwise in [
        "mass",
        "outer-diameter",
        "inner-diameter",
        "winding",
        "usable-from",
        "usable-to",
        "defects",
        "threaded",
    ] {
        table.remove(told_otherwise);
    }
    table.insert("length", value(format!("{} mm", after.length)));
    table.insert("part-used", value(after.part_used));
    if after.threaded {
        table.insert("threaded", value(true));
    }
    // As many metres in doubt as before.
    let doubt = i128::from(before.length.nm()) * i128::from(before.uncertainty);
    let length = i128::from(after.length.nm()).max(1);
    let ppm = ((doubt + length - 1) / length).min(500_000);
    table.insert("uncertainty", value(format!("{}.{:04} %", ppm / 10_000, ppm % 10_000)));
    if let Some(cost) = after.cost {
        table.insert("cost", value(money(cost)));
    }
    if !after.defects.is_empty() {
        let mut zones = Array::new();
        for (from, to) in &after.defects {
            let mut zone = InlineTable::new();
            zone.insert("from", format!("{from} mm").into());
            zone.insert("to", format!("{to} mm").into());
            zones.push(zone);
        }
        table.insert("defects", value(zones));
    }
}

/// Minor units as an amount.
pub fn money(minor: i64) -> String {
    let sign = if minor < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", minor.unsigned_abs() / 100, minor.unsigned_abs() % 100)
}

/// A batch file with other words at some of its keys. `None` where the text is no TOML.
pub fn batch_with(text: &str, words: &[(&str, &str)]) -> Option<String> {
    let mut batch: DocumentMut = text.parse().ok()?;
    for (key, word) in words {
        // A key that is there keeps its place and what is written above it.
        match batch.get_mut(key) {
            Some(item) => *item = value(*word),
            None => {
                batch.insert(key, value(*word));
            }
        }
    }
    Some(batch.to_string())
}

/// A list of pieces that are done.
pub fn done_list(head: &str, last_serial: u32, pieces: &[super::model::DonePiece]) -> String {
    use std::fmt::Write;
    let quoted = |text: &str| toml_edit::Value::from(text).to_string();
    let mut list = format!("{head}last-serial = {last_serial}\n");
    for piece in pieces {
        let _never_fails = write!(
            list,
            "\n[[piece]]\nserial = {}\njob = {}\nframe = {}\ncopy = {}\nmark = {}\n",
            piece.serial,
            quoted(&piece.job),
            quoted(&piece.frame),
            piece.copy,
            quoted(&piece.mark)
        );
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::LengthBasis;
    use crate::quantity::{FileId, Span};

    fn strip(id: &str, bar: Option<&str>, length: i64) -> Coil {
        Coil {
            id: id.into(),
            bar: bar.map(Into::into),
            heat: "".into(),
            certificate: "".into(),
            docket: "".into(),
            strip_width: Length::from_mm(187),
            thickness: Length::from_um(750),
            grade: "G550".into(),
            coating: "Z275".into(),
            length: Length::from_mm(length),
            basis: LengthBasis::Measured,
            uncertainty: 10_000,
            defects: Vec::new(),
            part_used: false,
            threaded: false,
            cost: Some(900),
            mass: None,
            span: Span::new(FileId(0), 0, 0),
        }
    }

    #[test]
    fn coils_and_bars_are_as_they_are_now() {
        let text = "# Monday's rack.\n[[coil]]\nid = \"K1\" # by the door\nmass = \"800 kg\"\n\
                    uncertainty = \"1 %\"\ndefects = [{ from = \"1 m\", to = \"2 m\" }]\n\n\
                    [[coil]]\nid = \"K2\"\nlength = \"9 m\"\n\n\
                    # Long ones.\n[[bar]]\nid = \"B\"\nlength = \"6 m\"\ncount = 3\n\n\
                    [[bar]]\nid = \"C\"\nlength = \"7 m\"\ncount = 1\n";
        let was = [
            strip("K1", None, 500_000),
            strip("K2", None, 9_000),
            strip("B.1", Some("B"), 6_000),
            strip("B.2", Some("B"), 6_000),
            strip("B.3", Some("B"), 6_000),
            strip("C.1", Some("C"), 7_000),
        ];
        let mut now = was.clone();
        now[0] = was[0].after(Length::from_mm(100_000), true);
        now[0].defects = vec![(Length::ZERO, Length::from_mm(4_100))];
        now[1].length = Length::ZERO;
        now[2] = was[2].after(Length::from_mm(6_000), false);
        now[3] = was[3].after(Length::from_mm(2_000), false);
        now[5] = was[5].after(Length::from_mm(7_000), false);
        let fresh = stock_as_it_is(text, &was, &now).unwrap();
        assert_eq!(
            fresh,
            "# Monday's rack.\n[[coil]]\nid = \"K1\" # by the door\nuncertainty = \"1.2500 %\"\n\
             length = \"400000 mm\"\npart-used = true\nthreaded = true\ncost = \"7.20\"\n\
             defects = [{ from = \"0 mm\", to = \"4100 mm\" }]\n\n\
             # Long ones.\n[[bar]]\nid = \"B\"\nlength = \"6 m\"\ncount = 1\n\n\
             [[bar]]\nid = \"B.2-left\"\nlength = \"4000 mm\"\ncount = 1\n\
             part-used = true\ncost = \"6.00\"\n"
        );
        assert_eq!(stock_as_it_is(text, &was, &was).unwrap(), text);
    }
}
