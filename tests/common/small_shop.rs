//! The shop of `fixtures/diagnostics/base` on a line that takes bars and stretches nothing, with
//! jobs and stock of the test's own.

use coilwright::plan::Shop;
use coilwright::quantity::{MemoryFiles, Sources};

/// What every coil and bar of it says of its strip.
pub const STRIP: &str = "strip-width = \"187 mm\"\nthickness = \"0.75 mm\"\ngrade = \"G550\"\n\
                         coating = \"Z275\"\n";

/// Of these jobs (their frames), on this stock, with so much of the batch file replaced.
pub fn small_shop(jobs: &[&str], stock: &str, batch: &[(&str, &str)]) -> Shop {
    small_shop_on(&[], jobs, stock, batch)
}

/// As [`small_shop`], with so much of the line file replaced.
pub fn small_shop_on(
    line: &[(&str, &str)],
    jobs: &[&str],
    stock: &str,
    batch: &[(&str, &str)],
) -> Shop {
    let base = |name: &str| {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/diagnostics/base/");
        std::fs::read_to_string(format!("{folder}{name}")).unwrap()
    };
    let mut files = MemoryFiles::default();
    let names = [
        "batch.toml",
        "calibration.toml",
        "dialect.toml",
        "features.toml",
        "line.toml",
        "profiles.toml",
        "rules.toml",
    ];
    for name in names {
        files.0.insert(name.into(), base(name).into_bytes());
    }
    let mut edit = |name: &str, from: &str, to: &str| {
        let text = String::from_utf8(files.0[name].clone()).unwrap();
        assert!(text.contains(from), "{from}");
        files.0.insert(name.into(), text.replacen(from, to, 1).into_bytes());
    };
    edit("calibration.toml", "\"-0.02 %\"", "\"0 %\"");
    let bar = "[bar]\nhead = \"10 mm\"\ntail = \"40 mm\"\nchange = \"90 s\"\n\n[feed]";
    edit("line.toml", "[feed]", bar);
    for (from, to) in line {
        edit("line.toml", from, to);
    }
    for (from, to) in batch {
        edit("batch.toml", from, to);
    }
    files.0.insert("stock.toml".into(), stock.as_bytes().to_vec());
    let mut names = Vec::new();
    for (n, members) in jobs.iter().enumerate() {
        let name = format!("job{n}.members");
        let text = format!("job SS{n} revision A\nprofile C90 = \"C90x40-0.75\"\n{members}");
        files.0.insert(name.clone(), text.into_bytes());
        names.push(format!("\"{name}\""));
    }
    let text = String::from_utf8(files.0["batch.toml"].clone()).unwrap();
    let text = text.replace("\"job.members\"", &names.join(", "));
    files.0.insert("batch.toml".into(), text.into_bytes());
    let (shop, found) = Shop::open(&files, &mut Sources::default(), "batch.toml");
    shop.unwrap_or_else(|| panic!("{found:#?}"))
}
