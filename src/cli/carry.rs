use std::collections::BTreeMap;
use std::sync::Arc;

/// Folder of an output that holds the inputs.
const FOLDER: &str = "inputs";

/// Where the inputs of a batch are stored in its output folder.
///
/// Names are as the batch knows them: relative to its folder, `../` leading out of it. They keep
/// their places to each other, so that the stored batch compiles where it lies. The folders
/// between the batch and the deepest folder that holds all inputs get names of our own: what the
/// shop calls its folders is no input and must not change a byte of the output.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Carried {
    /// Folder names from the top to the batch's own folder.
    descent: Vec<String>,
}

impl Carried {
    /// For inputs of these names.
    pub fn of<'a>(names: impl IntoIterator<Item = &'a str>) -> Carried {
        let names: Vec<(usize, Vec<&str>)> = names.into_iter().map(split).collect();
        let depth = names.iter().map(|(up, _)| *up).max().unwrap_or(0);
        // The folder at each level must not be taken for one a name leads into from there.
        let descent = (0..depth)
            .map(|level| {
                let taken = |name: &str| {
                    names
                        .iter()
                        .filter(|(up, _)| depth - up == level)
                        .any(|(_, parts)| parts.first() == Some(&name))
                };
                std::iter::once("batch".to_string())
                    .chain((2..).map(|n| format!("batch-{n}")))
                    .find(|name| !taken(name))
                    .unwrap_or_default()
            })
            .collect();
        Carried { descent }
    }
    /// Its place in the output folder.
    pub fn stored(&self, name: &str) -> String {
        let (up, parts) = split(name);
        let kept = self.descent.len().saturating_sub(up);
        let mut path = vec![FOLDER];
        path.extend(self.descent.iter().take(kept).map(String::as_str));
        path.extend(parts);
        path.join("/")
    }
    /// The inputs, by their place in the output folder.
    pub fn store(
        &self,
        inputs: &BTreeMap<String, Arc<[u8]>>,
    ) -> impl Iterator<Item = (String, Vec<u8>)> {
        inputs.iter().map(|(name, bytes)| (self.stored(name), bytes.to_vec()))
    }
}

/// The name of a stored input as the batch at `batch_file` knows it; `None` for what is no input.
pub fn known_as(batch_file: &str, stored: &str) -> Option<String> {
    let mut folder: Vec<&str> = batch_file.split('/').collect();
    folder.pop();
    let parts: Vec<&str> = stored.split('/').collect();
    if folder.first() != Some(&FOLDER) || parts.first() != Some(&FOLDER) {
        return None;
    }
    let shared = folder.iter().zip(&parts).take_while(|(a, b)| a == b).count();
    let up = folder.len() - shared;
    let mut name = vec![".."; up];
    name.extend(parts.get(shared..)?);
    Some(name.join("/"))
}

/// How often a name leads up, and the parts below that.
fn split(name: &str) -> (usize, Vec<&str>) {
    let parts: Vec<&str> = name.split('/').filter(|p| !p.is_empty() && *p != ".").collect();
    let up = parts.iter().take_while(|&&part| part == "..").count();
    (up, parts.get(up..).unwrap_or_default().to_vec())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_batch_with_everything_below_it_keeps_its_names() {
        let carried = Carried::of(["batch.toml", "walls/n1.members"]);
        assert_eq!(carried.stored("batch.toml"), "inputs/batch.toml");
        assert_eq!(carried.stored("walls/n1.members"), "inputs/walls/n1.members");
    }

    #[test]
    fn names_that_lead_out_keep_their_places_to_each_other_and_come_back() {
        let names = ["batch.toml", "../shop/line.toml", "../../std/rules.toml", "../batch/x"];
        let carried = Carried::of(names);
        let batch = carried.stored("batch.toml");
        assert_eq!(batch, "inputs/batch/batch-2/batch.toml");
        assert_eq!(carried.stored("../shop/line.toml"), "inputs/batch/shop/line.toml");
        assert_eq!(carried.stored("../../std/rules.toml"), "inputs/std/rules.toml");
        let mut places: Vec<String> = names.iter().map(|n| carried.stored(n)).collect();
        for (name, place) in names.iter().zip(&places) {
            assert_eq!(known_as(&batch, place).as_deref(), Some(*name));
            assert_eq!(&crate::quantity::join(&batch, name), place, "compiles where it lies");
        }
        places.sort();
        places.dedup();
        assert_eq!(places.len(), names.len());
    }

    #[test]
    fn what_is_no_input_has_no_name() {
        assert_eq!(known_as("inputs/batch.toml", "programs/a"), None);
    }
}
