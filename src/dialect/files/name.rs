//! What the file of a program is called.

use super::super::Invertible;
use super::{Part, RunFile};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{FileNaming, NamePart, NameValue};
use crate::program::Program;

/// Names that some systems keep for devices.
const DEVICES: [&str; 4] = ["CON", "PRN", "AUX", "NUL"];

impl Invertible {
    /// What the file of part `part` of run `run` is called; runs count from 1.
    pub(super) fn file_name(
        &self,
        of: &Program,
        id: &str,
        run: usize,
        part: Part,
        bytes: &[u8],
    ) -> Result<String, Box<Diagnostic>> {
        let Some(naming) = &self.files else { return Ok(usual(id, bytes)) };
        let mut name = String::new();
        for piece in &naming.name {
            match piece {
                NamePart::Literal(text) => name.push_str(text),
                NamePart::Value(NameValue::Program) => name.push_str(id),
                NamePart::Value(NameValue::Batch) => name.push_str(&of.batch),
                NamePart::Value(NameValue::Run) => name.push_str(&format!("{run:02}")),
                NamePart::Value(NameValue::Coil) => name.push_str(&of.coil),
                NamePart::Value(NameValue::Profile) => name.push_str(&of.profile),
                NamePart::Value(NameValue::Part) => name.push_str(&part.to_string()),
            }
        }
        let mut name = plain(&name);
        if naming.capitals {
            name.make_ascii_uppercase();
        }
        check(naming, &name)?;
        Ok(match &naming.ending {
            Some(ending) => format!("{name}.{ending}"),
            None => name,
        })
    }
}

/// Two files of one name in one folder: on a memory card capitals are no difference.
pub fn clash<'f>(files: impl IntoIterator<Item = &'f RunFile>) -> Option<Box<Diagnostic>> {
    let mut seen = std::collections::BTreeMap::new();
    for file in files {
        if let Some(first) = seen.insert(file.name.to_ascii_lowercase(), &file.id) {
            return Some(Box::new(
                Diagnostic::new(
                    &codes::E0739,
                    format!("programs `{first}` and `{}` are both called `{}`", file.id, file.name),
                )
                .note("one of them would lie over the other")
                .help(
                    "put `{run}` and, where runs are split, `{part}` into `name` under `[files]` \
                     of the dialect",
                ),
            ));
        }
    }
    None
}

fn check(naming: &FileNaming, name: &str) -> Result<(), Box<Diagnostic>> {
    let refuse = |why: String, span, help: &str| {
        let found = Diagnostic::new(&codes::E0739, why).at(span, "this says so");
        Err(Box::new(found.help(help)))
    };
    let count = name.chars().count();
    if let Some((most, span)) = naming.longest.filter(|(most, _)| count > *most) {
        return refuse(
            format!("the file's name `{name}` has {count} characters, the controller takes {most}"),
            span,
            "name it by less, such as `{run}` alone, or give the batch a shorter name",
        );
    }
    let is_device = DEVICES.iter().any(|device| name.eq_ignore_ascii_case(device));
    if is_device || name.is_empty() {
        return refuse(
            format!("no file can be called `{name}`"),
            naming.span,
            "name it by something else",
        );
    }
    Ok(())
}

/// By its identity. A file whose first line is a JSON object is one of JSON Lines and is called
/// so.
fn usual(id: &str, bytes: &[u8]) -> String {
    let first = bytes.split(|&byte| byte == b'\n').next().unwrap_or_default();
    let json = serde_json::from_slice::<serde_json::Map<String, serde_json::Value>>(first).is_ok();
    let kind = if json { "jsonl" } else { "txt" };
    format!("{}.{kind}", plain(id))
}

/// In letters that any system can name a file by.
fn plain(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || "-_".contains(c) { c } else { '-' };
    name.chars().map(plain).collect()
}
