use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::{DiskFiles, put, read_file};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::planned::{self, Effort, Opened};
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::codes::files::{E0907, E0909};
use crate::diagnostic::codes::labels::{E1214, E1218, W1219};
use crate::diagnostic::{Diagnostic, any_error};
use crate::library::model::LabelLayout;
use crate::library::{load_labels, plain_layout};
use crate::report::labels::{self, Label, Of};
use crate::report::papers::lacking;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Print labels for members or tickets for bundles: PDF where a layout has them, or CSV
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright labels batch.toml --layout stickers.toml --start-at 5 --out labels.pdf
  coilwright labels batch.toml --of bundles --out tickets.csv
"
)]
pub struct Labels {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// What labels are for: members (a label a mark of a bundle), pieces, or bundles
    #[arg(long, value_name = "WHAT", default_value = "members", hide_possible_values = true)]
    of: LabelOf,
    /// Layout of the sheets or roll; else the batch's, else plain paper to be cut
    #[arg(long, value_name = "FILE")]
    layout: Option<PathBuf>,
    /// First label of the first sheet that is still there, along the rows from 1
    #[arg(long, value_name = "N", default_value_t = 1)]
    start_at: usize,
    /// A .pdf or .csv file; replaced if it holds labels of ours
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// How hard to look, as for compile: the same plan has the same labels
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
}

/// What labels are for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum LabelOf {
    /// One for each mark of each bundle
    Members,
    /// One for each piece
    Pieces,
    /// A ticket for each bundle
    Bundles,
}

impl LabelOf {
    const fn of(self) -> Of {
        match self {
            LabelOf::Members => Of::Members,
            LabelOf::Pieces => Of::Pieces,
            LabelOf::Bundles => Of::Bundles,
        }
    }
}

/// A layout, where one is asked for.
type Asked = Option<LabelLayout>;

/// How labels are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    Pdf,
    Csv,
}

impl Form {
    fn of(path: &Path) -> Option<Form> {
        match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "pdf" => Some(Form::Pdf),
            "csv" => Some(Form::Csv),
            _ => None,
        }
    }
}

impl Labels {
    pub fn run(self, session: &Session) -> Exit {
        let Some(form) = Form::of(&self.out) else {
            return super::usage(
                clap::error::ErrorKind::InvalidValue,
                "labels are written to a .pdf or a .csv file: name one after --out",
            );
        };
        let (layout, on_layout) = self.layout();
        if any_error(&on_layout.found) {
            return session.console.tell(on_layout);
        }
        let mut opened = match planned::open(&self.batch) {
            Ok(opened) => opened,
            Err(told) => return session.console.tell(told),
        };
        let ticks = opened.ticks(self.effort);
        let plan = match opened.plan(session, ticks) {
            Ok(plan) => plan,
            Err(refusal) => return session.console.tell(refusal),
        };
        let mut told = opened.told();
        told.absorb(on_layout);
        let Some(plan) = plan else { return session.console.tell(told) };
        let report = opened.report(&plan, ticks);
        let labels = labels::labels(&report, &opened.shop.inputs(), self.of.of());
        let interrupt = &session.interrupt;
        let written = match (labels.is_empty(), form) {
            (true, _) => Err(nothing()),
            (_, Form::Csv) => {
                told.found.extend(self.without_a_sheet());
                self.write(labels::csv(&labels, self.of.of()).as_bytes(), form, &opened, interrupt)
            }
            (_, Form::Pdf) => {
                self.pdf(&labels, layout, &report.batch, &opened, &mut told, interrupt)
            }
        };
        if let Err(refusal) = &written {
            told.found.push((**refusal).clone());
        }
        let exit = session.console.tell(told);
        match written {
            Ok(()) => {
                let many = crate::report::words::count(labels.len(), "label");
                let page = format!("Wrote {}: {many}.\n", self.out.display());
                exit.max(session.console.product(&page))
            }
            Err(_) => exit,
        }
    }

    fn pdf(
        &self,
        labels: &[Label],
        layout: Asked,
        batch: &str,
        opened: &Opened,
        told: &mut Told,
        interrupt: &Interrupt,
    ) -> Result<(), Box<Diagnostic>> {
        let tickets = self.of == LabelOf::Bundles;
        let named = &opened.shop.loaded.batch.labels;
        let own = if tickets { &named.tickets } else { &named.labels };
        let placed = layout.is_none() && own.is_some();
        let layout = layout
            .or_else(|| own.clone())
            .or_else(|| plain_layout(tickets, opened.shop.loaded.batch.units));
        let Some(layout) = layout else { return Ok(()) };
        // Places in a layout that was read apart mean nothing among the batch's sources.
        let settled = |mut found: Diagnostic| {
            if !placed {
                found.labels.clear();
            }
            if let Some(path) = &self.layout {
                found.message = format!("{} (layout `{}`)", found.message, path.display());
            }
            found
        };
        let start = self.start(&layout)?;
        let title = format!("{batch}: {}", if tickets { "tickets" } else { "labels" });
        let (document, found) = labels::pdf::print(labels, &layout, start, &title)
            .map_err(|refusal| Box::new(settled(*refusal)))?;
        self.write(&document.bytes(), Form::Pdf, opened, interrupt)?;
        told.found.extend(found.into_iter().map(settled));
        told.found.extend(lacking(&document.lacking()));
        Ok(())
    }

    /// The layout asked for on the command line.
    fn layout(&self) -> (Asked, Told) {
        let mut told = Told::default();
        let Some(path) = &self.layout else { return (None, told) };
        let layout = match shown(path) {
            Ok(name) => {
                let (layout, found) = load_labels(&DiskFiles::here(), &mut told.sources, &name);
                told.found = found;
                layout
            }
            Err(refusal) => {
                told.found.push(*refusal);
                None
            }
        };
        (layout, told)
    }

    fn start(&self, layout: &LabelLayout) -> Result<usize, Box<Diagnostic>> {
        let most = layout.on_a_page();
        match self.start_at.checked_sub(1).filter(|&start| start < most) {
            Some(start) => Ok(start),
            None => Err(Box::new(
                Diagnostic::new(
                    &E1214,
                    format!("there is no label {} on a page of {most}", self.start_at),
                )
                .help(format!("write `--start-at` from 1 to {most}: along the rows, from the top")),
            )),
        }
    }

    /// What was asked for and means nothing in a table.
    fn without_a_sheet(&self) -> Option<Diagnostic> {
        let start = (self.start_at != 1).then_some("--start-at");
        let layout = self.layout.as_ref().map(|_| "--layout");
        let asked: Vec<&str> = start.into_iter().chain(layout).collect();
        if asked.is_empty() {
            return None;
        }
        let (asked, table) = (asked.join(" and "), self.out.display());
        let pdf = self.out.with_extension("pdf");
        Some(
            Diagnostic::new(
                &W1219,
                format!("{asked} means nothing for `{table}`: a table has no sheets"),
            )
            .note("every label is in it; where the first one goes is said to what prints them")
            .help(format!(
                "leave {asked} out, or name a PDF after --out, such as `{}`",
                pdf.display()
            )),
        )
    }

    /// Labels replace labels of ours; never an input, or what somebody else wrote.
    fn write(
        &self,
        content: &[u8],
        form: Form,
        opened: &Opened,
        interrupt: &Interrupt,
    ) -> Result<(), Box<Diagnostic>> {
        let refused = |code, what: &str, note: &str| {
            let ending = if form == Form::Pdf { "labels.pdf" } else { "labels.csv" };
            Box::new(
                Diagnostic::new(code, format!("`{}` {what}", self.out.display()))
                    .note(note)
                    .help(format!("name another file, such as `{ending}`")),
            )
        };
        let files = &opened.named.files;
        let real = |path: &Path| path.canonicalize().ok();
        if let Some(there) = real(&self.out) {
            let read = files.taken().into_keys().map(|name| files.path(&name));
            if read.chain(self.layout.clone()).any(|input| real(&input).as_ref() == Some(&there)) {
                return Err(refused(&E0909, "is read by this command", "it would be lost"));
            }
            let stands = read_file(&there).unwrap_or_default();
            if !is_ours(&stands, content, form) {
                let note = "what stands there would be lost";
                return Err(refused(&E0907, "holds no labels of ours", note));
            }
        }
        put(&self.out, ".coilwright-", content, interrupt)
    }
}

/// Whether a file was written by this command: a PDF says who made it, a table has our heads.
fn is_ours(stands: &[u8], content: &[u8], form: Form) -> bool {
    let first_line = |bytes: &[u8]| -> Vec<u8> {
        bytes.iter().copied().take_while(|&byte| byte != b'\n').collect()
    };
    match form {
        Form::Csv => first_line(stands) == first_line(content),
        Form::Pdf => {
            let maker = b"/Producer (coilwright ";
            stands.starts_with(b"%PDF") && stands.windows(maker.len()).any(|part| part == maker)
        }
    }
}

fn nothing() -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&E1218, "the plan makes no piece, so there is nothing to label")
            .help("look at what `preview` says of this batch"),
    )
}
