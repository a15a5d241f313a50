//! The blocks after an NC file's head.

use super::line::Line;
use super::outline::Outline;
use super::read::{Reader, Sizes};
use super::refused::refused_block;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::DrawnMember;

/// A block that is being read.
struct Block<'t> {
    /// Its letters; none before the first.
    name: &'t str,
    /// Its lines.
    lines: Vec<Line<'t>>,
}

impl Reader<'_> {
    /// Reads them all, and the ends of the member out of them. `head` is the head's last line.
    pub(super) fn blocks<'t>(
        &mut self,
        lines: &[Line<'t>],
        head: Line<'t>,
        sizes: Sizes,
        member: &mut DrawnMember,
    ) {
        let mut outlines = Vec::new();
        let mut signs = 0;
        let mut block = Block { name: "", lines: Vec::new() };
        let mut ended = false;
        for &line in lines {
            let text = line.text.trim_end();
            if text.trim().is_empty() {
                continue;
            }
            if ended {
                let what = "something follows after the end of the part".into();
                self.at(&codes::E1161, line, what, "one part a file");
                return;
            }
            if text.starts_with([' ', '\t']) {
                block.lines.push(line);
                continue;
            }
            let next = Block { name: text.trim(), lines: Vec::new() };
            let whole = std::mem::replace(&mut block, next);
            self.block(&whole, sizes, member, &mut outlines, &mut signs);
            match block.name {
                "EN" => ended = true,
                "AK" | "BO" | "IK" | "SI" => {}
                name if self.map.leaves_out_block(name) => {
                    self.answer.leave_out(format!("block {name}"));
                }
                name => {
                    let (what, help) = refused_block(name);
                    self.at(&codes::E1163, line, what, help);
                }
            }
        }
        if !ended {
            let line = lines.iter().rfind(|line| !line.text.trim().is_empty()).unwrap_or(&head);
            let line = *line;
            let what = "the file is cut short: a part ends with EN".into();
            self.at(&codes::E1161, line, what, "copy the file again");
        }
        self.ends(&outlines, sizes, member);
    }

    /// Reads one that is whole.
    fn block<'t>(
        &mut self,
        block: &Block<'t>,
        sizes: Sizes,
        member: &mut DrawnMember,
        outlines: &mut Vec<Outline<'t>>,
        signs: &mut usize,
    ) {
        match block.name {
            "BO" => block.lines.iter().for_each(|line| self.hole(*line, sizes, member)),
            "AK" => outlines.extend(self.corners(&block.lines)),
            "IK" => self.inner(&block.lines, sizes, member),
            "SI" if self.map.leaves_out_block("SI") => {
                self.answer.leave_out("block SI");
            }
            "SI" => block.lines.iter().for_each(|line| self.sign(*line, signs, member)),
            "" => {
                if let Some(line) = block.lines.first() {
                    let what = "this line belongs to no block".into();
                    self.at(&codes::E1161, *line, what, "the part has 24 lines after ST");
                }
            }
            _ => {}
        }
    }

    /// A sign that is stamped on the part: the text that the line's marker prints. Its face, place,
    /// angle and height are the marker's.
    fn sign(&mut self, line: Line<'_>, signs: &mut usize, member: &mut DrawnMember) {
        let mut rest = line.text.trim();
        let mut words = Vec::new();
        for _ in 0..5 {
            let (word, after) = rest.split_once([' ', '\t']).unwrap_or((rest, ""));
            words.push(word);
            rest = after.trim_start();
        }
        if rest.is_empty() {
            let what = "this sign has no text".into();
            let help = "a sign has its face, its place along and across, its angle, the height of its letters and its text";
            return self.at(&codes::E1161, line, what, help);
        }
        *signs += 1;
        if *signs > 1 {
            let what = "a second sign on one part".into();
            let help = "members bear one text: leave one of them out, or both with `leave-out = [\"SI\"]` in [nc] of the map";
            return self.at(&codes::E1163, line, what, help);
        }
        // The mark alone is what the shop's own texts are made of.
        member.mark_text = (rest != member.mark).then(|| rest.to_string());
        let place = words.get(..3).unwrap_or(&[]).join(" ");
        self.answer.remarks.push(format!(
            "The sign `{rest}` is printed where the line's marker prints, not at {place}."
        ));
    }
}
