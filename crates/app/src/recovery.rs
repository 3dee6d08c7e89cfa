//! Work kept against a kill or a dead battery.
//!
//! Each running program has a folder of its own with a lock it holds while it lives. Every change is written there
//! within a second; a folder with work whose lock nobody holds is offered on the next start.

use std::collections::HashMap;
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use coldwright_job::{Job, from_json, photo_entry, to_json};

use crate::error::AppError;
use crate::files;

/// Changes that follow each other faster than this are written once.
const PAUSE: Duration = Duration::from_millis(300);

/// Where this user's recovery folders are.
pub fn home() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    set("COLDWRIGHT_STATE").or_else(|| {
        if cfg!(windows) {
            return set("LOCALAPPDATA").map(|p| p.join("coldwright"));
        }
        set("XDG_STATE_HOME").map(|p| p.join("coldwright")).or_else(|| {
            let below =
                if cfg!(target_os = "macos") { "Library/Application Support" } else { ".local/state" };
            set("HOME").map(|p| p.join(below).join("coldwright"))
        })
    })
}

/// Keeps the work of this run.
#[derive(Debug)]
pub struct Keeper {
    folder: PathBuf,
    slot: Arc<Slot>,
    thread: Option<thread::JoinHandle<()>>,
    _lock: File,
}

#[derive(Debug, Default)]
struct Slot {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct State {
    next: Option<(Arc<Job>, Option<PathBuf>)>,
    busy: bool,
    stop: bool,
    failed: Option<String>,
}

impl Slot {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Keeper {
    /// Makes a folder for this run and the thread that writes to it.
    ///
    /// # Errors
    /// When the folder cannot be made or locked: the work is not kept then, and the person is to be told.
    pub fn start(home: &Path) -> Result<Keeper, AppError> {
        let shut = |e: std::io::Error| AppError::Write { path: home.to_owned(), why: e.to_string() };
        let _door = door(home).map_err(shut)?;
        let folder = (0..1000)
            .map(|n| home.join(format!("run-{}-{n}", std::process::id())))
            .find(|p| !p.exists())
            .unwrap_or_else(|| home.join("run"));
        let failed = |e: &std::io::Error| AppError::Write { path: folder.clone(), why: e.to_string() };
        fs::create_dir_all(folder.join("photos")).map_err(|e| failed(&e))?;
        let lock = File::create(folder.join("lock")).map_err(|e| failed(&e))?;
        lock.try_lock().map_err(|e| AppError::Write { path: folder.clone(), why: e.to_string() })?;
        let slot = Arc::new(Slot::default());
        let (theirs, place) = (slot.clone(), folder.clone());
        let thread = thread::Builder::new()
            .name("keeper".to_owned())
            .spawn(move || keep(&theirs, &place))
            .map_err(|e| failed(&e))?;
        Ok(Keeper { folder, slot, thread: Some(thread), _lock: lock })
    }

    /// The work as it is now; returns at once.
    pub fn keep(&self, job: Arc<Job>, file: Option<PathBuf>) {
        self.slot.state().next = Some((job, file));
        self.slot.changed.notify_all();
    }

    /// The work stands on disk: nothing needs keeping.
    pub fn forget(&self) {
        let mut state = self.slot.state();
        state.next = None;
        while state.busy {
            state = self.slot.changed.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        let _ = fs::remove_file(self.folder.join("job.json"));
    }

    /// Waits until everything told is written.
    ///
    /// # Errors
    /// Why the last write failed.
    pub fn settle(&self) -> Result<(), String> {
        let mut state = self.slot.state();
        while state.busy || state.next.is_some() {
            state = self.slot.changed.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        state.failed.clone().map_or(Ok(()), Err)
    }

    /// Why the last write failed, told once.
    pub fn trouble(&self) -> Option<String> {
        self.slot.state().failed.take()
    }

    /// Waits until everything told is written, then ends; with `clean` the folder goes too.
    pub fn end(mut self, clean: bool) {
        self.slot.state().stop = true;
        self.slot.changed.notify_all();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
        if clean {
            let _ = fs::remove_dir_all(&self.folder);
        }
    }
}

/// Held while a run makes its folder or looks through the others, so that nobody clears away a folder not yet locked.
fn door(home: &Path) -> std::io::Result<File> {
    fs::create_dir_all(home)?;
    let door = File::create(home.join("door"))?;
    door.lock()?;
    Ok(door)
}

fn keep(slot: &Slot, folder: &Path) {
    let mut photos = HashMap::new();
    loop {
        let (job, file) = {
            let mut state = slot.state();
            loop {
                if let Some(next) = state.next.take() {
                    state.busy = true;
                    break next;
                }
                if state.stop {
                    return;
                }
                state = slot.changed.wait(state).unwrap_or_else(PoisonError::into_inner);
            }
        };
        let written = write(folder, &mut photos, &job, file.as_deref());
        let mut state = slot.state();
        state.busy = false;
        state.failed = written.err().map(|e| e.to_string());
        slot.changed.notify_all();
        if !state.stop {
            drop(slot.changed.wait_timeout_while(state, PAUSE, |s| !s.stop));
        }
    }
}

/// Writes the job, and those photos whose bytes are not in the folder yet.
fn write(
    folder: &Path,
    photos: &mut HashMap<String, Arc<[u8]>>,
    job: &Job,
    file: Option<&Path>,
) -> Result<(), AppError> {
    for photo in &job.photos {
        let Some(bytes) = &photo.bytes else { continue };
        let entry = photo_entry(photo);
        if photos.get(&entry).is_none_or(|there| !Arc::ptr_eq(there, bytes)) {
            files::write(&folder.join(&entry), bytes)?;
            photos.insert(entry, bytes.clone());
        }
    }
    let origin = file.map(|f| f.to_string_lossy().into_owned()).unwrap_or_default();
    files::write(&folder.join("file.txt"), origin.as_bytes())?;
    files::write(&folder.join("job.json"), &to_json(job)?)
}

/// Work of a run that ended without saving.
#[derive(Debug)]
pub struct Found {
    folder: PathBuf,
    /// The job as it was.
    pub job: Job,
    /// The file it belonged to, if it had one.
    pub file: Option<PathBuf>,
    lock: File,
}

impl Found {
    /// Takes the folder away: the work is in hand, or is not wanted.
    pub fn discard(self) {
        let _ = fs::remove_dir_all(&self.folder);
        drop(self.lock);
    }
}

/// The newest work that a run left behind. Folders without work are cleared away; those of running programs are left.
pub fn find(home: &Path) -> Option<Found> {
    let mut left: Vec<(std::time::SystemTime, Found)> = Vec::new();
    if !home.exists() {
        return None;
    }
    let _door = door(home).ok()?;
    for entry in fs::read_dir(home).ok()?.flatten() {
        let folder = entry.path();
        let Ok(lock) = File::options().write(true).open(folder.join("lock")) else { continue };
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock | TryLockError::Error(_)) => continue,
        }
        let json = folder.join("job.json");
        let Ok(bytes) = files::read(&json) else {
            // No work in it; a job that is there and cannot be read is left alone.
            if !json.exists() {
                let _ = fs::remove_dir_all(&folder);
            }
            continue;
        };
        // A job that cannot be read is left where it is: somebody may still mend it by hand.
        let Ok(job) = from_json(&bytes, |entry| files::read(&folder.join(entry)).ok().map(Into::into)) else {
            continue;
        };
        let when = fs::metadata(&json).and_then(|m| m.modified()).unwrap_or(std::time::UNIX_EPOCH);
        let file =
            fs::read_to_string(folder.join("file.txt")).ok().filter(|t| !t.is_empty()).map(PathBuf::from);
        left.push((when, Found { folder, job, file, lock }));
    }
    left.into_iter().max_by_key(|(when, _)| *when).map(|(_, found)| found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_job::{Edit, apply};

    fn place(name: &str) -> PathBuf {
        let dir = std::env::temp_dir().join(format!("coldwright-recovery-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&dir);
        fs::create_dir_all(&dir).unwrap();
        dir
    }

    #[test]
    fn work_of_a_killed_run_is_found_and_a_living_one_is_left() {
        let home = place("killed");
        let job = apply(&Job::default(), &Edit::AddWall { name: "Hull side".to_owned() }).unwrap();
        let keeper = Keeper::start(&home).unwrap();
        keeper.keep(Arc::new(job.clone()), Some(PathBuf::from("galley.coldwright")));
        while !keeper.folder.join("job.json").exists() {
            thread::sleep(Duration::from_millis(5));
        }
        assert!(find(&home).is_none(), "the run is still alive");
        keeper.end(false); // as a kill would leave it: the lock is gone, the work is not
        let found = find(&home).expect("the work is offered");
        assert_eq!(found.job, job);
        assert_eq!(found.file.as_deref(), Some(Path::new("galley.coldwright")));
        found.discard();
        assert!(find(&home).is_none());
        fs::remove_dir_all(&home).unwrap();
    }

    #[test]
    fn a_clean_end_and_saved_work_leave_nothing() {
        let home = place("clean");
        let keeper = Keeper::start(&home).unwrap();
        keeper.keep(Arc::new(Job::default()), None);
        keeper.forget();
        keeper.end(false);
        assert!(find(&home).is_none());
        fs::remove_dir_all(&home).unwrap();
    }

    #[test]
    fn a_run_that_begins_while_others_look_keeps_its_folder() {
        let home = place("race");
        thread::scope(|all| {
            for _ in 0..4 {
                all.spawn(|| {
                    for _ in 0..50 {
                        let keeper = Keeper::start(&home).expect("a run may always begin");
                        assert!(find(&home).is_none(), "no run left work behind");
                        assert!(
                            keeper.folder.join("lock").exists(),
                            "the folder of a living run was cleared away"
                        );
                        keeper.end(true);
                    }
                });
            }
        });
        fs::remove_dir_all(&home).unwrap();
    }
}
