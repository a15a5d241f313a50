//! Waivers: what they are limited to must exist, and someone must stand for them.

use super::jobs::Jobs;
use crate::diagnostic::codes::resolve as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::language::tree::Waive;
use crate::member::model::Waiver;
use std::sync::Arc;

impl<'a> Jobs<'_, '_, 'a> {
    /// Adds a waiver, written in `frame` or outside frames.
    pub(super) fn waive(
        &mut self,
        building: usize,
        file: usize,
        node: &'a Waive,
        frame: Option<&Arc<str>>,
    ) {
        let names = self.resolver.names;
        let words = |at| names.words(file, at);
        let span = self.resolver.span(file, node.at);
        let (reference, by) = (words(node.reference), words(node.by));
        if reference.trim().is_empty() || by.trim().is_empty() {
            self.resolver.say(
                Diagnostic::new(&codes::E0241, "nobody stands for this waiver")
                    .at(span, "reference or name is empty")
                    .note("the report names who allowed it and by which letter or drawing")
                    .help("write `reference \"engineer's letter 12\" by \"name\"`"),
            );
        }
        let said = node.frame.map(words);
        if let (Some(at), Some(said), Some(frame)) = (node.frame, said, frame)
            && said != &**frame
        {
            let at = self.resolver.span(file, at);
            self.resolver.say(
                Diagnostic::new(
                    &codes::E0240,
                    format!("a waiver in frame {frame} cannot speak of frame {said}"),
                )
                .at(at, "another frame")
                .help("move it to that frame, or to the outer level of the file"),
            );
            return;
        }
        let waiver = Waiver {
            rule: Arc::from(words(node.rule)),
            frame: frame.cloned().or_else(|| said.map(Arc::from)),
            mark: node.mark.map(|at| Arc::from(words(at))),
            reference: Arc::from(reference),
            by: Arc::from(by),
            span,
        };
        let frame_at = self.resolver.span(file, node.frame.unwrap_or(node.at));
        let mark_at = self.resolver.span(file, node.mark.unwrap_or(node.at));
        if let Some(building) = self.jobs.get_mut(building) {
            building.waivers.push((waiver, frame_at, mark_at));
        }
    }

    /// Once all frames of a job are known: what its waivers are limited to exists. Those that
    /// speak of nothing are told and left out.
    pub(super) fn check_waivers(&mut self, building: usize) {
        let Some(building) = self.jobs.get_mut(building) else { return };
        if building.broken {
            return;
        }
        let job = &building.job.name;
        self.resolver.begin(None);
        let mut kept = Vec::new();
        for (waiver, frame_at, mark_at) in std::mem::take(&mut building.waivers) {
            let frame = match &waiver.frame {
                None => None,
                Some(name) => match building.frames.get(name) {
                    Some((_, marks)) => Some((name, marks)),
                    None => {
                        let near = closest(name, building.frames.keys().map(|name| &**name));
                        let help = near.map_or_else(
                            || "take it out: what it allowed is gone".to_string(),
                            |near| format!("did you mean `{near}`?"),
                        );
                        self.resolver.say(
                            Diagnostic::new(
                                &codes::E0240,
                                format!("job {job} has no frame {name}"),
                            )
                            .at(frame_at, "unknown")
                            .help(help),
                        );
                        continue;
                    }
                },
            };
            let Some(mark) = &waiver.mark else {
                kept.push((waiver, frame_at, mark_at));
                continue;
            };
            let (there, whose) = match frame {
                Some((name, marks)) => (marks.contains_key(mark), format!("frame {name}")),
                None => {
                    let mut frames = building.frames.values();
                    (frames.any(|(_, marks)| marks.contains_key(mark)), format!("job {job}"))
                }
            };
            if there {
                kept.push((waiver, frame_at, mark_at));
            } else {
                self.resolver.say(
                    Diagnostic::new(&codes::E0240, format!("{whose} has no member {mark}"))
                        .at(mark_at, "unknown")
                        .help("check the mark, or take the waiver out: what it allowed is gone"),
                );
            }
        }
        building.waivers = kept;
    }
}
