use crate::member::model::{Job, Member};
use crate::quantity::Span;

/// Groups of marks named in a message before "and n more".
const MOST_NAMED: usize = 6;

/// A member that a finding concerns, by indices.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Wearer {
    pub(super) job: usize,
    pub(super) frame: usize,
    pub(super) member: usize,
}

impl Wearer {
    pub(super) fn job_of(self, jobs: &[Job]) -> Option<&Job> {
        jobs.get(self.job)
    }
    pub(super) fn frame_name(self, jobs: &[Job]) -> &str {
        jobs.get(self.job).and_then(|j| j.frames.get(self.frame)).map_or("", |f| &f.name)
    }
    pub(super) fn member_of(self, jobs: &[Job]) -> Option<&Member> {
        jobs.get(self.job)?.frames.get(self.frame)?.members.get(self.member)
    }
}

/// Who a finding concerns, in words: `S1…S7 in frame N1`, `S1…S7 in frame N1, B2 in frame N2`,
/// and after [`MOST_NAMED`] groups `and 31 more members`. The job is named where there are several.
pub(super) fn name(wearers: &[Wearer], jobs: &[Job]) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut named = 0;
    let mut groups = 0;
    for frame in wearers.chunk_by(|a, b| (a.job, a.frame) == (b.job, b.frame)) {
        let Some(&first) = frame.first() else { continue };
        let marks: Vec<&str> =
            frame.iter().filter_map(|w| w.member_of(jobs)).map(|m| &*m.mark).collect();
        let mut runs: Vec<String> = Vec::new();
        for run in runs_of(&marks) {
            if groups == MOST_NAMED {
                break;
            }
            groups += 1;
            named += run.len();
            match run {
                [one] => runs.push((*one).to_string()),
                [one, other] => runs.push(format!("{one}, {other}")),
                [one, .., last] => runs.push(format!("{one}…{last}")),
                [] => {}
            }
        }
        if runs.is_empty() {
            break;
        }
        let job = match first.job_of(jobs) {
            Some(job) if jobs.len() > 1 => format!(" of {}", job.name),
            _ => String::new(),
        };
        words.push(format!("{} in frame {}{job}", runs.join(", "), first.frame_name(jobs)));
    }
    let said = words.join(", ");
    match wearers.len().saturating_sub(named) {
        0 => said,
        1 => format!("{said} and one more member"),
        more => format!("{said} and {more} more members"),
    }
}

/// Marks in runs that count up by one behind the same letters: `S1 S2 S3` and `B1`.
fn runs_of<'a, 'm>(marks: &'a [&'m str]) -> Vec<&'a [&'m str]> {
    marks.chunk_by(|a, b| follows(a, b)).collect()
}

fn follows(a: &str, b: &str) -> bool {
    let split = |mark: &str| {
        let digits = mark.len() - mark.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let at = mark.len() - digits;
        let number: Option<u64> = mark.get(at..).and_then(|d| d.parse().ok());
        (mark.get(..at).unwrap_or("").to_string(), number)
    };
    let ((head_a, a), (head_b, b)) = (split(a), split(b));
    head_a == head_b && a.is_some() && a.and_then(|a| a.checked_add(1)) == b
}

/// Where the first of them is written, unless `span` (the feature) stands inside it: a feature
/// written in a recipe says nothing about who uses it.
pub(super) fn written(wearers: &[Wearer], jobs: &[Job], span: Span) -> Option<Span> {
    let member = wearers.first()?.member_of(jobs)?.span;
    let inside = member.file == span.file && member.start <= span.start && span.end <= member.end;
    (!inside).then_some(member)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_gathered_into_runs() {
        let runs = |marks: &[&str]| {
            runs_of(marks).iter().map(|r| r.join("+")).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(
            runs(&["S1", "S2", "S3", "S5", "B6", "2B-14", "2B-15"]),
            "S1+S2+S3 S5 B6 2B-14+2B-15"
        );
        assert_eq!(runs(&["S9", "S10", "S10", "A", "B"]), "S9+S10 S10 A B");
        assert_eq!(runs(&["S18446744073709551615", "S0"]), "S18446744073709551615 S0");
    }
}
