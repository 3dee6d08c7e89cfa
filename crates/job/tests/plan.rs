//! The plan of typed templates: sense, side and base edge, and what stops.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::Ring;
use coldwright_job::{
    Edit, Job, Place, Planner, Severity, Standing, Step, WallEdit, WallPlan, apply, checks, plan,
};
use kurbo::{Affine, Point};

/// Bevels that differ from edge to edge, so that a mirrored or shifted ring cannot look right.
const BEVELS: [f64; 10] = [0.0, 5.0, -3.0, 10.0, 0.0, 7.0, -5.0, 12.0, 20.0, 8.0];

fn only(job: &Job) -> WallPlan {
    let mut plan = plan(job);
    assert_eq!(plan.walls.len(), 1);
    plan.walls.remove(0)
}

/// Largest distance from a point of one ring to the nearest point of the other, both ways.
fn apart(a: &Ring, b: &Ring) -> f64 {
    let one = |a: &Ring, b: &Ring| {
        let near = |p: &Point| b.outer.iter().map(|q| p.distance(*q)).fold(f64::INFINITY, f64::min);
        a.outer.iter().map(near).fold(0.0, f64::max)
    };
    one(a, b).max(one(b, a))
}

fn same_layers(a: &WallPlan, b: &WallPlan) {
    let (a, b) = (a.layers.as_ref().unwrap(), b.layers.as_ref().unwrap());
    assert_eq!(a.layers.len(), b.layers.len());
    for (x, y) in a.layers.iter().zip(&b.layers) {
        for (x, y) in [(&x.outer, &y.outer), (&x.inner, &y.inner)] {
            assert_eq!(x.rings.len(), y.rings.len());
            for (x, y) in x.rings.iter().zip(&y.rings) {
                assert!(apart(x, y) < 1e-6, "apart by {}", apart(x, y));
            }
        }
    }
}

#[test]
fn the_base_edge_runs_along_x_and_an_f_stays_an_f() {
    let turned = Affine::rotate(2.1) * Affine::translate((-333.0, 77.0));
    let points: Vec<(f64, f64)> =
        common::F.iter().map(|p| turned * Point::from(*p)).map(|p| (p.x, p.y)).collect();
    let p = only(&common::job(&common::template(&points, &BEVELS)).0);
    for (tick, true_place) in p.ticks.iter().zip(common::F) {
        assert!(tick.wall.distance(true_place.into()) < 1e-9, "tick {} at {:?}", tick.number, tick.wall);
    }
    let mirrored = p.ticks.iter().any(|t| t.wall.x < -1e-9);
    assert!(!mirrored);
}

#[test]
fn the_other_face_declared_so_gives_the_same_layers() {
    let t = common::template(&common::F, &BEVELS);
    same_layers(&only(&common::job(&t).0), &only(&common::job(&common::other_side(&t)).0));
}

#[test]
fn clicking_the_other_way_round_gives_the_same_layers() {
    let t = common::template(&common::F, &BEVELS);
    let mut back = t.clone();
    back.edges.reverse();
    for edge in &mut back.edges {
        edge.ticks.reverse();
    }
    same_layers(&only(&common::job(&t).0), &only(&common::job(&back).0));
}

#[test]
fn not_declaring_the_other_face_gives_a_mirrored_piece() {
    let t = common::template(&common::F, &[0.0]);
    let mut wrong = common::other_side(&t);
    wrong.seen_from = t.seen_from;
    let (a, b) = (only(&common::job(&t).0), only(&common::job(&wrong).0));
    let ring = |p: &WallPlan| p.layers.as_ref().unwrap().layers[0].outer.rings[0].clone();
    assert!(apart(&ring(&a), &ring(&b)) > 50.0, "the side that faced the camera matters");
}

#[test]
fn a_self_crossing_outline_stops_with_a_sentence() {
    let bow = [(0.0, 0.0), (400.0, 300.0), (400.0, 0.0), (0.0, 300.0)];
    let (job, _) = common::job(&common::template(&bow, &[0.0]));
    let p = only(&job);
    assert_eq!(p.standing(Step::Outline), Standing::Stop);
    let stop = checks(&job, &plan(&job)).into_iter().find(|p| p.severity == Severity::Stop).unwrap();
    assert!(stop.sentence.contains("crosses itself"), "{stop}");
    assert!(stop.sentence.ends_with('.'));
}

#[test]
fn a_half_traced_template_is_nothing_yet_and_no_fault() {
    let job = apply(&Job::default(), &Edit::AddWall { name: "Lid".to_owned() }).unwrap();
    let wall = job.walls[0].id;
    let place = Place::Typed { at: Point::new(3.0, 4.0), sd: 0.5 };
    let job = apply(&job, &Edit::Wall(wall, WallEdit::AddTick { edge: None, before: None, place })).unwrap();
    let p = only(&job);
    assert_eq!(p.standing(Step::Outline), Standing::Nothing);
    assert!(p.problems.is_empty(), "{:?}", p.problems);
    assert!(checks(&job, &plan(&job))[0].sentence.contains("no closed outline"));
}

#[test]
fn a_second_edge_just_begun_is_no_fault_either() {
    let whole = common::template(&common::F, &[0.0]);
    for edges in 1..3 {
        let mut part = whole.clone();
        part.edges.truncate(edges);
        part.edges[edges - 1].ticks.truncate(if edges == 2 { 1 } else { 2 });
        let p = only(&common::job(&part).0);
        assert_eq!(p.standing(Step::Outline), Standing::Nothing, "{edges} edges: {:?}", p.problems);
    }
}

#[test]
fn what_did_not_change_is_not_worked_out_again() {
    let (job, wall) = common::job(&common::template(&common::F, &BEVELS));
    let mut planner = Planner::default();
    let first = planner.plan(&job);
    let renamed = apply(&job, &Edit::NameJob("Galley".to_owned())).unwrap();
    let second = planner.plan(&renamed);
    let layers = |p: &coldwright_job::Plan| p.walls[0].layers.clone().unwrap();
    assert!(std::sync::Arc::ptr_eq(&layers(&first), &layers(&second)));
    let edge = job.walls[0].template.edges[0].id;
    let gap = WallEdit::Gap(edge, coldwright_geometry::Length::from_micrometres(3_000));
    let third = planner.plan(&apply(&renamed, &Edit::Wall(wall, gap)).unwrap());
    assert!(!std::sync::Arc::ptr_eq(&layers(&second), &layers(&third)));
}

#[test]
fn what_stops_a_wall_is_said_in_the_units_of_the_job() {
    let t = common::template(&[(0.0, 0.0), (120.0, 0.0), (120.0, 90.0), (0.0, 90.0)], &[-60.0]);
    let (job, _) = common::job(&t);
    let told = |job: &Job| {
        only(job).problems.iter().find(|p| p.severity == Severity::Stop).unwrap().sentence.clone()
    };
    let (metric, inch) =
        (told(&job), told(&apply(&job, &Edit::SetUnits(coldwright_job::Units::Inches)).unwrap()));
    assert!(metric.contains(" mm") && !inch.contains(" mm") && inch.contains(" in"), "{metric} | {inch}");
}

#[test]
fn a_hole_goes_through_every_layer_where_its_axis_runs() {
    use coldwright_geometry::Length;
    use coldwright_job::Hole;
    let t = common::template(&[(0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)], &[0.0]);
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let hole = Hole { lean_deg: (45.0, 0.0), ..Hole::round("Drain", (mm(200.0), mm(100.0)), mm(40.0)) };
    for template in [t.clone(), common::other_side(&t)] {
        let (job, wall) = common::job(&template);
        let bad = Hole::round("Drain", hole.at, mm(0.0));
        assert!(apply(&job, &Edit::Wall(wall, WallEdit::Holes(vec![bad]))).is_err());
        let job = apply(&job, &Edit::Wall(wall, WallEdit::Holes(vec![hole.clone()]))).unwrap();
        let layers = only(&job).layers.unwrap();
        let has = |ring: &Ring, x: f64| ring.contains(Point::new(x, 100.0));
        // Its middle moves a thickness to the right in each layer at 45°.
        let middle = |k: usize| 200.0 + 25.4 * k as f64;
        for (k, layer) in layers.layers.iter().enumerate() {
            assert!(!has(&layer.outer.rings[0], middle(k)) && !has(&layer.inner.rings[0], middle(k + 1)));
            assert!(has(&layer.outer.rings[0], middle(k) + 40.0), "layer {}", k + 1);
            // An ellipse, 20 · √2 along the lean: area π · 20 · 20√2.
            let cut = 800.0 * 500.0 - layer.area_outer;
            assert!((cut - std::f64::consts::PI * 400.0 * 2.0_f64.sqrt()).abs() < 2.0, "{cut}");
        }
        assert_eq!(coldwright_job::from_bytes(&coldwright_job::to_bytes(&job).unwrap()).unwrap(), job);
    }
}

#[test]
fn an_opening_that_lies_in_a_wall_is_cut_through_its_foam() {
    use coldwright_geometry::Length;
    use coldwright_job::{Edit, Opening, OpeningPlace, OpeningShape};
    let t = common::template(&[(0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)], &[0.0]);
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let (job, wall) = common::job(&t);
    let whole = only(&job).layers.unwrap();
    let shape = OpeningShape::Rectangle { width: mm(300.0), height: mm(200.0), corner: mm(40.0) };
    let at = |x: f64| Some(OpeningPlace { wall, at: (mm(x), mm(250.0)) });
    let with = |place| apply(&job, &Edit::SetOpening(Some(Opening { shape, behind: None, place }))).unwrap();
    assert_eq!(only(&with(None)).layers.unwrap(), whole);
    let cut = only(&with(at(400.0))).layers.unwrap();
    // a b - (4 - π) r², by the definition of a rectangle with rounded corners.
    let hole = 300.0 * 200.0 - (4.0 - std::f64::consts::PI) * 40.0 * 40.0;
    for (bare, cut) in whole.layers.iter().zip(&cut.layers) {
        assert!((bare.area_outer - cut.area_outer - hole).abs() < 1.0);
        assert!((bare.area_inner - cut.area_inner - hole).abs() < 1.0);
        assert!(!cut.inner.rings[0].contains(Point::new(400.0, 250.0)));
    }
    // Half out of the wall, the person is told.
    let said = only(&with(at(790.0))).problems;
    assert!(said.iter().any(|p| p.sentence.contains("the opening")), "{said:?}");
    // It goes with its wall.
    let gone = apply(&with(at(400.0)), &Edit::RemoveWall(wall)).unwrap();
    assert_eq!(gone.opening.map(|o| o.place), Some(None));
}

#[test]
fn a_stringer_goes_through_square_turned_or_tapering() {
    use coldwright_geometry::Length;
    use coldwright_job::{Hole, HoleShape};
    let t = common::template(&[(0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)], &[0.0]);
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let shape = HoleShape::Rectangle { width: mm(100.0), height: mm(40.0), corner: mm(0.0), turn_deg: 0.0 };
    let stringer = Hole { shape, ..Hole::round("Stringer", (mm(400.0), mm(250.0)), mm(1.0)) };
    let turned = HoleShape::Rectangle { width: mm(100.0), height: mm(40.0), corner: mm(0.0), turn_deg: 90.0 };
    let (job, wall) = common::job(&t);
    let with = |hole: Hole| {
        let job = apply(&job, &Edit::Wall(wall, WallEdit::Holes(vec![hole]))).unwrap();
        assert_eq!(coldwright_job::from_bytes(&coldwright_job::to_bytes(&job).unwrap()).unwrap(), job);
        only(&job).layers.unwrap()
    };
    let square = with(stringer.clone());
    for layer in &square.layers {
        // A rectangle of 100 x 40 mm off 800 x 500.
        assert!((layer.area_outer - (400_000.0 - 4_000.0)).abs() < 1e-3 * 4.0, "{}", layer.area_outer);
        assert!(!layer.outer.rings[0].contains(Point::new(445.0, 250.0)));
    }
    let turned = with(Hole { shape: turned, ..stringer.clone() });
    assert!(turned.layers[0].outer.rings[0].contains(Point::new(445.0, 250.0)));
    assert!(!turned.layers[0].outer.rings[0].contains(Point::new(400.0, 295.0)));
    // Sides that lean in 10 degrees narrow it by twice the depth times tan 10 degrees, both ways.
    let taper = with(Hole { taper_deg: 10.0, ..stringer });
    let less = 2.0 * 25.4 * 10_f64.to_radians().tan();
    let hole = 800.0 * 500.0 - taper.layers[0].area_inner;
    assert!((hole - (100.0 - less) * (40.0 - less)).abs() < 0.05, "{hole}");
}

#[test]
fn a_hole_that_cannot_be_is_refused_in_words() {
    use coldwright_geometry::Length;
    use coldwright_job::{Hole, HoleShape};
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let good = Hole::round("Hose", (mm(60.0), mm(60.0)), mm(40.0));
    let flat = HoleShape::Rectangle { width: mm(40.0), height: mm(0.0), corner: mm(0.0), turn_deg: 0.0 };
    for (bad, words) in [
        (Hole { lean_deg: (0.0, 80.0), ..good.clone() }, "75°"),
        (Hole { taper_deg: f64::NAN, ..good.clone() }, "75°"),
        (Hole { shape: flat, ..good.clone() }, "height"),
        (Hole { name: "  ".to_owned(), ..good.clone() }, "name"),
    ] {
        let why = apply(&job, &Edit::Wall(wall, WallEdit::Holes(vec![bad]))).unwrap_err().to_string();
        assert!(why.contains(words), "{why}");
    }
    // Off the outline it is told with its name, and the layers wait.
    let off = Hole { at: (mm(-500.0), mm(60.0)), ..good };
    let job = apply(&job, &Edit::Wall(wall, WallEdit::Holes(vec![off]))).unwrap();
    let plan = only(&job);
    assert!(plan.layers.is_none() && plan.problems.iter().any(|p| p.sentence.contains("Hose")));
}
