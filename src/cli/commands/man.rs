use crate::cli::Session;
use crate::cli::args::{Coilwright, TEMPLATE};
use crate::cli::exit::Exit;
use clap::{Args, Command, CommandFactory};
use clap_mangen::Man as Page;

/// Print the manual page
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright man > coilwright.1
  coilwright man | man -l -
"
)]
pub struct Man {}

impl Man {
    pub fn run(self, session: &Session) -> Exit {
        session.console.product(&page())
    }
}

/// What the exit codes mean, as `Exit` has them.
const EXITS: [(&str, &str); 3] = [
    ("0", "Done, and nothing is wrong; there may be warnings and notes."),
    ("1", "The input has errors: each is a finding on standard error."),
    (
        "2",
        "The command line is wrong, or something outside the input: a full disk, a file that is not there.",
    ),
];

/// A section of terms with what they mean.
fn section(title: &str, items: &[(impl AsRef<str>, impl AsRef<str>)]) -> String {
    let mut text = format!(".SH \"{title}\"\n");
    for (term, meaning) in items {
        let (term, meaning) = (escaped(term.as_ref()), escaped(meaning.as_ref()));
        text.push_str(&format!(".TP\n{term}\n{meaning}\n"));
    }
    text
}

/// Text in which nothing is a request.
fn escaped(text: &str) -> String {
    let text = text.replace('\\', "\\e").replace('-', "\\-");
    match text.starts_with(['.', '\'']) {
        true => format!("\\&{text}"),
        false => text,
    }
}

/// The examples of a command's help, each with what the command does.
fn examples(command: &Command) -> Vec<(String, String)> {
    let help = command.get_before_help().map(ToString::to_string).unwrap_or_default();
    let about = command.get_about().map(ToString::to_string).unwrap_or_default();
    help.lines()
        .map(str::trim)
        .filter(|line| line.starts_with("coilwright "))
        .map(|line| (line.to_string(), about.clone()))
        .collect()
}

/// The page of the program, then the options of each command: one page to carry about.
fn page() -> String {
    let mut top = Coilwright::command();
    top.build();
    let commands: Vec<Command> = top.get_subcommands().cloned().collect();
    let mut roff = Vec::new();
    // Writing to memory does not fail.
    let _whole = Page::new(top).render(&mut roff);
    roff.extend_from_slice(section("EXIT STATUS", &EXITS).as_bytes());
    let examples: Vec<(String, String)> = commands.iter().flat_map(examples).collect();
    roff.extend_from_slice(section("EXAMPLES", &examples).as_bytes());
    for command in commands {
        let page = Page::new(command);
        let _whole = page
            .render_name_section(&mut roff)
            .and_then(|()| page.render_synopsis_section(&mut roff))
            .and_then(|()| page.render_options_section(&mut roff));
    }
    String::from_utf8_lossy(&roff).into_owned()
}
