//! Where members come from: a comment that begins with `#@` behind a member's first line, which
//! `import` writes, names the list and row it was read from.

use super::{At, FramePart, Item, Member, Tree};

/// What such a comment begins with.
pub const SIGN: &str = "#@";

/// A member with the place it was imported from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Origin {
    /// The member, all of it.
    pub member: At,
    /// Its marks.
    pub marks: At,
    /// What the comment says behind its sign.
    pub said: At,
}

/// Origins in the order of their members, and those that stand behind no member's first line:
/// nobody can say what they speak of.
pub fn origins(tree: &Tree, text: &str) -> (Vec<Origin>, Vec<At>) {
    let mut members = tree.items.iter().flat_map(|item| match item {
        Item::Frame(frame) => tree.get(frame.parts),
        _ => &[],
    });
    let mut next_member = || {
        members.find_map(|part| match part {
            FramePart::Member(member) => Some(*member),
            _ => None,
        })
    };
    let mut member = next_member();
    let (mut origins, mut astray) = (Vec::new(), Vec::new());
    for &comment in tree.comments.iter().filter(|at| at.text(text).starts_with(SIGN)) {
        while let Some(before) = member.filter(|m| first_line_end(m) < comment.start) {
            if is_behind(first_line_end(&before), comment, text) {
                break;
            }
            member = next_member();
        }
        let said = said(comment, text);
        match member {
            Some(of) if is_behind(first_line_end(&of), comment, text) && said.start < said.end => {
                let marks = tree.get(of.marks).iter().map(|marks| marks.at).reduce(At::to);
                let marks = marks.unwrap_or(of.at);
                origins.push(Origin { member: of.at, marks, said });
                member = next_member();
            }
            _ => astray.push(comment),
        }
    }
    (origins, astray)
}

/// Where the first line of a member stops: behind its `{`, or behind all of it.
fn first_line_end(member: &Member) -> u32 {
    member.body.map_or(member.at.end, |body| body.at.start.saturating_add(1))
}

/// Whether a comment ends the line that stops at `end`.
fn is_behind(end: u32, comment: At, text: &str) -> bool {
    let between = At { start: end, end: comment.start };
    let blank = |byte: u8| matches!(byte, b' ' | b'\t' | b';');
    end <= comment.start && between.text(text).bytes().all(blank)
}

/// What stands behind the sign, without blanks around it.
fn said(comment: At, text: &str) -> At {
    let rest = comment.text(text).strip_prefix(SIGN).unwrap_or("");
    let blank = u32::try_from(rest.len() - rest.trim_start().len()).unwrap_or(0);
    let sign = u32::try_from(SIGN.len()).unwrap_or(0);
    let start = comment.start.saturating_add(sign + blank).min(comment.end);
    At { start, end: comment.end }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::parse;
    use crate::quantity::FileId;

    fn told(text: &str) -> (Vec<(&str, &str)>, Vec<&str>) {
        let (tree, _) = parse(FileId(0), text);
        let (origins, astray) = origins(&tree, text);
        let pairs = origins.iter().map(|o| (o.marks.text(text), o.said.text(text))).collect();
        (pairs, astray.iter().map(|at| at.text(text)).collect())
    }

    #[test]
    fn each_stands_behind_the_first_line_of_its_member() {
        let (origins, astray) = told(
            "job A\nframe N1 wall {\n  member S1 stud length 5 {  #@ a.csv:2\n    dimple at 1\n  }\n  \
             member S2..S4, S9 stud length 5 #@   b.csv:3 \n  member S5 stud length 5  # of old\n}\n",
        );
        assert_eq!(origins, [("S1", "a.csv:2"), ("S2..S4, S9", "b.csv:3")]);
        assert!(astray.is_empty(), "{astray:?}");
    }

    #[test]
    fn what_stands_anywhere_else_is_told() {
        let (origins, astray) = told(
            "job A #@ 0\n#@ 1\nframe N1 wall { #@ 2\n  #@ 3\n  member S1 stud length 5 {\n    #@ 4\n    \
             dimple at 1 #@ 5\n  } #@ 6\n  member S2 stud length 5 { #@\n  }\n  \
             member S3 stud length 5 { #@ c.csv:4\n  }\n} #@ 7\n#@ 8\n",
        );
        assert_eq!(origins, [("S3", "c.csv:4")]);
        let all = ["#@ 0", "#@ 1", "#@ 2", "#@ 3", "#@ 4", "#@ 5", "#@ 6", "#@", "#@ 7", "#@ 8"];
        assert_eq!(astray, all);
    }
}
