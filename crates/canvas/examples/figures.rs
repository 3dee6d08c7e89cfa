//! What measuring costs: decoding, finding, solving and stick finding at 12, 48 and 108 megapixels, with the peak memory of each.
//!
//! `cargo run --release -p coldwright-canvas --example figures -- PHOTO.jpg [plain-tag edge in mm]` enlarges the photo to each size, writes it as a JPEG in
//! memory and measures that in a process of its own. Processor time is read from the system where it tells (Linux), the clock otherwise.
#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "a program that prints, and stops where it stands"
)]

use std::time::Instant;

use coldwright_canvas::{
    CardKind, Limits, PhotoCards, Picture, SolveOptions, StickOptions, find_cards, find_sticks, solve,
};

/// Processor seconds of this process, all threads, and its peak memory in bytes.
fn used() -> (Option<f64>, Option<f64>) {
    let stat = std::fs::read_to_string("/proc/self/stat").ok();
    let ticks = stat.and_then(|s| {
        let after = s.rsplit_once(") ")?.1.to_owned();
        let mut fields = after.split(' ').skip(11);
        Some(fields.next()?.parse::<f64>().ok()? + fields.next()?.parse::<f64>().ok()?)
    });
    let status = std::fs::read_to_string("/proc/self/status").ok();
    let peak = status.and_then(|s| {
        let line = s.lines().find(|l| l.starts_with("VmHWM"))?.to_owned();
        line.split_whitespace().nth(1)?.parse::<f64>().ok()
    });
    (ticks.map(|t| t / 100.0), peak.map(|k| k * 1024.0))
}

/// Bytes of the photo enlarged to so many megapixels.
fn enlarged(bytes: &[u8], megapixels: f64) -> Vec<u8> {
    let picture = image::load_from_memory(bytes).expect("a photo").to_rgb8();
    let scale = (megapixels * 1e6 / (f64::from(picture.width()) * f64::from(picture.height()))).sqrt();
    let (w, h) = ((f64::from(picture.width()) * scale) as u32, (f64::from(picture.height()) * scale) as u32);
    let large = image::imageops::resize(&picture, w, h, image::imageops::FilterType::CatmullRom);
    let mut out = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, 90);
    large.write_with_encoder(encoder).expect("a JPEG");
    out
}

fn measured(bytes: &[u8], kind: CardKind) {
    let (start, (cpu0, _)) = (Instant::now(), used());
    let step = |what: &str, since: Instant| {
        println!("  {what:22} {:6.2} s by the clock", since.elapsed().as_secs_f64());
    };
    let t = Instant::now();
    let picture = Picture::decode(bytes, &Limits::default()).expect("a photo");
    step("decode", t);
    let t = Instant::now();
    let found = find_cards(&picture, kind);
    step("find the cards", t);
    let t = Instant::now();
    let solved = solve(&[PhotoCards::new(&picture, &found)], &SolveOptions::default()).expect("a plane");
    step("solve", t);
    let pixels = f64::from(picture.width()) * f64::from(picture.height());
    let (cpu, peak) = used();
    println!(
        "  {:.1} megapixels, {} cards: {:.2} s by the clock, {} s of processor, peak {} bytes a pixel",
        pixels / 1e6,
        solved.cards().len(),
        start.elapsed().as_secs_f64(),
        cpu.zip(cpu0).map_or_else(|| "?".to_owned(), |(a, b)| format!("{:.2}", a - b)),
        peak.map_or_else(|| "?".to_owned(), |p| format!("{:.1}", p / pixels))
    );
    let (t, (cpu0, _)) = (Instant::now(), used());
    let sticks = find_sticks(&picture, &solved, 0, &StickOptions::default(), &mut |_| true).expect("sticks");
    let (cpu, peak) = used();
    println!(
        "  {} sticks, {} ticks: {:.2} s by the clock, {} s of processor, peak {} bytes a pixel",
        sticks.laths.len(),
        sticks.ticks.len(),
        t.elapsed().as_secs_f64(),
        cpu.zip(cpu0).map_or_else(|| "?".to_owned(), |(a, b)| format!("{:.2}", a - b)),
        peak.map_or_else(|| "?".to_owned(), |p| format!("{:.1}", p / pixels))
    );
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let Some(photo) = words.first() else {
        println!("figures PHOTO.jpg [edge of plain tags, mm]");
        return;
    };
    let bytes = std::fs::read(photo).expect("the photo can be read");
    let edge = words.get(1).and_then(|w| w.parse().ok());
    let kind = edge.map_or(CardKind::Printed, |black_edge_mm| CardKind::Plain { black_edge_mm });
    // Peak memory is counted over a whole process: each size gets one of its own.
    if words.get(2).is_some_and(|w| w == "alone") {
        measured(&bytes, kind);
        return;
    }
    for megapixels in [12.0, 48.0, 108.0] {
        println!("{megapixels} megapixels:");
        let file = std::env::temp_dir().join(format!("coldwright-figures-{}.jpg", std::process::id()));
        std::fs::write(&file, enlarged(&bytes, megapixels)).expect("room for the enlarged photo");
        let own = std::env::current_exe().expect("this program");
        let edge = words.get(1).cloned().unwrap_or_else(|| "printed".to_owned());
        let done = std::process::Command::new(own).arg(&file).arg(edge).arg("alone").status();
        std::fs::remove_file(&file).expect("the enlarged photo is removed");
        assert!(done.is_ok_and(|s| s.success()), "measuring stopped");
    }
}
