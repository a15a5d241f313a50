use super::{Node, Reader, Wire, one_of};
use crate::diagnostic::{Diagnostic, closest, codes::library as codes};
use crate::quantity::Span;
use ::toml::de::{DeTable, DeValue};

/// A TOML table being read: its keys are known, its place is kept for what is missing.
#[derive(Debug)]
pub struct Table<'n, 'a> {
    entries: &'n DeTable<'a>,
    /// Keys that an unknown key was taken for: they are not told to be missing as well.
    meant: Vec<String>,
    /// Where it stands: its header, or its braces.
    pub span: Span,
}

impl<'n, 'a> Table<'n, 'a> {
    /// Takes `node` as a table with these keys (in field spelling, `strip_width` for
    /// `strip-width`), reporting every other key.
    pub fn of(
        node: &'n Node<'a>,
        key: &str,
        known: &[&str],
        reader: &mut Reader<'_>,
    ) -> Option<Table<'n, 'a>> {
        let DeValue::Table(entries) = node.get_ref() else {
            return reader.wrong_kind(node, key, "a table");
        };
        let known: Vec<String> = known.iter().map(|name| name.replace('_', "-")).collect();
        let mut meant = Vec::new();
        let strangers = entries
            .keys()
            .filter(|name| !known.iter().any(|k| k == name.get_ref().as_ref()))
            .enumerate();
        for (count, name) in strangers {
            // A table with hundreds of them is no slip of the finger: no likeness is looked for.
            let help = if reader.is_outer(name.get_ref()) {
                reader.stands_below(name.get_ref());
                outer(name.get_ref())
            } else if count < 200 {
                let near = closest(name.get_ref(), known.iter().map(String::as_str));
                meant.extend(near.map(str::to_string));
                one_of(name.get_ref(), known.iter().map(String::as_str))
            } else {
                "check that this is the right file".to_string()
            };
            reader.report(
                Diagnostic::new(
                    &codes::E0302,
                    format!("there is no key `{}` here", name.get_ref()),
                )
                .at(reader.span(name.span()), "not a key of this table")
                .help(help),
            );
        }
        Some(Table { entries, meant, span: reader.span(node.span()) })
    }
    /// Reads the value of a key; a missing one is reported unless it may be left out.
    pub fn field<T: Wire>(&self, name: &str, reader: &mut Reader<'_>) -> Option<T> {
        let key = name.replace('_', "-");
        match self.entries.get(key.as_str()) {
            Some(node) => T::read(node, &format!("`{key}`"), reader),
            None if self.meant.contains(&key) => None,
            None => T::absent().or_else(|| {
                reader.report(
                    Diagnostic::new(&codes::E0303, format!("`{key}` is missing"))
                        .at(self.span, format!("needs `{key}`"))
                        .help(format!("add `{key} = …`: {}", T::expected())),
                );
                None
            }),
        }
    }
}

/// Help for a key of the file that was written below a table's header, which made it the table's.
fn outer(key: &str) -> String {
    format!(
        "`{key}` is a key of the file itself: write it above the first line in brackets, for what \
         stands below `[table]` belongs to that table"
    )
}

/// Declares wire types: tables with the fields as keys in kebab case. Every field is read before
/// any failure counts, so that all mistakes of a table are told together. Each type also has
/// `span`, the place of its table.
macro_rules! wire {
    ($( $(#[$meta:meta])* $vis:vis struct $name:ident {
        $( $(#[$field_meta:meta])* $field:ident : $ty:ty ),* $(,)?
    } )*) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, schemars::JsonSchema)]
        #[schemars(rename_all = "kebab-case", deny_unknown_fields)]
        $vis struct $name {
            $( $(#[$field_meta])* pub $field: $ty, )*
            /// Where the table stands.
            #[schemars(skip)]
            #[allow(dead_code)] // not every table is pointed at
            pub span: $crate::quantity::Span,
        }
        impl $crate::library::reading::Wire for $name {
            fn read(
                node: &$crate::library::reading::Node<'_>,
                key: &str,
                reader: &mut $crate::library::reading::Reader<'_>,
            ) -> Option<$name> {
                let table = $crate::library::reading::Table::of(
                    node, key, &[$(stringify!($field)),*], reader,
                )?;
                $( let $field = table.field::<$ty>(stringify!($field), reader); )*
                Some($name { $( $field: $field?, )* span: table.span })
            }
            fn expected() -> &'static str {
                "a table"
            }
            fn keys() -> &'static [&'static str] {
                &[$(stringify!($field)),*]
            }
        }
    )*};
}

/// Declares a set of words: each variant with the text that stands for it.
macro_rules! words {
    ($( $(#[$meta:meta])* $vis:vis enum $name:ident {
        $( $(#[$variant_meta:meta])* $variant:ident = $word:literal ),* $(,)?
    } )*) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, PartialEq, Eq, Debug, schemars::JsonSchema)]
        $vis enum $name {
            $( $(#[$variant_meta])* #[schemars(rename = $word)] $variant, )*
        }
        impl $crate::library::reading::Wire for $name {
            fn read(
                node: &$crate::library::reading::Node<'_>,
                key: &str,
                reader: &mut $crate::library::reading::Reader<'_>,
            ) -> Option<$name> {
                match reader.word(node, key, &[$($word),*])? {
                    $( $word => Some($name::$variant), )*
                    _ => None,
                }
            }
            fn expected() -> &'static str {
                concat!("one of", $(" `", $word, "`"),*)
            }
        }
    )*};
}
pub(crate) use {wire, words};

impl Reader<'_> {
    /// Reads one of a set of words.
    pub fn word(
        &mut self,
        node: &Node<'_>,
        key: &str,
        words: &[&'static str],
    ) -> Option<&'static str> {
        let DeValue::String(text) = node.get_ref() else {
            return self.wrong_kind(node, key, "one of a few words, in quotes");
        };
        let found = words.iter().copied().find(|word| word == text);
        if found.is_none() {
            let span = self.span(node.span());
            self.report(
                Diagnostic::new(&codes::E0307, format!("{key} does not know the word `{text}`"))
                    .at(span, "not one of its words")
                    .help(one_of(text, words.iter().copied())),
            );
        }
        found
    }
}
