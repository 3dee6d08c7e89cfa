//! What several tests share: outside programs, pictures they render, folders that clean themselves.
#![allow(
    dead_code,
    clippy::allow_attributes,
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "each test program uses its own part; tests may stop and say why"
)]

pub mod job;
pub mod outline;
pub mod parts;

use std::path::{Path, PathBuf};
use std::process::Command;

/// Whether a program can be started; where it is missing the test is skipped, or fails when all tests are asked for.
pub fn has(program: &str, tell: &str) -> bool {
    let there =
        Command::new(program).arg(tell).output().is_ok_and(|out| out.status.success() || tell == "-v");
    missing_or(there, program)
}

/// Whether Python can import a module.
pub fn has_python(module: &str) -> bool {
    let there = Command::new(python())
        .args(["-c", &format!("import {module}")])
        .output()
        .is_ok_and(|out| out.status.success());
    missing_or(there, module)
}

fn missing_or(there: bool, what: &str) -> bool {
    if !there {
        assert!(std::env::var_os("COLDWRIGHT_TEST_ALL").is_none_or(|v| v != "1"), "{what} is not installed");
        eprintln!("skipped: needs {what}");
    }
    there
}

/// The Python to use.
pub fn python() -> String {
    std::env::var("COLDWRIGHT_PYTHON").unwrap_or_else(|_| "python3".to_owned())
}

/// A folder of its own, removed at the end.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("coldwright-papers-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    pub fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.0.join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Standard output of a program that must succeed.
pub fn run(program: &str, args: &[&str]) -> String {
    let out = Command::new(program).args(args).output().unwrap();
    assert!(out.status.success(), "{program} {args:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8_lossy(&out.stdout).into_owned()
}

/// Runs a Python script with arguments.
pub fn run_python(script: &str, args: &[&str]) -> String {
    run(&python(), &[&["-c", script], args].concat())
}

/// A grey picture: rows from the top, 0 black.
pub struct Grey {
    pub width: usize,
    pub height: usize,
    pub pixels: Vec<u8>,
}

impl Grey {
    /// One page of a PDF as poppler renders it.
    pub fn of_page(pdf: &Path, page: usize, dpi: u32) -> Grey {
        let stem = pdf.with_extension(format!("page{page}"));
        let (page, dpi) = (page.to_string(), dpi.to_string());
        let (from, to) = (pdf.to_str().unwrap(), stem.to_str().unwrap());
        run("pdftoppm", &["-gray", "-r", &dpi, "-f", &page, "-l", &page, "-singlefile", from, to]);
        let path = stem.with_extension(format!("page{page}.pgm"));
        Grey::read(&std::fs::read(path).unwrap())
    }

    fn read(bytes: &[u8]) -> Grey {
        let mut words = Vec::new();
        let mut at = 0;
        while words.len() < 4 {
            let end = at + bytes[at..].iter().position(u8::is_ascii_whitespace).unwrap();
            if end > at {
                words.push(std::str::from_utf8(&bytes[at..end]).unwrap().to_owned());
            }
            at = end + 1;
        }
        assert_eq!(words[0], "P5");
        let (width, height) = (words[1].parse().unwrap(), words[2].parse().unwrap());
        Grey { width, height, pixels: bytes[at..at + width * height].to_vec() }
    }

    /// Blackness 0 to 1 along a row or column between two pixels.
    pub fn row(&self, y: usize) -> Vec<f64> {
        (0..self.width).map(|x| 1.0 - f64::from(self.pixels[y * self.width + x]) / 255.0).collect()
    }

    pub fn column(&self, x: usize) -> Vec<f64> {
        (0..self.height).map(|y| 1.0 - f64::from(self.pixels[y * self.width + x]) / 255.0).collect()
    }
}

/// Stretches of ink along a line of blackness: start and end in pixels, read from how much of the border pixels is black.
pub fn stretches(line: &[f64]) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < line.len() {
        if line[at] < 0.02 {
            at += 1;
            continue;
        }
        let start = at;
        while at < line.len() && line[at] >= 0.02 {
            at += 1;
        }
        let peak = line[start..at].iter().copied().fold(0.0, f64::max);
        let (first, last) = ((line[start] / peak).min(1.0), (line[at - 1] / peak).min(1.0));
        found.push((start as f64 + 1.0 - first, at as f64 - 1.0 + last));
    }
    found
}
