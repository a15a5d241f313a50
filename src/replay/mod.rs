//! The judge: executes a program on a virtual strip and judges what falls off.
//!
//! This room has its own strip arithmetic and knows nothing of how a program was planned: it is
//! given the program, the line, the calibration and the coil, feeds, fires, prints and cuts, and
//! keeps a list of what really lies on each piece ([`replay`]). [`judge`] then compares the
//! pieces with the members that were wanted, by the marks swept on them.
//!
//! Material coordinate u: 0 at the coil's leading edge at thread-up, growing upstream. At advance
//! A a station at distance d works on u = A + d. A cut at A takes the slug `[A, A + w]`.

mod account;
mod clock;
mod cut;
mod fire;
mod judge;
mod machine;
mod overlap;
mod press;
mod print;
mod products;
mod refusals;
mod set_up;
mod slope;
mod strip;

use crate::diagnostic::Diagnostic;
use crate::library::model::{AtEnd, Calibration, Coil, Library, Line, Slope};
use crate::member::model::ProfileId;
use crate::program::{Event, Program};
use crate::quantity::{Length, Span};

pub use clock::MachineTime;
pub use judge::{Expected, Verdict, judge};
pub use products::{Piece, Products, Swept, Text};

/// What happens to the coil when the program has ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ending {
    /// Shortest remnant worth keeping.
    pub keep: Length,
    /// Whether it is taken off or stays threaded.
    pub at_end: AtEnd,
}

/// What a program is executed on.
#[derive(Clone, Copy, Debug)]
pub struct Situation<'a> {
    /// The line.
    pub line: &'a Line,
    /// Its calibration.
    pub calibration: &'a Calibration,
    /// The profile it is set up for.
    pub profile: ProfileId,
    /// Names of profiles and feature types.
    pub library: &'a Library,
    /// The coil as it is when the program starts.
    pub coil: &'a Coil,
    /// What happens to it afterwards.
    pub ending: Ending,
}

/// Executes `program`. `spans` say where each event stands in the file it was read from, one per
/// event.
///
/// What the machine could not do, or must not, is refused with a witness; the products are what
/// would still come off, and the strip account closes in any case. After an advance that falls
/// or is out of bounds nothing more is executed.
pub fn replay<'a>(
    program: &Program,
    spans: Option<&'a [Span]>,
    situation: &Situation<'a>,
) -> (Products<'a>, Vec<Diagnostic>) {
    let mut refusals = refusals::Refusals::new(spans);
    let mut products = Products::empty(spans, situation);
    let Some(machine) = machine::Machine::fit(situation, program.warm, &mut refusals) else {
        return (products, refusals.finish());
    };
    set_up::check(program, situation, &mut refusals);
    let mut strip = strip::VirtualStrip::new(&machine);
    let mut clock = clock::Clock::new(situation.line, machine.start);
    let mut last = machine.start;
    for (index, event) in program.events.iter().enumerate() {
        let at = event.at();
        if !machine.can_feed(Some(index), last, at, &mut refusals) {
            break;
        }
        last = last.max(at);
        let goes_on = match event {
            Event::Stop { strokes, .. } => {
                clock.stand(at);
                fire::fire(&mut strip, &mut clock, index, at, strokes, &mut refusals)
            }
            Event::Cut { piece, slope, .. } => {
                clock.stand(at);
                clock.turn(&situation.line.shear, *slope);
                clock.cut(&situation.line.shear, situation.line.unloading, piece.is_some());
                cut::cut(&mut strip, &mut products, index, at, (*piece, *slope), &mut refusals)
            }
            Event::Mark { text, .. } => {
                if let Some(stamp) = machine.marker.and_then(|marker| marker.stamp) {
                    machine.can_stand(index, at, &mut refusals);
                    clock.stand(at);
                    clock.phase(stamp.time, &[]);
                }
                print::print(&mut strip, index, at, text, &mut refusals);
                true
            }
        };
        if !goes_on {
            break;
        }
    }
    if !refusals.stopped() && machine.can_feed(None, last, program.end, &mut refusals) {
        clock.run_to(program.end);
        clock.turn(&situation.line.shear, Slope::SQUARE);
    }
    products.account = account::close(&products.pieces, &machine, strip.edge, &situation.ending);
    products.marked = strip.marked();
    // Of a program broken off half way nearly everything is still on the strip.
    if !refusals.stopped() {
        strip.leave(products.account.remnant, &mut refusals);
    }
    products.time = clock.time;
    products.start = machine.start;
    products.tools = machine.tools;
    (products, refusals.finish())
}
