//! Writes a picture of every step, light and dark, in two sizes, into the folder given: for looking at the window
//! without a display. Needs a software renderer (Debian: mesa-vulkan-drivers).
//!
//! `cargo run -p coldwright-screen --example pictures -- FOLDER [WORD]`

#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "a program for looking at pictures stops where it stands"
)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::path::Path;

use coldwright_geometry::Length;
use coldwright_job::{
    CutStyle, Edit, FirstLayers, Fitted, Further, HollowBehind, HollowShape, Job, Lies, Lining, Stands, Step,
    SteppedLid, TakenAt, TrimAt, WallEdit,
};
use common::Desk;
use egui::vec2;
use egui_kittest::kittest::Queryable as _;

type Act = fn(&mut egui_kittest::Harness<'static, Desk>);

/// One wall without a photo, on the step Outline.
fn bare() -> Desk {
    let mut desk = Desk::with(common::edited(Job::default(), &[Edit::AddWall { name: "Forward".into() }]));
    desk.view.step = Step::Outline;
    desk
}

/// Presses what carries a word.
fn pick(h: &mut egui_kittest::Harness<'static, Desk>, word: &str) {
    h.get_by_label(word).click();
    h.run_ok();
}

/// Types a table and takes it.
fn lines(h: &mut egui_kittest::Harness<'static, Desk>, name: &str, words: &str) {
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name).focus();
    h.run_ok();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name).type_text(words);
    h.run_ok();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Enter);
    h.run_ok();
}

/// The first sample as if none of its cards had been found: a rectangle of known size stands in, or two points for a sketch.
fn no_cards(rectangle: bool) -> Desk {
    let sample = Desk::sample("hull-side.coldwright").job().clone();
    let seen = sample.walls[0].template.sightings.clone().expect("a sample has sightings");
    let bytes = sample.photos[0].bytes.clone().expect("a sample has its photo");
    let job = common::edited(Job::default(), &[Edit::AddWall { name: "Forward".into() }]);
    let wall = job.walls[0].id;
    let sighting = coldwright_job::Sighting { cards: Vec::new(), ..seen.photos[0].clone() };
    let add = Edit::AddPhoto { wall, name: "locker.jpg".into(), bytes, sighting, kind: seen.kind };
    let mut desk = Desk::with(common::edited(job, &[add]));
    desk.decode();
    let photo = desk.job().photos[0].id;
    let mm = |v: f64| Length::from_mm(v).expect("a length");
    let at = |x: f64, y: f64| kurbo::Point::new(x, y);
    desk.edit(if rectangle {
        WallEdit::Rectangle(Some(coldwright_job::KnownRectangle {
            photo,
            corners: [at(420.0, 360.0), at(2600.0, 330.0), at(2700.0, 1900.0), at(350.0, 1930.0)],
            width: mm(900.0),
            height: mm(640.0),
            diagonals: (mm(1104.4), mm(1112.0)),
        }))
    } else {
        WallEdit::Sketch(Some(coldwright_job::Sketch {
            photo,
            from: at(420.0, 360.0),
            to: at(2600.0, 330.0),
            length: mm(900.0),
        }))
    });
    desk
}

/// The first sample with its photo taken twice.
fn two_photos() -> Desk {
    let mut desk = Desk::sample("hull-side.coldwright");
    let job = desk.job().clone();
    let wall = &job.walls[0];
    let seen = wall.template.sightings.clone().expect("a sample has sightings");
    let bytes = job.photos[0].bytes.clone().expect("a sample has its photo");
    let sighting = seen.photos[0].clone();
    let add = Edit::AddPhoto {
        wall: wall.id,
        name: "from the port side.jpg".into(),
        bytes,
        sighting,
        kind: seen.kind,
    };
    desk = Desk::with(common::edited((*job).clone(), &[add]));
    desk.decode();
    desk
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let folder = words.next().ok_or("say which folder the pictures go to")?;
    let only = words.next().unwrap_or_default();
    std::fs::create_dir_all(&folder)?;
    let hull = || Desk::sample_with_photo("hull-side.coldwright");
    let hull_untraced = || {
        let mut desk = hull();
        let clear = WallEdit::Trace(Vec::new(), Vec::new());
        desk.edit(clear);
        desk
    };
    let floor = || Desk::sample_with_photo("floor.coldwright");
    let steps: &[(&str, &dyn Fn() -> Desk, Act)] = &[
        ("start", &|| Desk::with(Job::default()), |_| {}),
        ("photo", &hull, |_| {}),
        ("photo-floor", &floor, |h| h.hover_at(egui::pos2(700.0, 400.0))),
        ("outline", &hull, |h| h.state_mut().view.step = Step::Outline),
        ("outline-edge", &hull, |h| {
            h.state_mut().view.step = Step::Outline;
            let id = h.state().job().walls[0].template.edges[1].id;
            h.state_mut().view.select_edge(id);
        }),
        ("outline-tick", &hull, |h| {
            h.state_mut().view.step = Step::Outline;
            let id = h.state().job().walls[0].template.ticks[3].id;
            h.state_mut().view.select_tick(id);
            h.hover_at(egui::pos2(800.0, 400.0));
        }),
        ("outline-flat", &hull, |h| {
            h.state_mut().view.step = Step::Outline;
            h.state_mut().view.show_flat(true);
        }),
        ("sticks", &hull_untraced, |h| {
            h.state_mut().view.step = Step::Outline;
            h.run_ok();
            h.get_by_label("Find sticks").click();
            h.run_ok();
            for _ in 0..200 {
                std::thread::sleep(std::time::Duration::from_millis(50));
                h.run_ok();
                if h.query_by_label("Drop all").is_some() {
                    break;
                }
            }
            h.get_by_label("Snap to sticks").click();
            h.hover_at(egui::pos2(820.0, 362.0));
        }),
        ("tape-ties", &bare, |h| {
            pick(h, "ties from two nails");
            lines(h, "Nails", "P; 0; -100\nQ; 1000; -100");
            let table = "1; 111.8; 955.25\n2; 955.25; 111.8\n3; 1180; 701.8\n4; 701.8; 1180";
            lines(h, "Table of measured points", table);
            let checks = "1; 3; 1081.7\n2; 4; 1098\n1; 2; 900\n3; 4; 900\n2; 3; 600";
            lines(h, "Lengths to check by", checks);
        }),
        ("tape-offsets", &bare, |h| {
            pick(h, "offsets from a line");
            let table = "0; 120\n150; 212\n300; 268\n450; 294\n600; 301\n750; 288\n900; 240\n900; 0\n0; 0";
            lines(h, "Table of measured points", table);
        }),
        ("tape-stick", &bare, |h| pick(h, "tick stick")),
        ("rectangle", &|| no_cards(true), |_| {}),
        ("sketch", &|| no_cards(false), |h| h.state_mut().view.step = Step::Outline),
        ("two-photos", &two_photos, |_| {}),
        ("two-photos-outline", &two_photos, |h| {
            h.state_mut().view.step = Step::Outline;
            let id = h.state().job().walls[0].template.ticks[3].id;
            h.state_mut().view.select_tick(id);
        }),
        ("follow", &hull_untraced, |h| {
            h.state_mut().view.step = Step::Outline;
            h.run_ok();
            pick(h, "Follow the photo's edge");
            for at in [egui::pos2(700.0, 372.0), egui::pos2(960.0, 400.0)] {
                h.hover_at(at);
                for _ in 0..60 {
                    h.step();
                    std::thread::sleep(std::time::Duration::from_millis(10));
                }
                if at.x < 900.0 {
                    h.drag_at(at);
                    h.drop_at(at);
                    h.run_ok();
                }
            }
        }),
        ("bent", &|| Desk::with(common::bent_job()), |h| h.state_mut().view.step = Step::Outline),
        ("typed", &|| Desk::with(common::typed_job()), |h| h.state_mut().view.step = Step::Outline),
        ("layers", &hull, |h| h.state_mut().view.step = Step::Layers),
        ("layers-floor", &floor, |h| h.state_mut().view.step = Step::Layers),
        ("layers-plan", &hull, |h| {
            h.state_mut().view.step = Step::Layers;
            h.run_ok();
            h.get_by_label("plan").click();
        }),
        ("layers-section", &hull, |h| {
            h.state_mut().view.step = Step::Layers;
            h.run_ok();
            h.get_by_label("section").click();
        }),
        ("form-strips", &|| over_hollow(strips()), layers),
        ("form-strips-short", &|| over_hollow_from(300.0, 200.0, strips()), layers),
        ("form-kerfs", &|| over_hollow(kerfs()), layers),
        ("form-kerfs-section", &|| over_hollow(kerfs()), |h| {
            layers(h);
            h.run_ok();
            h.get_by_label("section").click();
        }),
        ("form-strips-plan", &|| over_hollow(strips()), |h| {
            layers(h);
            h.run_ok();
            h.get_by_label("plan").click();
        }),
        ("form-liner", &|| edited(WallEdit::Liner(Some(Lining::default()))), layers),
        ("form-lid", &lid, layers),
        ("form-lid-plan", &lid, |h| {
            layers(h);
            h.run_ok();
            h.get_by_label("plan").click();
        }),
        ("form-fitted", &fitted, layers),
        ("form-templates", &further, |h| h.state_mut().view.step = Step::Outline),
        ("form-square-plan", &|| edited(WallEdit::Cut(CutStyle::SquareFits)), |h| {
            layers(h);
            h.run_ok();
            h.get_by_label("plan").click();
        }),
        ("stopped", &|| Desk::with(common::crossed_job()), |h| h.state_mut().view.step = Step::Outline),
        ("stopped-layers", &|| Desk::with(common::crossed_job()), |h| h.state_mut().view.step = Step::Layers),
        ("long", &|| Desk::with(common::long_job()), |h| h.state_mut().view.step = Step::Layers),
        ("long-job", &|| Desk::with(common::long_job()), |h| h.get_by_label_contains("Job ").click()),
        ("no-photo", &|| Desk::with(common::typed_job()), |_| {}),
        ("stations", &|| Desk::with(common::typed_job()), |h| {
            h.state_mut().view.step = Step::Outline;
            let id = h.state().job().walls[0].template.edges[1].id;
            h.state_mut().view.select_edge(id);
            h.run_ok();
            h.get_by_label("Add a station").click();
            h.run_ok();
            h.get_by_label("Add a station").click();
            h.run_ok();
            common::type_over(h, "Bevel at station 2", "ten");
            h.key_press(egui::Key::Enter);
        }),
        ("typing", &|| Desk::with(common::typed_job()), |h| {
            h.state_mut().view.step = Step::Layers;
            h.run_ok();
            common::type_over(h, "Thickness of layer 2", "-1 1/2 in");
            h.key_press(egui::Key::Enter);
            h.run_ok();
            common::type_over(h, "Thickness of layer 3", "1 1/2 in");
        }),
        ("papers", &hull, |h| h.state_mut().view.step = Step::Papers),
        ("job", &hull, |h| {
            h.get_by_label_contains("Job ").click();
        }),
        ("messages", &floor, |h| {
            let d = h.state_mut();
            d.recovered =
                Some("Work on \"Tansy Lark\" from 14:20 was not saved and can be taken up again.".into());
            d.messages.push(coldwright_screen::Message {
                id: 1,
                severity: coldwright_job::Severity::Look,
                sentence: "The photo harbour.jpg holds no card that could be read. Lay printed cards flat round the template and take it again from above, without flash.".into(),
            });
            d.busy.push(coldwright_screen::Busy {
                step: Step::Photo,
                words: "looking for cards in demo.jpg".into(),
            });
        }),
    ];
    for (name, desk, act) in steps.iter().filter(|s| s.0.contains(&only)) {
        // Forms stand far down the column.
        let sizes: &[(&str, f32, f32)] = if name.starts_with("form-") {
            &[("tall", 1300.0, 1800.0)]
        } else {
            &[("large", 1400.0, 900.0), ("small", 1100.0, 700.0)]
        };
        for (size, width, height) in sizes.iter().copied() {
            for dark in [false, true] {
                let mut desk = desk();
                desk.view.dark = dark;
                let mut harness = desk.open_for_pictures(width, height);
                harness.run_ok();
                act(&mut harness);
                harness.run_ok();
                harness.set_size(vec2(width, height));
                harness.run_ok();
                let picture = harness.render()?;
                let theme = if dark { "dark" } else { "light" };
                picture.save(Path::new(&folder).join(format!("{name}-{size}-{theme}.png")))?;
            }
        }
    }
    Ok(())
}

fn mm(v: f64) -> Length {
    Length::from_mm(v).unwrap_or_default()
}

fn layers(h: &mut egui_kittest::Harness<'static, Desk>) {
    h.state_mut().view.step = Step::Layers;
}

/// The hull side, one thing about it changed.
fn edited(edit: WallEdit) -> Desk {
    let mut desk = Desk::sample_with_photo("hull-side.coldwright");
    desk.edit(edit);
    desk
}

fn strips() -> FirstLayers {
    FirstLayers::Strips { layers: 1, gap: mm(2.0), widest: mm(300.0), square_up_to: mm(0.5) }
}

fn kerfs() -> FirstLayers {
    FirstLayers::Kerfs { layers: 2, web: mm(5.0), kerf: mm(3.0), spacing: mm(60.0) }
}

fn over_hollow(first: FirstLayers) -> Desk {
    over_hollow_from(0.0, 850.0, first)
}

fn over_hollow_from(from: f64, length: f64, first: FirstLayers) -> Desk {
    let shape = HollowShape::Radius { radius: mm(1400.0), length: mm(length) };
    let behind =
        HollowBehind { shape, first, from: mm(from), ..HollowBehind::measured(mm(length), mm(10.0)) };
    edited(WallEdit::Hollow(Some(behind)))
}

fn lid() -> Desk {
    let mut desk = Desk::with(common::typed_job());
    let ledges = vec![mm(0.0), mm(20.0), mm(20.0), mm(20.0)];
    desk.edit(WallEdit::Stands(Stands::Lid));
    desk.edit(WallEdit::Lid(Some(SteppedLid { ledges, draft_deg: 2.0, clearance: mm(3.0) })));
    desk
}

fn fitted() -> Desk {
    let mut desk = Desk::sample_with_photo("hull-side.coldwright");
    let edge = desk.job().walls[0].template.edges[1].id;
    let trims = vec![TrimAt { at: 0.0, trim: mm(1.5) }, TrimAt { at: 1.0, trim: mm(3.0) }];
    desk.edit(WallEdit::Fitted(vec![Fitted { layer: 1, edge, trims }]));
    desk
}

fn further() -> Desk {
    let mut desk = Desk::with(common::typed_job());
    let first = desk.job().walls[0].template.clone();
    let mut template = first;
    for (i, tick) in template.ticks.iter_mut().enumerate() {
        tick.id.0 += 500;
        if let coldwright_job::Place::Typed { at, .. } = &mut tick.place {
            at.x += [6.0, 12.0, -4.0][i % 3];
        }
    }
    for edge in &mut template.edges {
        edge.id.0 += 500;
        edge.ticks.iter_mut().for_each(|t| t.0 += 500);
    }
    template.base = template.base.map(|b| coldwright_job::EdgeId(b.0 + 500));
    template.taken_at = TakenAt::FromOuter(mm(101.6));
    desk.edit(WallEdit::Further(vec![Further { template, lies: Lies::AsFirst, begins: None }]));
    desk
}
