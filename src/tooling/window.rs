use crate::quantity::{Length, Tolerance, Window};

/// What a machine accuracy leaves of a drawing tolerance: how far the stroke may be moved from
/// nominal. Either bound may be on the other side of nominal for a one-sided tolerance. `None`
/// when nothing is left.
pub(super) fn after_accuracy(tolerance: Tolerance, accuracy: Length) -> Option<Window<Length>> {
    let window = Window { lo: accuracy - tolerance.minus, hi: tolerance.plus - accuracy };
    (!window.is_empty()).then_some(window)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_one_sided_tolerance_still_leaves_a_window() {
        let mm = |um| Length::from_um(um);
        let window =
            after_accuracy(Tolerance { minus: Length::ZERO, plus: mm(1_000) }, mm(300)).unwrap();
        assert_eq!((window.lo, window.hi), (mm(300), mm(700)));
        assert!(after_accuracy(Tolerance::even(mm(200)), mm(250)).is_none());
        assert!(after_accuracy(Tolerance::even(mm(250)), mm(250)).is_some());
    }
}
