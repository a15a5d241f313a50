use super::looks::begins_like;
use super::{Diagnostic, codes::files};
use crate::quantity::{FileId, Files, ReadFault, SourceFile, Sources, Span};

/// Largest input file that is read, in bytes: spans are 32 bits wide.
const LARGEST: usize = 1 << 30;

/// Reads a text file into `sources`. `named_at` is where another file asks for it. A byte order
/// mark is dropped; anything but UTF-8 is refused with its place.
pub fn load(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    named_at: Option<Span>,
) -> Result<FileId, Box<Diagnostic>> {
    let place = |diagnostic: Diagnostic| match named_at {
        Some(span) => Box::new(diagnostic.at(span, "named here")),
        None => Box::new(diagnostic),
    };
    let bytes = files.read(path).map_err(|fault| {
        place(match fault {
            ReadFault::Missing => {
                Diagnostic::new(&files::E0901, format!("there is no file `{path}`"))
                    .help("check the name; paths are relative to the file that names them")
            }
            ReadFault::Folder => {
                // What `.` comes to has no name left.
                let path = if path.is_empty() { "." } else { path };
                Diagnostic::new(&files::E0902, format!("`{path}` is a folder, not a file"))
                    .help("name a file in it")
            }
            ReadFault::TooLarge => {
                Diagnostic::new(&files::E0903, format!("`{path}` is larger than 1 GiB"))
                    .help("split it; members files can include each other")
            }
            ReadFault::Other(why) => {
                Diagnostic::new(&files::E0904, format!("cannot read `{path}`: {why}"))
                    .help("check that it exists and that you may read it")
            }
        })
    })?;
    if bytes.len() > LARGEST {
        return Err(place(
            Diagnostic::new(&files::E0903, format!("`{path}` is larger than 1 GiB"))
                .help("split it; members files can include each other"),
        ));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").map(<[u8]>::to_vec).unwrap_or(bytes);
    match String::from_utf8(bytes) {
        Ok(text) => Ok(sources.add(SourceFile::new(path, text))),
        Err(error) => {
            let valid = error.utf8_error().valid_up_to();
            let before = error.as_bytes().get(..valid).unwrap_or_default();
            let line = before.iter().filter(|&&b| b == b'\n').count() + 1;
            let told = Diagnostic::new(
                &files::E0905,
                format!("`{path}` is not UTF-8 text (line {line}, byte {valid})"),
            );
            let told = match begins_like(error.as_bytes()) {
                Some(kind) => told.note(format!("it begins like {kind}")),
                None => told,
            };
            Err(place(told.help("save it as UTF-8; if it is not a text file, name the right one")))
        }
    }
}
