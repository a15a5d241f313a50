//! The examples `explain` prints: the fixtures that hold each code. The table is made from the
//! folder of fixtures; a test fails when it is stale and rewrites it when asked to.

use crate::diagnostic::Code;

/// The wrong and the right example of a code, as fixtures; `None` for codes that need the world.
pub fn of(code: &Code) -> Option<(&'static str, &'static str)> {
    table::EXAMPLES
        .iter()
        .find(|(number, _, _)| *number == code.number)
        .map(|&(_, wrong, right)| (wrong, right))
}

#[rustfmt::skip]
mod table;

#[cfg(test)]
mod tests {
    use std::path::Path;

    #[test]
    fn the_table_of_examples_is_fresh() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut names: Vec<String> = std::fs::read_dir(root.join("fixtures/diagnostics"))
            .into_iter()
            .flatten()
            .filter_map(|entry| entry.unwrap().file_name().into_string().ok())
            .filter_map(|name| name.strip_suffix(".wrong").map(str::to_string))
            .collect();
        names.sort();
        let mut fresh =
            "// Made from fixtures/diagnostics; COILWRIGHT_BLESS=1 cargo test examples \
                         makes it anew.\n\
                         pub const EXAMPLES: &[(&str, &str, &str)] = &[\n"
                .to_string();
        for name in names {
            let (number, _) = name.split_once('-').unwrap();
            let text =
                |kind| format!("include_str!(\"../../../fixtures/diagnostics/{name}.{kind}\")");
            fresh.push_str(&format!("    (\"{number}\", {}, {}),\n", text("wrong"), text("right")));
        }
        fresh.push_str("];\n");
        let table = root.join("src/cli/examples/table.rs");
        if std::env::var_os("COILWRIGHT_BLESS").is_some() {
            std::fs::write(&table, &fresh).unwrap();
        }
        let stands = std::fs::read_to_string(&table).unwrap();
        assert!(stands == fresh, "stale: run COILWRIGHT_BLESS=1 cargo test examples");
    }
}
