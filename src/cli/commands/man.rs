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

/// The page of the program, then the options of each command: one page to carry about.
fn page() -> String {
    let mut top = Coilwright::command();
    top.build();
    let commands: Vec<Command> = top.get_subcommands().cloned().collect();
    let mut roff = Vec::new();
    // Writing to memory does not fail.
    let _whole = Page::new(top).render(&mut roff);
    for command in commands {
        let page = Page::new(command);
        let _whole = page
            .render_name_section(&mut roff)
            .and_then(|()| page.render_synopsis_section(&mut roff))
            .and_then(|()| page.render_options_section(&mut roff));
    }
    String::from_utf8_lossy(&roff).into_owned()
}
