use super::disk::plain;
use super::interrupt::{self, Interrupt};
use super::manifest::Fault;
use super::survey::{Standing, Unsurveyed};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::{E0906, E0907, E0908, E0909, E0910, E0922};
use std::collections::BTreeMap;
use std::io::{Error, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// A place where an output folder may appear: it does not exist, is an empty folder, or is an
/// output of ours that nobody has touched.
#[derive(Debug)]
pub struct Destination {
    /// As the user wrote it.
    shown: String,
    /// Without links.
    folder: PathBuf,
    /// Whether an output of ours may stand there to be replaced.
    replaces: bool,
}

type Refusal = Box<Diagnostic>;

impl Destination {
    /// Looks whether the output may go there, before any work is done. `inputs` are the files it
    /// is made from.
    pub fn claim(
        out: &Path,
        inputs: impl IntoIterator<Item = PathBuf>,
    ) -> Result<Destination, Refusal> {
        Destination::look_for(out, inputs, true)
    }

    /// As [`Destination::claim`], where nothing may stand yet, not even an output of ours.
    pub fn claim_empty(out: &Path) -> Result<Destination, Refusal> {
        Destination::look_for(out, [], false)
    }

    fn look_for(
        out: &Path,
        inputs: impl IntoIterator<Item = PathBuf>,
        replaces: bool,
    ) -> Result<Destination, Refusal> {
        let shown = out.display().to_string();
        let folder = match std::fs::symlink_metadata(out) {
            Ok(_) => std::fs::canonicalize(out).map_err(|_| not_a_folder(&shown))?,
            Err(error) if error.kind() == ErrorKind::NotFound => new_path(out, &shown)?,
            Err(error) if error.kind() == ErrorKind::NotADirectory => {
                return Err(not_a_folder(&shown));
            }
            Err(error) => return Err(unwritable(&shown, "look at it", &error)),
        };
        let here = std::fs::canonicalize(".").ok();
        let inputs = inputs.into_iter().filter_map(|input| std::fs::canonicalize(input).ok());
        if let Some(inside) = inputs.chain(here).find(|input| input.starts_with(&folder)) {
            return Err(over_inputs(&shown, &folder, &inside));
        }
        let destination = Destination { shown, folder, replaces };
        if destination.folder.exists() {
            destination.look(&destination.folder)?;
        }
        Ok(destination)
    }

    /// Writes these files there: all of them or none.
    ///
    /// They are written and synced in a hidden folder beside it, which then takes its name. On an
    /// error or an interrupt everything is as it was.
    pub fn publish(
        &self,
        files: &BTreeMap<String, Vec<u8>>,
        interrupt: &Interrupt,
    ) -> Result<(), Refusal> {
        let fail = |doing: &str, error: Error| unwritable(&self.shown, doing, &error);
        let _guard = interrupt.guard();
        let parent = self.folder.parent().unwrap_or(Path::new(""));
        let mut made = Made::default();
        made.folders(parent).map_err(|e| fail("make the folder that holds it", e))?;
        let scratch = Scratch::beside(&self.folder, "partial", interrupt)
            .map_err(|e| fail("make a folder beside it", e))?;
        write_all(&scratch.path, files, interrupt).map_err(|stop| match stop {
            Stop::Interrupted => interrupted(),
            Stop::Failed(path, error) => fail(&format!("write `{path}`"), error),
        })?;
        if self.folder.exists() {
            self.replace(&scratch, interrupt)?;
        } else {
            std::fs::rename(&scratch.path, &self.folder)
                .map_err(|e| fail("give it its name", e))?;
        }
        sync_folder(parent).map_err(|e| fail("sync the folder that holds it", e))?;
        made.keep();
        Ok(())
    }

    /// Puts the new folder in place of one that is there, and takes that away.
    fn replace(&self, scratch: &Scratch, interrupt: &Interrupt) -> Result<(), Refusal> {
        let former = Scratch::name_beside(&self.folder, "former");
        // Ended in the midst of this, there would be nothing where an output was.
        interrupt.undivided(|| self.exchange(scratch, &former))?;
        let there = || Ok(());
        let _going = interrupt.scratch(there, |()| former.clone());
        std::fs::remove_dir_all(&former).map_err(|e| {
            let name = former.file_name().unwrap_or_default().to_string_lossy().to_string();
            unwritable(&self.shown, &format!("remove the former one, now `{name}`"), &e)
        })
    }

    /// Gives what stands there another name, and the new folder its own.
    fn exchange(&self, scratch: &Scratch, former: &Path) -> Result<(), Refusal> {
        let fail = |doing: &str, error: Error| unwritable(&self.shown, doing, &error);
        std::fs::rename(&self.folder, former).map_err(|e| fail("move the former one", e))?;
        // Out of the way it is looked at once more: somebody may have saved into it meanwhile.
        let placed = self.look(former).and_then(|()| {
            std::fs::rename(&scratch.path, &self.folder).map_err(|e| fail("give it its name", e))
        });
        if placed.is_err() {
            std::fs::rename(former, &self.folder).map_err(|e| fail("put it back", e))?;
        }
        placed
    }

    /// Whether what stands at `folder` may be replaced.
    fn look(&self, folder: &Path) -> Result<(), Refusal> {
        if !folder.is_dir() {
            return Err(not_a_folder(&self.shown));
        }
        let mut entries =
            std::fs::read_dir(folder).map_err(|e| unwritable(&self.shown, "look at it", &e))?;
        if entries.next().is_none() {
            return Ok(());
        }
        if !self.replaces {
            return Err(Box::new(
                Diagnostic::new(&E0922, format!("`{}` is not empty", self.shown))
                    .note("what lies there is left as it is, and nothing was written")
                    .help("name a folder that is not there yet"),
            ));
        }
        let why = match Standing::of(folder) {
            Ok(standing) if standing.is_whole() => return Ok(()),
            Ok(standing) => {
                let named = |what: &str, paths: &[String]| {
                    paths.first().map(|path| match paths.len() {
                        1 => format!("`{path}` {what}"),
                        n => format!("`{path}` and {} more {what}", n - 1),
                    })
                };
                [
                    named("did not come from us", &standing.extra),
                    named("changed since", &standing.changed),
                    named("gone", &standing.missing),
                ]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", ")
            }
            Err(Unsurveyed::Without) => "it has no manifest of ours".to_string(),
            Err(Unsurveyed::Manifest(Fault::Foreign(why))) => format!("of its manifest, {why}"),
            Err(Unsurveyed::Manifest(Fault::Changed)) => "its manifest was changed".to_string(),
            Err(Unsurveyed::Unreadable(path, why)) => format!("`{path}` cannot be read: {why}"),
        };
        Err(Box::new(
            Diagnostic::new(&E0907, format!("`{}` is not replaced: {why}", self.shown))
                .note("only an output folder of ours that nobody has touched is ever replaced")
                .help("give another name with --out, or look at the folder and remove it"),
        ))
    }
}

/// The real path of something that is not there yet.
fn new_path(out: &Path, shown: &str) -> Result<PathBuf, Refusal> {
    let mut missing = Vec::new();
    let mut at = out;
    loop {
        let Some(name) = at.file_name() else { return Err(not_a_folder(shown)) };
        missing.push(name);
        let above = match at.parent() {
            Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
            Some(parent) => parent,
            None => return Err(not_a_folder(shown)),
        };
        match std::fs::canonicalize(above) {
            Ok(real) if real.is_dir() => {
                return Ok(missing.into_iter().rev().fold(real, |path, name| path.join(name)));
            }
            Err(error) if error.kind() == ErrorKind::NotFound => at = above,
            Ok(_) => return Err(not_a_folder(shown)),
            Err(error) if error.kind() == ErrorKind::NotADirectory => {
                return Err(not_a_folder(shown));
            }
            Err(error) => return Err(unwritable(shown, "look at the folder above", &error)),
        }
    }
}

enum Stop {
    Interrupted,
    Failed(String, Error),
}

/// Writes and syncs every file below `top`, then the folders.
fn write_all(
    top: &Path,
    files: &BTreeMap<String, Vec<u8>>,
    interrupt: &Interrupt,
) -> Result<(), Stop> {
    let mut folders = vec![top.to_path_buf()];
    for (path, bytes) in files {
        if interrupt.raised() {
            return Err(Stop::Interrupted);
        }
        let failed = |error| Stop::Failed(path.clone(), error);
        let target = top.join(path);
        if let Some(folder) = target.parent() {
            std::fs::create_dir_all(folder).map_err(failed)?;
            if !folders.iter().any(|f| f == folder) {
                folders.push(folder.to_path_buf());
            }
        }
        let mut file = std::fs::File::create(&target).map_err(failed)?;
        file.write_all(bytes).map_err(failed)?;
        file.sync_all().map_err(failed)?;
    }
    for folder in folders.iter().rev() {
        sync_folder(folder).map_err(|error| Stop::Failed(String::from("."), error))?;
    }
    if interrupt.raised() { Err(Stop::Interrupted) } else { Ok(()) }
}

/// Makes a folder's entries last over a power cut; systems that cannot, do not.
fn sync_folder(folder: &Path) -> Result<(), Error> {
    if cfg!(unix) {
        std::fs::File::open(folder)?.sync_all()?;
    }
    Ok(())
}

/// A folder that goes away with its guard, unless it has been renamed.
struct Scratch {
    path: PathBuf,
    _known: interrupt::Scratch,
}

impl Scratch {
    fn beside(folder: &Path, word: &str, interrupt: &Interrupt) -> Result<Scratch, Error> {
        let path = Scratch::name_beside(folder, word);
        let make = || std::fs::create_dir(&path);
        let (_, known) = interrupt.scratch(make, |()| path.clone())?;
        Ok(Scratch { path, _known: known })
    }
    /// A hidden name that is free.
    fn name_beside(folder: &Path, word: &str) -> PathBuf {
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        let process = std::process::id();
        (0..)
            .map(|n: u32| folder.with_file_name(format!(".{name}.{word}-{process}-{n}")))
            .find(|path| std::fs::symlink_metadata(path).is_err())
            .unwrap_or_default()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _already_renamed = std::fs::remove_dir_all(&self.path);
    }
}

/// Folders made on the way; taken away again unless kept.
#[derive(Default)]
struct Made(Vec<PathBuf>);

impl Made {
    fn folders(&mut self, path: &Path) -> Result<(), Error> {
        let missing: Vec<&Path> = path.ancestors().take_while(|p| !p.exists()).collect();
        for folder in missing.into_iter().rev() {
            std::fs::create_dir(folder)?;
            self.0.push(folder.to_path_buf());
        }
        Ok(())
    }
    fn keep(&mut self) {
        self.0.clear();
    }
}

impl Drop for Made {
    fn drop(&mut self) {
        for folder in self.0.iter().rev() {
            let _in_use_by_somebody = std::fs::remove_dir(folder);
        }
    }
}

fn unwritable(shown: &str, doing: &str, error: &Error) -> Refusal {
    Box::new(
        Diagnostic::new(&E0906, format!("cannot write `{shown}`: {}", plain(error)))
            .note(format!("it happened on the attempt to {doing}"))
            .help("check that the folder above it may be written and the disk has room"),
    )
}

fn not_a_folder(shown: &str) -> Refusal {
    Box::new(
        Diagnostic::new(&E0908, format!("`{shown}` is not a folder, and cannot become one"))
            .help("name a folder that is not there yet"),
    )
}

fn over_inputs(shown: &str, folder: &Path, inside: &Path) -> Refusal {
    if inside == folder {
        let what = format!("`{shown}` is the folder you are in, and cannot be replaced from there");
        return Box::new(
            Diagnostic::new(&E0909, what).help("name another folder: one in it, or one beside it"),
        );
    }
    let name = inside.file_name().unwrap_or_default().to_string_lossy();
    Box::new(
        Diagnostic::new(&E0909, format!("`{shown}` holds `{name}`, which would be replaced too"))
            .help("name another folder: one beside it, or one that is not there yet"),
    )
}

/// Somebody asked to stop.
pub fn interrupted() -> Refusal {
    Box::new(
        Diagnostic::new(&E0910, "stopped on request; nothing more was written")
            .help("start it again when you are ready"),
    )
}

#[cfg(test)]
mod tests {
    use super::super::manifest::{Manifest, NAME};
    use super::*;

    fn whole(text: &str) -> BTreeMap<String, Vec<u8>> {
        let mut files = BTreeMap::from([
            ("programs/a.jsonl".to_string(), text.as_bytes().to_vec()),
            ("inputs/batch.toml".to_string(), b"x".to_vec()),
        ]);
        let manifest = Manifest::new("b", "inputs/batch.toml", 1, &files, Vec::new());
        files.insert(NAME.to_string(), manifest.print());
        files
    }
    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
    fn claim(out: &Path) -> Result<Destination, &'static str> {
        Destination::claim(out, []).map_err(|refusal| refusal.code.number)
    }

    #[test]
    fn appears_whole_replaces_its_own_and_leaves_nothing_beside() {
        let top = tempfile::tempdir().unwrap();
        let out = top.path().join("deep/er/out");
        for text in ["one", "two"] {
            let destination = claim(&out).unwrap();
            destination.publish(&whole(text), &Interrupt::default()).unwrap();
            assert_eq!(std::fs::read(out.join("programs/a.jsonl")).unwrap(), text.as_bytes());
            assert_eq!(names(out.parent().unwrap()), ["out"]);
            assert!(Standing::of(&out).unwrap().is_whole());
        }
    }

    #[test]
    fn an_empty_folder_is_used() {
        let top = tempfile::tempdir().unwrap();
        let out = top.path().join("out");
        std::fs::create_dir(&out).unwrap();
        claim(&out).unwrap().publish(&whole("x"), &Interrupt::default()).unwrap();
        assert_eq!(names(&out), ["inputs", NAME, "programs"]);
    }

    #[test]
    fn what_is_not_ours_or_touched_is_refused_and_stays() {
        let top = tempfile::tempdir().unwrap();
        let out = top.path().join("out");
        type Touch = fn(&Path);
        let touch: [(&str, Touch); 6] = [
            ("a file more", |out| std::fs::write(out.join("notes"), "mine").unwrap()),
            ("an empty folder more", |out| std::fs::create_dir(out.join("d")).unwrap()),
            ("a changed file", |out| std::fs::write(out.join("programs/a.jsonl"), "y").unwrap()),
            ("a file less", |out| std::fs::remove_file(out.join("programs/a.jsonl")).unwrap()),
            ("a changed manifest", |out| {
                let mut text = std::fs::read_to_string(out.join(NAME)).unwrap();
                text.push(' ');
                std::fs::write(out.join(NAME), text).unwrap();
            }),
            ("no manifest", |out| std::fs::remove_file(out.join(NAME)).unwrap()),
        ];
        for (what, touch) in touch {
            claim(&out).unwrap().publish(&whole("x"), &Interrupt::default()).unwrap();
            // Touched between the first look and the last one: put back, refused.
            let early = claim(&out).unwrap();
            touch(&out);
            let before = names(&out);
            assert_eq!(claim(&out).unwrap_err(), "E0907", "{what}");
            let late = early.publish(&whole("z"), &Interrupt::default()).unwrap_err();
            assert_eq!(late.code.number, "E0907", "{what}");
            assert_eq!(names(&out), before, "{what}");
            assert_eq!(names(top.path()), ["out"], "{what}");
            std::fs::remove_dir_all(&out).unwrap();
        }
    }

    #[test]
    fn an_interrupt_leaves_nothing_behind() {
        let top = tempfile::tempdir().unwrap();
        let out = top.path().join("deep/out");
        let interrupt = Interrupt::default();
        interrupt.raise();
        let stopped = claim(&out).unwrap().publish(&whole("x"), &interrupt).unwrap_err();
        assert_eq!(stopped.code.number, "E0910");
        assert_eq!(names(top.path()), Vec::<String>::new());
    }

    #[test]
    fn files_links_and_inputs_are_not_replaced() {
        let top = tempfile::tempdir().unwrap();
        let file = top.path().join("file");
        std::fs::write(&file, "x").unwrap();
        assert_eq!(claim(&file).unwrap_err(), "E0908");
        assert_eq!(claim(&file.join("below")).unwrap_err(), "E0908");
        let input = top.path().join("batch.toml");
        std::fs::write(&input, "x").unwrap();
        let over = Destination::claim(top.path(), [input]).unwrap_err();
        assert_eq!(over.code.number, "E0909");
        assert_eq!(claim(Path::new(".")).unwrap_err(), "E0909");
        assert_eq!(claim(Path::new("/")).unwrap_err(), "E0909");
        #[cfg(unix)]
        {
            let link = top.path().join("link");
            std::os::unix::fs::symlink(top.path().join("nowhere"), &link).unwrap();
            assert_eq!(claim(&link).unwrap_err(), "E0908");
        }
    }
}
