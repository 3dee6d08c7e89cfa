//! What the tests of the program share.
#![allow(
    dead_code,
    clippy::allow_attributes,
    clippy::unwrap_used,
    reason = "each test file uses its own part"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use coldwright_app::window::App;

/// Longest that a test waits for a thread; a busy machine takes its time.
pub const PATIENCE: Duration = Duration::from_secs(120);

/// The project's folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A fresh folder for one test.
pub fn folder(name: &str) -> PathBuf {
    let dir = std::env::temp_dir().join(format!("coldwright-app-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&dir);
    fs::create_dir_all(&dir).unwrap();
    dir
}

/// What the program answers to these words.
pub fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_coldwright")).args(words).output().unwrap()
}

/// Lets the program behind the window work until something is so.
pub fn until(app: &mut App, what: &str, mut done: impl FnMut(&App) -> bool) {
    let since = Instant::now();
    loop {
        app.logic();
        if done(app) {
            return;
        }
        assert!(since.elapsed() < PATIENCE, "{what}: {:?}", app.messages());
        std::thread::sleep(Duration::from_millis(10));
    }
}
