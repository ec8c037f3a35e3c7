//! A folder to try the program in.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

/// A chart of three rows of five stitches that adds up: eyelets between knit edges. Worked out by hand.
pub const SCARF: &str = "Scarf\n\n,p,p,p,p,p,3\n2,k,k,k,k,k,\n,k,yo,k2tog,k,k,1\n";

/// The same with a decrease too many: row 3 uses 6 stitches where row 2 leaves 5.
pub const WRONG: &str = "Wrong\n\n,p,p2tog,p,p,p,3\n2,k,k,k,k,k,\n,k,yo,k2tog,k,k,1\n";

/// Two charts in one file.
pub const TWO: &str = "First\n\n,k,k,k,k,2\n,p,p,p,p,1\n\n\n\nSecond\n\n,p,p,p,2\n,k,k,k,1\n";

/// A pattern as JSON: two rows of two stitches.
pub const JSON: &str = r#"{"format": "longhand.pattern/1", "title": "Strap", "worked": "flat", "rows": [
    {"number": 1, "side": "RS", "stitches": ["k", "k"]}, {"number": 2, "side": "WS", "stitches": ["p", "p"]}]}"#;

/// A folder with files.
pub struct Bench {
    folder: TempDir,
}

/// What a run of the program gave.
#[derive(Debug)]
pub struct Run {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Bench {
    /// A folder with these files.
    pub fn with(files: &[(&str, &str)]) -> Self {
        let bench = Self { folder: TempDir::new().unwrap() };
        for (path, text) in files {
            bench.put(path, text);
        }
        bench
    }

    /// The folder's path.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Puts a file there.
    pub fn put(&self, path: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    /// The text of a file.
    pub fn get(&self, path: &str) -> String {
        fs::read_to_string(self.path().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    /// Runs the program.
    pub fn run(&self, arguments: &[&str]) -> Run {
        self.run_on(arguments, "")
    }

    /// Runs the program in a folder of the bench.
    pub fn run_in(&self, folder: &str, arguments: &[&str]) -> Run {
        ended(self.start_in(folder, arguments))
    }

    /// Runs the program with a text on standard input.
    pub fn run_on(&self, arguments: &[&str], input: &str) -> Run {
        let mut child = self.start(arguments);
        // The program may end without reading what it is given.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        ended(child)
    }

    /// Starts the program.
    pub fn start(&self, arguments: &[&str]) -> Child {
        self.start_in(".", arguments)
    }

    fn start_in(&self, folder: &str, arguments: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_longhand"))
            .args(arguments)
            .current_dir(self.path().join(folder))
            .env_remove("NO_COLOR")
            .env_remove("CLICOLOR_FORCE")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    }

    /// Every file of a folder, hidden ones too, in order, with `/` between folders.
    pub fn tree(&self, folder: &str) -> Vec<String> {
        let root = self.path().join(folder);
        let mut files = Vec::new();
        let mut folders = vec![root.clone()];
        while let Some(folder) = folders.pop() {
            let Ok(entries) = fs::read_dir(&folder) else { continue };
            for entry in entries {
                let path: PathBuf = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    files.push(path.strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/"));
                }
            }
        }
        files.sort();
        files
    }
}

/// Waits for the end of a run.
pub fn ended(child: Child) -> Run {
    let output = child.wait_with_output().unwrap();
    // Windows has its own mark between the parts of a path. In JSON it stands for other things.
    let said = |bytes: Vec<u8>| {
        let text = String::from_utf8(bytes).unwrap();
        if cfg!(windows) && !text.starts_with('{') { text.replace('\\', "/") } else { text }
    };
    let (out, err) = (said(output.stdout), said(output.stderr));
    Run { status: output.status.code().unwrap(), out, err }
}

impl Run {
    /// The same run, having ended with this status.
    #[track_caller]
    pub fn ended(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{self:#?}");
        self
    }

    /// The same run, having said this on standard error.
    #[track_caller]
    pub fn said(self, words: &str) -> Self {
        assert!(self.err.contains(words), "{words:?} is not said:\n{}", self.err);
        self
    }
}
