//! Plain lists of lengths: the number of types, the stock, then `length demand` lines.
//!
//! ```text
//! 3                    3
//! 6000                 stock 6000 40 31
//! 2386 7               stock 7500 - 39
//! 1290 2               2386 7
//! 560 12               …
//! ```
//!
//! Where there are several lengths of stock, or a limited number of them, a line each stands in
//! the place of the capacity: `stock LENGTH [COUNT [COST]]`, `-` for as many as wanted. Without
//! costs the least length of stock is looked for, with one kind of stock the least number. Empty
//! lines and lines that begin with `#` count for nothing. The published collections write each
//! line's numbers apart by spaces or tabs.

use super::problem::{Item, Problem, Refusal, Stock};
use crate::diagnostic::codes::cutting::{E1001, E1002, E1003, E1004, E1005, E1006};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::{FileId, Span};

/// What is to be least.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Objective {
    /// The number of stocks.
    Stocks,
    /// Their length together.
    Length,
    /// Their cost together, as the file gives it.
    Cost,
}

impl Objective {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Objective::Stocks => "stocks",
            Objective::Length => "length",
            Objective::Cost => "cost",
        }
    }
}

/// A list as read.
#[derive(Clone, Debug)]
pub struct List {
    /// What is to be cut from what.
    pub problem: Problem,
    /// What is to be least.
    pub objective: Objective,
}

/// Most faults of a kind that are told of one file.
const MOST_TOLD: usize = 20;

/// One line with something in it.
#[derive(Clone, Copy)]
struct Line<'a> {
    file: FileId,
    start: usize,
    text: &'a str,
}

impl<'a> Line<'a> {
    fn words(self) -> impl Iterator<Item = Word<'a>> {
        let base = self.text.as_ptr() as usize;
        self.text.split_whitespace().map(move |text| Word {
            text,
            span: span(self.file, self.start + (text.as_ptr() as usize - base), text.len()),
        })
    }
}

#[derive(Clone, Copy)]
struct Word<'a> {
    text: &'a str,
    span: Span,
}

fn span(file: FileId, start: usize, length: usize) -> Span {
    let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    Span::new(file, place(start), place(start + length))
}

/// Reads a list. Findings point into `file`; without a problem there is at least one error.
pub fn read(file: FileId, text: &str) -> (Option<List>, Vec<Diagnostic>) {
    let mut reader = Reader { found: Vec::new(), end: span(file, text.trim_end().len(), 0) };
    let list = reader.list(file, text);
    debug_assert!(list.is_some() != reader.found.iter().any(Diagnostic::is_error));
    (list.filter(|_| reader.found.is_empty()), reader.found)
}

struct Reader {
    found: Vec<Diagnostic>,
    end: Span,
}

impl Reader {
    fn tell(&mut self, code: &'static Code, at: Span, what: String, help: &str) {
        if self.found.len() < MOST_TOLD {
            self.found.push(Diagnostic::new(code, what).at(at, "").help(help));
        }
    }

    fn list(&mut self, file: FileId, text: &str) -> Option<List> {
        let mut start = 0;
        let mut lines = text.split_inclusive('\n').filter_map(|line| {
            let this = Line { file, start, text: line };
            start += line.len();
            let content = line.trim();
            (!content.is_empty() && !content.starts_with('#')).then_some(this)
        });
        let Some(first) = lines.next() else {
            self.tell(
                &E1002,
                self.end,
                "the file holds no list".to_string(),
                "begin with the number of lengths, then the stock, then `length demand` lines",
            );
            return None;
        };
        let mut words = first.words();
        let types = words.next().and_then(|word| self.positive(word, "a number of lengths"));
        self.nothing_more(words, "the number of lengths stands alone on its line");
        let types = types?;
        let (stocks, objective, mut next) = self.stocks(&mut lines)?;
        let mut items: Vec<Item> = Vec::new();
        let mut spans: Vec<Span> = Vec::new();
        let mut counted = 0_u64;
        while let Some(line) = next.take().or_else(|| lines.next()) {
            counted += 1;
            let mut words = line.words();
            let Some(length) = words.next() else { continue };
            if u128::from(counted) > u128::from(types.unsigned_abs()) {
                self.tell(
                    &E1003,
                    length.span,
                    format!("more than the {types} lengths that the first line announces"),
                    "correct the number on the first line, or take away what does not belong",
                );
                return None;
            }
            let at = length.span;
            let length = self.positive(length, "a length");
            let demand = match words.next() {
                Some(word) => self.positive(word, "how many are wanted"),
                None => {
                    self.tell(
                        &E1002,
                        at,
                        "a length without how many are wanted".to_string(),
                        "write `length demand` on each line",
                    );
                    None
                }
            };
            self.nothing_more(words, "a line is a length and how many of it are wanted");
            if let (Some(length), Some(demand)) = (length, demand) {
                items.push(Item { length, demand: demand.unsigned_abs() });
                spans.push(at);
            }
        }
        if i64::try_from(counted).is_ok_and(|counted| counted < types) {
            self.tell(
                &E1002,
                self.end,
                format!("{types} lengths are announced, and {counted} follow"),
                "add what is missing, or correct the number on the first line",
            );
        }
        if !self.found.is_empty() {
            return None;
        }
        let longest = stocks.iter().map(|stock| stock.length).max().unwrap_or(0);
        for (item, &at) in items.iter().zip(&spans).filter(|(item, _)| item.length > longest) {
            self.tell(
                &E1006,
                at,
                format!("a piece of {} is longer than any stock: {longest}", item.length),
                "correct the length, or add a stock that is long enough",
            );
        }
        match Problem::new(stocks, &items) {
            Ok(problem) if self.found.is_empty() => Some(List { problem, objective }),
            Ok(_) | Err(Refusal::TooLong(_)) => None,
            Err(_) => {
                self.tell(
                    &E1005,
                    first.words().next().map_or(self.end, |word| word.span),
                    format!("more than {} pieces are wanted", Problem::MOST_PIECES),
                    "correct the demands, or cut in several lots",
                );
                None
            }
        }
    }

    /// The stock lines, what is to be least, and the line after them where it was read.
    #[allow(clippy::type_complexity)] // three things that belong to one place
    fn stocks<'a>(
        &mut self,
        lines: &mut impl Iterator<Item = Line<'a>>,
    ) -> Option<(Vec<Stock>, Objective, Option<Line<'a>>)> {
        let Some(mut line) = lines.next() else {
            self.tell(
                &E1002,
                self.end,
                "the file ends before the stock is given".to_string(),
                "the second line is the stock's length, or `stock LENGTH [COUNT [COST]]`",
            );
            return None;
        };
        let mut words = line.words();
        let first = words.next()?;
        if first.text != "stock" {
            let length = self.positive(first, "the stock's length");
            self.nothing_more(words, "the stock's length stands alone on its line");
            let stock = Stock { length: length?, count: None, cost: 1, kept: None };
            return Some((vec![stock], Objective::Stocks, None));
        }
        let mut stocks = Vec::new();
        let (mut priced, mut whole) = (0, true);
        loop {
            let mut words = line.words();
            let Some(keyword) = words.next() else { break };
            if keyword.text != "stock" {
                break;
            }
            let length = match words.next() {
                Some(word) => self.positive(word, "the stock's length"),
                None => {
                    self.tell(
                        &E1002,
                        keyword.span,
                        "a stock without a length".to_string(),
                        "write `stock LENGTH [COUNT [COST]]`",
                    );
                    None
                }
            };
            let count = match words.next() {
                None => Some(None),
                Some(word) if word.text == "-" => Some(None),
                Some(word) => self.positive(word, "how many there are, or `-`").map(Some),
            };
            let cost = words.next().map(|word| self.positive(word, "what one costs"));
            priced += usize::from(cost.is_some());
            self.nothing_more(words, "a line is `stock LENGTH [COUNT [COST]]`");
            match (length, count, cost) {
                (Some(length), Some(count), None | Some(Some(_))) => stocks.push(Stock {
                    length,
                    count: count.map(i64::unsigned_abs),
                    cost: cost.flatten().unwrap_or(length),
                    kept: None,
                }),
                _ => whole = false,
            }
            match lines.next() {
                Some(next) => line = next,
                None if !whole => return None,
                None => return Some(self.told(stocks, priced, None)),
            }
        }
        if priced > 0 && priced != stocks.len() && whole {
            self.tell(
                &E1002,
                first.span,
                "some stock has a cost, and some has none".to_string(),
                "give every stock line a cost, or none",
            );
        }
        if stocks.len() > Problem::MOST_STOCKS {
            self.tell(
                &E1005,
                first.span,
                format!("{} kinds of stock, more than {}", stocks.len(), Problem::MOST_STOCKS),
                "leave out kinds that are alike or of no use",
            );
        }
        if whole { Some(self.told(stocks, priced, Some(line))) } else { None }
    }

    fn told<'a>(
        &mut self,
        mut stocks: Vec<Stock>,
        priced: usize,
        next: Option<Line<'a>>,
    ) -> (Vec<Stock>, Objective, Option<Line<'a>>) {
        let objective = match stocks.as_mut_slice() {
            _ if priced > 0 => Objective::Cost,
            [only] => {
                only.cost = 1;
                Objective::Stocks
            }
            _ => Objective::Length,
        };
        (stocks, objective, next)
    }

    /// A whole number above 0 and within the limits.
    fn positive(&mut self, word: Word<'_>, what: &str) -> Option<i64> {
        let digits = word.text.strip_prefix(['-', '+']).unwrap_or(word.text);
        if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            self.tell(
                &E1001,
                word.span,
                format!("`{}` is no whole number, and {what} is wanted", shortened(word.text)),
                "write whole numbers only, all lengths in one unit that leaves no fraction",
            );
            return None;
        }
        let digits = digits.trim_start_matches('0');
        if digits.is_empty() || word.text.starts_with('-') {
            self.tell(
                &E1004,
                word.span,
                format!("{what} is wanted, above zero"),
                "leave out what is not there, and correct what is",
            );
            return None;
        }
        match digits.parse() {
            Ok(number) if number <= Problem::MOST => Some(number),
            _ => {
                self.tell(
                    &E1005,
                    word.span,
                    format!("`{}` is more than {}", shortened(word.text), Problem::MOST),
                    "look for a digit too many, or for two numbers without a space between them",
                );
                None
            }
        }
    }

    fn nothing_more<'a>(&mut self, mut words: impl Iterator<Item = Word<'a>>, help: &str) {
        if let Some(word) = words.next() {
            let what = format!("`{}` does not belong on this line", shortened(word.text));
            self.tell(&E1003, word.span, what, help);
        }
    }
}

/// The first letters of a word that may be anything.
fn shortened(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.by_ref().take(24).collect();
    if letters.next().is_some() { format!("{first}…") } else { first }
}
