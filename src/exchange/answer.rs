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
        put_aside(&mut out, &self.left_out);
        out
    }
}

/// Files of one import that are answered one by one; of more what they come to together is told,
/// and with each remark whose it is.
const ONE_BY_ONE: usize = 4;

/// The answers of one import, each with what its file came to, and what all came to.
pub fn answers(of: &[(&Answer, &DrawnJob)], whole: &DrawnJob) -> String {
    if of.len() <= ONE_BY_ONE {
        return of.iter().map(|(answer, job)| answer.text(job)).collect();
    }
    let mut out = format!("{} files; {}.\n", of.len(), told(whole));
    let mut left_out: BTreeMap<String, usize> = BTreeMap::new();
    for (answer, _) in of {
        for remark in &answer.remarks {
            let _infallible = writeln!(out, "{}: {remark}", answer.file);
        }
        for (what, count) in &answer.left_out {
            *left_out.entry(what.clone()).or_default() += count;
        }
    }
    put_aside(&mut out, &left_out);
    out
}

fn put_aside(out: &mut String, left_out: &BTreeMap<String, usize>) {
    if left_out.is_empty() {
        out.push_str("Nothing was put aside.\n");
        return;
    }
    out.push_str("Put aside:\n");
    let widest = left_out.values().max().map_or(1, |n| n.to_string().len());
    for (what, count) in left_out {
        let _infallible = writeln!(out, "  {count:>widest$}  {what}");
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_files_are_answered_together() {
        let job = DrawnJob { name: "KP".into(), ..DrawnJob::default() };
        let mut one = Answer { file: "a.nc1".into(), read: "one part".into(), ..Answer::default() };
        one.leave_out("block KO");
        one.leave_out("block SI");
        let mut other = Answer { file: "b.nc1".into(), ..one.clone() };
        other.leave_out("block KO");
        other.remarks.push("The end slopes.".into());
        let few = answers(&[(&one, &job), (&other, &job)], &job);
        assert!(few.starts_with("a.nc1: one part; 0 members"), "{few}");
        assert_eq!(few.matches("Put aside").count(), 2);
        let many = answers(
            &[(&one, &job); 4].iter().copied().chain([(&other, &job)]).collect::<Vec<_>>(),
            &job,
        );
        assert!(many.starts_with("5 files; 0 members in 0 frames"), "{many}");
        assert!(many.contains("b.nc1: The end slopes.\n"), "{many}");
        assert!(many.ends_with("Put aside:\n  6  block KO\n  5  block SI\n"), "{many}");
    }
}
