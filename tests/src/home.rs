//! What a program on a display of its own finds there: empty folders, and a driver that draws in software.

use std::fs::Permissions;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};
use stint::host::window::CONTROLS_VARIABLE;

/// Folders below which drivers announce themselves to the Vulkan loader, besides those of `XDG_DATA_DIRS` (the loader's
/// interface to drivers, "Linux Driver Discovery").
const DRIVER_FOLDERS: [&str; 3] = ["/usr/share", "/usr/local/share", "/etc"];

/// The user's folders as a program on the display is told of them, so that it meets no settings of whoever runs the test.
const FOLDERS: [(&str, &str); 5] = [
    ("HOME", "home"),
    ("XDG_CONFIG_HOME", "config"),
    ("XDG_DATA_HOME", "data"),
    ("XDG_CACHE_HOME", "cache"),
    ("XDG_RUNTIME_DIR", "run"),
];

/// Empty folders for the user of a display, so that a program meets no settings of whoever runs the test, and a driver to draw with.
#[derive(Debug)]
pub struct Home {
    folder: tempfile::TempDir,
    driver: PathBuf,
    /// Windows opened so far.
    opened: AtomicU32,
}

impl Home {
    /// Makes the folders.
    ///
    /// # Panics
    /// When there is no software driver, with advice.
    #[expect(clippy::new_without_default, reason = "it makes folders")]
    pub fn new() -> Self {
        let home = Home {
            folder: tempfile::tempdir().expect("a temporary folder can be made"),
            driver: software_driver(),
            opened: AtomicU32::new(0),
        };
        for (name, folder) in FOLDERS {
            let path = home.path(folder);
            std::fs::create_dir(&path).expect("the temporary folder can be written");
            if name == "XDG_RUNTIME_DIR" {
                std::fs::set_permissions(&path, Permissions::from_mode(0o700)).expect("a folder of ours");
            }
        }
        home
    }

    /// Something in the folder that holds them.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Tells a program of the folders, unless the command says otherwise, and of the driver. Gives the file in which it will keep the
    /// places of its controls.
    pub fn tell(&self, command: &mut Command) -> PathBuf {
        command.env("VK_DRIVER_FILES", &self.driver).env("VK_ICD_FILENAMES", &self.driver);
        for (name, folder) in FOLDERS {
            if command.get_envs().all(|(named, _)| named != name) {
                command.env(name, self.path(folder));
            }
        }
        let controls = self.path(&format!("controls {}", self.opened.fetch_add(1, Ordering::Relaxed)));
        command.env(CONTROLS_VARIABLE, &controls);
        controls
    }
}

/// Where Mesa's software driver announces itself.
///
/// # Panics
/// When there is none, with advice.
pub fn software_driver() -> PathBuf {
    let more = std::env::var_os("XDG_DATA_DIRS").unwrap_or_default();
    let folders = DRIVER_FOLDERS.iter().map(PathBuf::from).chain(std::env::split_paths(&more));
    let files = folders.filter_map(|f| std::fs::read_dir(f.join("vulkan/icd.d")).ok()).flatten().flatten();
    let mut files: Vec<_> = files.map(|f| f.path()).filter(|f| name_of(f).starts_with("lvp_icd")).collect();
    files.sort();
    files.pop().unwrap_or_else(|| {
        panic!("there is no software Vulkan driver; on Debian: apt install mesa-vulkan-drivers libvulkan1")
    })
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
