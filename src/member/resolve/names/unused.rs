use super::super::scope::Kind;
use super::Walk;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;

impl Walk<'_, '_> {
    /// What listed files define and nothing uses; included files are there to be chosen from.
    pub(super) fn report_unused(&mut self) {
        for (id, callable) in self.names.callables.iter().enumerate() {
            let Some(file) = self.names.files.get(callable.file) else { continue };
            let used = self.used_callables.get(id).copied().unwrap_or(true);
            let name = file.words(callable.node.name);
            // A second definition of a name is told already.
            let second = self.names.first(callable.file, name, Kind::Callable) != Some(id);
            if used || second || !file.listed || file.tree.broken {
                continue;
            }
            let word = callable.word();
            self.findings.say(
                Diagnostic::new(&codes::W0270, format!("{word} `{name}` is never used"))
                    .at(file.span(callable.node.name), "defined here")
                    .note("nothing of it is on any member of this job")
                    .help("use it, take it out, or keep it in a file that is included"),
            );
        }
        for (id, &(index, node)) in self.names.lets.iter().enumerate() {
            let Some(file) = self.names.files.get(index) else { continue };
            let used = self.used_lets.get(id).copied().unwrap_or(true);
            let name = file.words(node.name);
            let second = self.names.first(index, name, Kind::Let) != Some(id);
            if !used && !second && file.listed && !file.tree.broken && !name.is_empty() {
                self.unused_name(name, file.span(node.name));
            }
        }
        for (id, alias) in self.names.aliases.iter().enumerate() {
            let Some(file) = self.names.files.get(alias.file) else { continue };
            let used = self.used_aliases.get(id).copied().unwrap_or(true);
            let name = file.words(alias.at);
            let second = self.names.first(alias.file, name, Kind::Alias) != Some(id);
            if !used && !second && file.listed && !file.tree.broken {
                self.findings.say(
                    Diagnostic::new(
                        &codes::W0272,
                        format!("no frame or member is of profile `{name}`"),
                    )
                    .at(file.span(alias.at), "never used")
                    .help("use it or take it out"),
                );
            }
        }
    }
}
