//! Which column holds what: the map's names looked up in the line of names.

use super::record::record;
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::exchange::map::{FeatureColumns, Map};
use crate::library::reading::At;
use crate::quantity::{FileId, Span};

/// A list's columns by number.
pub(super) struct Layout<'m> {
    pub separator: u8,
    pub width: usize,
    pub frame: Option<usize>,
    pub kind: Option<usize>,
    pub title: Option<usize>,
    pub mark: usize,
    pub usage: Option<usize>,
    pub profile: Option<usize>,
    pub length: usize,
    pub quantity: Option<usize>,
    pub start: Option<usize>,
    pub end: Option<usize>,
    /// A last column without a name: a separator at the end of each line, and nothing after it.
    pub nameless: Option<usize>,
    pub features: Vec<Place<'m>>,
    pub skip: Vec<(usize, &'m [String], &'m str)>,
    /// Names of columns that are put aside.
    pub ignored: Vec<String>,
}

/// Columns of features.
pub(super) struct Place<'m> {
    pub code: Option<usize>,
    pub is: Option<&'m str>,
    pub at: Vec<usize>,
    pub to: Option<usize>,
    pub across: Option<usize>,
    pub size: Option<usize>,
    pub width: Option<usize>,
    pub face: Option<usize>,
    pub between: Option<&'m str>,
    pub list: Option<(usize, Form)>,
}

impl Place<'_> {
    /// Whether a row says nothing in these columns.
    pub fn is_empty<'r>(&self, cell: &impl Fn(usize) -> &'r str) -> bool {
        let one = [self.code, self.to, self.across, self.size, self.width, self.face];
        let list = self.list.as_ref().map(|(column, _)| *column);
        let all = one.into_iter().chain([list]).flatten();
        all.chain(self.at.iter().copied()).all(|column| cell(column).is_empty())
    }
}

/// A part of an entry.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Part {
    Code,
    At,
    To,
    Across,
    Size,
    Width,
    Face,
}

const PARTS: [(&str, Part); 7] = [
    ("code", Part::Code),
    ("at", Part::At),
    ("to", Part::To),
    ("across", Part::Across),
    ("size", Part::Size),
    ("width", Part::Width),
    ("face", Part::Face),
];

/// How an entry is written: what stands first, then parts, each with what follows it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Form {
    before: String,
    parts: Vec<(Part, String)>,
}

impl Form {
    /// Takes `{code}@{at}` apart; the error says what is wrong.
    fn of(text: &str) -> Result<Form, &'static str> {
        let mut pieces = text.split('{');
        let before = pieces.next().unwrap_or("").to_string();
        let mut parts: Vec<(Part, String)> = Vec::new();
        for piece in pieces {
            let (word, after) = piece.split_once('}').ok_or("a `{` is not closed")?;
            let part = PARTS.iter().find(|(known, _)| *known == word).map(|(_, part)| *part);
            let part =
                part.ok_or("there are {code}, {at}, {to}, {across}, {size}, {width} and {face}")?;
            if parts.iter().any(|(known, _)| *known == part) {
                return Err("a part stands in it twice");
            }
            if parts.last().is_some_and(|(_, between)| between.is_empty()) {
                return Err("two parts need a sign between them");
            }
            parts.push((part, after.to_string()));
        }
        match parts.iter().any(|(part, _)| *part == Part::Code) {
            true => Ok(Form { before, parts }),
            false => Err("it has no {code}"),
        }
    }
    /// What an entry says; `None` where it is not of this form. It may end before any of its signs:
    /// of `{code}@{at}/{size}`, `SW` and `D@20` are entries too.
    pub fn read<'t>(&self, entry: &'t str) -> Option<Vec<(Part, &'t str)>> {
        let mut rest = entry.trim().strip_prefix(self.before.as_str())?;
        let mut said = Vec::with_capacity(self.parts.len());
        for (i, (part, after)) in self.parts.iter().enumerate() {
            if i + 1 == self.parts.len() {
                said.push((*part, rest.strip_suffix(after.as_str()).unwrap_or(rest).trim()));
                break;
            }
            match rest.split_once(after.as_str()) {
                Some((value, beyond)) => {
                    said.push((*part, value.trim()));
                    rest = beyond;
                }
                None => {
                    said.push((*part, rest.trim()));
                    break;
                }
            }
        }
        Some(said)
            .filter(|said| said.iter().any(|(part, text)| *part == Part::Code && !text.is_empty()))
    }
}

/// The line of names.
pub(super) struct Header<'t> {
    pub file: FileId,
    /// Bytes of the file.
    pub len: usize,
    pub text: &'t str,
    /// Where it begins in the file.
    pub start: usize,
    /// What parts its names, and the cells of every row.
    pub separator: u8,
}

impl Header<'_> {
    fn span(&self, range: &std::ops::Range<usize>) -> Span {
        let place = |at: usize| u32::try_from((self.start + at).min(self.len)).unwrap_or(u32::MAX);
        Span::new(self.file, place(range.start), place(range.end.max(range.start + 1)))
    }
    fn whole(&self) -> Span {
        self.span(&(0..self.text.len().max(1)))
    }
}

/// Looks every column up; what is missing, twice or unmapped is told all at once.
pub(super) fn layout<'m>(
    map: &'m Map,
    header: &Header<'_>,
    found: &mut Vec<Diagnostic>,
) -> Option<Layout<'m>> {
    let separator = header.separator;
    let ranges = record(header.text, separator).cells;
    let names: Vec<String> =
        ranges.iter().map(|range| unquoted(header.text.get(range.clone()).unwrap_or(""))).collect();
    let Some(columns) = &map.columns else {
        found.push(
            Diagnostic::new(&codes::E1103, "the map has no [columns], and this is a list")
                .at(header.whole(), format!("has {}", names.join(", ")))
                .help("add [columns] with `mark`, `length` and the others"),
        );
        return None;
    };
    let before = found.len();
    for (i, name) in names.iter().enumerate() {
        let twice = names.iter().take(i).any(|other| other.to_lowercase() == name.to_lowercase());
        if let (true, false, Some(range)) = (twice, name.is_empty(), ranges.get(i)) {
            found.push(
                Diagnostic::new(&codes::E1122, format!("there are two columns `{name}`"))
                    .at(header.span(range), "the second")
                    .help("rename one of them where the list is made"),
            );
        }
    }
    let mut used = vec![false; names.len()];
    let mut find = |at: &At<String>| -> Option<usize> {
        let wanted = at.value.trim();
        match names.iter().position(|name| name.to_lowercase() == wanted.to_lowercase()) {
            Some(i) => {
                if let Some(used) = used.get_mut(i) {
                    *used = true;
                }
                Some(i)
            }
            None => {
                let help = match closest(wanted, names.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None if names.iter().all(String::is_empty) => {
                        "no name stands there: look whether this is the whole list, and at \
                         `header-line` of the map"
                            .to_string()
                    }
                    None => format!("the list has {}", names.join(", ")),
                };
                found.push(
                    Diagnostic::new(&codes::E1111, format!("the list has no column `{wanted}`"))
                        .at(at.span, "named here")
                        .at(header.whole(), "the line of names")
                        .help(help),
                );
                None
            }
        }
    };
    let mark = find(&columns.mark);
    let length = find(&columns.length);
    let mut maybe = |at: &Option<At<String>>| at.as_ref().and_then(&mut find);
    let frame = maybe(&columns.frame);
    let kind = maybe(&columns.kind);
    let title = maybe(&columns.title);
    let usage = maybe(&columns.usage);
    let profile = maybe(&columns.profile);
    let quantity = maybe(&columns.quantity);
    let start = maybe(&columns.start);
    let end = maybe(&columns.end);
    let mut features = Vec::new();
    let mut forms = Vec::new();
    for place in map.features.iter().flatten() {
        features.push(feature_columns(place, &mut maybe, &mut forms));
    }
    let mut skip = Vec::new();
    for row in map.skip.iter().flatten() {
        if let Some(i) = maybe(&Some(row.column.clone())) {
            skip.push((i, row.is.value.as_slice(), row.column.value.as_str()));
        }
    }
    let mut ignored = Vec::new();
    for name in columns.ignore.iter().flatten() {
        if let Some(i) = maybe(&Some(name.clone())) {
            ignored.push(names.get(i).cloned().unwrap_or_default());
        }
    }
    for (span, why) in forms {
        found.push(
            Diagnostic::new(&codes::E1103, format!("this form cannot be read: {why}"))
                .at(span, "here")
                .help("write it such as \"{code}@{at}\""),
        );
    }
    if frame.is_none()
        && map.default.as_ref().is_none_or(|d| d.frame.is_none())
        && columns.frame.is_none()
    {
        found.push(wanting(
            columns.span,
            "it is not said which frame members are in",
            "add `frame` to [columns], or to [default]",
        ));
    }
    if profile.is_none()
        && columns.profile.is_none()
        && map.default.as_ref().is_none_or(|d| d.profile.is_none())
    {
        found.push(wanting(
            columns.span,
            "it is not said of which profile members are",
            "add `profile` to [columns], or to [default]",
        ));
    }
    let mut nameless = None;
    for (i, range) in ranges.iter().enumerate() {
        let name = names.get(i).map_or("", String::as_str);
        if used.get(i) == Some(&false) {
            let shown = if name.is_empty() {
                format!("column {}, without a name,", i + 1)
            } else {
                format!("the column `{name}`")
            };
            if name.is_empty() && i + 1 == ranges.len() {
                // A separator at the end of the line of names: rows are held to the same.
                nameless = Some(i);
                continue;
            }
            found.push(
                Diagnostic::new(&codes::E1112, format!("the map says nothing about {shown}"))
                    .at(header.span(range), "not in the map")
                    .help(format!(
                        "use it in the map, or put it aside: `ignore = [\"{name}\"]` in [columns]"
                    )),
            );
        }
    }
    if found.len() > before {
        return None;
    }
    Some(Layout {
        separator,
        width: names.len(),
        frame,
        kind,
        title,
        mark: mark?,
        usage,
        profile,
        length: length?,
        quantity,
        start,
        end,
        nameless,
        features,
        skip,
        ignored,
    })
}

/// Where the map's names stand in another line, or in none: one finding instead of one for each
/// name and each column.
pub(super) fn not_its_names(
    map: &Map,
    header: &Header<'_>,
    line: usize,
    text: &str,
) -> Option<Diagnostic> {
    let wanted = map.column_names();
    let known = |line: &str, separator: u8| {
        let cells = record(line, separator).cells;
        let names: Vec<String> = cells
            .into_iter()
            .map(|cell| unquoted(line.get(cell).unwrap_or("")).to_lowercase())
            .collect();
        wanted.iter().filter(|name| names.contains(&name.trim().to_lowercase())).count()
    };
    let here = known(header.text, header.separator);
    if wanted.len() < 2 || here * 2 >= wanted.len() {
        return None;
    }
    let best = text
        .lines()
        .take(LOOKED_THROUGH)
        .enumerate()
        .map(|(number, text)| {
            let most = [b',', b';', b'\t'].into_iter().map(|separator| known(text, separator));
            (most.max().unwrap_or(0), number + 1)
        })
        .max_by_key(|(names, number)| (*names, std::cmp::Reverse(*number)))?;
    let all = wanted.len();
    let help = match best {
        (more, at) if more > here && at != line => format!(
            "line {at} has {more} of them: write `header-line = {at}` in [table] of the map"
        ),
        (more, _) if more > here => {
            "they are parted by another sign: correct `separator` in [table] of the map".to_string()
        }
        _ if here > 0 => return None,
        _ => format!(
            "look whether it is the right list, and at `header-line` and `separator` in [table] of \
             the map; it names {}",
            wanted.join(", ")
        ),
    };
    let has = if here == 0 { "none".to_string() } else { here.to_string() };
    Some(
        Diagnostic::new(
            &codes::E1111,
            format!("line {line} of the list has {has} of the {all} columns that the map names"),
        )
        .at(header.whole(), "taken for the line of names")
        .help(help),
    )
}

/// Lines among which the names are looked for.
const LOOKED_THROUGH: usize = 50;

fn wanting(span: Span, what: &str, help: &str) -> Diagnostic {
    Diagnostic::new(&codes::E1103, what).at(span, "needs it").help(help)
}

fn feature_columns<'m>(
    place: &'m FeatureColumns,
    find: &mut impl FnMut(&Option<At<String>>) -> Option<usize>,
    forms: &mut Vec<(Span, &'static str)>,
) -> Place<'m> {
    let list = find(&place.list);
    let form = place.form.as_ref().and_then(|at| match Form::of(&at.value) {
        Ok(form) => Some(form),
        Err(why) => {
            forms.push((at.span, why));
            None
        }
    });
    let at: Vec<&At<String>> = place.at.iter().flat_map(|at| at.value.as_slice()).collect();
    Place {
        code: find(&place.code),
        is: place.is.as_ref().map(|at| at.value.as_str()),
        at: at.into_iter().filter_map(|at| find(&Some(at.clone()))).collect(),
        to: find(&place.to),
        across: find(&place.across),
        size: find(&place.size),
        width: find(&place.width),
        face: find(&place.face),
        between: place.between.as_ref().map(|at| at.value.as_str()).filter(|b| !b.is_empty()),
        list: list.zip(form),
    }
}

/// A cell without its quotation marks.
pub(super) fn unquoted(cell: &str) -> String {
    let cell = cell.trim();
    match cell.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
        Some(inside) => inside.replace("\"\"", "\"").trim().to_string(),
        None => cell.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_taken_apart_by_their_form() {
        let form = Form::of("{code}@{at}/{size}").unwrap();
        assert_eq!(
            form.read(" D @ 20 /12"),
            Some(vec![(Part::Code, "D"), (Part::At, "20"), (Part::Size, "12")])
        );
        assert_eq!(form.read("D@20"), Some(vec![(Part::Code, "D"), (Part::At, "20")]));
        assert_eq!(form.read("SW"), Some(vec![(Part::Code, "SW")]));
        assert_eq!(form.read("@20"), None);
        assert!(Form::of("{code}{at}").is_err());
        assert!(Form::of("{at}").is_err());
        assert!(Form::of("{code").is_err());
        assert!(Form::of("{code}@{code}").is_err());
        assert!(Form::of("{code}@{depth}").is_err());
    }
}
