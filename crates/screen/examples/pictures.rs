//! Writes a picture of every step, light and dark, in two sizes, into the folder given: for looking at the window
//! without a display. Needs a software renderer (Debian: mesa-vulkan-drivers).
//!
//! `cargo run -p coldwright-screen --example pictures -- FOLDER [WORD]`

#[path = "../tests/common/mod.rs"]
mod common;

use std::path::Path;

use coldwright_job::{Job, Step};
use common::Desk;
use egui::vec2;
use egui_kittest::kittest::Queryable as _;

type Act = fn(&mut egui_kittest::Harness<'static, Desk>);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let folder = words.next().ok_or("say which folder the pictures go to")?;
    let only = words.next().unwrap_or_default();
    std::fs::create_dir_all(&folder)?;
    let hull = || Desk::sample_with_photo("hull-side.coldwright");
    let hull_untraced = || {
        let mut desk = hull();
        let clear = coldwright_job::WallEdit::Trace(Vec::new(), Vec::new());
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
        for (size, width, height) in [("large", 1400.0, 900.0), ("small", 1100.0, 700.0)] {
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
