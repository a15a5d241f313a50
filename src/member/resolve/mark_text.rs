//! What is printed on a piece: literal text with `{job}`, `{frame}` and `{mark}`.

/// Fields a template can have.
const FIELDS: [&str; 3] = ["job", "frame", "mark"];

/// A template cut at its fields.
pub(super) struct Template<'t> {
    parts: Vec<Part<'t>>,
}

enum Part<'t> {
    Text(&'t str),
    Job,
    Frame,
    Mark,
}

impl<'t> Template<'t> {
    /// Cuts a template; the error is the piece of it that means nothing.
    pub(super) fn cut(text: &'t str) -> Result<Template<'t>, &'t str> {
        let mut parts = Vec::new();
        let mut rest = text;
        while !rest.is_empty() {
            let Some(open) = rest.find(['{', '}']) else {
                parts.push(Part::Text(rest));
                break;
            };
            let (before, from) = rest.split_at(open);
            if !before.is_empty() {
                parts.push(Part::Text(before));
            }
            let Some((field, after)) = from.strip_prefix('{').and_then(|f| f.split_once('}'))
            else {
                return Err(from);
            };
            parts.push(match field {
                "job" => Part::Job,
                "frame" => Part::Frame,
                "mark" => Part::Mark,
                _ => return Err(from.get(..field.len() + 2).unwrap_or(from)),
            });
            rest = after;
        }
        Ok(Template { parts })
    }

    /// The text for one member.
    pub(super) fn fill(&self, job: &str, frame: &str, mark: &str) -> String {
        let mut text = String::new();
        for part in &self.parts {
            text.push_str(match part {
                Part::Text(part) => part,
                Part::Job => job,
                Part::Frame => frame,
                Part::Mark => mark,
            });
        }
        text
    }
}

/// What to write instead of a field that means nothing.
pub(super) fn fields_help(wrong: &str) -> String {
    let word = wrong.trim_matches(['{', '}']);
    match crate::diagnostic::closest(word, FIELDS) {
        Some(near) => format!("did you mean `{{{near}}}`?"),
        None => "fields are `{job}`, `{frame}` and `{mark}`; other text has no braces".to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fills_fields_and_refuses_others() {
        let template = Template::cut("{job} {frame}-{mark}!").unwrap_or(Template { parts: vec![] });
        assert_eq!(template.fill("KP07", "N1", "S3"), "KP07 N1-S3!");
        assert_eq!(Template::cut("a {mrak} b").err(), Some("{mrak}"));
        assert_eq!(Template::cut("a {mark").err(), Some("{mark"));
        assert_eq!(Template::cut("a } b").err(), Some("} b"));
        assert_eq!(fields_help("{mrak}"), "did you mean `{mark}`?");
    }
}
