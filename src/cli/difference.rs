use super::manifest::{BlockEntry, Part, PieceEntry, sha256};

/// A record block of a program that is not as it was written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Difference<'a> {
    /// As it was written.
    pub block: &'a BlockEntry,
    /// The piece before it, if any.
    before: Option<&'a PieceEntry>,
    /// The piece after it, if any.
    after: Option<&'a PieceEntry>,
    /// Where its lines are to be looked for now, in bytes of the file.
    pub now: std::ops::Range<usize>,
}

/// The record blocks of a program's file that changed.
///
/// A block counts as unchanged where its lines stand as written, or stand shifted by as many
/// lines as the file grew or shrank: an inserted line changes one block, not all behind it.
pub fn differences<'a>(blocks: &'a [BlockEntry], bytes: &[u8]) -> Vec<Difference<'a>> {
    let mut starts = vec![0];
    starts.extend(bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(i, _)| i + 1));
    if starts.last() == Some(&bytes.len()) {
        starts.pop();
    }
    let lines = i64::try_from(starts.len()).unwrap_or(i64::MAX);
    let written = blocks.last().map_or(0, |block| i64::from(block.last_line));
    let range = |block: &BlockEntry, shift: i64| {
        let at = |line: i64| {
            let index = usize::try_from(line + shift).ok()?;
            if index == starts.len() { Some(bytes.len()) } else { starts.get(index).copied() }
        };
        Some(at(i64::from(block.first_line) - 1)?..at(i64::from(block.last_line))?)
    };
    let stands = |block: &BlockEntry, shift: i64| {
        let range = range(block, shift)?;
        (sha256(bytes.get(range)?) == block.sha256).then_some(())
    };
    let changed =
        |block: &BlockEntry| stands(block, 0).is_none() && stands(block, lines - written).is_none();
    let mut before = None;
    let mut differ = Vec::new();
    for (i, block) in blocks.iter().enumerate() {
        if changed(block) {
            let end = bytes.len();
            let now = range(block, 0).unwrap_or(end.saturating_sub(1)..end);
            let after = blocks.iter().skip(i + 1).find_map(|block| block.piece.as_ref());
            differ.push(Difference { block, before, after, now });
        }
        before = block.piece.as_ref().or(before);
    }
    differ
}

impl Difference<'_> {
    /// `the block of piece 17 (N1 S3), lines 120 to 131`.
    pub fn words(&self) -> String {
        let block = self.block;
        let named =
            |piece: &PieceEntry| format!("piece {} ({} {})", piece.serial, piece.frame, piece.mark);
        let what = match (&block.piece, block.part) {
            (Some(piece), _) => format!("the block of {}", named(piece)),
            (None, Part::Head) => "the opening, which says what the program is for".to_string(),
            (None, Part::End) => "the end of the run".to_string(),
            (None, _) => match (self.before, self.after) {
                (None, _) => "the head, from thread-up to the first member".to_string(),
                (Some(before), Some(after)) => {
                    format!("the scrap between {} and {}", named(before), named(after))
                }
                (Some(before), None) => format!("the scrap after {}", named(before)),
            },
        };
        if block.first_line == block.last_line {
            format!("{what}, line {}", block.first_line)
        } else {
            format!("{what}, lines {} to {}", block.first_line, block.last_line)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(lines: &[&str]) -> Vec<BlockEntry> {
        let blocks = (1_u32..).zip(lines).map(|(line, text)| BlockEntry {
            part: Part::Scrap,
            piece: None,
            first_line: line,
            last_line: line,
            sha256: sha256(text.as_bytes()),
        });
        blocks.collect()
    }

    #[test]
    fn names_the_block_and_only_it() {
        let entry = entry(&["a\n", "b\n", "c\n", "d\n"]);
        let changed = |text: &str| -> Vec<u32> {
            differences(&entry, text.as_bytes()).iter().map(|d| d.block.first_line).collect()
        };
        assert_eq!(changed("a\nb\nc\nd\n"), Vec::<u32>::new());
        assert_eq!(changed("a\nB\nc\nd\n"), [2]);
        assert_eq!(changed("a\nc\nd\n"), [2], "a line less");
        assert_eq!(changed("a\nb\n"), [3, 4]);
        assert_eq!(changed("a\nb\nc\n"), [4]);
        assert_eq!(changed("a\nb\nc\nd"), [4]);
        assert_eq!(changed(""), [1, 2, 3, 4]);
    }
}
