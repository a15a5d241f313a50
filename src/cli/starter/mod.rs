//! The starter folders that `new` writes: a small shop each, made up, that compiles as it stands.

use std::collections::BTreeMap;

/// A folder's files by their paths in it.
pub type Starter = [(&'static str, &'static str); 9];

macro_rules! starter {
    ($folder:literal) => {
        [
            ("batch.toml", include_str!(concat!($folder, "/batch.toml"))),
            ("tool-shed.members", include_str!(concat!($folder, "/tool-shed.members"))),
            ("shop/library.toml", include_str!("shared/library.toml")),
            ("shop/profiles.toml", include_str!(concat!($folder, "/shop/profiles.toml"))),
            ("shop/features.toml", include_str!(concat!($folder, "/shop/features.toml"))),
            ("shop/line.toml", include_str!(concat!($folder, "/shop/line.toml"))),
            ("shop/calibration.toml", include_str!(concat!($folder, "/shop/calibration.toml"))),
            ("shop/stock.toml", include_str!(concat!($folder, "/shop/stock.toml"))),
            ("shop/controller.toml", include_str!(concat!($folder, "/shop/controller.toml"))),
        ]
    };
}

/// In millimetres.
pub const METRIC: Starter = starter!("metric");
/// In inches.
pub const INCH: Starter = starter!("inch");

/// The files as they are published.
pub fn files(starter: &Starter) -> BTreeMap<String, Vec<u8>> {
    starter.iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect()
}
