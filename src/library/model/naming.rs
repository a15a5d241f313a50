use crate::quantity::Span;
use std::fmt;
use std::sync::Arc;

/// What the files of programs are called, their folder apart.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FileNaming {
    /// The name, without its ending.
    pub name: Vec<NamePart>,
    /// What stands behind the last point; nothing where the name ends without one.
    pub ending: Option<Arc<str>>,
    /// Whether letters are written as capitals.
    pub capitals: bool,
    /// Most characters of the name, its ending apart.
    pub longest: Option<(usize, Span)>,
    /// Where it is described.
    pub span: Span,
}

/// One part of a name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NamePart {
    /// Fixed text.
    Literal(Arc<str>),
    /// Something of the run.
    Value(NameValue),
}

/// Something of a run that its file can be called by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NameValue {
    /// Identity of the program.
    Program,
    /// Name of the batch.
    Batch,
    /// Number of the run in its batch, two digits at least.
    Run,
    /// Id of the coil.
    Coil,
    /// Name of the profile.
    Profile,
    /// Number of the file where a run is split, from 1.
    Part,
}

impl NameValue {
    /// All of them.
    pub const ALL: [NameValue; 6] = [
        NameValue::Program,
        NameValue::Batch,
        NameValue::Run,
        NameValue::Coil,
        NameValue::Profile,
        NameValue::Part,
    ];
    /// Its name in a pattern.
    pub const fn word(self) -> &'static str {
        match self {
            NameValue::Program => "program",
            NameValue::Batch => "batch",
            NameValue::Run => "run",
            NameValue::Coil => "coil",
            NameValue::Profile => "profile",
            NameValue::Part => "part",
        }
    }
}

impl fmt::Display for NameValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FileNaming {
    /// Whether the name has this value in it.
    pub fn has(&self, value: NameValue) -> bool {
        self.name.contains(&NamePart::Value(value))
    }
}
