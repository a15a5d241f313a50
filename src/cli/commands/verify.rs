use super::dialect::sentences;
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::bounds::{self, Bounds};
use crate::cli::console::renamed;
use crate::cli::difference::differences;
use crate::cli::exit::Exit;
use crate::cli::judged::{Judged, judge};
use crate::cli::manifest::{Fault, ProgramEntry};
use crate::cli::rest::{Before, judge_before};
use crate::cli::shop::shown;
use crate::cli::survey::{Survey, Unsurveyed};
use crate::cli::told::Told;
use crate::diagnostic::codes::files::{E0901, E0904, E0911, E0912, E0913, E0914, E0915};
use crate::diagnostic::{Diagnostic, any_error};
use crate::library::model::AppliedBy;
use crate::plan::Shop;
use crate::quantity::{SourceFile, Sources, Span};
use crate::report::words::count;
use clap::Args;
use std::path::{Path, PathBuf};

/// Most changed blocks of one program that are named.
const MOST_BLOCKS: usize = 8;

/// Prove an output folder again: is every byte as written, and are the products right
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright verify today
  coilwright verify --diagnostics json today
"
)]
pub struct Verify {
    /// Folder that `compile` wrote
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Verify {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        let name = match shown(&self.folder) {
            Ok(name) => match name.trim_end_matches('/') {
                "" => name,
                trimmed => trimmed.to_string(),
            },
            Err(refusal) => return console.tell(refusal),
        };
        let survey = match survey(&self.folder, &name) {
            Ok(survey) => survey,
            Err(refusal) => return console.tell(Box::new(refusal)),
        };
        let mut sources = Sources::default();
        let causes = compared(&survey, &mut sources);
        let whole = causes.is_empty();
        let stored = survey.shop(&mut sources);
        let shop = stored.shop.as_ref();
        let judged =
            shop.map(|shop| judge(&survey.manifest, &survey.standing.files, shop, &mut sources));
        let mut found = stored.faults.clone();
        if let Some(judged) = &judged {
            found.extend(judged.misnamed.iter().chain(&judged.found).cloned());
        }
        let before = shop.and_then(|shop| judge_before(&survey, shop, &mut sources));
        found.extend(before.iter().flat_map(|before| before.found.iter().cloned()));
        let bounds = shop.zip(judged.as_ref().filter(|judged| judged.is_right()));
        let bounds = bounds.map(|(shop, judged)| {
            let report = survey.standing.files.get("report.json").map(Vec::as_slice);
            bounds::prove(report, shop, judged)
        });
        found.extend(bounds.iter().flat_map(|bounds| bounds.found.iter().cloned()));
        let sources = renamed(&sources, |id, source| format!("{name}/{}", stored.path(id, source)));
        let goes_on = before.as_ref().is_none_or(|before| !any_error(&before.found));
        let right = judged.as_ref().is_some_and(|of| of.is_right() && of.misnamed.is_empty());
        let right = right && goes_on;
        let told = console.tell(Told { causes, found, sources });
        let mut page = verdict(&name, &survey, shop, judged.as_ref(), before.as_ref());
        let bounded = bounds.as_ref().is_none_or(|bounds| bounds.found.is_empty());
        page.push_str(&bounds.map_or_else(String::new, |bounds| told_of(&bounds)));
        let written = console.product(&page);
        let verdict = if whole && right && bounded { Exit::Clean } else { Exit::Input };
        told.max(written).max(verdict)
    }
}

/// What was proved of how good the plan is.
fn told_of(bounds: &Bounds) -> String {
    let mut page = String::new();
    for bound in bounds.proved.iter().filter(|bound| bound.met) {
        let what = match bound.least.as_str() {
            "worth" => "comes to less, strip used and coil changes as the batch counts them",
            _ => "uses less strip",
        };
        let whole = if bound.frames_whole { " that keeps frames together" } else { "" };
        page.push_str(&format!("{}: proved again: no plan{whole} {what}.\n", bound.profile));
    }
    let open = bounds.proved.iter().filter(|bound| !bound.met).count();
    if open > 0 {
        let which = if open == 1 { "The bound" } else { "The bounds" };
        page.push_str(&format!(
            "{which} that the plan does not meet: proved again too ({open}).\n"
        ));
    }
    page
}

/// Compares a folder with its manifest, or says why it cannot.
pub(super) fn survey(folder: &Path, name: &str) -> Result<Survey, Diagnostic> {
    if !folder.exists() {
        return Err(Diagnostic::new(&E0901, format!("there is no folder `{name}`"))
            .help("name the folder that `compile --out` wrote"));
    }
    Survey::of(folder).map_err(|fault| match fault {
        Unsurveyed::Without => {
            Diagnostic::new(&E0911, format!("`{name}` has no manifest.json of ours"))
                .help("name the folder that `compile --out` wrote")
        }
        Unsurveyed::Manifest(Fault::Foreign(why)) => {
            Diagnostic::new(&E0911, format!("the manifest of `{name}` cannot be used: {why}"))
                .help("compile again from the inputs")
        }
        Unsurveyed::Manifest(Fault::Changed) => {
            Diagnostic::new(&E0915, format!("the manifest of `{name}` has been changed"))
                .note("what it says about the other files cannot be relied upon")
                .help("compile again from the inputs")
        }
        Unsurveyed::Unreadable(path, why) => {
            Diagnostic::new(&E0904, format!("cannot read `{name}/{path}`: {why}"))
                .help("check that you may read everything in the folder")
        }
    })
}

/// What differs from the manifest: inputs first, for the products are judged by them; programs
/// block by block.
fn compared(survey: &Survey, sources: &mut Sources) -> Vec<Diagnostic> {
    let is_input = |path: &String| path.starts_with("inputs/");
    let mut inputs: Vec<Diagnostic> = Vec::new();
    for (paths, code, what) in [
        (&survey.standing.changed, &E0912, "is not as it was written"),
        (&survey.standing.missing, &E0913, "is not there any more"),
        (&survey.standing.extra, &E0914, "was not written with the rest"),
    ] {
        inputs.extend(paths.iter().filter(|path| is_input(path)).map(|path| {
            Diagnostic::new(code, format!("`{path}` {what}"))
                .note("programs are judged by the inputs as they lie here: what else is found may come of this")
                .help("restore the inputs as they were, or compile again from those that are meant")
        }));
    }
    let mut found = inputs;
    for path in survey.standing.changed.iter().filter(|path| !is_input(path)) {
        let bytes = survey.standing.files.get(path).map(Vec::as_slice).unwrap_or_default();
        let mut programs = survey.manifest.programs.iter().flat_map(ProgramEntry::files);
        let Some((_, blocks)) = programs.find(|(file, _)| *file == path) else {
            found.push(
                Diagnostic::new(&E0912, format!("`{path}` is not as it was written"))
                    .help("compile again, or restore the file"),
            );
            continue;
        };
        // A byte outside the character set shows as a blot and leaves the lines where they are.
        let text: String =
            bytes.iter().map(|&b| if b < 0x80 { char::from(b) } else { '?' }).collect();
        let file = sources.add(SourceFile::new(path.as_str(), text));
        let changed = differences(blocks, bytes);
        for difference in changed.iter().take(MOST_BLOCKS) {
            let (start, end) = (difference.now.start, difference.now.end);
            let span = Span::new(
                file,
                u32::try_from(start).unwrap_or(u32::MAX),
                u32::try_from(end).unwrap_or(u32::MAX),
            );
            found.push(
                Diagnostic::new(
                    &E0912,
                    format!("in `{path}`, {}, is not as it was written", difference.words()),
                )
                .at(span, "this block")
                .note("a changed program was not proved when it was written")
                .help("load the program of a fresh compile"),
            );
        }
        let more = changed.len().saturating_sub(MOST_BLOCKS);
        if more > 0 || changed.is_empty() {
            let what = if more > 0 {
                format!("{} more of its blocks are not as they were written", more)
            } else {
                "lines were added between its blocks".to_string()
            };
            found.push(
                Diagnostic::new(&E0912, format!("in `{path}`, {what}"))
                    .help("load the program of a fresh compile"),
            );
        }
    }
    for path in survey.standing.missing.iter().filter(|path| !is_input(path)) {
        found.push(
            Diagnostic::new(&E0913, format!("`{path}` is not there any more"))
                .help("compile again, or restore the file"),
        );
    }
    for path in survey.standing.extra.iter().filter(|path| !is_input(path)) {
        found.push(
            Diagnostic::new(&E0914, format!("`{path}` was not written with the rest"))
                .help("take it out of the folder"),
        );
    }
    found
}

/// The verdict: files first, then products, then what the proof rests on.
fn verdict(
    name: &str,
    survey: &Survey,
    shop: Option<&Shop>,
    judged: Option<&Judged>,
    before: Option<&Before>,
) -> String {
    let manifest = &survey.manifest;
    let files = manifest.files.len();
    let mut text = format!(
        "{name}: batch {}, {}\n",
        manifest.batch,
        count(manifest.programs.len(), "program")
    );
    if survey.standing.is_whole() {
        text.push_str(&format!("Files: all {files} as written, nothing else there.\n"));
    } else {
        text.push_str(&format!(
            "Files: NOT as written: of {files}, {} changed, {} missing; {} not ours.\n",
            survey.standing.changed.len(),
            survey.standing.missing.len(),
            survey.standing.extra.len()
        ));
        for (what, paths) in [
            ("Changed", &survey.standing.changed),
            ("Missing", &survey.standing.missing),
            ("Not ours", &survey.standing.extra),
        ] {
            let shown: Vec<&str> = paths.iter().take(8).map(String::as_str).collect();
            let more = if paths.len() > shown.len() { ", …" } else { "" };
            if !shown.is_empty() {
                text.push_str(&format!("{what}: {}{more}.\n", shown.join(", ")));
            }
        }
    }
    match judged {
        None => text.push_str(
            "Products: not judged: the stored inputs cannot be read as members and shop any more.\n",
        ),
        Some(judged) if judged.is_right() => text.push_str(&format!(
            "Products: right: {} with {} (one on two faces counts twice), each within its \
             tolerance, replayed from the bytes of the programs.\n",
            count(judged.right, "piece"),
            count(judged.features, "feature"),
        )),
        Some(judged) => {
            let shown: Vec<String> =
                judged.at_fault.iter().take(12).map(ToString::to_string).collect();
            let more = if judged.at_fault.len() > 12 { ", …" } else { "" };
            text.push_str(&format!(
                "Products: NOT right: {} right, {} at fault{}{}{more}.\n",
                judged.right,
                judged.at_fault.len(),
                if shown.is_empty() { "" } else { ": serials " },
                shown.join(", "),
            ));
        }
    }
    if let Some(misnamed) = judged.map(|judged| &judged.misnamed).filter(|of| !of.is_empty()) {
        let (says, they) = match misnamed.len() {
            1 => ("says it is another than it is", "it"),
            _ => ("say they are others than they are", "them"),
        };
        text.push_str(&format!(
            "Names: NOT as listed: {} {says} listed as; do not run {they} by that name.\n",
            count(misnamed.len(), "program"),
        ));
    }
    if let (Some(before), Some(of)) = (before, &manifest.continues) {
        text.push_str(&match any_error(&before.found) {
            true => {
                format!("It does NOT go on from what was run, stopped after piece {}.\n", of.after)
            }
            false => format!(
                "It goes on from what was run, stopped after piece {}: {} cut or to be finished \
                 there, each right; with these every piece of the batch is made once.\n",
                of.after,
                count(before.right, "piece"),
            ),
        });
    }
    if judged.is_some() && survey.standing.changed.iter().any(|path| path.starts_with("inputs/")) {
        text.push_str("They were judged by the stored inputs, which are changed themselves.\n");
    }
    if let Some(shop) = shop.filter(|_| judged.is_some_and(Judged::is_right)) {
        let calibration = &shop.loaded.calibration;
        text.push_str(&level(shop));
        text.push_str(&format!(
            "The calibration of {} is applied by the {}.\n",
            calibration.date,
            match calibration.applied_by {
                AppliedBy::Controller => "controller",
                AppliedBy::Coilwright => "programs",
            }
        ));
    }
    text
}

/// What was proved, and what is left to the controller.
fn level(shop: &Shop) -> String {
    match shop.dialect.controller() {
        None => "Proved at stop level: the programs tell every advance and every stroke, and \
                 leave the controller nothing to decide.\n"
            .to_string(),
        Some(controller) => format!(
            "Proved at member level: the products, not the strokes. The programs tell members and \
             what is made on each, and the controller decides when to stop and to fire. The pieces \
             are right if it works as dialect {} says:\n{}",
            shop.dialect.name(),
            sentences(controller)
        ),
    }
}
