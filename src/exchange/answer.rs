//! What an import answers: what was taken, and by name what was put aside.

use super::drawn::DrawnJob;
use super::merged::Said;
use std::collections::BTreeMap;
use std::fmt::Write;

/// What became of what a file holds.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Answer {
    /// The file's name.
    pub file: String,
    /// What it consists of, such as `214 rows`.
    pub read: String,
    /// What was put aside because the map says so: what, and how often.
    pub left_out: BTreeMap<String, usize>,
    /// Worth knowing: how figures were rounded, what a format cannot say.
    pub remarks: Vec<String>,
    /// Where it says what it says of its frames.
    pub said: Said,
}

impl Answer {
    /// Counts something that was put aside.
    pub fn leave_out(&mut self, what: impl Into<String>) {
        *self.left_out.entry(what.into()).or_default() += 1;
    }

    /// As text: one line of what was taken, then everything that was not.
    pub fn text(&self, job: &DrawnJob) -> String {
        let mut out = format!("{}: {}; {}.\n", self.file, self.read, told(job));
        for remark in &self.remarks {
            let _infallible = writeln!(out, "{remark}");
        }
        if self.left_out.is_empty() {
            out.push_str("Nothing was put aside.\n");
            return out;
        }
        out.push_str("Put aside, as the map says:\n");
        let widest = self.left_out.values().max().map_or(1, |n| n.to_string().len());
        for (what, count) in &self.left_out {
            let _infallible = writeln!(out, "  {count:>widest$}  {what}");
        }
        out
    }
}

/// What a job holds, in numbers: members and features as they are drawn, each once; pieces as they
/// are wanted.
pub fn told(job: &DrawnJob) -> String {
    let (members, features) = job.counts();
    let (pieces, made) = job.to_make();
    let s = |one: bool| if one { "" } else { "s" };
    let frames = job.frames.len();
    let mut told = format!(
        "{members} member{} in {frames} frame{}, {features} feature{}; to make {pieces} piece{} \
         with {made} feature{}",
        s(members == 1),
        s(frames == 1),
        s(features == 1),
        s(pieces == 1),
        s(made == 1)
    );
    if !job.waivers.is_empty() {
        let waivers = job.waivers.len();
        let _infallible = write!(told, "; {waivers} waiver{}", s(waivers == 1));
    }
    told
}
