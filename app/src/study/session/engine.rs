//! The engine for a study, and what is remembered of the machine so that a slow driver is measured once.

use super::SessionError;
use crate::base::clock::Stopwatch;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};
use stint_model::disk;
use stint_render::choose::{self, EngineChoice, EngineComparison, Faster};
use stint_render::engine::Engine;
use stint_render::gpu::Gpu;

/// Name of the file.
const FILE: &str = "engine.ron";

static FOLDER: OnceLock<PathBuf> = OnceLock::new();
static SHARED: Mutex<Option<Gpu>> = Mutex::new(None);

/// Engines that are opened from now on share this device, which a window draws on, so that what they resolve is drawn where it lies.
pub fn share_device(gpu: &Gpu) {
    *SHARED.lock().unwrap_or_else(PoisonError::into_inner) = Some(gpu.clone());
}

/// Remembers in a folder, from now on, which engine was found to be faster. Until this is called nothing is remembered; a
/// second call changes nothing.
pub fn remember_engines_in(folder: PathBuf) {
    // Set already is set.
    let _ = FOLDER.set(folder);
}

/// The file as it is written.
#[derive(Serialize, Deserialize)]
struct Remembered {
    of: String,
    driver_is_faster: bool,
}

/// An engine, and a sentence for the user about the choice of it.
pub(super) type Chosen = (Box<dyn Engine>, Option<String>);

/// Opens the engine that was asked for.
pub(super) fn choose(choice: EngineChoice) -> Result<Chosen, SessionError> {
    let folder = FOLDER.get();
    let known = folder.and_then(|folder| load(folder));
    let stopwatch = Stopwatch::start();
    let shared = SHARED.lock().unwrap_or_else(PoisonError::into_inner).clone();
    let chosen = choose::choose(choice, known.as_ref(), &|| stopwatch.elapsed(), shared.as_ref())?;
    if let (Some(folder), Some(measured)) = (folder, &chosen.measured) {
        save(folder, measured);
    }
    Ok((chosen.engine, chosen.notice))
}

/// What is known. A file that cannot be read is as good as none: the machine is measured again.
fn load(folder: &Path) -> Option<EngineComparison> {
    let remembered: Remembered = ron::from_str(&disk::read_to_string(folder.join(FILE)).ok()?).ok()?;
    Some(EngineComparison {
        machine: remembered.of,
        faster: if remembered.driver_is_faster { Faster::Driver } else { Faster::Cpu },
    })
}

fn save(folder: &Path, measured: &EngineComparison) {
    let remembered = Remembered { of: measured.machine.clone(), driver_is_faster: measured.faster == Faster::Driver };
    if let Ok(text) = ron::ser::to_string_pretty(&remembered, Default::default()) {
        // Where it cannot be written nothing is lost but the time to measure again.
        let _ = disk::create_dir_all(folder).and_then(|()| disk::write(folder.join(FILE), text));
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_was_measured_is_read_back_and_a_broken_file_is_none() {
        let folder = tempfile::tempdir().unwrap();
        let inside = folder.path().join("not yet there");
        assert_eq!(load(&inside), None);
        for faster in [Faster::Cpu, Faster::Driver] {
            let measured = EngineComparison { machine: "a driver, 2 threads".to_owned(), faster };
            save(&inside, &measured);
            assert_eq!(load(&inside), Some(measured));
        }
        std::fs::write(inside.join(FILE), "(of: ").unwrap();
        assert_eq!(load(&inside), None);
        // A folder that cannot be made is no reason to stop.
        save(
            &inside.join(FILE).join("below a file"),
            &EngineComparison { machine: String::new(), faster: Faster::Cpu },
        );
    }
}
