//! Text in HTML.

/// Text from a file, fit for an element or an attribute in double quotes.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_leave_their_place() {
        assert_eq!(escaped("<b a=\"x\">&\u{7}"), "&lt;b a=&quot;x&quot;&gt;&amp; ");
    }
}
