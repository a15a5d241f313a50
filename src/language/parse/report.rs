//! What the parser says when it cannot read on. Each returns the `Failed` its caller returns.

use super::super::lex::Kind;
use super::super::tree::origin::origins;
use super::super::tree::{At, Size};
use super::super::words::{FRAME_KINDS, USAGES, Word};
use super::item::openers;
use super::{Context, DEEPEST, Failed, MOST_FINDINGS, Parser};
use crate::diagnostic::codes::grammar::*;
use crate::diagnostic::{Code, Diagnostic, closest};

/// Longest piece of the text that is quoted in a message, in characters.
const QUOTED: usize = 24;

impl Parser<'_> {
    /// Keeps a finding; it is only composed if there is room.
    fn say(&mut self, compose: impl FnOnce(&Self) -> Diagnostic) -> Failed {
        if self.found.len() < MOST_FINDINGS {
            let finding = compose(self);
            self.found.push(finding);
        } else {
            self.unsaid += 1;
        }
        Failed
    }

    fn finding(&self, code: &'static Code, at: At, message: String) -> Diagnostic {
        Diagnostic::new(code, message).at(at.span(self.tree.file), "")
    }

    /// Strings are read whatever is in them; what nobody sees in them is told here, once for each.
    pub(super) fn say_hidden(&mut self) {
        for at in std::mem::take(&mut self.lexer.hidden) {
            self.say(|p| {
                let code = at.text(p.text).chars().next().map_or(0, u32::from);
                let message = format!("a character that does not show, U+{code:04X}, in quotes");
                p.finding(&E0123, at, message)
                    .note("two marks would look the same on the list and be two on the steel, or stop the printer")
                    .help("delete it, and type the text anew rather than paste it")
            });
        }
    }

    /// Origins that belong to no member; only of a file that could be read, where it is known what
    /// stands where.
    pub(super) fn say_astray(&mut self) {
        let (_, astray) = origins(&self.tree, self.text);
        let more = astray.len().saturating_sub(MOST_FINDINGS);
        for (count, at) in astray.into_iter().take(MOST_FINDINGS).enumerate() {
            let message = match (count, more) {
                (0, 1..) => format!(
                    "this row is named where no member begins, and {more} more are not shown"
                ),
                _ => "a row is named where no member begins".to_string(),
            };
            self.say(|p| {
                p.finding(&W0124, at, message)
                    .note("findings lead back to the list by it: nobody can say which member it speaks of")
                    .help("put it behind the first line of its member, or take the `@` away")
            });
        }
    }

    pub(super) fn say_unsaid(&mut self) {
        if self.unsaid > 0 {
            let message = format!("{} more mistakes in this file are not shown", self.unsaid);
            let at = self.found.last().and_then(Diagnostic::span);
            let finding = Diagnostic::new(&E0199, message)
                .help("correct the first ones and look again; check that this is a members file");
            self.found.push(match at {
                Some(span) => finding.at(span, "the last one shown"),
                None => finding,
            });
        }
    }

    /// The token as a message quotes it.
    fn quoted(&self) -> String {
        match self.token.kind {
            Kind::LineEnd => "the end of the line".into(),
            Kind::End => "the end of the file".into(),
            _ => quote(self.token.at.text(self.text)),
        }
    }

    /// Where a finding about the token is shown: at an end, on what stands before it.
    fn token_place(&self) -> At {
        match self.token.kind {
            Kind::LineEnd | Kind::End if self.last.end > 0 => self.last,
            _ => self.token.at,
        }
    }

    /// A token that can be nothing at all is reported as itself, wherever it stands.
    fn say_bad_token(&mut self) -> Option<Failed> {
        let at = self.token.at;
        let text = at.text(self.text);
        Some(match self.token.kind {
            Kind::Unknown => self.say(|p| {
                let help = match text {
                    "'" | "\u{2019}" | "\u{2032}" | "\u{2033}" => {
                        "write feet and inches as words: `8ft 4 1/2in`"
                    }
                    "\u{201c}" | "\u{201d}" => "write strings in straight double quotes: \"…\"",
                    "×" => "write sizes with the letter x: `slot 60 x 30`",
                    "½" | "¼" | "¾" | "⅛" | "⅜" | "⅝" | "⅞" => {
                        "write fractions as `3 1/2in` or `1/2`"
                    }
                    "⌀" => "write the diameter alone: `hole 12`",
                    "±" => "write `tolerance 0.5`: it holds both ways",
                    "–" | "—" | "−" => "write minus and hyphen as `-`",
                    "\\" | "/" | "|" | "&" | "@" | "$" | "%" | "^" | "~" | "`" | "?" | "!"
                    | "." => "remove it, or put the text it belongs to in quotes: \"…\"",
                    _ => "remove it; other characters may stand only in quotes and comments",
                };
                p.finding(&E0101, at, format!("{} has no place here", quote(text))).help(help)
            }),
            Kind::OpenString => self.say(|p| {
                p.finding(&E0102, at, "this string does not end on its line".into())
                    .help("close it with a double quote; inches inside it are written `in`")
            }),
            Kind::LongNumber => self.say(|p| {
                p.finding(&E0103, at, "this number has more than 15 digits".into())
                    .note("members are measured in millimetres, exact to a nanometre")
                    .help("write at most 15 digits, or put a name of digits in quotes")
            }),
            Kind::Glued | Kind::Mark => self.say(|p| p.glued(at, text)),
            _ => return None,
        })
    }

    fn glued(&self, at: At, text: &str) -> Diagnostic {
        let help = if let Some((a, b)) = text.split_once('x')
            && !b.is_empty()
            && b.bytes().chain(a.bytes()).all(|c| c.is_ascii_digit() || c == b'.')
        {
            format!("write `{a} x {b}`, with spaces")
        } else if text.contains("ft") {
            "write feet and inches as `8ft 4 1/2in` or `8ft-4-1/2in`".into()
        } else if let Some((a, b)) = text.split_once('-') {
            format!(
                "if it is a subtraction write `{}`",
                quote(&format!("{a} - {b}")).trim_matches('`')
            )
        } else {
            "units are mm, m, in and ft: `22mm`; a name does not begin with a digit".into()
        };
        self.finding(&E0104, at, format!("{} is not a number", quote(text))).help(help)
    }

    pub(super) fn say_expected(&mut self, what: &str, help: &str) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            let message = format!("expected {what}, found {}", p.quoted());
            p.finding(&E0106, p.token_place(), message).help(help)
        })
    }

    /// `length = 2400`; `=` stands here, after the setting's word.
    pub(super) fn say_setting_equals(&mut self, setting: At) -> Failed {
        self.say(|p| {
            let word = setting.text(p.text);
            let rest = p.text.get(p.token.at.end as usize..).unwrap_or("");
            let rest = rest.lines().next().unwrap_or("");
            let rest = rest.split(['#', ';', '{', '}', '=']).next().unwrap_or("").trim();
            let value = without_thousands(rest).unwrap_or_else(|| rest.to_string());
            let example = match value.chars().count() {
                1..=QUOTED => value,
                _ => "2400".into(),
            };
            p.finding(&E0106, p.token.at, format!("`{word}` has no `=` before its value"))
                .help(format!("write `{word} {example}`"))
        })
    }

    /// Two marks with something other than `..` between them.
    pub(super) fn say_range_sign(&mut self, from: At, sign: At, to: &str) {
        self.say(|p| {
            let written = quote(sign.text(p.text));
            p.finding(&E0106, sign, format!("expected `..` between two marks, found {written}"))
                .help(format!("write `{}..{}`", shorten(from.text(p.text)), shorten(to)))
        });
    }

    pub(super) fn say_no_value(&mut self, what: &str) -> Failed {
        if let Kind::Word(word) = self.token.kind
            && self.last.end <= self.token.at.start
            && !self.can_follow_value(word)
        {
            return self.say_reserved("a name");
        }
        self.say_expected(what, "write a number such as `450`, a name, or a sum such as `end - 45`")
    }

    /// Words that show that a value was forgotten, rather than used as a name.
    fn can_follow_value(&self, word: Word) -> bool {
        matches!(
            word,
            Word::At
                | Word::From
                | Word::To
                | Word::On
                | Word::Across
                | Word::Every
                | Word::Both
                | Word::Tolerance
                | Word::AcrossTolerance
                | Word::And
                | Word::Or
                | Word::Not
        )
    }

    /// `2,400`, read as two numbers, its comma standing here.
    fn thousands(&self) -> Option<Diagnostic> {
        if !self.on(Kind::Comma) || self.last.end != self.token.at.start {
            return None;
        }
        let rest = self.text.get(self.last.start as usize..)?;
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != ',').unwrap_or(rest.len());
        let written = rest.get(..end)?;
        let help = match (without_thousands(written), written.split_once(',')) {
            (Some(meant), _) => format!("write `{meant}`, without a comma"),
            (None, Some((whole, places))) if decimal(whole) && decimal(places) => {
                format!("the decimal sign is a point: write `{whole}.{places}`")
            }
            _ => return None,
        };
        let message = format!("`,` ends a number: {} are two", quote(written));
        Some(self.finding(&E0119, self.token.at, message).help(help))
    }

    pub(super) fn say_quote(&mut self, what: &str) -> Failed {
        let text = self.token.at.text(self.text);
        self.say(|p| {
            let message = format!("expected {what}, found the number {}", p.quoted());
            p.finding(&E0106, p.token.at, message)
                .help(format!("put it in quotes if it is a name: \"{}\"", shorten(text)))
        })
    }

    pub(super) fn say_reserved(&mut self, what: &str) -> Failed {
        if let Some(failed) = self.say_kept() {
            return failed;
        }
        self.say(|p| {
            let word = p.token.at.text(p.text);
            p.finding(&E0112, p.token.at, format!("`{word}` is a reserved word, not {what}"))
                .help(format!("choose another name, such as `the-{word}`"))
        })
    }

    fn say_kept(&mut self) -> Option<Failed> {
        let Kind::Word(Word::Place | Word::Join | Word::Connect) = self.token.kind else {
            return None;
        };
        Some(self.say(|p| {
            let word = p.token.at.text(p.text);
            p.finding(&E0111, p.token.at, format!("`{word}` is kept for a later version"))
                .note("it will say where frames stand and how they are joined")
                .help("leave it out; as a name, choose another word")
        }))
    }

    pub(super) fn say_deep(&mut self) -> Failed {
        self.say(|p| {
            p.finding(&E0117, p.token_place(), format!("nested more than {DEEPEST} deep"))
                .help("give parts of it a name with `let`, or a recipe of their own")
        })
    }

    pub(super) fn say_chained(&mut self) -> Failed {
        self.say(|p| {
            p.finding(&E0118, p.token.at, "a comparison cannot be compared again".into())
                .help("write both and join them: `1 < x and x < 5`")
        })
    }

    pub(super) fn say_fraction_divisor(&mut self) -> Failed {
        self.say(|p| {
            let fraction = p.token.at.text(p.text);
            p.finding(&E0120, p.token.at, format!("dividing by {} could mean two things", quote(fraction)))
                .help("write `(1/2)` for the fraction, or spaces for one division after the other: `a / 1 / 2`")
        })
    }

    pub(super) fn say_single_equals(&mut self) -> Failed {
        self.say(|p| {
            p.finding(&E0121, p.token.at, "`=` does not compare".into())
                .help("write `==` to compare")
        })
    }

    pub(super) fn say_unclosed_bracket(&mut self, open: At, close: &str, value: bool) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            let file = p.tree.file;
            let wanted = if value { format!("`{close}`") } else { format!("`{close}` or `,`") };
            let message = format!("expected {wanted}, found {}", p.quoted());
            let finding = p.finding(&E0110, p.token_place(), message);
            let finding = match open.text(p.text) {
                bracket @ ("(" | "[") if open.span(file) != p.token_place().span(file) => {
                    finding.at(open.span(file), format!("this `{bracket}` is not closed"))
                }
                _ => finding,
            };
            finding.help(match value {
                true => format!("close it with `{close}`"),
                false => format!("close it with `{close}`; put `,` between two values"),
            })
        })
    }

    pub(super) fn say_unclosed(&mut self, open: At) {
        self.say(|p| {
            let finding = p.finding(&E0108, open, "this block is not closed".into());
            let finding = if p.on(Kind::End) {
                finding
            } else {
                finding.at(p.token.at.span(p.tree.file), "this does not belong in it")
            };
            finding.help("write `}` where it ends")
        });
    }

    pub(super) fn say_stray_brace(&mut self) {
        self.say(|p| {
            p.finding(&E0109, p.token.at, "this `}` closes nothing".into())
                .help("remove it, or look further up for a missing `{`")
        });
    }

    pub(super) fn say_leftover(&mut self) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            if let Some(finding) = p.thousands() {
                return finding;
            }
            let message = format!("{} is left over at the end of the statement", p.quoted());
            let help = match p.token.kind {
                Kind::Number => "put `,` between two values, and `;` or a new line between two statements",
                Kind::OpenBrace => "only recipes, groups, frames, members, `if`, `else` and `for` have a block",
                Kind::CloseParen | Kind::CloseBracket => "remove it, or open it with `(` or `[`",
                Kind::Equals => "only `let`, `profile` and a member's recipe have a `=`; `==` compares",
                Kind::Word(Word::Else) => "write `else` on the line of the `}` before it",
                _ => "begin a new line, or write `;` before it; if the line above ends with `,` it goes on here",
            };
            p.finding(&E0119, p.token.at, message).help(help)
        })
    }

    pub(super) fn say_member_leftover(&mut self) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            if let Some(finding) = p.thousands() {
                return finding;
            }
            let message = format!("{} does not belong in a member's first line", p.quoted());
            let settings = ["length", "quantity", "tolerance", "length-tolerance", "profile", "turnable"];
            if p.on_word(Word::Name)
                && let Some(meant) = closest(p.token.at.text(p.text), settings)
            {
                return p.finding(&E0119, p.token.at, message).help(format!("did you mean `{meant}`?"));
            }
            p.finding(&E0119, p.token.at, message).help(
                "write mark, usage, settings, recipe, body: `member S1..S7 stud length 2386 = stud-joints() { … }`",
            )
        })
    }

    pub(super) fn say_no_place(&mut self, kind: At, size: Option<Size>) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            let word = kind.text(p.text);
            if let Some(meant) = closest(word, openers(Context::BODY)) {
                return p
                    .finding(&E0107, kind, format!("{} is no setting, and as a feature it has no place", quote(word)))
                    .help(format!("did you mean `{meant}`? A feature needs a place: `at 450`, `both ends`"));
            }
            // `lip notch 48`: the second word was read as a size.
            if let Some(size) = size
                && size.at.text(p.text).starts_with(|c: char| c.is_alphabetic())
                && matches!(p.token.kind, Kind::Number | Kind::Word(Word::Name))
            {
                let torn = kind.to(size.at);
                let message = format!("{} are two words", quote(torn.text(p.text)));
                let help = format!("a type's name is one word: `{word}-{}`", size.at.text(p.text));
                return p.finding(&E0107, torn, message).help(help);
            }
            let message = format!("expected where {} is, found {}", quote(word), p.quoted());
            let help = match p.token.kind {
                Kind::Word(Word::Every | Word::Equal) => "write `at` before it: `at every 600 from 300 to 3300`",
                Kind::Word(Word::Tolerance) => "write the place before the tolerance: `at 450 tolerance 0.5`",
                Kind::Word(Word::On | Word::Across) => {
                    "write size, faces, `across`, place, in this order: `hole 12 on web across 10 at 450`"
                }
                Kind::Word(Word::Name) => "write `on` before faces and `at` before positions: `dimple on web at 450`",
                _ => "write `at` and positions, `both ends`, `start` or `end`: `hole 12 on web at 310, end - 310`",
            };
            p.finding(&E0107, p.token_place(), message).help(help)
        })
    }

    pub(super) fn say_face(&mut self) -> Failed {
        if let Some(failed) = self.say_bad_token() {
            return failed;
        }
        self.say(|p| {
            let message = format!("expected a face, found {}", p.quoted());
            let help = match p.token.at.text(p.text) {
                "flange" => "write `left flange`, `right flange`, or `flanges` for both",
                "lip" => "write `left lip`, `right lip`, or `lips` for both",
                _ => "faces are web, left flange, right flange, flanges, left lip, right lip, lips; join them with `and`",
            };
            p.finding(&E0116, p.token_place(), message).help(help)
        })
    }

    pub(super) fn say_frame_kind(&mut self) {
        if self.say_bad_token().is_some() {
            return;
        }
        self.say(|p| {
            let message = format!("expected what the frame is, found {}", p.quoted());
            let word = p.token.at.text(p.text);
            let help = match closest(word, FRAME_KINDS.iter().map(|(word, _)| *word)) {
                Some(meant) if p.on_word(Word::Name) => format!("did you mean `{meant}`?"),
                _ => "write `wall`, `floor`, `truss`, `roof` or `loose` after its name".into(),
            };
            p.finding(&E0115, p.token_place(), message).help(help)
        });
    }

    pub(super) fn say_usage(&mut self) {
        if self.say_bad_token().is_some() {
            return;
        }
        self.say(|p| {
            let word = p.token.at.text(p.text);
            if word == "jack" {
                return p
                    .finding(&E0114, p.token.at, "a jack stud is two different members".into())
                    .note("in North America it carries the header beside an opening; in Australia and New Zealand it is the short stud above or below one")
                    .help("write `trimmer` for the one, `cripple` for the other");
            }
            let message = format!("expected what the member is for, found {}", p.quoted());
            let words = USAGES.iter().filter_map(|(phrase, _)| phrase.first().copied());
            let help = match (word, closest(word, words)) {
                _ if word.ends_with(|c: char| c.is_ascii_digit()) => {
                    "put `,` between two marks, `..` between the first and the last of a row".into()
                }
                ("web", _) => "write `web member` for the web of a truss".into(),
                ("top" | "bottom", _) => format!("write `{word} plate`, `{word} track` or `{word} chord`"),
                ("king" | "jamb", _) => format!("write `{word} stud`"),
                (_, Some(meant)) if p.on_word(Word::Name) && meant != word => format!("did you mean `{meant}`?"),
                _ => "write its usage after the mark: stud, top plate, bottom track, nogging, blocking, lintel, joist, rafter, top chord, web member, other …".into(),
            };
            p.finding(&E0113, p.token_place(), message).help(help)
        });
    }

    pub(super) fn say_alias(&mut self, name: At) -> Failed {
        self.say(|p| {
            let message = format!("{} cannot be a profile's short name", quote(name.text(p.text)));
            p.finding(&E0112, name, message)
                .help("a short name begins with a letter and is not reserved: `profile C90 = \"C90x40-0.75\"`")
        })
    }

    /// No statement begins with this token.
    pub(super) fn say_no_statement(&mut self, here: Context) {
        if self.say_bad_token().is_some() {
            return;
        }
        self.say(|p| {
            let message = format!("no statement begins with {}", p.quoted());
            p.finding(&E0106, p.token.at, message).help(help_for(here))
        });
    }

    /// No statement that begins with this word may stand here. Says which word was meant, if it
    /// is clear, or the word itself if it is a statement from elsewhere.
    pub(super) fn say_misplaced(&mut self, word: Word, here: Context) -> Option<Word> {
        if self.say_kept().is_some() {
            return None;
        }
        let text = self.token.at.text(self.text);
        if word == Word::Name {
            let meant = closest(text, openers(here));
            self.say(|p| match meant {
                Some(meant) => p
                    .finding(&E0122, p.token.at, format!("{} is no keyword", quote(text)))
                    .help(format!("did you mean `{meant}`?")),
                None => p
                    .finding(
                        &E0105,
                        p.token.at,
                        format!("{} cannot stand {}", quote(text), place(here)),
                    )
                    .help(help_for(here)),
            });
            return meant.map(|meant| Word::of(meant.as_bytes()));
        }
        self.say(|p| {
            let help = match word {
                Word::Else => "write `else` on the line of the `}` before it",
                Word::Member => "members stand in a frame: `frame L1 loose { … }`",
                _ => help_for(here),
            };
            p.finding(&E0105, p.token.at, format!("`{text}` cannot stand {}", place(here)))
                .help(help)
        });
        (!super::item::contexts(word).is_empty()).then_some(word)
    }
}

/// Whether digits stand here, and nothing else.
fn decimal(digits: &str) -> bool {
    !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
}

/// `2,400` without its comma, where a text begins with such a number.
fn without_thousands(text: &str) -> Option<String> {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let mut number = String::new();
    let mut rest = text;
    loop {
        let (group, after) = rest.split_at_checked(digits(rest))?;
        let fits =
            if number.is_empty() { (1..=3).contains(&group.len()) } else { group.len() == 3 };
        if !fits {
            return None;
        }
        number.push_str(group);
        match after.strip_prefix(',') {
            Some(after) => rest = after,
            None if number.len() == group.len() => return None,
            None => return Some(number + after),
        }
    }
}

const fn place(here: Context) -> &'static str {
    match here {
        Context::FILE => "outside a frame or recipe",
        Context::FRAME => "in a frame",
        _ => "in the body of a member or recipe",
    }
}

const fn help_for(here: Context) -> &'static str {
    match here {
        Context::FILE => {
            "write `job`, `units`, `include`, `profile`, `let`, `recipe`, `group`, `frame`, `waive` or a default such as `tolerance`"
        }
        Context::FRAME => {
            "write `member`, `let`, `waive`, or a default such as `tolerance` or `profile`"
        }
        _ => {
            "write a feature, a recipe, or `length`, `start`, `end`, `both ends`, `if`, `for`, `let`"
        }
    }
}

fn shorten(text: &str) -> String {
    let mut short: String = text.chars().take(QUOTED).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

fn quote(text: &str) -> String {
    let short = shorten(text);
    match short.chars().next() {
        Some(c) if short.chars().count() == 1 && (c.is_control() || c.is_whitespace()) => {
            format!("character U+{:04X}", u32::from(c))
        }
        _ => format!("`{short}`"),
    }
}
