use std::sync::Arc;

/// Names a source file of this run.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct FileId(pub u32);

/// A stretch of bytes `[start, end)` in one source file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Span {
    /// Which file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// Bytes `[start, end)` of `file`.
    pub const fn new(file: FileId, start: u32, end: u32) -> Span {
        Span { file, start, end }
    }
    /// From the start of `self` to the end of `other` (of the same file).
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
    /// The empty span at its end.
    pub const fn after(self) -> Span {
        Span { file: self.file, start: self.end, end: self.end }
    }
}

/// Line and column for people, both from 1; the column counts characters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct LineColumn {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// One file's name and text, with a table of its lines: diagnostics never rescan the text.
#[derive(Debug)]
pub struct SourceFile {
    name: Arc<str>,
    text: Arc<str>,
    line_starts: Vec<u32>,
}

impl SourceFile {
    /// A file of this name, as the user knows it (relative, never a machine path), and text.
    /// Texts above 4 GiB are refused by the reader long before they come here.
    pub fn new(name: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> SourceFile {
        let text: Arc<str> = text.into();
        let mut line_starts = vec![0];
        for (i, byte) in text.bytes().enumerate() {
            if byte == b'\n' {
                line_starts.push(u32::try_from(i + 1).unwrap_or(u32::MAX));
            }
        }
        SourceFile { name: name.into(), text, line_starts }
    }
    /// Its name.
    pub fn name(&self) -> &Arc<str> {
        &self.name
    }
    /// Its text.
    pub fn text(&self) -> &Arc<str> {
        &self.text
    }
    /// Number of lines (a final newline starts an empty last one).
    pub fn line_count(&self) -> usize {
        self.line_starts.len()
    }
    /// Bytes of line `line` (from 1), without its line end.
    pub fn line(&self, line: u32) -> &str {
        let index = (line as usize).saturating_sub(1);
        let Some(&start) = self.line_starts.get(index) else { return "" };
        let end = self.line_starts.get(index + 1).map_or(self.text.len(), |&e| e as usize);
        self.text.get(start as usize..end).unwrap_or("").trim_end_matches(['\n', '\r'])
    }
    /// Byte offset at which line `line` (from 1) starts.
    pub fn line_start(&self, line: u32) -> u32 {
        let index = (line as usize).saturating_sub(1);
        self.line_starts
            .get(index)
            .copied()
            .unwrap_or(u32::try_from(self.text.len()).unwrap_or(u32::MAX))
    }
    /// Where byte `offset` stands.
    pub fn position(&self, offset: u32) -> LineColumn {
        let line = self.line_starts.partition_point(|&start| start <= offset).max(1);
        let start = self.line_starts.get(line - 1).copied().unwrap_or(0) as usize;
        let mut end = (offset as usize).min(self.text.len());
        while end > start && !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let column = self.text.get(start..end).map_or(0, |text| text.chars().count()) + 1;
        LineColumn {
            line: u32::try_from(line).unwrap_or(u32::MAX),
            column: u32::try_from(column).unwrap_or(u32::MAX),
        }
    }
}

/// All source files of a run.
#[derive(Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// Adds a file.
    pub fn add(&mut self, file: SourceFile) -> FileId {
        self.files.push(file);
        FileId(u32::try_from(self.files.len() - 1).unwrap_or(u32::MAX))
    }
    /// The file of this id.
    pub fn get(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.0 as usize)
    }
    /// All of them, in the order they were added.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files
            .iter()
            .enumerate()
            .map(|(i, f)| (FileId(u32::try_from(i).unwrap_or(u32::MAX)), f))
    }
    /// The bytes a span covers.
    pub fn text_of(&self, span: Span) -> &str {
        self.get(span.file)
            .and_then(|f| f.text.get(span.start as usize..span.end as usize))
            .unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_lines_and_columns_by_character() {
        let file = SourceFile::new("a", "ab\ncöd\n");
        assert_eq!(file.position(0), LineColumn { line: 1, column: 1 });
        assert_eq!(file.position(3), LineColumn { line: 2, column: 1 });
        assert_eq!(file.position(6), LineColumn { line: 2, column: 3 });
        assert_eq!(file.position(99), LineColumn { line: 3, column: 1 });
        assert_eq!(file.line(2), "cöd");
        assert_eq!(file.line(9), "");
    }
}
