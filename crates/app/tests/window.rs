//! The program behind the window, driven by actions, without a screen.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use coldwright_app::window::App;
use coldwright_job::{Edit, from_bytes};
use coldwright_screen::Action;
use common::{folder, root, until};

/// The program as it starts with this folder of kept work, without a screen.
fn start(state: &Path) -> App {
    App::new(&egui::Context::default(), Some(state)).unwrap()
}

fn add_floor(app: &mut App) {
    app.act(Action::Edit(Edit::AddWall { name: "Floor".to_owned() }, None));
}

#[test]
fn a_photo_is_dropped_saved_and_opened_again() {
    let dir = folder("photo");
    let mut app = start(&dir.join("state"));
    let photo = root().join("samples/photos/demo-hull-side.jpg").to_str().unwrap().to_owned();
    app.act(Action::AddPhoto { wall: None, path: Some(format!(" \"{photo}\" ")) });
    until(&mut app, "the photo arrives", |a| !a.job().photos.is_empty());
    assert_eq!(app.job().walls.len(), 1, "a wall is made for it");
    let cards = &app.job().walls[0].template.sightings.as_ref().unwrap().photos[0].cards;
    assert_eq!(cards.len(), 5);
    let file = dir.join("my job");
    app.act(Action::SaveJobAs(Some(file.to_str().unwrap().to_owned())));
    let saved = dir.join("my job.coldwright");
    until(&mut app, "the job is saved", |a| !a.unsaved());
    assert!(
        from_bytes(&fs::read(&saved).unwrap()).unwrap() == *app.job(),
        "the job on disk is the job in hand"
    );
    app.close();
    let mut again = start(&dir.join("state"));
    again.open_file(saved);
    until(&mut again, "the job opens", |a| a.job().photos.len() == 1);
    again.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn work_that_was_not_saved_is_offered_on_the_next_start() {
    let dir = folder("recovery");
    let state = dir.join("state");
    let mut app = start(&state);
    add_floor(&mut app);
    app.logic();
    app.close();
    let mut next = start(&state);
    next.act(Action::TakeUpRecovered);
    assert_eq!(next.job().walls[0].name, "Floor");
    // Taken up and not saved, it is still kept.
    next.close();
    let mut third = start(&state);
    third.act(Action::TakeUpRecovered);
    assert_eq!(third.job().walls[0].name, "Floor");
    third.act(Action::SaveJobAs(Some(dir.join("floor").to_str().unwrap().to_owned())));
    until(&mut third, "saved", |a| !a.unsaved());
    third.close();
    let mut last = start(&state);
    last.act(Action::TakeUpRecovered);
    assert!(last.job().walls.is_empty(), "saved work is not offered again");
    last.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn what_cannot_be_opened_leaves_the_work_and_says_why() {
    let dir = folder("bad");
    let mut app = start(&dir.join("state"));
    add_floor(&mut app);
    for (name, bytes, says) in [
        ("broken.coldwright", &b"PK\x03\x04 cut"[..], "damaged"),
        ("photo.coldwright", &b"\xff\xd8\xff"[..], "not a Coldwright job"),
    ] {
        let path = dir.join(name);
        fs::write(&path, bytes).unwrap();
        app.act(Action::OpenJob(Some(path.to_str().unwrap().to_owned())));
        until(&mut app, "it is refused", |a| a.messages().iter().any(|m| m.sentence.contains(says)));
    }
    app.act(Action::AddPhoto { wall: None, path: Some(dir.join("none.jpg").to_str().unwrap().to_owned()) });
    until(&mut app, "it is refused", |a| a.messages().iter().any(|m| m.sentence.contains("not there")));
    assert_eq!(app.job().walls[0].name, "Floor");
    let told = app.messages().len();
    let id = app.messages()[0].id;
    app.act(Action::Dismiss(id));
    assert_eq!(app.messages().len(), told - 1);
    app.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_sample_makes_papers() {
    let dir = folder("papers");
    let mut app = start(&dir.join("state"));
    app.open_sample(0);
    assert_eq!(app.job().walls[0].name, "Hull side");
    let out = dir.join("out");
    app.act(Action::MakePapers { folder: Some(out.to_str().unwrap().to_owned()) });
    until(&mut app, "papers are made", |a| a.made().is_some());
    let made = app.made().unwrap();
    assert_eq!(fs::read_dir(&out).unwrap().count(), made.files.len());
    app.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn work_taken_up_and_then_put_aside_is_still_kept() {
    let dir = folder("aside");
    let state = dir.join("state");
    let mut app = start(&state);
    add_floor(&mut app);
    app.logic();
    app.close();
    let mut next = start(&state);
    next.act(Action::TakeUpRecovered);
    next.act(Action::NewJob);
    next.logic();
    assert!(next.job().walls.is_empty());
    next.close();
    let mut last = start(&state);
    last.act(Action::TakeUpRecovered);
    assert_eq!(last.job().walls[0].name, "Floor", "taking up and starting anew loses nothing");
    last.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn another_file_of_the_typed_name_is_not_written_over() {
    let dir = folder("over");
    let other = dir.join("floor.coldwright");
    fs::write(&other, b"somebody's work").unwrap();
    let mut app = start(&dir.join("state"));
    add_floor(&mut app);
    app.act(Action::SaveJobAs(Some(dir.join("floor").to_str().unwrap().to_owned())));
    until(&mut app, "it is refused", |a| a.messages().iter().any(|m| m.sentence.contains("already a file")));
    assert_eq!(fs::read(&other).unwrap(), b"somebody's work");
    app.act(Action::SaveJobAs(Some(dir.join("floor 2").to_str().unwrap().to_owned())));
    until(&mut app, "it is saved", |a| !a.unsaved());
    // Saving again goes to its own file.
    app.act(Action::Edit(Edit::NameJob("Tansy Lark".to_owned()), None));
    app.act(Action::SaveJob);
    app.act(Action::Edit(Edit::NameJob("Tansy Lark, floor".to_owned()), None));
    app.act(Action::SaveJob);
    until(&mut app, "both are saved", |a| !a.unsaved());
    let on_disk = from_bytes(&fs::read(dir.join("floor 2.coldwright")).unwrap()).unwrap();
    assert_eq!(on_disk.name, "Tansy Lark, floor", "the newest save is the one that stays");
    app.close();
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn what_an_older_job_sent_for_does_not_reach_the_newer() {
    let dir = folder("older");
    let mut app = start(&dir.join("state"));
    let photo = root().join("samples/photos/demo-hull-side.jpg").to_str().unwrap().to_owned();
    app.act(Action::AddPhoto { wall: None, path: Some(photo) });
    app.open_sample(1);
    let since = Instant::now();
    while since.elapsed() < Duration::from_secs(3) {
        app.logic();
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!((app.job().photos.len(), app.job().walls.len()), (1, 1), "the sample as it is shipped");
    app.close();
    fs::remove_dir_all(&dir).unwrap();
}
