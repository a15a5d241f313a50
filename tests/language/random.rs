//! A generator with a seed, and damage to texts.

use super::grammar::Grammar;

/// SplitMix64: small, seeded, the same everywhere.
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).unwrap()
    }
    pub fn of<T: Clone>(&mut self, items: &[T]) -> T {
        items[self.below(items.len())].clone()
    }
}

/// Tokens as a text, with blanks, comments and line ends where the specification drops them.
pub fn join(tokens: &[String], random: &mut Random) -> String {
    let mut text = String::new();
    let mut open = 0_u32;
    for (i, token) in tokens.iter().enumerate() {
        match &**token {
            "(" | "[" => open += 1,
            ")" | "]" => open -= 1,
            _ => {}
        }
        text.push_str(token);
        let free = open > 0 || token == ",";
        match random.below(12) {
            0 if free => text.push('\n'),
            1 if free => text.push_str(" # a comment, with \"quotes\" and {\n\t"),
            2 => text.push_str("\t \r "),
            3 if tokens.get(i + 1).is_some_and(|next| next == "\n") => text.push_str(" # 1 - é"),
            4 if token == "\n" => text.push_str("# alone\n\n"),
            _ => text.push(' '),
        }
    }
    text
}

/// A file by the grammar: a few, one after the other, are one.
pub fn file(grammar: &Grammar, random: &mut Random, steps: usize) -> String {
    let mut tokens = Vec::new();
    for _ in 0..=random.below(5) {
        tokens.append(&mut grammar.derive(random, steps));
        tokens.push("\n".into());
    }
    join(&tokens, random)
}

/// A little damage: what a slip, a script or a bad disk does.
pub fn damage(text: &str, grammar: &Grammar, random: &mut Random) -> String {
    let pieces: Vec<String> = grammar
        .cut(text)
        .map(|tokens| tokens.into_iter().map(|token| token.text).collect())
        .unwrap_or_default();
    let mut chars: Vec<char> = text.chars().collect();
    if random.below(2) == 0 && !pieces.is_empty() {
        let mut pieces = pieces;
        let at = random.below(pieces.len());
        match random.below(4) {
            0 => {
                pieces.remove(at);
            }
            1 => {
                let again = random.of(&pieces);
                pieces.insert(at, again);
            }
            2 => {
                let other = random.below(pieces.len());
                pieces.swap(at, other);
            }
            _ => {
                let words: Vec<&String> = grammar.reserved().iter().collect();
                pieces[at] = random.of(&words).clone();
            }
        }
        return pieces.join(" ");
    }
    if chars.is_empty() {
        return "{".into();
    }
    let at = random.below(chars.len());
    let soup =
        ['-', '"', '(', ')', '{', '}', '\n', ' ', '/', '+', '.', 'x', '1', ',', '=', '#', '½', 'm'];
    match random.below(3) {
        0 => {
            chars.remove(at);
        }
        1 => chars.insert(at, random.of(&soup)),
        _ => chars[at] = random.of(&soup),
    }
    chars.into_iter().collect()
}
