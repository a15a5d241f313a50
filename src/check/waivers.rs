use super::marks::{self, Wearer};
use super::subject::Found;
use super::{Findings, Waived};
use crate::diagnostic::codes::member::{self as codes, E0421, E0422, W0420};
use crate::diagnostic::{Diagnostic, Severity, closest};
use crate::library::model::Library;
use crate::member::model::{Job, Waiver};
use std::collections::{BTreeMap, BTreeSet};

/// Most places of one finding that are named.
const MOST_PLACES: usize = 8;

/// Parts what was found into what stands and what was waived, member by member, and looks for
/// waivers that meet nothing.
pub(super) fn settle(
    jobs: &[Job],
    library: &Library,
    entries: Vec<(Found, Vec<Wearer>)>,
) -> Findings {
    let mut findings = Findings::default();
    let indices: Vec<Index<'_>> = jobs.iter().map(Index::of).collect();
    let mut met: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (found, wearers) in &entries {
        let mut standing: Vec<Wearer> = Vec::new();
        // By job and waiver, in the order of the first member each is met by.
        let mut waived: Vec<((usize, usize), Vec<Wearer>)> = Vec::new();
        let mut group_of: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for &wearer in wearers {
            let index = indices.get(wearer.job);
            let Some(waiver) = index.and_then(|index| index.waiver_for(found, wearer, jobs)) else {
                standing.push(wearer);
                continue;
            };
            met.insert((wearer.job, waiver));
            let key = (wearer.job, waiver);
            let group = *group_of.entry(key).or_insert(waived.len());
            match waived.get_mut(group) {
                Some((_, group)) => group.push(wearer),
                None => waived.push((key, vec![wearer])),
            }
        }
        if !standing.is_empty() {
            findings.diagnostics.push(tell(found, &standing, jobs));
        }
        for ((job, waiver), group) in waived {
            let diagnostic = tell(found, &group, jobs);
            findings.waived.push(Waived { job, waiver, diagnostic });
        }
    }
    for (j, job) in jobs.iter().enumerate() {
        for (w, waiver) in job.waivers.iter().enumerate() {
            let Some(diagnostic) = fault(waiver, library, met.contains(&(j, w))) else { continue };
            // Where members are missing, what it was for may be one of them.
            if job.whole || diagnostic.code.number != W0420.number {
                findings.diagnostics.push(diagnostic);
            }
        }
    }
    findings
}

/// A job's waivers by what they name: rule or code, frame and mark. A job may have a waiver for
/// each of its members.
#[derive(Default)]
struct Index<'a> {
    first: BTreeMap<(&'a str, Option<&'a str>, Option<&'a str>), usize>,
}

impl<'a> Index<'a> {
    fn of(job: &'a Job) -> Index<'a> {
        let mut index = Index::default();
        for (i, waiver) in job.waivers.iter().enumerate() {
            // Codes may be written in any case.
            let code = codes::ALL.iter().find(|c| c.number.eq_ignore_ascii_case(&waiver.rule));
            let rule = code.map_or(&*waiver.rule, |code| code.number);
            let key = (rule, waiver.frame.as_deref(), waiver.mark.as_deref());
            index.first.entry(key).or_insert(i);
        }
        index
    }

    /// The first waiver that covers this finding on this member. What cannot be made is not a
    /// matter of consent.
    fn waiver_for(&self, found: &Found, wearer: Wearer, jobs: &[Job]) -> Option<usize> {
        if self.first.is_empty() || !may_be_waived(found) {
            return None;
        }
        let (frame, mark) = (wearer.frame_name(jobs), &*wearer.member_of(jobs)?.mark);
        let whole = found.rule.as_ref().map(|(set, id)| format!("{set}/{id}"));
        let rule = found.rule.as_ref().map(|(_, id)| id.as_str());
        let names = [Some(found.code.number), Some(found.code.slug), rule, whole.as_deref()];
        names
            .into_iter()
            .flatten()
            .flat_map(|name| [None, Some(frame)].map(|frame| (name, frame)))
            .flat_map(|(name, frame)| [None, Some(mark)].map(|mark| (name, frame, mark)))
            .filter_map(|key| self.first.get(&key).copied())
            .min()
    }
}

/// A rule's finding may be waived whatever its severity; of our own, what is not an error.
fn may_be_waived(found: &Found) -> bool {
    found.rule.is_some() || found.severity != Severity::Error
}

/// A rule by its id, or by set and id where two sets have the same: `astm-c955-01/hole-spacing`.
fn names_rule(named: &str, set: &str, id: &str) -> bool {
    named == id || named.split_once('/') == Some((set, id))
}

fn fault(waiver: &Waiver, library: &Library, met: bool) -> Option<Diagnostic> {
    if met {
        return None;
    }
    let named = &*waiver.rule;
    let rules = || library.rule_sets.iter().flat_map(|s| s.rules.iter().map(move |r| (s, r)));
    let is_rule = rules().any(|(set, rule)| names_rule(named, &set.name, &rule.id));
    let code = codes::ALL.iter().find(|c| c.number.eq_ignore_ascii_case(named) || c.slug == named);
    if !is_rule {
        match code {
            None => {
                let known: Vec<&str> = rules()
                    .map(|(_, rule)| &*rule.id)
                    .chain(codes::ALL.iter().map(|c| c.slug))
                    .collect();
                let help = match closest(named, known.iter().copied()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name a rule of a rule set in force, or the code of a check without a \
                             line (`coilwright explain` lists them)"
                        .to_string(),
                };
                return Some(
                    Diagnostic::new(
                        &E0421,
                        format!(
                            "`{named}` is neither a rule in force nor a code that can be waived"
                        ),
                    )
                    .at(waiver.span, "this waiver")
                    .note("a waiver that names nothing waives nothing, and reads as if it did")
                    .help(help),
                );
            }
            Some(code) if code.severity == Severity::Error => {
                return Some(
                    Diagnostic::new(
                        &E0422,
                        format!("{} ({}) cannot be waived", code.number, code.title),
                    )
                    .at(waiver.span, "this waiver")
                    .note("it says that the member cannot be made; no letter changes that")
                    .help("correct the member and take the waiver out"),
                );
            }
            Some(_) => {}
        }
    }
    let scope = match (&waiver.frame, &waiver.mark) {
        (Some(frame), Some(mark)) => format!(" on {mark} in frame {frame}"),
        (Some(frame), None) => format!(" in frame {frame}"),
        (None, Some(mark)) => format!(" on {mark}"),
        (None, None) => String::new(),
    };
    Some(
        Diagnostic::new(&W0420, format!("the waiver of `{named}` meets no finding{scope}"))
            .at(waiver.span, "nothing to waive")
            .note(
                "the member may have changed since the letter was written, or the scope is \
                 misspelt; left in, it would hide the next real finding",
            )
            .help("take it out, or correct the frame and mark it is for"),
    )
}

/// The finding as told for these members.
fn tell(found: &Found, wearers: &[Wearer], jobs: &[Job]) -> Diagnostic {
    let mut at = found.at.iter().take(MOST_PLACES).cloned().collect::<Vec<_>>().join(", ");
    if found.at.len() > MOST_PLACES {
        at.push_str(&format!(" and {} more places", found.at.len() - MOST_PLACES));
    }
    let who = marks::name(wearers, jobs);
    let message = format!("{who}: {} on {} at {at} {}", found.what, found.faces, found.says);
    let mut told = Diagnostic::new(found.code, message)
        .severity(found.severity)
        .at(found.span, found.label.clone());
    if let Some((span, text)) = &found.also {
        told = told.at(*span, text.clone());
    }
    if let Some(span) = marks::written(wearers, jobs, found.span) {
        told = told.at(span, "on this member");
    }
    for note in &found.notes {
        told = told.note(note.clone());
    }
    if found.left_out > 0 {
        told = told.note(format!("{} more like it there are not shown", found.left_out));
    }
    told.help(found.help.clone())
}
