//! The proof that a description prints in one way what can be read in one way.

mod least;
mod member;

use super::Invertible;
use super::lower::{self, Coding, Formats, Op, Step};
use super::member::Model;
use super::text::alike;
use super::times::Times;
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Dialect, Field, Firing, Line, Part, Scope, Written};
use crate::quantity::Span;

/// Records that may follow each other, told apart by their first literal.
const EVENTS: [Scope; 5] =
    [Scope::Stop, Scope::CutPiece, Scope::CutScrap, Scope::Mark, Scope::RunEnd];

/// The same at member level.
const PARTS: [Scope; 5] = [Scope::Member, Scope::Scrap, Scope::Feature, Scope::Mark, Scope::RunEnd];

pub(super) fn prove(dialect: &Dialect, line: &Line) -> Result<Invertible, Vec<Diagnostic>> {
    let mut found = Vec::new();
    let formats = Formats::prove(dialect, line, &mut found);
    check_fields(dialect, line, &mut found);
    member::check(dialect, line, &mut found);
    check_phases(dialect, &mut found);
    let lists = lists_strokes(dialect);
    let records: Vec<Vec<Option<Step>>> = Scope::ALL
        .iter()
        .map(|&scope| {
            let ends_line = scope != Scope::Stroke || !lists;
            lower::record(dialect, &formats, scope, ends_line, &mut found)
        })
        .collect();
    let draft = Draft { lists, records };
    check_leads(dialect, &draft, &mut found);
    for &scope in Scope::ALL {
        check_ends(&draft, scope, &mut found);
    }
    if !found.is_empty() {
        return Err(found);
    }
    // A step that is missing was reported.
    let steps = |steps: Vec<Option<Step>>| steps.into_iter().flatten().collect();
    let invertible = Invertible {
        name: dialect.name.clone(),
        characters: dialect.characters,
        line_end: dialect.line_end,
        limits: dialect.limits,
        files: dialect.files.clone(),
        pitch: line.marker.as_ref().filter(|m| m.stamp.is_none()).map(|marker| marker.pitch),
        lists,
        records: draft.records.into_iter().map(steps).collect(),
        times: Times::of(line),
        model: dialect.level.controller().map(|controller| Model::of(*controller, line)),
    };
    let found = least::check(&invertible, dialect, line);
    if found.is_empty() { Ok(invertible) } else { Err(found) }
}

/// The steps of all records while they are being proved; `None` for a step that is already
/// reported, about which nothing more is said.
struct Draft {
    /// Whether strokes stand in a list inside their stop.
    lists: bool,
    /// By scope.
    records: Vec<Vec<Option<Step>>>,
}

impl Draft {
    fn steps(&self, scope: Scope) -> &[Option<Step>] {
        self.records.get(scope as usize).map_or(&[], Vec::as_slice)
    }
}

/// Whether strokes stand in a list inside their stop.
fn lists_strokes(dialect: &Dialect) -> bool {
    let is_list = |part: &Part| matches!(part, Part::Strokes { .. });
    dialect.records.of(Scope::Stop).is_some_and(|record| record.parts.iter().any(is_list))
}

/// Where phases end with a wait, strokes stand on lines of their own, and what is released was
/// fired.
fn check_phases(dialect: &Dialect, found: &mut Vec<Diagnostic>) {
    let wait = dialect.records.of(Scope::Wait);
    if let Some(wait) = wait.filter(|_| lists_strokes(dialect)) {
        found.push(
            Diagnostic::new(&codes::E0719, "`stop` lists its strokes, and `wait` ends phases")
                .at(wait.span, "which strokes does it wait for?")
                .note("the reader could not see where one phase ends and the next begins")
                .help("leave the list out of `stop`: each stroke then has a line of its own"),
        );
    }
    if let (None, Some(release)) = (wait, dialect.records.of(Scope::Release)) {
        found.push(
            Diagnostic::new(&codes::E0719, "`release` is described, and no `wait`")
                .at(release.span, "released after what?")
                .note("strokes are released after the wait that ends their phase")
                .help("describe `wait`, or let `stroke` fire and release the tool by itself"),
        );
    }
}

/// Every field the level carries stands in its record, once; the run's fields at its head or at
/// its end. The slope of a cut need not be written where the line's shear has none.
fn check_fields(dialect: &Dialect, line: &Line, found: &mut Vec<Diagnostic>) {
    let mut run: Vec<(Field, Span)> = Vec::new();
    let by_phase = dialect.records.has(Scope::Wait);
    for &scope in Scope::ALL {
        let Some(record) = dialect.records.of(scope) else { continue };
        let mut seen: Vec<(Field, Span)> = Vec::new();
        let mut list: Option<Span> = None;
        for part in &record.parts {
            match part {
                Part::Literal { .. } => {}
                Part::Strokes { span, .. } => {
                    if scope != Scope::Stop {
                        found.push(
                            Diagnostic::new(
                                &codes::E0703,
                                format!("record `{scope}` holds a list of strokes"),
                            )
                            .at(*span, "only a stop has strokes")
                            .help("move the list to `stop`"),
                        );
                    } else if let Some(first) = list.replace(*span) {
                        found.push(
                            Diagnostic::new(&codes::E0705, "`stop` lists its strokes twice")
                                .at(*span, "again")
                                .at(first, "first")
                                .help("keep one of them"),
                        );
                    }
                }
                Part::Field { field, span, written: _ } => {
                    if !scope.takes(*field, &dialect.level) {
                        found.push(out_of_place(dialect, scope, *field, *span));
                        continue;
                    }
                    if by_phase && *field == Field::Phase {
                        found.push(phase_twice(*span));
                        continue;
                    }
                    check_relative(dialect, scope, part, found);
                    let is_run = matches!(scope, Scope::RunBegin | Scope::RunEnd);
                    let seen = if is_run { &mut run } else { &mut seen };
                    match seen.iter().find(|(other, _)| other == field) {
                        Some((_, first)) => found.push(
                            Diagnostic::new(&codes::E0705, format!("`{field}` stands twice"))
                                .at(*span, "again")
                                .at(*first, "first")
                                .note("two places could say two different things")
                                .help("keep one of them"),
                        ),
                        None => seen.push((*field, *span)),
                    }
                }
            }
        }
        let of_run = matches!(scope, Scope::RunBegin | Scope::RunEnd);
        if of_run {
            continue;
        }
        let needed = |field: Field| match (scope, field) {
            // One stop has one phase, or its waits tell them.
            (Scope::Stroke, Field::Phase) => !by_phase && line.firing == Firing::InPhases,
            // Without a record of its own, a stop is where its strokes are.
            (Scope::Stroke, Field::At) => !dialect.records.has(Scope::Stop),
            _ => scope.needs(field, &dialect.level),
        };
        let missing = |f: &Field| needed(*f) && !seen.iter().any(|(had, _)| had == f);
        let slopes = |field: &Field| matches!(field, Field::Rise | Field::Run);
        let turned = !line.shear.slopes.is_empty();
        let half = seen.iter().any(|(had, _)| slopes(had));
        let all = Field::ALL.iter().copied().filter(missing);
        let all: Vec<Field> = all.filter(|field| !slopes(field) || turned || half).collect();
        if let Some(mut finding) = are_missing(scope, &all, record.span) {
            if all.contains(&Field::Phase) {
                finding = finding.note(format!(
                    "line `{}` fires the strokes of a stop in phases; one that fires them all at \
                     once says `firing = \"at-once\"` in its file, and has no phases to tell",
                    line.name
                ));
            }
            if all.iter().any(slopes) {
                finding = finding.note(format!(
                    "the shear of line `{}` is turned to slopes: each cut has to say which",
                    line.name
                ));
            }
            found.push(finding);
        }
    }
    let missing = |f: &Field| {
        Scope::RunBegin.needs(*f, &dialect.level) && !run.iter().any(|(had, _)| had == f)
    };
    let all: Vec<Field> = Field::ALL.iter().copied().filter(missing).collect();
    let (end, begin): (Vec<Field>, Vec<Field>) = all.into_iter().partition(|f| *f == Field::End);
    for (scope, all) in [(Scope::RunBegin, begin), (Scope::RunEnd, end)] {
        let span = dialect.records.of(scope).map_or(dialect.span, |record| record.span);
        found.extend(are_missing(scope, &all, span));
    }
}

fn out_of_place(dialect: &Dialect, scope: Scope, field: Field, span: Span) -> Diagnostic {
    let level = &dialect.level;
    let takers: Vec<String> = Scope::ALL
        .iter()
        .filter(|s| s.is_of(level) && s.takes(field, level))
        .map(|s| format!("`{s}`"))
        .collect();
    Diagnostic::new(&codes::E0703, format!("record `{scope}` has no `{field}`"))
        .at(span, "no value here")
        .help(match takers.is_empty() {
            true => format!("leave it out: at {} level nothing has `{field}`", level.word()),
            false => format!("`{field}` belongs to {}", takers.join(" or ")),
        })
}

fn phase_twice(span: Span) -> Diagnostic {
    Diagnostic::new(&codes::E0719, "strokes say their phase, and `wait` ends phases")
        .at(span, "said here")
        .note("the program could say two different things")
        .help("leave the field out: the strokes before a wait are one phase")
}

/// What a record leaves out, told once.
fn are_missing(scope: Scope, fields: &[Field], span: Span) -> Option<Diagnostic> {
    let quoted: Vec<String> = fields.iter().map(|field| format!("`{field}`")).collect();
    let (last, before) = quoted.split_last()?;
    let what = match before {
        [] => last.clone(),
        _ => format!("{} and {last}", before.join(", ")),
    };
    let parts: Vec<String> =
        fields.iter().map(|field| format!("`{{ field = \"{field}\" }}`")).collect();
    let each = if fields.len() > 1 { ", each" } else { "" };
    let help = format!("add {}{each} with its format", parts.join(", "));
    Some(
        Diagnostic::new(&codes::E0704, format!("record `{scope}` does not write {what}"))
            .at(span, "not in here")
            .note("what the program does not carry cannot be read back and proved")
            .help(help),
    )
}

/// The end of the run as a step from the last event can only stand after it; a stroke is where its
/// stop is, and no step from it.
fn check_relative(dialect: &Dialect, scope: Scope, part: &Part, found: &mut Vec<Diagnostic>) {
    let Part::Field { field, written: Written::Number(index), span } = part else { return };
    if !dialect.numbers.get(*index).is_some_and(|format| format.relative) {
        return;
    }
    let (why, label, help) = match (field, scope) {
        (Field::End, Scope::RunBegin) => (
            "`end` is a step from the last event and stands first",
            "nothing to step from",
            "write it in `run-end`, or in a format with absolute advances",
        ),
        (Field::At, Scope::Stroke) => (
            "a stroke says its advance as a step from the event before",
            "from its stop, or from the stroke before?",
            "write it in a format with absolute advances, or leave it out: the stop says it",
        ),
        _ => return,
    };
    found.push(Diagnostic::new(&codes::E0717, why).at(*span, label).help(help));
}

/// Where several records may follow, their leading literals are there and prefix-free.
fn check_leads(dialect: &Dialect, of: &Draft, found: &mut Vec<Diagnostic>) {
    let mut scopes: Vec<Scope> = match dialect.level.controller() {
        None => {
            let strokes_begin = !dialect.records.has(Scope::Stop);
            let begins = |scope: &Scope| *scope != Scope::Stop || !strokes_begin;
            EVENTS.into_iter().filter(begins).collect()
        }
        Some(_) => PARTS.iter().copied().filter(|scope| dialect.records.has(*scope)).collect(),
    };
    if !of.lists && dialect.level.controller().is_none() {
        scopes.push(Scope::Stroke);
    }
    if dialect.records.has(Scope::Wait) {
        scopes.push(Scope::Wait);
    }
    let mut leads: Vec<(Scope, &str, Span)> = Vec::new();
    for scope in scopes {
        // The line end alone is no beginning: an empty line says nothing.
        match of.steps(scope).first() {
            Some(None) => {}
            Some(Some(Step { op: Op::Literal(text), span })) if !text.starts_with(['\r', '\n']) => {
                leads.push((scope, text, *span));
            }
            Some(Some(Step { span, .. })) => found.push(no_lead(scope, *span)),
            None => {
                let span = dialect.records.of(scope).map_or(dialect.span, |record| record.span);
                found.push(no_lead(scope, span));
            }
        }
    }
    for (index, (scope, text, span)) in leads.iter().enumerate() {
        for (other, other_text, other_span) in leads.iter().take(index) {
            if alike(text, other_text) {
                found.push(
                    Diagnostic::new(
                        &codes::E0708,
                        format!(
                            "records `{other}` and `{scope}` begin alike: `{}` and `{}`",
                            other_text.escape_debug(),
                            text.escape_debug()
                        ),
                    )
                    .at(*span, format!("`{scope}`"))
                    .at(*other_span, format!("`{other}`"))
                    .note("the reader could take one for the other: a stop for a cut")
                    .help("let them differ before their first field"),
                );
            }
        }
    }
}

fn no_lead(scope: Scope, span: Span) -> Diagnostic {
    Diagnostic::new(&codes::E0707, format!("record `{scope}` does not begin with a fixed text"))
        .at(span, "begins here")
        .note("the reader could take its line for another record's")
        .help("begin it with a literal, such as a word of its own")
}

/// Every field ends where the reader can see it, and every list.
fn check_ends(of: &Draft, scope: Scope, found: &mut Vec<Diagnostic>) {
    for (index, step) in of.steps(scope).iter().enumerate() {
        let Some(step) = step else { continue };
        match &step.op {
            Op::Literal(_) => {}
            Op::Field(field, coding) => {
                let mut next = after(of, scope, index).into_iter();
                found.extend(
                    next.find_map(|next| check_field_end(scope, *field, coding, step.span, next)),
                );
            }
            Op::Strokes { separator } => {
                for next in after(of, scope, index) {
                    found.extend(check_list_end(separator, step.span, next));
                }
            }
        }
    }
}

/// What may follow step `index` of a record: each a literal, or `None` for a field. Nothing where
/// that is not known.
fn after(of: &Draft, scope: Scope, index: usize) -> Vec<Option<&str>> {
    match of.steps(scope).get(index + 1) {
        Some(Some(Step { op: Op::Strokes { .. }, .. })) => match of.steps(Scope::Stroke).first() {
            Some(step) => begins(step),
            None => Vec::new(),
        },
        Some(step) => begins(step),
        // Only an item of a list has nothing after it: the next item, or what ends the list.
        None if scope == Scope::Stroke && of.lists => {
            let stop = of.steps(Scope::Stop);
            let list = stop.iter().enumerate().find_map(|(at, step)| match step {
                Some(Step { op: Op::Strokes { separator }, .. }) => Some((at, &**separator)),
                _ => None,
            });
            let Some((at, separator)) = list else { return Vec::new() };
            let mut next = vec![Some(separator)];
            next.extend(stop.get(at + 1).map(begins).unwrap_or_default());
            next
        }
        None => Vec::new(),
    }
}

fn begins(step: &Option<Step>) -> Vec<Option<&str>> {
    match step.as_ref().map(|step| &step.op) {
        Some(Op::Literal(text)) => vec![Some(text)],
        Some(_) => vec![None],
        None => Vec::new(),
    }
}

fn check_field_end(
    scope: Scope,
    field: Field,
    coding: &Coding,
    span: Span,
    next: Option<&str>,
) -> Option<Diagnostic> {
    let text = next.unwrap_or("");
    let ends = match coding {
        Coding::Number(number) => {
            number.is_fixed() || text.chars().next().is_some_and(|c| !number.may_hold(c))
        }
        Coding::Code(codes) => codes.is_fixed() || codes.ends_before(text),
        Coding::Text(format) | Coding::Quoted(format, _) => {
            format.is_fixed() || format.ends_before(text)
        }
    };
    if ends {
        return None;
    }
    let diagnostic = match next.filter(|text| !text.is_empty()) {
        Some(text) => Diagnostic::new(
            &codes::E0709,
            format!(
                "`{field}` in `{scope}` is followed by `{}`, which can continue it",
                text.escape_debug()
            ),
        ),
        None => Diagnostic::new(
            &codes::E0709,
            format!("`{field}` in `{scope}` is followed by another value, with nothing between"),
        ),
    };
    let help = match coding {
        Coding::Number(_) => {
            "put a literal after it that begins with no digit, sign or point; or give the number \
             a `width`"
        }
        Coding::Code(_) => {
            "put a literal after it that begins with a character of no code; or make all codes \
             equally long"
        }
        Coding::Text(_) | Coding::Quoted(..) => {
            "quote the text, list the character that follows it under `refuse`, or give its format \
             a `width`"
        }
    };
    let place = diagnostic.at(span, "where does it end?");
    Some(place.note("the same bytes could be read as two different programs").help(help))
}

fn check_list_end(separator: &str, span: Span, next: Option<&str>) -> Option<Diagnostic> {
    let diagnostic = |why: String| {
        Some(
            Diagnostic::new(&codes::E0710, why)
                .at(span, "this list")
                .note("the reader could not see whether another stroke follows")
                .help(
                    "give it a separator such as `,`, and after it a literal such as `]` that \
                     begins another way",
                ),
        )
    };
    if separator.is_empty() {
        return diagnostic("the list of strokes has no separator".into());
    }
    match next {
        None => diagnostic("the list of strokes is followed by a value".into()),
        Some(close) if alike(separator, close) => diagnostic(format!(
            "the list of strokes is parted by `{}` and ended by `{}`",
            separator.escape_debug(),
            close.escape_debug()
        )),
        Some(_) => None,
    }
}
