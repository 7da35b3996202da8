//! Studies as files: renamed, copied, put in the trash, brought back, looked for. Each is done beside the window; the list of studies
//! follows.

use crate::base::folders;
use crate::base::jobs::{Job, Outcome};
use crate::files::all_in_one::{self, TakenIn};
use crate::files::library::safe_stem;
use crate::files::names::stem;
use crate::files::trash::{self, Trashed};
use crate::files::{moved, recent};
use std::io;
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_model::study::hand_out::{LeaveOut, hand_out};
use stint_model::study::relocate::relocate;

/// What is to be done with a study that is not open here.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Keeping {
    /// Give its file another name; without ending.
    Rename(PathBuf, String),
    /// A copy beside it under a free name.
    Duplicate(PathBuf),
    /// Into the trash.
    Trash(PathBuf),
    /// Back from the trash.
    BringBack(Trashed),
    /// Look for it where it may have been moved to; `also` are further places.
    Find {
        /// Where it was.
        was: PathBuf,
        /// Further places.
        also: Vec<PathBuf>,
    },
    /// Off the list of studies; the file, if there is one, stays.
    Forget(PathBuf),
    /// Take in everything that is in an archive of [`all_in_one`], which goes then: on a page, where it came in as a file of the device.
    TakeIn(PathBuf),
}

/// What was done.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Kept {
    /// It has another path now: before, now.
    Moved(PathBuf, PathBuf),
    /// There is a copy.
    Copied(PathBuf),
    /// It is in the trash.
    Trashed(Trashed),
    /// It is back.
    Back(PathBuf),
    /// It was not found.
    NotFound(PathBuf),
    /// It is off the list.
    Forgotten,
    /// An archive was taken in.
    TakenIn(TakenIn),
}

/// Work on a study's file beside the window.
pub struct KeepingJob {
    job: Job<Result<Kept, String>>,
    open_again: Option<PathBuf>,
}

impl KeepingJob {
    /// Begins it, as [`carry_out`] does it; `open_again` is a study to be opened again afterwards, under whatever path it has then.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(
        what: Keeping,
        data: Option<PathBuf>,
        open_again: Option<PathBuf>,
        wake: impl FnOnce() + Send + 'static,
    ) -> io::Result<Self> {
        let job = Job::start("study file", wake, move |_: &_| carry_out(&what, data.as_deref()))?;
        Ok(KeepingJob { job, open_again })
    }

    /// What came of it, once. Never waits.
    pub fn poll(&self) -> Outcome<Result<Kept, String>> {
        self.job.poll()
    }

    /// The study to be opened again.
    pub fn open_again(self) -> Option<PathBuf> {
        self.open_again
    }
}

/// Does it. `data` is the folder of the list of studies and of the trash, instead of the user's.
///
/// # Errors
/// Why it cannot be done, in words; everything is then as it was.
pub fn carry_out(what: &Keeping, data: Option<&Path>) -> Result<Kept, String> {
    let said = |error: &dyn std::error::Error| error.to_string();
    // The list can be made anew by opening: a refusal spoils nothing.
    let listed = |from: &Path, to: Option<&Path>| {
        let _ = recent::moved(data, from, to);
    };
    match what {
        Keeping::Rename(from, name) => {
            let to = renamed(from, name)?;
            if to == *from {
                return Ok(Kept::Moved(from.clone(), to));
            }
            relocate(from, &to).map_err(|e| said(&e))?;
            listed(from, Some(&to));
            Ok(Kept::Moved(from.clone(), to))
        }
        Keeping::Duplicate(path) => {
            let copy = disk::free_name(&disk::folder_of(path), stem(path), ".stint");
            hand_out(path, &copy, LeaveOut::default()).map_err(|e| said(&e))?;
            let _ = recent::add(data, &copy);
            Ok(Kept::Copied(copy))
        }
        Keeping::Trash(path) => {
            let gone = trash::put(&folders::trash(data), path).map_err(|e| said(&e))?;
            listed(path, None);
            Ok(Kept::Trashed(gone))
        }
        Keeping::BringBack(trashed) => {
            let path = trash::bring_back(trashed).map_err(|e| said(&e))?;
            let _ = recent::add(data, &path);
            Ok(Kept::Back(path))
        }
        Keeping::Find { was, also } => {
            let mut places = also.clone();
            places.extend([folders::pictures(), folders::documents()]);
            match moved::find(was, recent::identity(data, was).as_ref(), &places) {
                Some(now) => {
                    listed(was, Some(&now));
                    Ok(Kept::Moved(was.clone(), now))
                }
                None => Ok(Kept::NotFound(was.clone())),
            }
        }
        Keeping::Forget(path) => {
            listed(path, None);
            Ok(Kept::Forgotten)
        }
        Keeping::TakeIn(path) => {
            let done = disk::read(path).map_err(|e| e.to_string()).and_then(|bytes| all_in_one::take_in(&bytes, data));
            let _ = disk::remove_file(path);
            let done = done.map_err(|why| format!("{} {why}", stem(path)))?;
            let folders = all_in_one::study_folders(data);
            let _ = recent::take_in(data, &folders.iter().map(PathBuf::as_path).collect::<Vec<_>>());
            Ok(Kept::TakenIn(done))
        }
    }
}

/// The path of a study under another name.
///
/// # Errors
/// A name that no file can have.
fn renamed(from: &Path, name: &str) -> Result<PathBuf, String> {
    let name = name.trim();
    if name.is_empty() || safe_stem(name) != name {
        return Err(format!(
            "\"{name}\" cannot be the name of a file; leave out / \\ : * ? \" < > | and dots at the ends"
        ));
    }
    Ok(from.with_file_name(format!("{name}.stint")))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_model::board::Board;
    use stint_model::study::Document;
    use stint_model::study::file::StudyFile;

    #[test]
    fn a_study_is_renamed_copied_trashed_brought_back_and_found() {
        let home = tempfile::tempdir().unwrap();
        let home = home.path().canonicalize().unwrap();
        let data = Some(home.as_path());
        let at = |name: &str| home.join("work").join(name);
        std::fs::create_dir_all(home.join("work/below")).unwrap();
        let document = Document::new(40, 30, Board::default()).unwrap();
        StudyFile::create(&at("Study.stint"), &document).unwrap().close().unwrap();
        recent::add(data, &at("Study.stint")).unwrap();
        let done = |what: Keeping| carry_out(&what, data);

        for wrong in ["", "a/b", "..", "why?"] {
            assert!(done(Keeping::Rename(at("Study.stint"), wrong.into())).unwrap_err().contains("name of a file"));
        }
        let depot = at("Tram depot, 夜.stint");
        done(Keeping::Rename(at("Study.stint"), " Tram depot, 夜 ".into())).unwrap();
        assert_eq!(recent::load(data), std::slice::from_ref(&depot));
        let copy = at("Tram depot, 夜 2.stint");
        assert_eq!(done(Keeping::Duplicate(depot.clone())).unwrap(), Kept::Copied(copy.clone()));
        assert_eq!(recent::load(data), [copy.clone(), depot.clone()]);
        assert!(done(Keeping::Rename(copy.clone(), "Tram depot, 夜".into())).is_err(), "no file is replaced");
        let Ok(Kept::Trashed(gone)) = done(Keeping::Trash(copy.clone())) else { panic!("it goes into the trash") };
        assert_eq!((recent::load(data), copy.exists()), (vec![depot.clone()], false));
        assert_eq!(done(Keeping::BringBack(gone)).unwrap(), Kept::Back(copy.clone()));
        assert!(StudyFile::open(&copy).is_ok());
        let below = at("below/away.stint");
        std::fs::rename(&depot, &below).unwrap();
        let find = Keeping::Find { was: depot.clone(), also: Vec::new() };
        assert_eq!(done(find).unwrap(), Kept::Moved(depot, below.clone()));
        assert_eq!(recent::load(data), [copy.clone(), below]);
        done(Keeping::Forget(copy.clone())).unwrap();
        assert_eq!(recent::all(data).len(), 1);
        assert!(copy.exists());
    }
}
