//! Reads `grammar/members.ebnf` and recognises and writes members files by it, by general methods
//! that share nothing with the parser: sets of positions for tokens, Earley's algorithm for
//! statements, random derivations for writing.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// An expression of the notation.
#[derive(Clone, Debug)]
pub enum Ebnf {
    Literal(String),
    /// Ranges, and whether a character must lie in none of them.
    Class(Vec<(char, char)>, bool),
    Alphabetic,
    Rule(String),
    Sequence(Vec<Ebnf>),
    Choice(Vec<Ebnf>),
    /// At least this often; at most once, or any number of times.
    Repeat(Box<Ebnf>, bool, bool),
}

/// Symbols of the statement grammar.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Symbol {
    Rule(usize),
    /// A literal word or sign.
    Literal(usize),
    /// A class of tokens.
    Class(usize),
}

pub struct Grammar {
    /// Token rules in the order of the file.
    tokens: Vec<(String, Ebnf)>,
    rules: BTreeMap<String, Ebnf>,
    reserved: BTreeSet<String>,
    literals: Vec<String>,
    classes: Vec<String>,
    /// Plain productions of each rule, named ones first.
    productions: Vec<Vec<Vec<Symbol>>>,
    nullable: Vec<bool>,
    /// Least depth of a derivation of each rule, and of each of its productions.
    least: Vec<Vec<usize>>,
    file: usize,
}

/// A token as the specification cuts it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Token {
    pub class: String,
    pub text: String,
}

const DROPPED: [&str; 2] = ["Blank", "Comment"];
/// Rules that are used inside token rules only.
const PARTS: [&str; 8] = ["Rest", "Letter", "Digit", "Amount", "Ratio", "Joint", "Gap", "Unit"];

struct Reader<'a> {
    rest: &'a str,
}

impl Reader<'_> {
    fn blanks(&mut self) {
        loop {
            self.rest = self.rest.trim_start();
            match self.rest.strip_prefix("/*") {
                Some(comment) => self.rest = comment.split_once("*/").expect("comment ends").1,
                None => return,
            }
        }
    }
    fn sign(&mut self, sign: &str) -> bool {
        self.blanks();
        match self.rest.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }
    fn word(&mut self) -> Option<String> {
        self.blanks();
        let end = self.rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        if word.is_empty() || rest.trim_start().starts_with("::=") {
            return None;
        }
        self.rest = rest;
        Some(word.to_string())
    }
    fn choice(&mut self) -> Ebnf {
        let mut choices = vec![self.sequence()];
        while self.sign("|") {
            choices.push(self.sequence());
        }
        if choices.len() == 1 { choices.remove(0) } else { Ebnf::Choice(choices) }
    }
    fn sequence(&mut self) -> Ebnf {
        let mut items = Vec::new();
        while let Some(item) = self.item() {
            items.push(match self.rest.chars().next() {
                Some('?') => self.repeated(item, false, false),
                Some('*') => self.repeated(item, false, true),
                Some('+') => self.repeated(item, true, true),
                _ => item,
            });
        }
        assert!(!items.is_empty(), "nothing at {:?}", self.rest.get(..40));
        if items.len() == 1 { items.remove(0) } else { Ebnf::Sequence(items) }
    }
    fn repeated(&mut self, item: Ebnf, once: bool, often: bool) -> Ebnf {
        self.rest = &self.rest[1..];
        Ebnf::Repeat(Box::new(item), once, often)
    }
    fn item(&mut self) -> Option<Ebnf> {
        self.blanks();
        if let Some(rest) = self.rest.strip_prefix("[:alphabetic:]") {
            self.rest = rest;
            return Some(Ebnf::Alphabetic);
        }
        if self.sign("(") {
            let inner = self.choice();
            assert!(self.sign(")"), "unclosed at {:?}", self.rest.get(..40));
            return Some(inner);
        }
        if self.sign("'") {
            let (literal, rest) = self.rest.split_once('\'').expect("literal ends");
            self.rest = rest;
            return Some(Ebnf::Literal(literal.to_string()));
        }
        if self.rest.starts_with("#x") {
            return Some(Ebnf::Literal(self.character().to_string()));
        }
        if self.sign("[") {
            let not = self.sign("^");
            let mut ranges = Vec::new();
            while !self.rest.starts_with(']') {
                let from = self.character();
                let to = match self.rest.strip_prefix('-') {
                    Some(rest) => {
                        self.rest = rest;
                        self.character()
                    }
                    None => from,
                };
                ranges.push((from, to));
            }
            self.rest = &self.rest[1..];
            return Some(Ebnf::Class(ranges, not));
        }
        self.word().map(Ebnf::Rule)
    }
    fn character(&mut self) -> char {
        if let Some(rest) = self.rest.strip_prefix("#x") {
            let end = rest.find(|c: char| !c.is_ascii_hexdigit()).unwrap();
            self.rest = &rest[end..];
            return char::from_u32(u32::from_str_radix(&rest[..end], 16).unwrap()).unwrap();
        }
        let c = self.rest.chars().next().unwrap();
        self.rest = &self.rest[c.len_utf8()..];
        c
    }
}

fn words_of(ebnf: &Ebnf, found: &mut BTreeSet<String>) {
    match ebnf {
        Ebnf::Literal(text) => {
            found.insert(text.clone());
        }
        Ebnf::Sequence(items) | Ebnf::Choice(items) => {
            items.iter().for_each(|item| words_of(item, found));
        }
        Ebnf::Repeat(item, ..) => words_of(item, found),
        _ => {}
    }
}

impl Grammar {
    pub fn of_the_project() -> Grammar {
        Grammar::read(include_str!("../../grammar/members.ebnf"))
    }

    fn read(text: &str) -> Grammar {
        let mut reader = Reader { rest: text };
        let mut tokens = Vec::new();
        let mut rules = BTreeMap::new();
        loop {
            reader.blanks();
            let Some((name, rest)) = reader.rest.split_once("::=") else { break };
            let name = name.trim().to_string();
            reader.rest = rest;
            let rule = reader.choice();
            if name.starts_with(char::is_uppercase) && !PARTS.contains(&&*name) {
                tokens.push((name.clone(), rule.clone()));
            }
            assert!(rules.insert(name.clone(), rule).is_none(), "{name} twice");
        }
        assert!(reader.rest.is_empty(), "left over: {:?}", reader.rest);
        let mut reserved = BTreeSet::new();
        words_of(&rules["reserved"], &mut reserved);
        let mut grammar = Grammar {
            tokens,
            rules: rules.clone(),
            reserved,
            literals: Vec::new(),
            classes: Vec::new(),
            productions: Vec::new(),
            nullable: Vec::new(),
            least: Vec::new(),
            file: 0,
        };
        let statements: Vec<&String> =
            rules.keys().filter(|name| name.starts_with(char::is_lowercase)).collect();
        let index: HashMap<&str, usize> =
            statements.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect();
        grammar.productions = vec![Vec::new(); statements.len()];
        for name in &statements {
            let flat = grammar.flatten(&rules[*name], &index);
            grammar.productions[index[name.as_str()]] = flat;
        }
        grammar.file = index["file"];
        grammar.close();
        grammar
    }

    fn symbol(list: &mut Vec<String>, text: &str) -> usize {
        list.iter().position(|known| known == text).unwrap_or_else(|| {
            list.push(text.to_string());
            list.len() - 1
        })
    }

    /// The alternatives of an expression as plain sequences, with rules of their own for what
    /// is repeated or chosen inside.
    fn flatten(&mut self, ebnf: &Ebnf, index: &HashMap<&str, usize>) -> Vec<Vec<Symbol>> {
        match ebnf {
            Ebnf::Choice(items) => items.iter().flat_map(|i| self.flatten(i, index)).collect(),
            Ebnf::Sequence(items) => vec![items.iter().map(|i| self.single(i, index)).collect()],
            other => vec![vec![self.single(other, index)]],
        }
    }
    fn single(&mut self, ebnf: &Ebnf, index: &HashMap<&str, usize>) -> Symbol {
        match ebnf {
            Ebnf::Literal(text) => Symbol::Literal(Grammar::symbol(&mut self.literals, text)),
            Ebnf::Rule(name) if name.starts_with(char::is_uppercase) => {
                assert!(self.tokens.iter().any(|(token, _)| token == name), "no token {name}");
                Symbol::Class(Grammar::symbol(&mut self.classes, name))
            }
            Ebnf::Rule(name) => {
                Symbol::Rule(*index.get(&**name).unwrap_or_else(|| panic!("no rule {name}")))
            }
            Ebnf::Repeat(item, once, often) => {
                let inner = self.flatten(item, index);
                let body = self.add(inner);
                let repeat = self.add(Vec::new());
                let mut productions = vec![vec![body]];
                if *often {
                    productions.push(vec![repeat, body]);
                }
                if !once {
                    productions.push(Vec::new());
                }
                let Symbol::Rule(at) = repeat else { unreachable!() };
                self.productions[at] = productions;
                repeat
            }
            other => {
                let inner = self.flatten(other, index);
                self.add(inner)
            }
        }
    }
    fn add(&mut self, productions: Vec<Vec<Symbol>>) -> Symbol {
        self.productions.push(productions);
        Symbol::Rule(self.productions.len() - 1)
    }

    /// Which rules may be empty, and how deep the shallowest derivation of each is.
    fn close(&mut self) {
        const FAR: usize = 1 << 20;
        let count = self.productions.len();
        self.nullable = vec![false; count];
        let mut least = vec![FAR; count];
        let depth = |least: &[usize], production: &[Symbol]| {
            let deepest = production.iter().map(|symbol| match symbol {
                Symbol::Rule(rule) => least[*rule],
                _ => 0,
            });
            deepest.max().unwrap_or(0) + 1
        };
        for _ in 0..count {
            for rule in 0..count {
                for production in &self.productions[rule] {
                    self.nullable[rule] |= production
                        .iter()
                        .all(|s| matches!(s, Symbol::Rule(r) if self.nullable[*r]));
                    least[rule] = least[rule].min(depth(&least, production));
                }
            }
        }
        assert!(least.iter().all(|&l| l < FAR), "a rule that never ends");
        self.least = self
            .productions
            .iter()
            .map(|rule| rule.iter().map(|production| depth(&least, production)).collect())
            .collect();
    }

    pub fn reserved(&self) -> &BTreeSet<String> {
        &self.reserved
    }

    // ---- Tokens ----

    fn ends(&self, ebnf: &Ebnf, text: &[char], start: usize) -> BTreeSet<usize> {
        let one = |fits: bool| if fits { BTreeSet::from([start + 1]) } else { BTreeSet::new() };
        let next = text.get(start).copied();
        match ebnf {
            Ebnf::Literal(literal) => {
                let length = literal.chars().count();
                let fits = literal.chars().eq(text.iter().copied().skip(start).take(length));
                if fits { BTreeSet::from([start + length]) } else { BTreeSet::new() }
            }
            Ebnf::Class(ranges, not) => {
                one(next
                    .is_some_and(|c| ranges.iter().any(|&(from, to)| from <= c && c <= to) != *not))
            }
            Ebnf::Alphabetic => one(next.is_some_and(char::is_alphabetic)),
            Ebnf::Rule(name) => self.ends(&self.rules[name], text, start),
            Ebnf::Choice(items) => {
                items.iter().flat_map(|item| self.ends(item, text, start)).collect()
            }
            Ebnf::Sequence(items) => items.iter().fold(BTreeSet::from([start]), |from, item| {
                from.into_iter().flat_map(|at| self.ends(item, text, at)).collect()
            }),
            Ebnf::Repeat(item, once, often) => {
                let mut all = BTreeSet::new();
                let mut fresh = BTreeSet::from([start]);
                loop {
                    fresh = fresh
                        .iter()
                        .flat_map(|&at| self.ends(item, text, at))
                        .filter(|end| !all.contains(end))
                        .collect();
                    all.extend(fresh.iter().copied());
                    if fresh.is_empty() || !often {
                        break;
                    }
                }
                if !once {
                    all.insert(start);
                }
                all
            }
        }
    }

    /// Whether a word that ends here would go on.
    fn goes_on(&self, text: &[char], at: usize) -> bool {
        let part = |at: usize| {
            ["Letter", "Digit"]
                .iter()
                .any(|rule| !self.ends(&self.rules[*rule], text, at).is_empty())
        };
        part(at) || (text.get(at) == Some(&'-') && part(at + 1))
    }

    /// The text cut into tokens; `None` where something begins none.
    pub fn cut(&self, text: &str) -> Option<Vec<Token>> {
        let text: Vec<char> = text.chars().collect();
        let mut found: Vec<Token> = Vec::new();
        let (mut at, mut open) = (0, 0_u32);
        while at < text.len() {
            let mut best: Option<(usize, &str)> = None;
            for (name, rule) in &self.tokens {
                let bounded = matches!(&**name, "Number" | "Fraction" | "Digits");
                let end = self
                    .ends(rule, &text, at)
                    .into_iter()
                    .rfind(|&end| end > at && !(bounded && self.goes_on(&text, end)));
                if let Some(end) = end
                    && best.is_none_or(|(longest, _)| end > longest)
                {
                    best = Some((end, name));
                }
            }
            let (end, class) = best?;
            let token: String = text[at..end].iter().collect();
            at = end;
            match &*token {
                "(" | "[" => open += 1,
                ")" | "]" => open = open.saturating_sub(1),
                "\n" if open > 0 || found.last().is_some_and(|last| last.text == ",") => continue,
                _ => {}
            }
            if !DROPPED.contains(&class) {
                found.push(Token { class: class.to_string(), text: token });
            }
        }
        Some(found)
    }

    // ---- Statements ----

    fn fits(&self, symbol: Symbol, token: &Token) -> bool {
        match symbol {
            Symbol::Rule(_) => false,
            Symbol::Literal(literal) => {
                matches!(&*token.class, "Name" | "Sign") && self.literals[literal] == token.text
            }
            Symbol::Class(class) => {
                let class = &self.classes[class];
                *class == token.class && !(class == "Name" && self.reserved.contains(&token.text))
            }
        }
    }

    /// Whether the text is a members file, by Earley's algorithm.
    pub fn accepts(&self, text: &str) -> bool {
        self.cut(text).is_some_and(|tokens| self.accepts_tokens(&tokens))
    }

    fn accepts_tokens(&self, tokens: &[Token]) -> bool {
        // Rule, production, how far, from which token on.
        type Item = (usize, usize, usize, usize);
        struct Set {
            items: Vec<Item>,
            known: HashSet<Item>,
            /// Items that wait for a rule to be complete.
            waiting: HashMap<usize, Vec<Item>>,
        }
        impl Set {
            fn add(&mut self, item: Item) {
                if self.known.insert(item) {
                    self.items.push(item);
                }
            }
        }
        let fresh = || Set { items: Vec::new(), known: HashSet::new(), waiting: HashMap::new() };
        let mut sets: Vec<Set> = (0..=tokens.len()).map(|_| fresh()).collect();
        for production in 0..self.productions[self.file].len() {
            sets[0].add((self.file, production, 0, 0));
        }
        for at in 0..sets.len() {
            let mut next = 0;
            while let Some(&(rule, production, dot, from)) = sets[at].items.get(next) {
                next += 1;
                match self.productions[rule][production].get(dot).copied() {
                    None => {
                        let waiting = sets[from].waiting.get(&rule).cloned().unwrap_or_default();
                        for (r, p, d, f) in waiting {
                            sets[at].add((r, p, d + 1, f));
                        }
                    }
                    Some(Symbol::Rule(called)) => {
                        let item = (rule, production, dot, from);
                        sets[at].waiting.entry(called).or_default().push(item);
                        for production in 0..self.productions[called].len() {
                            sets[at].add((called, production, 0, at));
                        }
                        if self.nullable[called] {
                            sets[at].add((rule, production, dot + 1, from));
                        }
                    }
                    Some(symbol) => {
                        if tokens.get(at).is_some_and(|token| self.fits(symbol, token)) {
                            sets[at + 1].add((rule, production, dot + 1, from));
                        }
                    }
                }
            }
        }
        let last = sets.last().unwrap();
        (0..self.productions[self.file].len()).any(|production| {
            let end = self.productions[self.file][production].len();
            last.known.contains(&(self.file, production, end, 0))
        })
    }

    // ---- Writing ----

    /// A random file of about this many steps, as texts of tokens.
    pub fn derive(&self, random: &mut super::random::Random, steps: usize) -> Vec<String> {
        let mut written = Vec::new();
        let mut left = steps;
        self.write(self.file, random, &mut left, &mut written);
        written
    }

    fn write(
        &self,
        rule: usize,
        random: &mut super::random::Random,
        left: &mut usize,
        written: &mut Vec<String>,
    ) {
        let least = &self.least[rule];
        let production = if *left == 0 {
            let shallowest = least.iter().min().unwrap();
            least.iter().position(|depth| depth == shallowest).unwrap()
        } else {
            *left -= 1;
            random.below(least.len())
        };
        for &symbol in &self.productions[rule][production] {
            match symbol {
                Symbol::Rule(called) => self.write(called, random, left, written),
                Symbol::Literal(literal) => written.push(self.literals[literal].clone()),
                Symbol::Class(class) => loop {
                    let mut text = String::new();
                    self.spell(&Ebnf::Rule(self.classes[class].clone()), random, &mut text);
                    if self.classes[class] != "Name" || !self.reserved.contains(&text) {
                        written.push(text);
                        break;
                    }
                },
            }
        }
    }

    fn spell(&self, ebnf: &Ebnf, random: &mut super::random::Random, text: &mut String) {
        match ebnf {
            Ebnf::Literal(literal) => text.push_str(literal),
            Ebnf::Alphabetic => {
                text.push(random.of(&['a', 'm', 'x', 'f', 't', 'é', 'ø', 'Д', '字']))
            }
            Ebnf::Class(_, true) => text.push(random.of(&['a', ' ', '#', '{', 'ß', '\t'])),
            Ebnf::Class(ranges, false) => {
                let (from, to) = random.of(ranges);
                let span = u32::from(to) - u32::from(from) + 1;
                let c = u32::from(from) + u32::try_from(random.below(span as usize)).unwrap();
                text.push(char::from_u32(c).unwrap());
            }
            Ebnf::Rule(name) => self.spell(&self.rules[name], random, text),
            Ebnf::Sequence(items) => items.iter().for_each(|item| self.spell(item, random, text)),
            Ebnf::Choice(items) => self.spell(&items[random.below(items.len())], random, text),
            Ebnf::Repeat(item, once, often) => {
                let most = if *often { 3 } else { 2 };
                for _ in 0..usize::from(*once) + random.below(most) {
                    self.spell(item, random, text);
                }
            }
        }
    }
}
