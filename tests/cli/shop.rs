//! A shop in a folder of its own, and runs of the program in it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_coilwright");

/// A copy of the small shop that every diagnostic fixture starts from.
pub struct Shop {
    folder: TempDir,
}

/// What a run said.
#[derive(Debug)]
pub struct Run {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Shop {
    pub fn new() -> Shop {
        let shop = Shop { folder: tempfile::tempdir().unwrap() };
        shop.copy_into("");
        shop
    }
    /// The small shop once more, in a folder below.
    pub fn copy_into(&self, below: &str) {
        let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/diagnostics/base");
        for entry in std::fs::read_dir(base).unwrap() {
            let entry = entry.unwrap();
            let name = entry.file_name().into_string().unwrap();
            self.write(Path::new(below).join(name), std::fs::read(entry.path()).unwrap());
        }
    }
    /// A folder of the project with all below it.
    pub fn copy_from(&self, folder: &str, below: &str) {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        for entry in std::fs::read_dir(from).unwrap() {
            let entry = entry.unwrap();
            let name = entry.file_name().into_string().unwrap();
            if entry.path().is_dir() {
                self.copy_from(&format!("{folder}/{name}"), &format!("{below}/{name}"));
            } else {
                self.write(Path::new(below).join(name), std::fs::read(entry.path()).unwrap());
            }
        }
    }
    pub fn path(&self, name: impl AsRef<Path>) -> PathBuf {
        self.folder.path().join(name)
    }
    pub fn write(&self, name: impl AsRef<Path>, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
    pub fn read(&self, name: impl AsRef<Path>) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }
    /// Changes a file.
    pub fn edit(&self, name: impl AsRef<Path>, from: &str, to: &str) {
        let text = self.read(&name);
        assert!(text.contains(from), "{from} is not in {}", name.as_ref().display());
        self.write(&name, text.replacen(from, to, 1));
    }
    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        command.env_remove("NO_COLOR").env_remove("COLUMNS");
        command
    }
    pub fn run(&self, args: &[&str]) -> Run {
        Run::of(self.command(args).output().unwrap())
    }
    /// Runs and expects this exit code.
    pub fn exits(&self, code: i32, args: &[&str]) -> Run {
        let run = self.run(args);
        assert_eq!(run.code, Some(code), "{args:?}: {run:#?}");
        run
    }
    /// Every file below a folder, by path.
    pub fn files(&self, below: &str) -> BTreeMap<String, Vec<u8>> {
        files_below(&self.path(below))
    }
    /// Names in a folder, sorted.
    pub fn names(&self, below: &str) -> Vec<String> {
        let entries = std::fs::read_dir(self.path(below)).unwrap();
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }
    /// A job of 200 pieces on a rack of short coils: many runs, and much to search.
    pub fn enlarge(&self) {
        let coils: String = (0..16)
            .map(|i| {
                format!(
                    "[[coil]]\nid = \"R{i}\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
                     grade = \"G550\"\ncoating = \"Z275\"\nlength = \"{} m\"\n\
                     uncertainty = \"1 %\"\ncost = \"{}.50\"\n\n",
                    41 + 3 * i,
                    60 + 5 * i
                )
            })
            .collect();
        self.write("stock.toml", coils);
        let mut job = "job BIG revision A\nprofile C90 = \"C90x40-0.75\"\n".to_string();
        for frame in 0..40 {
            job.push_str(&format!("frame F{frame} wall \"wall {frame}\" profile C90 {{\n"));
            for member in 0..5 {
                let length = 1200 + 37 * frame + 211 * member;
                job.push_str(&format!(
                    "  member M{member} stud length {length} {{\n    dimple on flanges, both ends \
                     at 22\n    hole 12 on web at 310\n  }}\n"
                ));
            }
            job.push_str("}\n");
        }
        self.write("job.members", job);
    }
}

impl Run {
    pub fn of(output: Output) -> Run {
        let run = Run {
            code: output.status.code(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        };
        assert!(!run.err.contains("panicked"), "{run:#?}");
        run
    }
    /// How often a code stands at the head of a finding.
    pub fn found(&self, code: &str) -> usize {
        self.err.lines().filter(|line| line.contains(&format!("[{code}]: "))).count()
    }
    pub fn finds(&self, code: &str) -> &Run {
        assert!(self.found(code) > 0, "{code} is not in {self:#?}");
        self
    }
}

/// Every file below a folder, by its path from there.
pub fn files_below(top: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![top.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(top).unwrap().to_str().unwrap().to_string();
                found.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    found
}
