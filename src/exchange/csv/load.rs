//! The text of a list: in the characters its map names, with any line ends.

use crate::diagnostic::codes::files::E0905;
use crate::diagnostic::{Diagnostic, load as load_text};
use crate::exchange::map::{Characters, Map};
use crate::quantity::{FileId, Files, SourceFile, Sources};

/// What bytes 80 to 9F are in Windows-1252; those that are nothing there are controls.
const HIGH: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}',
    '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// Reads a list into `sources`.
pub fn load(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
    map: Option<&Map>,
) -> Result<FileId, Box<Diagnostic>> {
    // The loader of texts has the words for what keeps a file from being read.
    let Ok(bytes) = files.read(path) else { return load_text(files, sources, path, None) };
    let said = map.and_then(|map| map.table.as_ref()).and_then(|table| table.characters);
    let text = match said {
        Some(Characters::Latin1) => Some(bytes.iter().map(|&byte| char::from(byte)).collect()),
        Some(Characters::Windows1252) => Some(bytes.iter().map(|&byte| windows(byte)).collect()),
        Some(Characters::Utf16) => utf_16(&bytes),
        Some(Characters::Utf8) | None => {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
            std::str::from_utf8(bytes).ok().map(str::to_string).filter(|text| !text.contains('\0'))
        }
    };
    let Some(text) = text else { return Err(Box::new(not_read(path, &bytes, said))) };
    Ok(sources.add(SourceFile::new(path, with_lines(text))))
}

/// Lines that end with a carriage return alone end as others do; nothing moves by it.
fn with_lines(text: String) -> String {
    match text.contains('\r') && !text.contains('\n') {
        true => text.replace('\r', "\n"),
        false => text,
    }
}

fn windows(byte: u8) -> char {
    match byte.checked_sub(0x80).and_then(|high| HIGH.get(usize::from(high))) {
        Some(c) => *c,
        None => char::from(byte),
    }
}

/// By its byte order mark, or by where its noughts are.
fn utf_16(bytes: &[u8]) -> Option<String> {
    let (big, rest) = match bytes {
        [0xff, 0xfe, rest @ ..] => (false, rest),
        [0xfe, 0xff, rest @ ..] => (true, rest),
        [0, ..] => (true, bytes),
        _ => (false, bytes),
    };
    let units = rest.as_chunks::<2>();
    if !units.1.is_empty() {
        return None;
    }
    let units: Vec<u16> = units
        .0
        .iter()
        .map(|pair| if big { u16::from_be_bytes(*pair) } else { u16::from_le_bytes(*pair) })
        .collect();
    String::from_utf16(&units).ok().filter(|text| !text.contains('\0'))
}

/// What it looks like, and what to do.
fn not_read(path: &str, bytes: &[u8], said: Option<Characters>) -> Diagnostic {
    let noughts = bytes.iter().take(4_000).filter(|byte| **byte == 0).count();
    let looked = bytes.len().clamp(1, 4_000);
    if let Some(Characters::Utf16) = said {
        return Diagnostic::new(&E0905, format!("`{path}` is not UTF-16 text"))
            .help("correct `characters` in [table] of the map, or leave it out for UTF-8");
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) || noughts * 3 > looked
    {
        return Diagnostic::new(
            &E0905,
            format!("`{path}` is not UTF-8 text: it looks like UTF-16"),
        )
        .note("every other byte of it is nought, or it begins with UTF-16's mark")
        .help("save it as CSV in UTF-8, or write `characters = \"utf-16\"` in [table] of the map");
    }
    let valid = std::str::from_utf8(bytes).map_or_else(|error| error.valid_up_to(), str::len);
    let before = bytes.get(..valid).unwrap_or_default();
    let line = before.iter().filter(|&&byte| byte == b'\n').count() + 1;
    let Some(&byte) = bytes.get(valid).filter(|_| noughts == 0) else {
        return Diagnostic::new(
            &E0905,
            format!("`{path}` is not text: it holds bytes that are nought"),
        )
        .help("name the right file: this is no list");
    };
    Diagnostic::new(&E0905, format!("`{path}` is not UTF-8 text (line {line}, byte {valid})"))
        .note(format!(
            "it may be Windows-1252 or ISO 8859-1, as spreadsheets save lists: byte {byte:02X} is \
             `{}` there",
            windows(byte)
        ))
        .help(
            "write `characters = \"windows-1252\"` in [table] of the map, and look at such letters; \
             or save it as CSV in UTF-8 (`iconv -f WINDOWS-1252 -t UTF-8` does it too)",
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::MemoryFiles;

    fn loaded(bytes: &[u8], characters: Option<&str>) -> Result<String, Diagnostic> {
        let mut files = MemoryFiles::default();
        files.0.insert("list.csv".into(), bytes.to_vec());
        let text = characters.map_or(String::new(), |c| format!("[table]\ncharacters = \"{c}\"\n"));
        files.0.insert("map.toml".into(), text.into_bytes());
        let mut sources = Sources::default();
        let (map, found) = crate::exchange::load_map(&files, &mut sources, "map.toml");
        assert!(found.is_empty(), "{found:#?}");
        let file = load(&files, &mut sources, "list.csv", map.as_ref()).map_err(|why| *why)?;
        Ok(sources.get(file).unwrap().text().to_string())
    }

    #[test]
    fn characters_are_those_of_the_map() {
        let list = "Stück;5’\nS1;2";
        let utf_16: Vec<u8> = list.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = list.encode_utf16().flat_map(u16::to_be_bytes).collect();
        for (bytes, said) in [
            (list.as_bytes().to_vec(), None),
            (list.as_bytes().to_vec(), Some("utf-8")),
            (b"\xef\xbb\xbf".iter().copied().chain(list.bytes()).collect(), None),
            (b"St\xfcck;5\x92\nS1;2".to_vec(), Some("windows-1252")),
            (utf_16.clone(), Some("utf-16")),
            ([b"\xfe\xff".to_vec(), big].concat(), Some("utf-16")),
            (list.replace('\n', "\r").into_bytes(), None),
        ] {
            assert_eq!(loaded(&bytes, said).as_deref(), Ok(list), "{said:?}");
        }
        assert_eq!(loaded(b"St\xfcck", Some("iso-8859-1")).as_deref(), Ok("Stück"));
        // One finding for one cause, with what it looks like.
        for (bytes, said, like, help) in [
            (b"St\xfcck".to_vec(), None, "FC is `ü`", "characters = \"windows-1252\""),
            (utf_16.clone(), None, "", "characters = \"utf-16\""),
            (vec![b'a', 0, b'b', b'c', b'd'], None, "", "right file"),
            (utf_16[1..].to_vec(), Some("utf-16"), "", "correct `characters`"),
        ] {
            let found = loaded(&bytes, said).unwrap_err();
            assert_eq!(found.code, &E0905);
            assert!(found.notes.join(" ").contains(like), "{found:#?}");
            assert!(found.help.as_deref().unwrap().contains(help), "{found:#?}");
        }
    }
}
