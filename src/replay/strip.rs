use super::machine::Machine;
use super::refusals::{Refusals, numbered};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{Slope, ToolId};
use crate::quantity::{Advance, Length, Strip};
use std::collections::VecDeque;
use std::sync::Arc;

/// One stroke on the strip that is still whole.
#[derive(Clone, Copy, Debug)]
pub(super) struct Struck {
    /// Its reference point.
    pub c: Strip,
    /// Index of its event.
    pub event: usize,
    /// Its phase there.
    pub phase: u8,
}

/// A text on the strip that is still whole.
#[derive(Clone, Debug)]
pub(super) struct Printed {
    pub from: Strip,
    pub to: Strip,
    /// Advance at which the last character is on the strip.
    pub done: Advance,
    pub text: Arc<str>,
    pub event: usize,
}

/// The strip from its leading edge upstream, with what lies on it.
///
/// Each tool's strokes stand in the order they were made, and as the strip moves one way only
/// that is also their order along it: what a cut takes off is at the front of each queue.
pub(super) struct VirtualStrip<'m> {
    pub machine: &'m Machine<'m>,
    /// The leading edge, in the middle of the web.
    pub edge: Strip,
    /// How that edge slopes.
    pub edge_slope: Slope,
    /// Where the last cut was made.
    pub last_cut: Option<Strip>,
    /// Whether a good piece has dropped.
    pub begun: bool,
    pub struck: Vec<VecDeque<Struck>>,
    pub printed: VecDeque<Printed>,
    /// Last reference point of each tool, and last advance at which each station fired.
    pub last_struck: Vec<Option<Strip>>,
    pub last_fired: Vec<Option<Advance>>,
    /// The last moment at which tools fired: its event, and its phase there.
    pub last_moment: Option<(Advance, usize, u8)>,
    /// Work left before the program counts as too dense.
    pub work: u64,
}

impl<'m> VirtualStrip<'m> {
    pub(super) fn new(machine: &'m Machine<'m>) -> VirtualStrip<'m> {
        VirtualStrip {
            machine,
            edge: Strip::ZERO,
            edge_slope: Slope::SQUARE,
            last_cut: None,
            begun: false,
            struck: vec![VecDeque::new(); machine.tools.len()],
            printed: VecDeque::new(),
            last_struck: vec![None; machine.tools.len()],
            last_fired: vec![None; machine.line.stations.len()],
            last_moment: None,
            work: 100_000,
        }
    }

    /// How far the leading edge lies from its middle at either side.
    pub(super) fn edge_half(&self) -> Length {
        self.machine.at_left(self.edge_slope).abs()
    }
    /// Where strip is whole across the web from.
    pub(super) fn sure(&self) -> Strip {
        self.edge + self.edge_half()
    }

    /// Takes `steps` from the work that is left; `false`, with a finding, when there is none.
    pub(super) fn spend(&mut self, event: usize, steps: u64, refusals: &mut Refusals) -> bool {
        if let Some(left) = self.work.checked_sub(steps) {
            self.work = left;
            return true;
        }
        self.work = 0;
        refusals.stop(Some(event), || {
            let message = format!("{}: too many strokes over the same strip", numbered(event));
            Diagnostic::new(&codes::E0829, message)
                .help("check the program file and the line's footprints; compile the batch again")
        });
        false
    }

    /// How far it bears strokes or print; its edge or before where it bears none. A sloped edge
    /// counts as far as the piece must reach that cuts it off.
    pub(super) fn marked(&self) -> Strip {
        let struck = self.struck.iter().zip(&self.machine.tools);
        let struck = struck.flat_map(|(queue, tool)| {
            queue.iter().map(|stroke| stroke.c + (tool.after + tool.accuracy))
        });
        let printed = self.printed.iter().map(|p| p.to + self.machine.line.accuracy);
        let shear = &self.machine.line.shear;
        let sloped =
            (!self.edge_slope.is_square()).then(|| self.sure() + (shear.slug + shear.least_drop));
        struck.chain(printed).chain(sloped).max().unwrap_or(self.edge)
    }

    /// What stays on the coil goes back into use: nothing may lie on it, not even the far side of
    /// a straddling stroke at the last cut. The next batch starts from a clean edge.
    pub(super) fn leave(&self, remnant: Length, refusals: &mut Refusals) {
        if remnant == Length::ZERO {
            return;
        }
        let from = Strip::at(self.machine.strip - remnant);
        if self.sure() > from {
            refusals.add(None, || {
                let message = format!(
                    "the strip from {from} mm stays in use; the last cut, {}, leaves its edge on a \
                     slope to {} mm",
                    self.edge_slope,
                    self.sure()
                );
                Diagnostic::new(&codes::E0835, message).help(
                    "cut the strip square before it is used again, and compile the batch again",
                )
            });
        }
        for (index, queue) in self.struck.iter().enumerate() {
            let Some(tool) = self.machine.tools.get(index) else { continue };
            for stroke in queue {
                if stroke.c + tool.after > from {
                    refusals.add(Some(stroke.event), || {
                        let id = ToolId(u16::try_from(index).unwrap_or(u16::MAX));
                        let message = format!(
                            "{}: the stroke of tool `{}` at {} mm of the strip is on no piece; \
                             the strip from {from} mm stays in use",
                            numbered(stroke.event),
                            self.machine.tool_name(id),
                            stroke.c
                        );
                        Diagnostic::new(&codes::E0824, message)
                            .help("cut this strip off before it is used again, and compile the batch again")
                    });
                }
            }
        }
        for printed in self.printed.iter().filter(|p| p.to > from) {
            refusals.add(Some(printed.event), || {
                let message = format!(
                    "{}: the mark `{}` at {} mm of the strip is on no piece; the strip from \
                     {from} mm stays in use",
                    numbered(printed.event),
                    printed.text,
                    printed.from
                );
                Diagnostic::new(&codes::E0824, message).help(
                    "wipe the mark off before the strip is used again, and compile the batch again",
                )
            });
        }
    }
}
