use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::examples;
use crate::cli::exit::Exit;
use crate::diagnostic::{Code, closest, codes};
use clap::Args;
use clap::error::ErrorKind;

/// Columns that explanations are wrapped at.
const WIDTH: usize = 88;

/// Say what a code means, with a wrong and a right example
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright explain E0907
  coilwright explain output-foreign
"
)]
pub struct Explain {
    /// Number or name of the code, as a finding shows it
    #[arg(value_name = "CODE")]
    code: String,
}

impl Explain {
    pub fn run(self, session: &Session) -> Exit {
        let named = codes::all().find(|code| code.slug.eq_ignore_ascii_case(&self.code));
        match codes::find(&self.code).or(named) {
            Some(code) => session.console.product(&text(code)),
            None => {
                let known = codes::all().flat_map(|code| [code.number, code.slug]);
                let help = match closest(&self.code, known) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "a code is a letter and four digits, such as E0907".to_string(),
                };
                super::usage(
                    ErrorKind::InvalidValue,
                    &format!("there is no code `{}`; {help}", self.code),
                )
            }
        }
    }
}

/// The page of one code.
fn text(code: &Code) -> String {
    let mut page = format!(
        "{} ({}): {}\n{}\n\n",
        code.number,
        code.slug,
        code.title,
        match code.severity.word() {
            "error" => "An error: nothing is made from this input.",
            "warning" => "A warning: it can be made; someone should look.",
            _ => "A note: nothing is wrong; there is something for somebody to do or decide.",
        }
    );
    for paragraph in code.explanation.split("\n\n") {
        wrap(&mut page, paragraph);
        page.push('\n');
    }
    if let Some((wrong, right)) = examples::of(code) {
        for (title, fixture) in [("Wrong", wrong), ("Right", right)] {
            for (file, lines) in sections(fixture) {
                page.push_str(&format!("{title}, in {file}:\n\n"));
                for line in lines {
                    page.push_str(format!("    {line}").trim_end());
                    page.push('\n');
                }
                page.push('\n');
            }
        }
    }
    page.truncate(page.trim_end().len());
    page.push('\n');
    page
}

/// The files of a fixture, without the lines that say what a test expects.
fn sections(fixture: &str) -> Vec<(&str, Vec<&str>)> {
    let mut sections: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in fixture.lines() {
        let name = line.strip_prefix("-- ").and_then(|rest| rest.strip_suffix(" --"));
        match (name, sections.last_mut()) {
            (Some(name), _) => sections.push((name, Vec::new())),
            (None, Some((_, lines))) => {
                let expectation = ["# error[", "# warning[", "# note["]
                    .iter()
                    .any(|mark| line.trim_start().starts_with(mark));
                if !expectation {
                    lines.push(line);
                }
            }
            (None, None) => {}
        }
    }
    sections
}

fn wrap(page: &mut String, paragraph: &str) {
    for line in paragraph.lines() {
        let mut column = 0;
        for word in line.split(' ') {
            let length = word.chars().count();
            if column > 0 && column + 1 + length > WIDTH {
                page.push('\n');
                column = 0;
            } else if column > 0 {
                page.push(' ');
                column += 1;
            }
            page.push_str(word);
            column += length;
        }
        page.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_has_a_page_that_fits_the_screen() {
        for code in codes::all() {
            let page = text(code);
            assert!(page.starts_with(code.number), "{page}");
            let explained = page.split("\n\n").nth(1).unwrap_or_default();
            assert!(explained.len() > 40, "{}: {page}", code.number);
            for line in page.lines().filter(|line| !line.starts_with("    ")) {
                assert!(line.chars().count() <= 100, "{}: {line}", code.number);
            }
        }
    }

    #[test]
    fn examples_do_not_show_what_a_test_expects() {
        let fixture = "-- a.members --\n# error[E0101] 2:1-2\nx {\n-- b.toml --\ny = 1\n";
        assert_eq!(sections(fixture), [("a.members", vec!["x {"]), ("b.toml", vec!["y = 1"])]);
    }
}
