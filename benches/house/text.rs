use std::fmt::Write;

/// Hundredths of a millimetre as the member language writes them.
pub fn mm(hundredths: i64) -> String {
    match (hundredths / 100, hundredths % 100) {
        (whole, 0) => format!("{whole}"),
        (whole, part) => format!("{whole}.{part:02}"),
    }
}

/// Whole millimetres in a list.
pub fn list(places: &[i64]) -> String {
    places.iter().map(i64::to_string).collect::<Vec<_>>().join(", ")
}

/// A member, written out: its first line, and a line for each of `lines`.
pub fn member(out: &mut String, mark: &str, usage: &str, length: i64, lines: &[String]) {
    let _ = writeln!(out, "  member {mark} {usage} length {} {{", mm(length));
    for line in lines {
        let _ = writeln!(out, "    {line}");
    }
    out.push_str("  }\n");
}
