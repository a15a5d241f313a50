// Made from fixtures/diagnostics; COILWRIGHT_BLESS=1 cargo test examples makes it anew.
pub const EXAMPLES: &[(&str, &str, &str)] = &[
];
