//! What a label's code says, and its squares.

use qrcodegen::{QrCode, QrCodeEcc};

/// The text of a code: `CW1`, then the fields, parted by `|`. A `|`, a `%` or a sign that does not
/// show stands as `%` and two digits a byte, so that a field can hold anything.
pub fn code_text(fields: &[&str]) -> String {
    let mut text = String::from("CW1");
    for field in fields {
        text.push('|');
        for c in field.chars() {
            if matches!(c, '|' | '%') || c.is_control() {
                let mut bytes = [0; 4];
                for byte in c.encode_utf8(&mut bytes).bytes() {
                    text.push_str(&format!("%{byte:02X}"));
                }
            } else {
                text.push(c);
            }
        }
    }
    text
}

/// Squares of white that belong to a code on each side: ISO/IEC 18004 asks for four (from memory).
pub const WHITE: i64 = 4;

/// A dark rectangle of a code: column, row, and how many squares wide and high.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Dark {
    pub x: i64,
    pub y: i64,
    pub wide: i64,
    pub high: i64,
}

/// A code as squares: how many a side, and where it is dark.
pub struct Squares {
    pub side: i64,
    pub dark: Vec<Dark>,
}

/// The code of a text: the smallest that mends a seventh of its squares, or, where `small`, a
/// fourteenth. `None` where no code holds so much.
pub fn squares(text: &str, small: bool) -> Option<Squares> {
    let level = if small { QrCodeEcc::Low } else { QrCodeEcc::Medium };
    let code = QrCode::encode_text(text, level).ok()?;
    let side = code.size();
    let mut taken = vec![false; usize::try_from(side.checked_mul(side)?).ok()?];
    let at = |x: i32, y: i32| usize::try_from(y * side + x).unwrap_or(usize::MAX);
    let mut dark = Vec::new();
    // Rectangles as large as they come: between squares that only touch, printers leave hairs.
    for y in 0..side {
        for x in 0..side {
            let free = |x: i32, y: i32, taken: &[bool]| {
                x < side
                    && y < side
                    && code.get_module(x, y)
                    && !taken.get(at(x, y)).copied().unwrap_or(true)
            };
            if !free(x, y, &taken) {
                continue;
            }
            let wide = (1..).take_while(|&n| free(x + n, y, &taken)).count() as i32 + 1;
            let high = (1..).take_while(|&n| (x..x + wide).all(|x| free(x, y + n, &taken))).count()
                as i32
                + 1;
            for row in y..y + high {
                for column in x..x + wide {
                    if let Some(square) = taken.get_mut(at(column, row)) {
                        *square = true;
                    }
                }
            }
            let of = i64::from;
            dark.push(Dark { x: of(x), y: of(y), wide: of(wide), high: of(high) });
        }
    }
    Some(Squares { side: i64::from(side), dark })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_keep_apart_whatever_they_hold() {
        assert_eq!(code_text(&["M", "KP26", "N1"]), "CW1|M|KP26|N1");
        assert_eq!(code_text(&["a|b", "5%", "x\ny"]), "CW1|a%7Cb|5%25|x%0Ay");
        assert_ne!(code_text(&["a|b"]), code_text(&["a", "b"]));
        assert_ne!(code_text(&["%7C"]), code_text(&["|"]));
    }

    #[test]
    fn rectangles_cover_each_dark_square_once() {
        let text = "CW1|M|KP26|B|N1|1|S1|7|2396";
        let code = QrCode::encode_text(text, QrCodeEcc::Medium).unwrap();
        let squares = squares(text, false).unwrap();
        let mut seen = std::collections::BTreeSet::new();
        for Dark { x, y, wide, high } in squares.dark {
            for at in (y..y + high).flat_map(|row| (x..x + wide).map(move |column| (column, row))) {
                assert!(seen.insert(at), "{at:?} twice");
            }
        }
        let side = code.size();
        let dark = (0..side).flat_map(|y| (0..side).map(move |x| (x, y)));
        let dark = dark.filter(|&(x, y)| code.get_module(x, y)).count();
        assert_eq!((seen.len(), squares.side), (dark, i64::from(side)));
        assert!(super::squares(&"x".repeat(5_000), true).is_none());
    }
}
