//! The job file: round trip, and every way it can be broken.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::io::{Cursor, Read, Write};
use std::sync::Arc;

use coldwright_canvas::{CardKind, CardSeen, Crossing, Point};
use coldwright_geometry::Length;
use coldwright_job::{
    Edit, FILE_VERSION, Height, Job, JobError, PhotoId, Place, Sighting, WallEdit, apply, from_bytes,
    to_bytes, to_json,
};

fn with_photo() -> Job {
    let (job, wall) = common::job(&common::template(&common::F, &[0.0, 12.5]));
    let crossing = |i: u32| Crossing {
        card_mm: Point::new(82.5, 70.0 - f64::from(i) * 20.0),
        px: Point::new(100.125 + f64::from(i), 1234.0625),
        sd_px: 0.05,
    };
    let card = CardSeen {
        number: 7,
        half_size: false,
        crossings: (0..8).map(crossing).collect(),
        corners_px: [Point::ZERO; 4],
    };
    let edit = Edit::AddPhoto {
        wall,
        name: "Schrägwand über 厨房.jpg".to_owned(),
        bytes: Arc::from(&b"not looked at here"[..]),
        sighting: Sighting {
            photo: PhotoId(0),
            size: (4032, 3024),
            focal_px: Some(3028.5),
            cards: vec![card],
        },
        kind: CardKind::Printed,
    };
    let job = apply(&job, &edit).unwrap();
    let photo = job.photos[0].id;
    let place = Place::Pixel { photo, px: Point::new(512.25, 300.5), height: Height::Laps(2) };
    apply(&job, &Edit::Wall(wall, WallEdit::AddTick { edge: None, before: None, place })).unwrap()
}

#[test]
fn a_job_comes_back_as_it_was() {
    let job = with_photo();
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    assert_eq!(to_bytes(&with_photo()).unwrap(), to_bytes(&with_photo()).unwrap());
}

#[test]
fn lengths_survive_to_the_64th_and_the_micrometre() {
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    for length in [Length::from_64ths(67), Length::from_micrometres(25_413), Length::from_64ths(1)] {
        let edge = job.walls[0].template.edges[0].id;
        let job = apply(&job, &Edit::Wall(wall, WallEdit::Gap(edge, length))).unwrap();
        let back = from_bytes(&to_bytes(&job).unwrap()).unwrap();
        assert_eq!(back.walls[0].template.edges[0].gap, length);
    }
}

#[test]
fn a_job_opens_without_its_photo() {
    let job = with_photo();
    let mut lost = job.clone();
    lost.photos[0].bytes = None;
    let back = from_bytes(&to_bytes(&lost).unwrap()).unwrap();
    assert_eq!(back.walls, job.walls);
    assert!(back.photos[0].bytes.is_none());
}

#[test]
fn a_damaged_photo_takes_nothing_else_with_it() {
    let job = with_photo();
    let mut bytes = to_bytes(&job).unwrap();
    let words = b"not looked at here";
    let at = bytes.windows(words.len()).position(|w| w == words).unwrap();
    bytes[at] ^= 0xff;
    let back = from_bytes(&bytes).unwrap();
    assert_eq!(back.walls, job.walls);
    assert!(back.photos[0].bytes.is_none());
    let told = coldwright_job::plan(&back).shared;
    assert!(told.iter().any(|p| p.sentence.contains("damaged there")), "{told:?}");
}

#[test]
fn half_size_cards_are_checked_by_their_own_lengths() {
    let job = with_photo();
    let wall = job.walls[0].id;
    let printed = |w: f64, h: f64| {
        let size = (Length::from_mm(w).unwrap(), Length::from_mm(h).unwrap());
        apply(&job, &Edit::Wall(wall, WallEdit::Printed(Some(size))))
    };
    assert!(printed(122.0, 89.8).is_ok());
    assert!(printed(244.0, 179.5).is_ok());
    assert!(printed(130.0, 90.0).unwrap_err().to_string().contains("122.5"));
    assert!(printed(200.0, 180.0).unwrap_err().to_string().contains("245"));
}

#[test]
fn cut_short_anywhere_it_is_refused_in_words() {
    let bytes = to_bytes(&with_photo()).unwrap();
    for part in [0, 1, 2, 30, bytes.len() / 2, bytes.len() * 9 / 10, bytes.len() - 1] {
        let error = from_bytes(&bytes[..part]).unwrap_err();
        assert!(
            matches!(error, JobError::NotAJob(_) | JobError::Damaged(_)),
            "{part} of {} bytes: {error}",
            bytes.len()
        );
    }
    assert!(matches!(from_bytes(b"\xff\xd8\xff\xe0 a photo, say"), Err(JobError::NotAJob(_))));
}

/// The job with its `job.json` changed by hand.
fn doctored(change: impl Fn(String) -> String) -> Vec<u8> {
    let bytes = to_bytes(&with_photo()).unwrap();
    let mut old = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut new = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for i in 0..old.len() {
        let mut entry = old.by_index(i).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).unwrap();
        if name == "job.json" {
            content = change(String::from_utf8(content).unwrap()).into_bytes();
        }
        new.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        new.write_all(&content).unwrap();
    }
    new.finish().unwrap().into_inner()
}

#[test]
fn files_of_older_versions_read_with_what_they_lack_empty() {
    let job = with_photo();
    let now = String::from_utf8(to_json(&job).unwrap()).unwrap();
    assert!(now.contains("\"coldwright_job\": 3"));
    for word in ["\"taped\"", "\"distances\"", "\"again\"", "\"rectangle\"", "\"sketch\""] {
        assert!(!now.contains(word), "what is not there is not written: {word}");
    }
    for version in [1, 2] {
        let old = now.replace("\"coldwright_job\": 3", &format!("\"coldwright_job\": {version}"));
        let read = coldwright_job::from_json(old.as_bytes(), |_| None).unwrap();
        assert_eq!(read.walls, job.walls);
    }
}

#[test]
fn a_newer_file_says_so_whatever_is_in_it() {
    let bytes = doctored(|_| "{\"coldwright_job\": 99, \"name\": 5}".to_owned());
    assert!(matches!(from_bytes(&bytes), Err(JobError::Newer { found: 99, known: FILE_VERSION })));
}

#[test]
fn wrong_values_are_named() {
    let cases = [
        ("\"thickness_mm\": 25.4", "\"thickness_mm\": -25.4", "-25.4 mm thick"),
        ("\"angle_deg\": 12.5", "\"angle_deg\": 89.0", "89"),
        ("\"base_edge\": 200", "\"base_edge\": 77", "bottom edge"),
        ("\"paper\": \"a4\"", "\"paper\": \"papyrus\"", "papyrus"),
        ("\"sd_mm\": 0.3", "\"sd_mm\": 1e999", "job.json"),
    ];
    for (good, bad, word) in cases {
        let error = from_bytes(&doctored(|json| {
            assert!(json.contains(good), "{good} stands in the file");
            json.replacen(good, bad, 1)
        }))
        .unwrap_err();
        assert!(error.to_string().contains(word), "{bad}: {error}");
    }
}

#[test]
fn a_file_that_swells_is_refused() {
    // 70 MB of blanks pack to next to nothing.
    let bytes = doctored(|json| format!("{json}{}", " ".repeat(70 << 20)));
    assert!(bytes.len() < 1 << 20, "packed to {} bytes", bytes.len());
    assert!(matches!(from_bytes(&bytes), Err(JobError::Swollen(_))));
}

#[test]
fn a_number_that_is_none_never_reaches_a_file() {
    let mut job = with_photo();
    job.walls[0].template.ticks[0].place = Place::Typed { at: Point::new(f64::NAN, 0.0), sd: 0.3 };
    assert!(matches!(to_json(&job), Err(JobError::Write(_))));
    assert!(matches!(to_bytes(&job), Err(JobError::Write(_))));
}

#[test]
fn a_hole_of_version_2_is_round_and_untapered() {
    use coldwright_job::{Hole, HoleShape, WallEdit as W};
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let hole = Hole { lean_deg: (3.0, -2.0), ..Hole::round("Drain", (mm(60.0), mm(90.0)), mm(38.0)) };
    let job = apply(&job, &Edit::Wall(wall, W::Holes(vec![hole]))).unwrap();
    let mut file: serde_json::Value = serde_json::from_slice(&to_json(&job).unwrap()).unwrap();
    file["coldwright_job"] = 2.into();
    let old = &mut file["walls"][0]["template"]["holes"][0];
    old.as_object_mut().unwrap().remove("taper_deg");
    let read =
        |file: &serde_json::Value| coldwright_job::from_json(&serde_json::to_vec(file).unwrap(), |_| None);
    assert_eq!(read(&file).unwrap(), job);
    let shape = job.walls[0].template.holes[0].shape;
    assert!(matches!(shape, HoleShape::Round { diameter } if diameter == mm(38.0)));
    // Neither round nor a rectangle.
    file["walls"][0]["template"]["holes"][0].as_object_mut().unwrap().remove("diameter_mm");
    assert!(matches!(read(&file), Err(JobError::Damaged(_))));
}
