//! Members, jobs and batches made in code, and planned without files.

use super::*;
use coilwright::diagnostic::Diagnostic;
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::plan::{self, Inputs, Options};
use std::sync::Arc;

/// A member of this shape, called by a letter and a number.
pub fn member_of(letter: &str, number: usize, usage: Usage, shape: Shape) -> Member {
    let mark: Arc<str> = format!("{letter}{number}").into();
    let shape = Arc::new(shape);
    Member {
        mark: Arc::clone(&mark),
        mark_text: mark,
        usage,
        quantity: 1,
        shape,
        span: SPAN,
        origin: None,
    }
}

/// Square at both ends and not turnable, of the only profile, to a millimetre.
pub fn square_shape(length: i64, features: Vec<Feature>) -> Shape {
    Shape {
        profile: ProfileId(0),
        length: mm(length),
        length_tolerance: Tolerance::even(mm(1)),
        start: EndShape::Square,
        end: EndShape::Square,
        turnable: false,
        features,
    }
}

/// A job of one frame with these members.
pub fn job_of(name: &str, revision: &str, kind: FrameKind, members: Vec<Member>) -> Job {
    let frame =
        Frame { name: "N1".into(), kind, title: "".into(), quantity: 1, members, span: SPAN };
    Job {
        name: name.into(),
        title: "".into(),
        revision: revision.into(),
        frames: vec![frame],
        waivers: Vec::new(),
        whole: true,
        span: SPAN,
    }
}

/// Frame by frame as listed, with little effort; marks are printed alone.
pub fn plain_batch(keep: Length, change_worth: Length) -> Batch {
    Batch {
        name: "B1".into(),
        bundling: Bundling::Frame,
        order: JobOrder::AsListed,
        keep,
        change_worth,
        effort: Effort::QUICK,
        at_end: AtEnd::Unload,
        set_up_now: None,
        mark_text: "{mark}".into(),
        shift: None,
        units: Units::Millimetres,
        done: Done::default(),
        labels: LabelLayouts::default(),
    }
}

/// These members in one frame on a coil of 100 m, and the errors that planning finds.
pub fn tried(
    library: &Library,
    line: &Line,
    members: Vec<Member>,
) -> (Option<Plan>, Vec<Diagnostic>) {
    let (dialect, _) =
        load_dialect(&MemoryFiles::default(), &mut Sources::default(), "shipped:stop-list", None);
    let inputs = Inputs {
        batch: &plain_batch(mm(1_000), Length::ZERO),
        library,
        line,
        calibration: &no_calibration(),
        stock: &Stock { coils: vec![coil("K1", mm(100_000))] },
        dialect: &Invertible::prove(&dialect.unwrap(), line).unwrap(),
        jobs: &[job_of("J1", "A", FrameKind::Wall, members)],
    };
    let (plan, found) = plan::plan(&inputs, &Options { ticks: 2_000, threads: 1 }, &());
    (plan, found.into_iter().filter(Diagnostic::is_error).collect())
}
