use crate::cli::Session;
use crate::cli::args::{Coilwright, TEMPLATE};
use crate::cli::exit::Exit;
use clap::{Args, CommandFactory};
use clap_complete::Shell;

/// Print what a shell needs to complete commands and options
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright completions bash > ~/.local/share/bash-completion/completions/coilwright
  coilwright completions fish > ~/.config/fish/completions/coilwright.fish
"
)]
pub struct Completions {
    /// Which shell
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

impl Completions {
    pub fn run(self, session: &Session) -> Exit {
        let mut script = Vec::new();
        let mut command = Coilwright::command();
        clap_complete::generate(self.shell, &mut command, "coilwright", &mut script);
        session.console.product(&String::from_utf8_lossy(&script))
    }
}
