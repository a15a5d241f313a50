use crate::cli::args::TEMPLATE;
use crate::cli::disk::{put, read_file};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::told::Told;
use crate::cli::{Session, fresh, members};
use crate::diagnostic::codes::files::{E0907, E0909};
use crate::diagnostic::codes::labels::{E1201, E1202};
use crate::diagnostic::{Diagnostic, any_error, closest};
use crate::library::model::Library;
use crate::member::model::Job;
use crate::report::drawing::{self, Drawing, Part, Wanted, dxf, svg};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Draw members laid flat, to lay over what another program drew: DXF or SVG, full size
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright draw job.members --library library.toml --frame N1 --mark S1 --out s1.dxf
  coilwright draw job.members --library library.toml --all --form svg --out drawings
"
)]
pub struct Draw {
    /// Members files
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// Library the members refer to
    #[arg(long, value_name = "FILE")]
    library: PathBuf,
    /// Draw members of this mark; may be given several times
    #[arg(long, value_name = "MARK")]
    mark: Vec<String>,
    /// Draw members of this frame; may be given several times
    #[arg(long, value_name = "FRAME")]
    frame: Vec<String>,
    /// Draw members of this job; may be given several times
    #[arg(long, value_name = "JOB")]
    job: Vec<String>,
    /// Draw every member
    #[arg(long)]
    all: bool,
    /// dxf or svg; else by the ending of the file, else dxf
    #[arg(long, value_name = "FORM", hide_possible_values = true)]
    form: Option<DrawnForm>,
    /// A .dxf or .svg file for one shape, replaced if it is a drawing of ours; or a new folder
    #[arg(long, value_name = "PATH")]
    out: PathBuf,
}

/// How a drawing is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum DrawnForm {
    /// DXF, release 2000
    Dxf,
    /// SVG, a user unit a millimetre
    Svg,
}

impl DrawnForm {
    const fn ending(self) -> &'static str {
        match self {
            DrawnForm::Dxf => "dxf",
            DrawnForm::Svg => "svg",
        }
    }
    const fn first_lines(self) -> &'static str {
        match self {
            DrawnForm::Dxf => dxf::FIRST_LINES,
            DrawnForm::Svg => svg::FIRST_LINES,
        }
    }
    fn print(self, drawing: &Drawing) -> String {
        match self {
            DrawnForm::Dxf => dxf::print(drawing),
            DrawnForm::Svg => svg::print(drawing),
        }
    }
    /// What a path ends in, where it is the name of a drawing.
    fn of(path: &Path) -> Option<DrawnForm> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        [DrawnForm::Dxf, DrawnForm::Svg].into_iter().find(|form| form.ending() == ending)
    }
}

impl Draw {
    pub fn run(self, session: &Session) -> Exit {
        if !self.all && self.mark.is_empty() && self.frame.is_empty() && self.job.is_empty() {
            return super::usage(
                clap::error::ErrorKind::MissingRequiredArgument,
                "say what to draw: --mark, --frame, --job, or --all",
            );
        }
        let mut told = Told::default();
        let page = match members::checked(&self.files, &self.library, &mut told) {
            Some((jobs, library)) if !any_error(&told.found) => self
                .draw(&jobs, &library, &session.interrupt)
                .map_err(|refusal| told.found.push(*refusal))
                .ok(),
            _ => None,
        };
        let exit = session.console.tell(told);
        match page {
            Some(page) => exit.max(session.console.product(&page)),
            None => {
                session.console.summary("Nothing was written.");
                exit
            }
        }
    }

    fn draw(
        &self,
        jobs: &[Job],
        library: &Library,
        interrupt: &Interrupt,
    ) -> Result<String, Box<Diagnostic>> {
        let named = |names: &[String], name: &str| {
            names.is_empty() || names.iter().any(|wanted| wanted == name)
        };
        let parts = drawing::parts(jobs, library, |one: &Wanted<'_>| {
            named(&self.job, &one.job.name)
                && named(&self.frame, &one.frame.name)
                && named(&self.mark, &one.member.mark)
        });
        self.all_there(jobs, &parts)?;
        let file = DrawnForm::of(&self.out).filter(|_| !self.out.is_dir());
        let form = self.form.or(file).unwrap_or(DrawnForm::Dxf);
        let text = |part: &Part<'_>| Drawing::of(part, library).map(|of| form.print(&of));
        let out = self.out.display();
        let count = |members: usize, drawings: usize| {
            let plural = |n: usize| if n == 1 { "" } else { "s" };
            format!("{members} member{} in {drawings} drawing{}", plural(members), plural(drawings))
        };
        if file.is_some() {
            let [part] = parts.as_slice() else { return Err(several(&out.to_string(), &parts)) };
            self.over_no_input()?;
            replace(&self.out, &text(part).unwrap_or_default(), form, interrupt)?;
            return Ok(format!("Wrote {out}: {}.\n", count(part.wanted.len(), 1)));
        }
        let mut files: Vec<(String, String)> = parts
            .iter()
            .filter_map(|part| Some((format!("{}.{}", part.stem, form.ending()), text(part)?)))
            .collect();
        let drawings = files.len();
        let list = drawing::list(&parts, library, form.ending());
        files.push(("drawings.csv".to_string(), list));
        let each = files.iter().map(|(name, text)| (name.as_str(), text.as_str()));
        fresh::folder(&self.out, each, interrupt)?;
        let members = parts.iter().map(|part| part.wanted.len()).sum();
        Ok(format!(
            "Wrote {out}: {}; drawings.csv says which is drawn where.\n",
            count(members, drawings)
        ))
    }

    /// Whether every name that was given is one of a picked member.
    fn all_there(&self, jobs: &[Job], parts: &[Part<'_>]) -> Result<(), Box<Diagnostic>> {
        type Name = for<'a> fn(&Wanted<'a>) -> &'a str;
        let kinds: [(&str, &[String], Name); 3] = [
            ("job", &self.job, |one| &one.job.name),
            ("frame", &self.frame, |one| &one.frame.name),
            ("mark", &self.mark, |one| &one.member.mark),
        ];
        for (what, names, name_of) in kinds {
            for name in names {
                let picked = parts.iter().flat_map(|part| &part.wanted);
                if picked.into_iter().any(|one| name_of(one) == name) {
                    continue;
                }
                let every = jobs.iter().flat_map(|job| {
                    job.members().map(move |(frame, member)| Wanted { job, frame, member })
                });
                let names: Vec<&str> = every.map(|one| name_of(&one)).collect();
                let message = if names.contains(&name.as_str()) {
                    format!("no member of {what} {name} is as the rest of the command asks for")
                } else {
                    format!("no member here is of {what} {name}")
                };
                let help = match closest(name, names).filter(|near| near != name) {
                    Some(near) => format!("did you mean {what} `{near}`?"),
                    None => "look at the members file, or ask for less".to_string(),
                };
                return Err(Box::new(Diagnostic::new(&E1201, message).help(help)));
            }
        }
        if parts.is_empty() {
            let found = Diagnostic::new(&E1201, "there are no members in these files")
                .help("name the members files that hold the job's frames");
            return Err(Box::new(found));
        }
        Ok(())
    }

    /// A drawing is never put in the place of what it is made from.
    fn over_no_input(&self) -> Result<(), Box<Diagnostic>> {
        let real = |path: &Path| path.canonicalize().ok();
        let Some(out) = real(&self.out) else { return Ok(()) };
        let mut inputs = self.files.iter().chain([&self.library]);
        if inputs.any(|input| real(input).as_ref() == Some(&out)) {
            let what = format!("`{}` is read by this command", self.out.display());
            return Err(Box::new(
                Diagnostic::new(&E0909, what)
                    .note("it would be lost")
                    .help("name another file for the drawing"),
            ));
        }
        Ok(())
    }
}

fn several(out: &str, parts: &[Part<'_>]) -> Box<Diagnostic> {
    let first: Vec<&str> = parts.iter().take(3).map(|part| part.stem.as_str()).collect();
    Box::new(
        Diagnostic::new(&E1202, format!("these members come to {} drawings", parts.len()))
            .note(format!(
                "{}{}",
                first.join(", "),
                if parts.len() > first.len() { " and more differ from each other" } else { "" }
            ))
            .help(format!("name a folder in place of `{out}`, or pick fewer")),
    )
}

/// A drawing replaces a drawing of ours in its form, and nothing else.
fn replace(
    path: &Path,
    text: &str,
    form: DrawnForm,
    interrupt: &Interrupt,
) -> Result<(), Box<Diagnostic>> {
    if path.exists() {
        let bytes = read_file(path).unwrap_or_default();
        if !bytes.starts_with(form.first_lines().as_bytes()) {
            let what = format!("`{}` is no drawing of ours", path.display());
            return Err(Box::new(
                Diagnostic::new(&E0907, what)
                    .note("what stands there would be lost")
                    .help("name another file for the drawing"),
            ));
        }
    }
    put(path, ".coilwright-", text, interrupt)
}
