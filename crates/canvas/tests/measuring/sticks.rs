//! Sticks found in the rendered photographs, against the truth files.

use crate::common::{measure, number, point, shared};
use coldwright_canvas::{CardKind, Point, StickKind, StickOptions, find_sticks};
use serde_json::Value;

/// Counts of one photo (COLDWRIGHT_SHOW=1 lists what is missed and what is false): tips, tips proposed, ticks, false ticks.
fn count(photo: &std::path::Path, kind: CardKind) -> [usize; 4] {
    let truth: Value =
        serde_json::from_str(&std::fs::read_to_string(photo.with_extension("json")).unwrap()).unwrap();
    let (picture, solved) = measure(photo, kind);
    let template = &truth["template"];
    let options =
        StickOptions { thickness_mm: number(&template["lath_thickness_mm"]), ..StickOptions::default() };
    let start = std::time::Instant::now();
    let found = find_sticks(&picture, &solved, 0, &options, &mut |_| true).unwrap();
    let took = start.elapsed();
    // Everything is compared on the plane at the height of one stick.
    let place = |px: &Value| solved.to_plane(0, point(px), options.thickness_mm).unwrap();
    let at: Vec<Point> =
        found.ticks.iter().map(|t| solved.to_plane(0, t.px, options.thickness_mm).unwrap()).collect();
    let tips = template["tips"].as_array().unwrap();
    let mut hit = 0;
    let mut good: Vec<(Point, Point)> = Vec::new();
    for tip in tips {
        let touch: Vec<Point> =
            tip["touch"].as_array().unwrap().iter().map(|t| place(&t["px_top"])).collect();
        let found = touch.iter().all(|t| at.iter().any(|a| a.distance(*t) < 1.5));
        hit += usize::from(found);
        good.extend(tip["points"].as_array().unwrap().iter().map(|p| place(&p["px_top"])).map(|p| (p, p)));
        if !found && std::env::var_os("COLDWRIGHT_SHOW").is_some() {
            let nearest = touch.iter().map(|t| at.iter().map(|a| a.distance(*t)).fold(99.0, f64::min));
            println!("   missed {} {}: {:.1?}", tip["id"], tip["cut"], nearest.collect::<Vec<_>>());
        }
    }
    for edge in template["edge_laths"].as_array().unwrap() {
        let ends = &edge["outer_edge_top_px"];
        good.push((place(&ends[0]), place(&ends[1])));
    }
    let false_ticks = at
        .iter()
        .zip(&found.ticks)
        .filter(|(a, t)| {
            let wrong = good.iter().all(|(p, q)| {
                let d = *q - *p;
                let f = if d.hypot() > 0.0 { ((**a - *p).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
                a.distance(*p + d * f) > 1.5
            });
            if wrong && std::env::var_os("COLDWRIGHT_SHOW").is_some() {
                println!("   false {:?} at {:.0?} lath {} score {:.2}", t.kind, t.px, t.lath, t.score);
            }
            wrong
        })
        .count();
    let edges = found.ticks.iter().filter(|t| t.kind == StickKind::Edge).count();
    println!(
        "{}: width {:.1} ({}), {} of {} laths, {hit} of {} tips, {} ticks ({edges} on edges), {false_ticks} false, {took:.1?}",
        photo.file_stem().unwrap().to_string_lossy(),
        found.width_mm,
        template["lath_width_mm"],
        found.laths.len(),
        template["laths"].as_array().unwrap().len(),
        tips.len(),
        at.len()
    );
    [tips.len(), hit, at.len(), false_ticks]
}

fn folder(name: &str, kind: CardKind) -> [usize; 4] {
    let Some(shared) = shared() else { return [0; 4] };
    let mut photos: Vec<_> = std::fs::read_dir(shared.join(name))
        .unwrap()
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "jpg"))
        .collect();
    photos.sort();
    let mut sum = [0; 4];
    for photo in photos {
        for (s, n) in sum.iter_mut().zip(count(&photo, kind)) {
            *s += n;
        }
    }
    println!("{name}: {} of {} tips proposed, {} of {} ticks false", sum[1], sum[0], sum[3], sum[2]);
    sum
}

#[test]
fn sticks_propose_the_tips() {
    let a = folder("photos", CardKind::Plain { black_edge_mm: 150.0 });
    let b = folder("photos-checker", CardKind::Printed);
    let [tips, hit, ticks, wrong] = [0, 1, 2, 3].map(|i| a[i] + b[i]);
    if tips > 0 {
        // Reached: 84 % and 8 %.
        assert!(hit * 100 >= tips * 80, "{hit} of {tips} tips");
        assert!(wrong * 100 < ticks * 10, "{wrong} of {ticks} ticks are false");
    }
}
