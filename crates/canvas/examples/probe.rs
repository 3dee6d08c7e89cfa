//! scratch
use coldwright_canvas::*;
use std::time::Instant;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    for path in &args[1..] {
        let bytes = std::fs::read(path).unwrap();
        let truth: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(path.replace(".jpg", ".json")).unwrap()).unwrap();
        let plain = !path.contains("checker");
        let t0 = Instant::now();
        let pic = Picture::decode(&bytes, &Limits::default()).unwrap();
        let t1 = Instant::now();
        let found = find_cards(
            &pic,
            if plain { CardKind::Plain { black_edge_mm: 150.0 } } else { CardKind::Printed },
        );
        let t2 = Instant::now();
        let f = |v: &serde_json::Value| v.as_f64().unwrap();
        // errors
        let (mut n, mut s2, mut sx, mut sy, mut chi, mut worst) = (0, 0.0, 0.0, 0.0, 0.0, 0.0f64);
        for c in &found.cards {
            let t = truth["cards"]
                .as_array()
                .unwrap()
                .iter()
                .find(|t| t["tag_id"].as_u64() == Some(u64::from(c.number)));
            let Some(t) = t else {
                println!("false card {}", c.number);
                continue;
            };
            if std::env::var("CORNERS").is_ok() {
                println!("{:?} {}", c.corners_px, t["tag_corners_px"]);
            }
            for x in &c.crossings {
                let tp = if plain {
                    if x.card_mm.x.abs() < 70.0 || x.card_mm.y.abs() < 70.0 {
                        continue;
                    }
                    let i = match (x.card_mm.x < 0.0, x.card_mm.y > 0.0) {
                        (true, true) => 0,
                        (false, true) => 1,
                        (false, false) => 2,
                        _ => 3,
                    };
                    let p = &t["tag_corners_px"][i];
                    Point::new(f(&p[0]), f(&p[1]))
                } else {
                    let k = t["crossings"]
                        .as_array()
                        .unwrap()
                        .iter()
                        .find(|k| {
                            (f(&k["card_mm"][0]) - x.card_mm.x).abs() < 1e-6
                                && (f(&k["card_mm"][1]) - x.card_mm.y).abs() < 1e-6
                        })
                        .unwrap();
                    let p = &k["px"];
                    Point::new(f(&p[0]), f(&p[1]))
                };
                let e = x.px - tp;
                if std::env::var("EACH").is_ok() {
                    println!(
                        "{} {:?} {:?} {:.3} {:.3} sd {:.3}",
                        c.number, x.card_mm, x.px, e.x, e.y, x.sd_px
                    );
                }
                n += 1;
                s2 += e.hypot2();
                sx += e.x;
                sy += e.y;
                chi += e.hypot2() / (2.0 * x.sd_px * x.sd_px);
                worst = worst.max(e.hypot());
            }
        }
        let nn = f64::from(n.max(1));
        println!(
            "{path}: cards {}/{} pts {n} rms/axis {:.3} bias {:.3} {:.3} worst {worst:.3} chi {:.2} decode {:?} find {:?} notes {:?}",
            found.cards.len(),
            truth["cards"].as_array().unwrap().len(),
            (s2 / nn / 2.0).sqrt(),
            sx / nn,
            sy / nn,
            chi / nn,
            t1 - t0,
            t2 - t1,
            found.notes
        );
        let pc = PhotoCards::new(&pic, &found);
        let t3 = Instant::now();
        match solve(&[pc], &SolveOptions::default()) {
            Err(e) => println!("   {e}"),
            Ok(s) => {
                let dt = t3.elapsed();
                let mut clicks = vec![];
                let mut world = vec![];
                for tip in truth["template"]["tips"].as_array().unwrap() {
                    for p in tip["points"].as_array().unwrap() {
                        let px = p["px_top"].as_array().or_else(|| p["top_px"].as_array());
                        let Some(px) = px else {
                            println!("{p}");
                            continue;
                        };
                        clicks.push(Click {
                            photo: 0,
                            px: Point::new(f(&px[0]), f(&px[1])),
                            height_mm: f(&p["z_top_mm"])
                                - std::env::var("PAPER").ok().and_then(|v| v.parse().ok()).unwrap_or(0.0),
                            sd_px: 0.0,
                            height_sd_mm: 0.0,
                        });
                        world.push(Point::new(f(&p["xy_mm"][0]), f(&p["xy_mm"][1])));
                    }
                }
                let placed = s.place(&clicks).unwrap();
                let (mut n, mut s2, mut w, mut z2) = (0, 0.0, 0.0f64, 0.0);
                let mut inside = 0;
                let mut sds = 0.0;
                for i in 0..world.len() {
                    for j in 0..i {
                        let d = world[i].distance(world[j]);
                        if d < 1.0 {
                            continue;
                        }
                        let e = placed.points[i].distance(placed.points[j]) - d;
                        let sd = placed.distance_sd(i, j).unwrap();
                        n += 1;
                        s2 += e * e;
                        w = w.max(e.abs());
                        z2 += (e / sd).powi(2);
                        if e.abs() < 1.96 * sd {
                            inside += 1
                        }
                        sds += sd;
                    }
                }
                let nn = f64::from(n);
                let l = s.lens(0).unwrap();
                println!(
                    "   dist rms {:.3} max {:.3} z {:.2} in95 {:.0}% mean sd {:.3} | res {:.3}px {:.3}mm chi2 {:.2} f {:.1}±{:.1} ({:.1}) k1 {:.4} ({:.4}) k2 {:.4} ({:.4}) c {:.1} {:.1} ({:.1} {:.1}) tilt {:.2} ({:.2}) h {:.1} ({:.1}) bad {:?} {:?}",
                    (s2 / nn).sqrt(),
                    w,
                    (z2 / nn).sqrt(),
                    100.0 * f64::from(inside) / nn,
                    sds / nn,
                    s.residual_px(),
                    s.residual_mm(),
                    s.chi2_per_dof(),
                    l.focal_px,
                    s.focal_sd_px(0).unwrap(),
                    f(&truth["camera"]["fx_px"]),
                    l.k1,
                    f(&truth["camera"]["k1"]),
                    l.k2,
                    f(&truth["camera"]["k2"]),
                    l.centre_px.x,
                    l.centre_px.y,
                    f(&truth["camera"]["cx_px"]),
                    f(&truth["camera"]["cy_px"]),
                    s.tilt(0).unwrap().to_degrees(),
                    f(&truth["camera"]["tilt_deg"]),
                    s.height_above_plane(0).unwrap(),
                    f(&truth["camera"]["height_above_floor_mm"]),
                    s.bad_cards(),
                    dt
                );
            }
        }
    }
}
