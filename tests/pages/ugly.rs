//! A job nobody would wish for: names as long as names get, members of 0.3 m and of 12 m, sixty
//! features on one, letters of several alphabets, and characters that mean something in HTML,
//! Markdown, CSV and DXF.

use coilwright::quantity::MemoryFiles;

pub const BATCH: &str = "batch.toml";

const JOB: &str = r#"job KP-UGLY "Boatshed <b>annexe</b> & 'slipway', Ärmel – Ελλάδα – Ладога, a title that goes on for as long as a title can go on before somebody takes the pen away" revision "B|2*"
units mm
profile C90 = "C90x40-0.75"

frame Western-Gable-Wall-Behind-The-Slipway-Winch-House-Upper-Storey-07 wall "the wall <behind> the winch house" profile C90 {
  member Kingstud-beside-the-great-door-left-hand-number-one-of-two king stud length 11950 {
    swage both ends
    dimple both ends at 18
    dimple at every 200 from 300 to 11700
    service-hole at 450, 6000, 11400
  }
  member short-1..short-3 nogging length 300 { lip-cut both ends
    dimple both ends at 20 }
  member S1..S2 stud length 2396 { swage both ends
    dimple both ends at 18 }
}
frame F2 wall profile C90 quantity 3 {
  member L1 bottom plate length 12000 { dimple at every 600 from 600 to 11400 }
  member T1 turnable-stud-that-is-none stud length 900 { dimple both ends at 18 }
}
"#;

/// The boatshed's shop, its line with a longer run-out, this job, in these units.
pub fn files(units: &str) -> MemoryFiles {
    let mut files = MemoryFiles::of([
        ("shop/library.toml", include_str!("../../fixtures/boatshed/shop/library.toml")),
        ("shop/features.toml", include_str!("../../fixtures/boatshed/shop/features.toml")),
        ("shop/profiles.toml", include_str!("../../fixtures/boatshed/shop/profiles.toml")),
        ("shop/calibration.toml", include_str!("../../fixtures/boatshed/shop/calibration.toml")),
        ("shop/stock.toml", include_str!("../../fixtures/boatshed/shop/stock.toml")),
    ]);
    let line = include_str!("../../fixtures/boatshed/shop/line.toml");
    let line = line.replace("longest = \"6.2 m\"", "longest = \"12.5 m\"");
    files.0.insert("shop/line.toml".into(), line.into_bytes());
    let job = JOB.replace("T1 turnable-stud-that-is-none stud", "T1 stud");
    files.0.insert("ugly.members".into(), job.into_bytes());
    let batch = format!(
        "name = \"ugly-batch-of-the-western-gable-behind-the-winch-house-second-thoughts\"\njobs = [\"ugly.members\"]\nlibrary = \"shop/library.toml\"\nline = \"shop/line.toml\"\n\
         calibration = \"shop/calibration.toml\"\nstock = \"shop/stock.toml\"\n\
         dialect = \"shipped:stop-list\"\nbundling = \"frame\"\norder = \"as-listed\"\n\
         keep = \"5 m\"\ncoil-change-worth = \"6 m\"\neffort = \"quick\"\nat-end = \"unload\"\n\
         units = \"{units}\"\nmark-text = \"{{frame}} {{mark}}\"\n"
    );
    files.0.insert(BATCH.into(), batch.into_bytes());
    files
}

/// The same with a frame in forty copies, each a bundle, and one whose title and marks are in
/// letters that the font of papers does not have.
pub fn bundles(units: &str) -> MemoryFiles {
    let mut files = files(units);
    let more = r#"
frame Forty-bundles-of-packers-for-the-eastern-slipway wall "東の壁, الجدار, a wall of many packers" profile C90 quantity 40 {
  member packer-that-goes-below-the-winch nogging length 300 { dimple both ends at 20 }
}
"#;
    if let Some(job) = files.0.get_mut("ugly.members") {
        job.extend(more.bytes());
    }
    files
}
