//! Random descriptions on random lines: those that are proved print and read back every program
//! they print, and no damage to the bytes goes unseen.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod dialect_common;
#[path = "dialect_random/logs.rs"]
mod logs;

use coilwright::dialect::Invertible;
use coilwright::library::model::{
    Blanks, Characters, Controller, Dialect, Escape, Field, Firing, HexEscape, Level, Limits, Line,
    LineEnd, Marker, NumberFormat, Offsets, Padding, Part, Record, Records, Scope, Sign, Slope,
    Snapping, Stamp, Station, StationId, TextFormat, TextWidth, Ties, ToolCode, ToolId, ToolNames,
    Unit, Works, Written,
};
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{Advance, FileId, Length, Rational, Time};
use dialect_common::*;
use proptest::prelude::*;
use std::collections::BTreeMap;

const FILE: FileId = FileId(0);

/// The table of members that ships.
const MEMBERS: &str = include_str!("../fixtures/dialects/member-table.toml");

/// Splitmix64: one number makes a whole case, and a failing case is that number.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    fn below(&mut self, n: usize) -> usize {
        (self.roll() % n as u64) as usize
    }
    fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }
    fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())].clone()
    }
    fn word(&mut self, letters: &str, most: usize) -> String {
        let letters: Vec<char> = letters.chars().collect();
        (0..self.below(most + 1)).map(|_| self.pick(&letters)).collect()
    }
    fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}

fn random_line(dice: &mut Dice) -> Line {
    let increment =
        dice.pick(&[100_000, 50_000, 1_000_000, 396_875, 254_000, 12_700, 1_000, 333, 1]);
    let mut names: Vec<String> = (0..1 + dice.below(5))
        .map(|i| format!("{}{i}", dice.pick(&["swage", "dimple-", "lip notch", "T", "9.", "öse"])))
        .collect();
    names.dedup();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut line = line(Length::from_nm(increment), &names);
    let offset = |dice: &mut Dice| {
        Length::from_nm(dice.pick(&[
            0,
            400_000_000,
            3_000_000_000,
            1_234_567_891,
            999_999,
            12_700_000,
            -50_000_000,
        ]))
    };
    for number in 0..3 {
        let name = format!("station {number}").into();
        let (offset, works) = (offset(dice), Works::Flat);
        line.stations.push(Station { name, offset, works, span: NOWHERE });
    }
    line.shear.slug = Length::from_nm(dice.pick(&[0, 4_000_000, 3_175_000, 1]));
    if dice.one_in(2) {
        let stamp = Stamp { time: Time::ZERO, slack: Length::ZERO };
        line.marker = Some(Marker {
            offset: offset(dice),
            pitch: Length::from_mm(5),
            from_start: Length::from_nm(dice.pick(&[0, 60_000_000, 12_345_678])),
            most: 40,
            stamp: dice.one_in(3).then_some(stamp),
        });
    }
    if dice.one_in(6) {
        line.firing = Firing::AtOnce;
    }
    for tool in &mut line.tools {
        tool.station = StationId(dice.below(3) as u16);
        tool.time = Time::from_ns(dice.pick(&[0, 1, 200_000_000, 1_234_567_891]));
    }
    line.feed.settle = Time::from_ms(dice.below(50) as i64);
    line.shear.time = Time::from_ms(400);
    if dice.one_in(3) {
        line.shear.slopes.listed = vec![SLOPES[1]];
    }
    line
}

/// Cuts as a line that turns its shear makes them, and one it does not.
const SLOPES: [Slope; 4] = [
    Slope::SQUARE,
    Slope { rise: 1, run: 3 },
    Slope { rise: -1, run: 3 },
    Slope { rise: -1_234_567, run: i32::MAX },
];

fn random_number(dice: &mut Dice, unit: Unit) -> NumberFormat {
    let decimals = match unit {
        Unit::Count => 0,
        Unit::Nanometre => dice.pick(&[0, 0, 0, 1]),
        Unit::Micrometre => dice.pick(&[0, 3, 3, 4]),
        Unit::Millimetre => dice.pick(&[1, 3, 6, 6, 6, 7, 0]),
        Unit::Inch => dice.pick(&[3, 4, 6, 8, 9]),
        Unit::Second | Unit::Millisecond => dice.pick(&[0, 3, 3, 6, 9]),
    };
    // Digits without a point, of any worth.
    let places =
        [(1, 1), (1, 10), (1, 1000), (1, 64), (5, 100), (254, 100), (10, 1), (1, 1_000_000)];
    let last_place = (unit != Unit::Count && dice.one_in(4)).then(|| {
        let (over, under) = dice.pick(&places);
        Rational::new(over, under).unwrap()
    });
    NumberFormat {
        name: "n".into(),
        unit,
        decimals,
        last_place,
        point: dice.pick(&['.', '.', ',']),
        short: dice.one_in(2),
        width: dice.one_in(3).then(|| 12 + dice.below(12)),
        padding: dice.pick(&[Padding::Zero, Padding::Blank]),
        sign: dice.pick(&[Sign::Minus, Sign::Minus, Sign::Always, Sign::Never]),
        relative: unit.nm().is_some() && dice.one_in(4),
        span: NOWHERE,
    }
}

fn random_text(dice: &mut Dice) -> TextFormat {
    let escape =
        |character: char, text: &str| Escape { character, text: text.into(), span: NOWHERE };
    let mut format = TextFormat {
        name: "t".into(),
        quote: None,
        escapes: Vec::new(),
        hex: None,
        refused: Vec::new(),
        width: None,
        span: NOWHERE,
    };
    if dice.one_in(4) {
        let characters = if dice.one_in(8) { 1 + dice.below(8) } else { 9 + dice.below(16) };
        let blanks = dice.pick(&[Blanks::Behind, Blanks::Behind, Blanks::Before]);
        format.width = Some(TextWidth { characters, blanks });
    }
    match dice.below(5) {
        0 => format.refused = dice.pick(&[";,|=: /", ";", ",;|", "|/"]).chars().collect(),
        1 => {
            format.quote = Some('"');
            format.escapes = vec![escape('"', "\\\""), escape('\\', "\\\\"), escape('\n', "\\n")];
            format.hex = Some(HexEscape { before: "\\u".into(), digits: 4, span: NOWHERE });
        }
        2 => {
            let quote = dice.pick(&['"', '\'']);
            format.quote = Some(quote);
            format.escapes = vec![escape(quote, &format!("{quote}{quote}"))];
        }
        3 => {
            format.quote = Some('*');
            format.refused = vec!['*'];
        }
        _ => {
            // Percent escapes without quotes; the line end must be one of them too.
            format.escapes =
                "%;,|=: /\t".chars().map(|c| escape(c, &format!("%{:02x}", c as u32))).collect();
            format.hex = Some(HexEscape { before: "%".into(), digits: 2, span: NOWHERE });
        }
    }
    // Now and then something that should make the proof fail.
    if dice.one_in(12) {
        format
            .escapes
            .push(escape(dice.pick(&['a', 'b', '"']), dice.pick(&["\\", "b", "\"\"", "%2"])));
    }
    format
}

/// A controller that is told members.
fn random_controller(dice: &mut Dice) -> Controller {
    Controller {
        offsets: dice.pick(&[Offsets::Controller, Offsets::Program]),
        merges: Length::from_nm(dice.pick(&[0, 0, 300_000, 5_000_000])),
        ties: dice.pick(&[Ties::Together, Ties::Listed, Ties::Listed]),
        snapping: dice.pick(&[Snapping::Nearest, Snapping::Down]),
        span: NOWHERE,
    }
}

fn literal(text: String) -> Part {
    Part::Literal { text: text.into(), span: NOWHERE }
}

fn random_dialect(dice: &mut Dice, line: &Line) -> Dialect {
    let member = dice.one_in(2);
    let lengths =
        [Unit::Nanometre, Unit::Micrometre, Unit::Millimetre, Unit::Millimetre, Unit::Inch];
    let numbers = vec![
        {
            let unit = dice.pick(&lengths);
            random_number(dice, unit)
        },
        {
            let unit = dice.pick(&lengths);
            random_number(dice, unit)
        },
        random_number(dice, Unit::Count),
        {
            let unit = dice.pick(&[Unit::Second, Unit::Second, Unit::Millisecond]);
            random_number(dice, unit)
        },
    ];
    let mut numbers = numbers;
    for number in numbers.iter_mut().filter(|_| member && !dice.one_in(20)) {
        number.relative = false;
    }
    let texts = vec![random_text(dice), random_text(dice)];
    let tools = dice.one_in(2).then(|| {
        let fixed = dice.one_in(2);
        line.tools
            .iter()
            .enumerate()
            .map(|(i, tool)| ToolCode {
                tool: tool.name.clone(),
                code: if fixed { format!("T{i}") } else { format!("{}{i}", dice.word("AB;1", 2)) }
                    .into(),
                span: NOWHERE,
            })
            .collect()
    });
    let tools = match tools {
        Some(codes) => ToolNames::Codes(codes),
        None if dice.one_in(2) => ToolNames::Own,
        None => ToolNames::NumbersFrom {
            first: dice.pick(&[0, 1, 9, 99]),
            width: dice.one_in(2).then(|| (1 + dice.below(3), NOWHERE)),
        },
    };
    let gaps = [";", ";", ",", "|", " ", "=", ":", "//", "\n", "\t", ";;", "-", ".", "1", "\"", ""];
    let usual = dice.pick(&gaps[..6]).to_string();
    let gap = |dice: &mut Dice| {
        if dice.one_in(6) { dice.pick(&gaps).to_string() } else { usual.clone() }
    };
    let written = |dice: &mut Dice, field: Field| match field {
        Field::At | Field::End | Field::Length => Written::Number(dice.below(2)),
        Field::Phase | Field::Quantity | Field::Serial | Field::Rise | Field::Run => {
            Written::Number(2)
        }
        Field::Dwell | Field::Settle => Written::Number(3),
        Field::Tool if dice.one_in(2) => Written::Code,
        Field::Warm => {
            let (yes, no) = dice.pick(&[("1", "0"), ("warm", "new"), ("y", "yn"), ("a;", "b")]);
            Written::Choice { yes: yes.into(), no: no.into() }
        }
        _ => Written::Text(dice.below(2)),
    };
    let own_lines = dice.one_in(3);
    let list_separator = dice.pick(&["&", "&", ",", "\n+", "", ";"]);
    let record = |dice: &mut Dice, scope: Scope, fields: &[Field]| {
        let mut fields = fields.to_vec();
        dice.shuffle(&mut fields);
        if dice.one_in(60) {
            fields.pop();
        }
        let mut parts = Vec::new();
        let lead = match scope {
            Scope::Stroke if !own_lines && dice.one_in(2) => String::new(),
            _ if dice.one_in(40) => dice.pick(&["S", "CUT-", "MARK", "STOP;", "", ""]).to_string(),
            scope => scope.word().to_uppercase(),
        };
        parts.push(literal(format!(
            "{lead}{}",
            if lead.is_empty() { String::new() } else { gap(dice) }
        )));
        for (index, field) in fields.iter().enumerate() {
            if index > 0 {
                parts.push(literal(gap(dice)));
            }
            parts.push(Part::Field {
                field: *field,
                written: written(dice, *field),
                span: NOWHERE,
            });
        }
        if scope == Scope::Stop && !own_lines {
            let strokes = Part::Strokes { separator: list_separator.into(), span: NOWHERE };
            parts.push(literal(gap(dice)));
            parts.push(strokes);
        }
        if dice.one_in(3) {
            parts.push(literal(gap(dice)));
        }
        Record { parts, span: NOWHERE }
    };
    let mut run = vec![
        Field::Program,
        Field::Batch,
        Field::Line,
        Field::Profile,
        Field::Coil,
        Field::Warm,
        Field::End,
    ];
    if member && !dice.one_in(20) {
        run.pop();
    }
    dice.shuffle(&mut run);
    let (begin, end) = run.split_at(4 + dice.below(3));
    let (mut cut_piece, mut cut_scrap) = (vec![Field::At, Field::Serial], vec![Field::At]);
    if line.shear.slopes.is_empty() == dice.one_in(6) {
        cut_piece.extend([Field::Rise, Field::Run]);
        cut_scrap.extend([Field::Rise, Field::Run]);
    }
    let mut stroke = vec![Field::Phase, Field::Tool];
    let mut stop = vec![Field::At];
    let phases = dice.one_in(if own_lines { 2 } else { 30 });
    if phases || (line.firing == Firing::AtOnce && dice.one_in(2)) {
        stroke.remove(0);
    }
    // Strokes may say where they are, and do so where their stop has no record.
    let says_at = own_lines && dice.one_in(2) || dice.one_in(12);
    let without_stop = says_at && own_lines && !dice.one_in(3) || dice.one_in(60);
    if says_at {
        stroke.push(Field::At);
    }
    if dice.one_in(3) {
        stroke.push(Field::Dwell);
        stop.push(Field::Settle);
        cut_scrap.push(Field::Dwell);
        cut_piece.push(Field::Settle);
    }
    let mut records = Records(vec![
        (Scope::RunBegin, record(dice, Scope::RunBegin, begin)),
        (Scope::Stop, record(dice, Scope::Stop, &stop)),
        (Scope::Stroke, record(dice, Scope::Stroke, &stroke)),
        (Scope::CutPiece, record(dice, Scope::CutPiece, &cut_piece)),
        (Scope::CutScrap, record(dice, Scope::CutScrap, &cut_scrap)),
        (Scope::Mark, record(dice, Scope::Mark, &[Field::At, Field::Text])),
        (Scope::RunEnd, record(dice, Scope::RunEnd, end)),
    ]);
    if without_stop {
        records.0.retain(|(scope, _)| *scope != Scope::Stop);
    }
    if phases {
        records.0.push((Scope::Wait, record(dice, Scope::Wait, &[Field::Dwell])));
    }
    if phases != dice.one_in(8) {
        records.0.push((Scope::Release, record(dice, Scope::Release, &[Field::Tool])));
    }
    let mut level = Level::Stop;
    if member {
        let mut member = vec![Field::Length, Field::Serial];
        let mut scrap = vec![Field::Length];
        if line.shear.slopes.is_empty() == dice.one_in(6) {
            member.extend([Field::Rise, Field::Run]);
            scrap.extend([Field::Rise, Field::Run]);
        }
        if dice.one_in(2) {
            member.push(Field::Quantity);
        }
        let own_texts = dice.one_in(3);
        if own_texts {
            member.push(Field::Text);
        }
        records.0.retain(|(scope, _)| matches!(scope, Scope::RunBegin | Scope::RunEnd));
        records.0.extend([
            (Scope::Member, record(dice, Scope::Member, &member)),
            (Scope::Feature, record(dice, Scope::Feature, &[Field::At, Field::Tool])),
        ]);
        if !dice.one_in(8) {
            records.0.push((Scope::Scrap, record(dice, Scope::Scrap, &scrap)));
        }
        if own_texts == dice.one_in(8) {
            let mark = record(dice, Scope::Mark, &[Field::At, Field::Text]);
            records.0.push((Scope::Mark, mark));
        }
        level = Level::Member(random_controller(dice));
    }
    Dialect {
        name: "random".into(),
        level,
        characters: dice.pick(&[
            Characters::Ascii,
            Characters::Latin1,
            Characters::Utf8,
            Characters::Utf8,
        ]),
        line_end: dice.pick(&[LineEnd::Lf, LineEnd::CrLf]),
        limits: Limits {
            line: dice.one_in(5).then_some((90, NOWHERE)),
            field: dice.one_in(5).then_some((24, NOWHERE)),
            count: dice.one_in(3).then_some((2, NOWHERE)),
            members: dice.one_in(4).then_some((1 + dice.below(3), NOWHERE)),
            lines: dice.one_in(6).then_some((8 + dice.below(20), NOWHERE)),
            bytes: dice.one_in(8).then_some((200 + dice.below(400), NOWHERE)),
        },
        files: None,
        numbers,
        texts,
        tools,
        records,
        span: NOWHERE,
    }
}

fn random_name(dice: &mut Dice) -> std::sync::Arc<str> {
    let letters = dice.pick(&[
        "ABn7-",
        "ABn7-",
        "AB \"';,",
        "Ab\\%n\"",
        "é漢\u{1f6e0}a*",
        "a\n\t\u{1}\u{7f}\u{85}|=/:",
    ]);
    dice.word(letters, 6).into()
}

/// In any phases, or as planning makes them: every phase from 0 on, sorted.
fn random_strokes(dice: &mut Dice, line: &Line, by_phase: bool) -> Vec<Stroke> {
    let mut phase = 0;
    let mut strokes: Vec<Stroke> = (0..1 + dice.below(3))
        .map(|_| {
            let any = dice.roll() as u8 >> dice.below(8);
            let tool = ToolId(dice.below(line.tools.len()) as u16);
            let stroke = Stroke { phase: if by_phase { phase } else { any }, tool };
            phase += u8::from(dice.one_in(3));
            stroke
        })
        .collect();
    if by_phase {
        strokes.sort();
    }
    strokes
}

fn random_program(dice: &mut Dice, line: &Line, members: bool) -> Program {
    let step = line.grid.increment().nm();
    let mut now = if dice.one_in(4) { -(dice.below(1_000) as i64) * step } else { 0 };
    let mut advance = |dice: &mut Dice| {
        let most = dice.pick(&[1, 10, 10_000, 1_000_000]);
        now += dice.below(most) as i64 * step;
        Advance::at(Length::from_nm(now))
    };
    let by_phase = dice.one_in(2);
    let at_once = line.firing == Firing::AtOnce && !dice.one_in(8);
    let mut events: Vec<Event> = (0..dice.below(12))
        .map(|_| {
            let at = advance(dice);
            let slopes = !line.shear.slopes.is_empty() || dice.one_in(20);
            let slope = if slopes { dice.pick(&SLOPES) } else { Slope::SQUARE };
            match dice.below(4) {
                0 => Event::Cut {
                    at,
                    piece: Some(Serial(dice.roll() as u32 >> dice.below(32))),
                    slope,
                },
                1 => Event::Cut { at, piece: None, slope },
                2 => Event::Mark { at, text: random_name(dice) },
                _ => Event::Stop { at, strokes: random_strokes(dice, line, by_phase) },
            }
        })
        .collect();
    for event in events.iter_mut().filter(|_| at_once) {
        if let Event::Stop { strokes, .. } = event {
            strokes.iter_mut().for_each(|stroke| stroke.phase = 0);
        }
    }
    if members != dice.one_in(6) {
        now_cut(dice, line, &mut events);
    }
    Program {
        id: random_name(dice),
        batch: random_name(dice),
        line: random_name(dice),
        profile: random_name(dice),
        coil: random_name(dice),
        warm: dice.one_in(2),
        events,
        end: advance(dice),
    }
}

/// Members that are alike behind everything else, as a list of members ends.
fn now_cut(dice: &mut Dice, line: &Line, events: &mut Vec<Event>) {
    let farthest = line.stations.iter().map(|station| station.offset);
    let farthest = farthest.chain(line.marker.iter().map(|marker| marker.offset)).max();
    let last = events.iter().map(Event::at).max().unwrap_or(Advance::ZERO);
    let first = last + farthest.unwrap_or(Length::ZERO).max(Length::ZERO) + Length::from_mm(100);
    let pitch = Length::from_mm(800) + line.shear.slug;
    let tool = ToolId(dice.below(line.tools.len()) as u16);
    let offset = line.stations[usize::from(line.tools[usize::from(tool.0)].station.0)].offset;
    let mut more = Vec::new();
    let mut at = line.grid.ceil(first);
    for serial in 0..1 + dice.below(6) as u32 {
        more.push(Event::Cut { at, piece: Some(Serial(serial)), slope: Slope::SQUARE });
        let due = line.grid.nearest(Advance::at(at.distance() + Length::from_mm(400) - offset));
        at = line.grid.nearest(at + pitch);
        let strokes = vec![Stroke { phase: 0, tool }];
        more.push(Event::Stop { at: due, strokes });
    }
    more.push(Event::Cut { at, piece: Some(Serial(99)), slope: Slope::SQUARE });
    events.extend(more);
    events.sort_by_key(Event::at);
}

/// One change to some bytes.
fn damage(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    let at = dice.below(bytes.len());
    match dice.below(8) {
        0 => bytes[at] ^= 1 << dice.below(8),
        1 => bytes[at] = dice.pick(b"0123456789.-+;, \"\\\n\r"),
        2 => drop(bytes.remove(at)),
        3 => bytes.insert(at, dice.pick(b"0123456789.-+;, \"\\\n\ra")),
        4 => bytes.truncate(at),
        5 => {
            let other = dice.below(bytes.len());
            bytes.swap(at, other);
        }
        kind => {
            let mut lines: Vec<Vec<u8>> =
                bytes.split_inclusive(|&b| b == b'\n').map(<[u8]>::to_vec).collect();
            let (from, to) = (dice.below(lines.len()), dice.below(lines.len()));
            if kind == 6 {
                let line = lines[from].clone();
                lines.insert(to, line);
            } else {
                lines.swap(from, to);
            }
            bytes = lines.concat();
        }
    }
    bytes
}

/// What happened in one random case.
#[derive(Default, Debug)]
struct Tally {
    /// Why descriptions were refused, by code.
    refused: BTreeMap<&'static str, usize>,
    proved: usize,
    /// Why programs were not printed.
    not_printed: BTreeMap<&'static str, usize>,
    printed: usize,
    /// Of them, programs told phase by phase.
    phases: usize,
    /// Of them, programs with a stop that has no record, and by descriptions with a width of text,
    /// with digits without a point.
    without_stop: usize,
    columns: usize,
    pointless: usize,
    /// Of them, programs told as members with something made on them, and with repeats.
    members: usize,
    repeats: usize,
    /// Programs in several files, and why others that are too long were not split.
    split: usize,
    not_split: BTreeMap<&'static str, usize>,
    /// Why damaged bytes were not read.
    not_read: BTreeMap<&'static str, usize>,
    /// Damaged bytes that are another program, whose bytes they are.
    another: usize,
}

/// The files of a run are within the limits, each is a program of its own, and together they are
/// the run; in no other order, and with none of them left out.
fn split(
    invertible: &Invertible,
    program: &Program,
    whole: &coilwright::dialect::Printed,
    seed: u64,
    tally: &mut Tally,
) {
    let files = match invertible.files(program, whole, 1) {
        Ok(files) => files,
        Err(why) => {
            *tally.not_split.entry(why.code.number).or_default() += 1;
            return;
        }
    };
    if files.len() < 2 {
        return;
    }
    tally.split += 1;
    let bytes: Vec<(FileId, &[u8])> =
        files.iter().map(|file| (FILE, file.printed.bytes.as_slice())).collect();
    let read = invertible.read_files(&bytes).unwrap();
    assert_eq!(read.program, *program, "seed {seed}");
    assert_eq!(read.spans.len(), program.events.len());
    let is_the_run = |files: &[(FileId, &[u8])]| {
        invertible.read_files(files).is_ok_and(|read| read.program == *program)
    };
    for at in 0..bytes.len() {
        let mut others = bytes.clone();
        let taken = others.remove(at);
        assert!(!is_the_run(&others), "seed {seed}: without file {at}");
        others.push(taken);
        assert_eq!(is_the_run(&others), at + 1 == bytes.len(), "seed {seed}: file {at} last");
    }
}

fn case(seed: u64, tally: &mut Tally) {
    let mut dice = Dice(seed);
    let line = random_line(&mut dice);
    let dialect = random_dialect(&mut dice, &line);
    let invertible = match Invertible::prove(&dialect, &line) {
        Ok(invertible) => invertible,
        Err(found) => {
            assert!(!found.is_empty());
            for diagnostic in found {
                *tally.refused.entry(diagnostic.code.number).or_default() += 1;
            }
            return;
        }
    };
    tally.proved += 1;
    for _ in 0..8 {
        let program = random_program(&mut dice, &line, dialect.level != Level::Stop);
        let program = match invertible.told(&program) {
            Ok(told) => told,
            Err(why) => {
                *tally.not_printed.entry(why.code.number).or_default() += 1;
                continue;
            }
        };
        assert_eq!(invertible.told(&program).unwrap(), program, "seed {seed}");
        let printed = match invertible.print(&program) {
            Ok(printed) => printed,
            Err(why) => {
                assert_ne!(why.code.number, "E0735", "seed {seed}: {}\n{dialect:#?}", why.message);
                *tally.not_printed.entry(why.code.number).or_default() += 1;
                continue;
            }
        };
        tally.printed += 1;
        tally.phases += usize::from(dialect.records.has(Scope::Wait));
        let stop = |event: &Event| matches!(event, Event::Stop { .. });
        let stops = dialect.level == Level::Stop && program.events.iter().any(stop);
        tally.without_stop += usize::from(stops && !dialect.records.has(Scope::Stop));
        tally.columns += usize::from(dialect.texts.iter().any(|text| text.width.is_some()));
        let pointless = |number: &NumberFormat| number.last_place.is_some();
        tally.pointless += usize::from(dialect.numbers.iter().any(pointless));
        if let Level::Member(_) = dialect.level {
            let strokes = |event: &Event| matches!(event, Event::Stop { .. });
            tally.members += usize::from(program.events.iter().any(strokes));
            let lines = |pair: &[coilwright::dialect::Block]| pair[0].bytes == pair[1].bytes;
            tally.repeats += usize::from(printed.blocks.windows(2).any(lines));
        }
        // Not by way of the printer's own check.
        let read = invertible.read(FILE, &printed.bytes).unwrap();
        assert_eq!(read.program, program, "seed {seed}");
        assert_eq!(read.blocks, printed.blocks, "seed {seed}");
        split(&invertible, &program, &printed, seed, tally);
        for _ in 0..24 {
            let bytes = damage(&mut dice, &printed.bytes);
            if bytes == printed.bytes {
                continue;
            }
            match invertible.read(FILE, &bytes) {
                Err(why) => *tally.not_read.entry(why.code.number).or_default() += 1,
                Ok(read) => {
                    tally.another += 1;
                    assert_ne!(read.program, program, "seed {seed}: damage went unseen");
                    let again = invertible.print(&read.program).unwrap();
                    assert!(again.bytes == bytes, "seed {seed}: a second spelling was read");
                }
            }
        }
    }
}

#[test]
fn proved_descriptions_print_and_read_back() {
    let mut tally = Tally::default();
    for seed in 0..16_000 {
        case(seed, &mut tally);
    }
    // The dice reach every corner: enough is proved, printed, damaged into other programs.
    assert!(tally.proved > 600, "{tally:#?}");
    assert!(tally.printed > 2_000 && tally.another > 2_000, "{tally:#?}");
    assert!(tally.phases > 100, "{tally:#?}");
    assert!(tally.without_stop > 100, "{tally:#?}");
    assert!(tally.columns > 300 && tally.pointless > 500, "{tally:#?}");
    assert!(tally.members > 1_000 && tally.repeats > 100, "{tally:#?}");
    assert!(tally.split > 300 && tally.not_split.keys().eq(["E0736"].iter()), "{tally:#?}");
    for code in [
        "E0719", "E0721", "E0704", "E0707", "E0708", "E0709", "E0710", "E0713", "E0715", "E0716",
        "E0717",
    ] {
        assert!(tally.refused.contains_key(code), "{code} never: {tally:#?}");
    }
    for code in ["E0730", "E0731", "E0732", "E0733", "E0738"] {
        assert!(tally.not_printed.contains_key(code), "{code} never: {tally:#?}");
    }
    for code in
        ["E0750", "E0751", "E0752", "E0753", "E0754", "E0755", "E0756", "E0757", "E0758", "E0759"]
    {
        assert!(tally.not_read.contains_key(code), "{code} never: {tally:#?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_description_any_program(seed in any::<u64>()) {
        case(seed, &mut Tally::default());
    }

    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        for dialect in [shipped(), described(PLAIN), described(MEMBERS)] {
            let invertible = Invertible::prove(&dialect, &shed_line()).unwrap();
            prop_assert!(invertible.read(FILE, &bytes).is_err());
        }
    }

    /// Pieces of real programs in any order: much closer to readable than any bytes.
    #[test]
    fn any_shards_are_survived(picks in proptest::collection::vec((0_usize..400, 1_usize..60), 0..40)) {
        for dialect in [shipped(), described(PLAIN), described(MEMBERS)] {
            let invertible = Invertible::prove(&dialect, &shed_line()).unwrap();
            let program = invertible.told(&small_program()).unwrap();
            let whole = invertible.print(&program).unwrap().bytes;
            let mut bytes = whole[..whole.len().min(62)].to_vec();
            for &(from, length) in &picks {
                let from = from % whole.len();
                bytes.extend_from_slice(&whole[from..(from + length).min(whole.len())]);
            }
            if let Ok(read) = invertible.read(FILE, &bytes) {
                prop_assert_eq!(invertible.print(&read.program).unwrap().bytes, bytes);
            }
        }
    }
}
