//! The built program, run as a person would run it, in a folder of its own.

use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use stint::study::command::Command as Change;
use stint::study::script::{FORMAT, Script};
use stint_model::board::{LightOfDay, Role};

/// Names another build of the program to test.
pub const PROGRAM_VARIABLE: &str = "STINT_PROGRAM";

/// Where the program is: what [`PROGRAM_VARIABLE`] says, else beside the tests, in the build folder they come from.
///
/// # Panics
/// When it has not been built, with advice.
pub fn program() -> PathBuf {
    if let Some(named) = std::env::var_os(PROGRAM_VARIABLE) {
        let named = PathBuf::from(named);
        assert!(named.is_file(), "{PROGRAM_VARIABLE} names {}, where there is no program", named.display());
        return named;
    }
    // target/release/deps/NAME-hash -> target/release/stint
    let test = std::env::current_exe().expect("a running test has a path");
    let built = test.parent().and_then(Path::parent).map(|folder| folder.join("stint"));
    let built = built.map(|p| p.with_extension(std::env::consts::EXE_EXTENSION)).unwrap_or_default();
    let same = if cfg!(debug_assertions) { "cargo build -p stint" } else { "cargo build --release -p stint" };
    assert!(built.is_file(), "there is no program at {}; run `{same}` first", built.display());
    built
}

/// A file of the test data.
pub fn data(name: &str) -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/data")).join(name)
}

/// What a run of the program ended with.
#[derive(Clone, PartialEq, Debug)]
pub struct RunOutput {
    /// Exit code; none after a signal.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error, without the lines of graphics libraries that are not ours.
    pub err: String,
}

impl From<Output> for RunOutput {
    fn from(output: Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        // libwayland and Mesa say this on machines without a desktop, whatever the program does.
        let ours = |line: &&str| !line.contains("XDG_RUNTIME_DIR") && !line.starts_with("MESA");
        let err: Vec<_> = text(&output.stderr).lines().filter(ours).map(str::to_owned).collect();
        RunOutput { code: output.status.code(), out: text(&output.stdout), err: err.join("\n") }
    }
}

impl RunOutput {
    /// The output of a run that must have gone well.
    ///
    /// # Panics
    /// When it has not.
    pub fn success(self) -> String {
        assert_eq!(self.code, Some(0), "{self:#?}");
        assert_eq!(self.err, "", "{self:#?}");
        self.out
    }

    /// The message of a run that must have been refused: exit code 1, and one line that holds all `words`.
    ///
    /// # Panics
    /// When it was not refused, or not in this way.
    pub fn refused(self, words: &[&str]) -> String {
        assert_eq!(self.code, Some(1), "{self:#?}");
        assert!(self.err.starts_with("stint: ") && self.err.lines().count() == 1, "one line of ours: {self:#?}");
        for word in words {
            assert!(self.err.contains(word), "\"{word}\" is missing: {self:#?}");
        }
        self.err
    }
}

/// A folder the program runs in; gone when dropped.
#[derive(Debug)]
pub struct TestFolder {
    folder: tempfile::TempDir,
    /// The program's own data, so that it leaves nothing with whoever runs the test.
    data: tempfile::TempDir,
    program: PathBuf,
}

impl Default for TestFolder {
    fn default() -> Self {
        TestFolder::new()
    }
}

impl TestFolder {
    /// An empty folder.
    ///
    /// # Panics
    /// When there is no program, or no folder can be made.
    pub fn new() -> Self {
        let folder = || tempfile::tempdir().expect("a temporary folder can be made");
        TestFolder { folder: folder(), data: folder(), program: program() }
    }

    /// The folder, or a file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The folder of the program's own data: lists, records, kept boards.
    pub fn data_folder(&self) -> PathBuf {
        self.data.path().join("stint")
    }

    /// Writes a file into the folder.
    ///
    /// # Panics
    /// When it cannot be written.
    pub fn write(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, content).expect("the temporary folder can be written");
        path
    }

    /// Copies a file of the test data into the folder, under its own name.
    ///
    /// # Panics
    /// When it cannot be copied.
    pub fn take(&self, name: &str) -> PathBuf {
        let bytes = std::fs::read(data(name)).unwrap_or_else(|e| panic!("test data {name}: {e}"));
        self.write(Path::new(name).file_name().and_then(OsStr::to_str).expect("a file name"), bytes)
    }

    /// Writes a script for a canvas of a size.
    ///
    /// # Panics
    /// When it cannot be written.
    pub fn script(&self, name: &str, (width, height): (u32, u32), commands: Vec<Change>) -> PathBuf {
        let board = "invented".to_owned();
        let script = Script { format: FORMAT, width, height, board, light: LightOfDay::Cool, commands };
        self.write(name, ron::to_string(&script).expect("a script goes into text"))
    }

    /// Makes a study of 1600 x 1200 pixels with one swatch, the local of a family "Brick".
    ///
    /// # Panics
    /// When it cannot be made.
    pub fn study_with_brick(&self, name: &str) {
        let swatch = Change::AddSwatch {
            family: "Brick".to_owned(),
            role: Role::Local,
            name: String::new(),
            colour: "#8f7478".to_owned(),
            by_role: false,
        };
        self.script("board.ron", (1600, 1200), vec![swatch]);
        self.stint(["play", "board.ron", "--out", name, "--engine", "cpu"]).success();
    }

    /// Names of all files in the folder, sorted.
    ///
    /// # Panics
    /// When the folder cannot be read.
    pub fn files(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).expect("the temporary folder can be read");
        let mut names: Vec<_> =
            entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    /// The program, not yet run, with standard input closed and output caught.
    pub fn command<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Command {
        let mut command = Command::new(&self.program);
        // No window opens from a test that does not ask for one.
        command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
        // Nor does a dialog or a screen reader of whoever runs the test: there is no bus.
        command.env("DBUS_SESSION_BUS_ADDRESS", "unix:path=/dev/null");
        command.env("XDG_DATA_HOME", self.data.path());
        command.current_dir(self.folder.path()).args(arguments);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    /// Runs the program.
    ///
    /// # Panics
    /// When it cannot be started.
    pub fn stint<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> RunOutput {
        self.command(arguments).output().expect("the program can be started").into()
    }

    /// Runs a shell script in the folder; `$STINT` is the program.
    ///
    /// # Panics
    /// When there is no shell.
    pub fn shell(&self, script: &str) -> RunOutput {
        let mut shell = Command::new("sh");
        shell
            .args(["-c", script])
            .env("STINT", &self.program)
            .env("XDG_DATA_HOME", self.data.path())
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .current_dir(self.folder.path());
        shell.stdin(Stdio::null()).output().expect("there is a shell").into()
    }

    /// Runs a shell script that may mount file systems of its own, which nobody else sees. `None` where the system does not
    /// allow that; say so with [`skipped`].
    pub fn shell_with_mounts(&self, script: &str) -> Option<RunOutput> {
        let ways = ["unshare --mount", "unshare --map-root-user --mount"];
        let able = |way: &&&str| self.shell(&format!("mkdir -p m && {way} mount -t tmpfs none m")).code == Some(0);
        let way = ways.iter().find(able)?;
        self.write("mounts.sh", script);
        Some(self.shell(&format!("{way} sh mounts.sh")))
    }
}

/// Names what this machine lacks and the run goes on without, words between spaces; `tests/run` sets it.
pub const WITHOUT_VARIABLE: &str = "STINT_TEST_WITHOUT";

/// Names a file that gets a line for everything that is skipped; `tests/run` sets it and shows the lines at its end.
pub const SKIPPED_VARIABLE: &str = "STINT_TEST_SKIPPED";

/// Says on the terminal, past the capture of test output, that something was not checked here.
pub fn skipped(what: &str) {
    // A closed terminal is no failure of the test.
    let _ = writeln!(std::io::stderr(), "SKIPPED: {what}");
    if let Some(file) = std::env::var_os(SKIPPED_VARIABLE) {
        let file = std::fs::OpenOptions::new().append(true).create(true).open(file);
        // One call, so that the lines of several test programs do not mix.
        let _ = file.and_then(|mut file| file.write_all(format!("{what}\n").as_bytes()));
    }
}

/// Whether this run goes on without any of these, words of [`WITHOUT_VARIABLE`]; the test that asks is then named as skipped, and
/// has to return. What is missing without being named there fails the test that needs it: nothing passes because it did not run.
#[must_use]
pub fn lacks(needed: &[&str]) -> bool {
    let without = std::env::var(WITHOUT_VARIABLE).unwrap_or_default();
    let missing = missing(needed, &without);
    if missing.is_empty() {
        return false;
    }
    // The test program names a thread after each test, unless there is one thread for all.
    let thread = std::thread::current();
    let test = thread.name().filter(|name| *name != "main").unwrap_or("a test");
    skipped(&format!("{test} (no {})", missing.join(", no ")));
    true
}

fn missing<'a>(needed: &[&'a str], without: &str) -> Vec<&'a str> {
    needed.iter().copied().filter(|need| without.split_whitespace().any(|word| word == *need)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_named_word_for_word_is_missing() {
        assert_eq!(missing(&["Xvfb", "vulkan"], " vulkan xclip"), ["vulkan"]);
        assert_eq!(missing(&["Xvfb", "vulkan"], "Xvfb  vulkan"), ["Xvfb", "vulkan"]);
        assert_eq!(missing(&["Xvfb"], "Xvfb2 xvfb"), [""; 0]);
        assert_eq!(missing(&[], "Xvfb"), [""; 0]);
    }
}
