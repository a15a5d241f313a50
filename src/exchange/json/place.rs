//! Where values stand in a JSON text that has been read already: serde tells no places.

use std::ops::Range;

/// A step from a value into it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Step {
    /// The value of a key.
    Key(&'static str),
    /// An item of a list, from 0.
    Item(usize),
}

/// A JSON text.
#[derive(Clone, Copy)]
pub(super) struct Text<'t>(pub &'t str);

impl Text<'_> {
    /// Where the value at the end of a path stands; as far as the path leads, where it leads
    /// nowhere.
    pub fn at(self, path: &[Step]) -> Range<usize> {
        let mut start = self.blanks(0);
        for step in path {
            let next = match step {
                Step::Key(key) => self.value_of(start, key),
                Step::Item(number) => self.items(start).nth(*number),
            };
            let Some(next) = next else { break };
            start = next;
        }
        start..self.end(start)
    }

    /// Where each member of each frame begins, in the order of the file.
    pub fn members(self) -> Vec<Vec<usize>> {
        let Some(frames) = self.value_of(self.blanks(0), "frames") else { return Vec::new() };
        let of = |frame| match self.value_of(frame, "members") {
            Some(members) => self.items(members).collect(),
            None => Vec::new(),
        };
        self.items(frames).map(of).collect()
    }

    fn byte(self, at: usize) -> Option<u8> {
        self.0.as_bytes().get(at).copied()
    }

    fn blanks(self, mut at: usize) -> usize {
        while self.byte(at).is_some_and(|byte| byte.is_ascii_whitespace()) {
            at += 1;
        }
        at
    }

    /// Behind the string that begins here.
    fn string(self, start: usize) -> usize {
        let mut at = start + 1;
        while let Some(byte) = self.byte(at) {
            match byte {
                b'"' => return at + 1,
                b'\\' => at += 2,
                _ => at += 1,
            }
        }
        at
    }

    /// Behind the value that begins here.
    fn end(self, start: usize) -> usize {
        let (mut at, mut depth) = (start, 0_usize);
        while let Some(byte) = self.byte(at) {
            match byte {
                b'"' => at = self.string(at),
                b'{' | b'[' => (at, depth) = (at + 1, depth + 1),
                b'}' | b']' if depth == 0 => return at,
                b'}' | b']' => (at, depth) = (at + 1, depth - 1),
                b',' | b' ' | b'\t' | b'\r' | b'\n' if depth == 0 => return at,
                _ => {
                    at += 1;
                    continue;
                }
            }
            if depth == 0 {
                return at;
            }
        }
        at
    }

    /// Behind the value that begins here and its comma; at what closes the list or table, if that
    /// is what follows.
    fn behind(self, start: usize) -> usize {
        let end = self.blanks(self.end(start));
        end + usize::from(self.byte(end) == Some(b','))
    }

    /// Where the items of the list that begins here begin.
    fn items(self, start: usize) -> impl Iterator<Item = usize> {
        let mut at = start + 1;
        std::iter::from_fn(move || {
            let item = self.blanks(at);
            if matches!(self.byte(item), None | Some(b']')) {
                return None;
            }
            at = self.behind(item);
            Some(item)
        })
    }

    /// Where the value of a key of the table that begins here begins.
    fn value_of(self, start: usize, wanted: &str) -> Option<usize> {
        let mut at = start + 1;
        loop {
            let key = self.blanks(at);
            if self.byte(key)? != b'"' {
                return None;
            }
            let behind = self.string(key);
            let value = self.blanks(self.blanks(behind) + 1);
            if self.is_key(key..behind, wanted) {
                return Some(value);
            }
            at = self.behind(value);
        }
    }

    fn is_key(self, written: Range<usize>, wanted: &str) -> bool {
        let Some(written) = self.0.get(written) else { return false };
        let plain = written.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
        plain == Some(wanted)
            || written.contains('\\')
                && serde_json::from_str::<String>(written).is_ok_and(|key| key == wanted)
    }
}

#[cfg(test)]
mod tests {
    use super::Step::{Item, Key};
    use super::*;

    #[test]
    fn values_are_found_in_any_spelling() {
        let text = Text(
            " {\"a\\\"]\" : [1, {\"x\":\"}\\\\\"} ,\n[[]]],\"\\u0062\":{ \"c\": -2.5e3 }, \"d\":true}",
        );
        let at = |path: &[Step]| &text.0[text.at(path)];
        assert_eq!(at(&[Key("a\"]"), Item(0)]), "1");
        assert_eq!(at(&[Key("a\"]"), Item(1), Key("x")]), "\"}\\\\\"");
        assert_eq!(at(&[Key("a\"]"), Item(2)]), "[[]]");
        assert_eq!(at(&[Key("b"), Key("c")]), "-2.5e3");
        assert_eq!(at(&[Key("d")]), "true");
        // As far as it leads.
        assert_eq!(at(&[Key("b"), Key("nothing"), Item(7)]), "{ \"c\": -2.5e3 }");
        assert_eq!(at(&[]), text.0.trim());
    }

    #[test]
    fn members_are_found_where_they_begin() {
        let text = Text("{\"frames\":[{\"members\":[{\"m\":1},{\"m\":2}]},{},{\"members\":[{}]}]}");
        let found = text.members();
        let counts: Vec<usize> = found.iter().map(Vec::len).collect();
        assert_eq!(counts, [2, 0, 1]);
        assert!(found.iter().flatten().all(|&at| text.0[at..].starts_with('{')));
    }
}
