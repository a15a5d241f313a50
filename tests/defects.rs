//! What a defect zone in a long coil costs: counts of strip, not times.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

#[path = "../benches/house/mod.rs"]
mod house;

use coilwright::quantity::Length;

/// Frames that may come in any order are chosen, and one of them parted in two that follow each
/// other, so that the strip before a defect is filled: whichever metre of the coil it lies on.
#[test]
fn the_strip_before_a_defect_is_filled() {
    let (mut lost, mut worst) = (Length::ZERO, Length::ZERO);
    let mut defects = 0;
    for at in (60..1_400).step_by(67) {
        let mut files = house::files(1);
        let stock = format!(
            "[[coil]]\nid = \"W\"\nstrip-width = \"188 mm\"\nthickness = \"0.75 mm\"\n\
             grade = \"G550\"\ncoating = \"Z275\"\nlength = \"1900 m\"\n\
             uncertainty = \"1 %\"\ndefects = [{{ from = \"{at} m\", to = \"{at}.6 m\" }}]\n\
             [[coil]]\nid = \"N\"\nstrip-width = \"117 mm\"\nthickness = \"0.75 mm\"\n\
             grade = \"G550\"\ncoating = \"Z275\"\nlength = \"900 m\"\nuncertainty = \"1 %\"\n"
        );
        files.0.insert("shop/stock.toml".into(), stock.into_bytes());
        let plan = house::plan(&house::open(&files));
        let run = plan.runs.iter().find(|run| &*run.coil.id == "W").unwrap();
        assert!(run.account.closes() && plan.profiles.iter().all(|p| p.shortage.is_none()));
        let beyond = run.account.head_at_defects - Length::from_mm(600);
        assert!(!beyond.is_negative(), "a good piece lies on the defect");
        (lost, worst) = (lost + beyond, worst.max(beyond));
        defects += 1;
    }
    println!("{defects} defects of 600 mm: {lost} mm more lost, at most {worst} mm at one");
    assert!(worst < Length::from_mm(1_500) && lost < Length::from_mm(400).times(defects));
}
