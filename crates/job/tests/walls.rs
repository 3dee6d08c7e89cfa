//! What a wall's layers follow besides one template: spaces, a liner, trims while fitting, further templates.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::{FixedFace, Length, Ring};
use coldwright_job::{
    CutStyle, Edge, EdgeId, EdgeOf, Edit, FirstLayers, Fitted, Further, HollowBehind, HollowLayer,
    HollowShape, Job, JointKind, LayerStock, Lies, Lining, LiningEdge, Place, Planner, Stands, SteppedLid,
    TakenAt, Tick, TickId, TrimAt, WallEdit, WallId, WallPlan, apply, from_bytes, lid_opening, plan,
    to_bytes,
};
use kurbo::Point;

fn mm(v: f64) -> Length {
    Length::from_mm(v).unwrap()
}

/// A sheet 800 x 500 mm, all its edges square, four layers of an inch.
fn sheet() -> (Job, WallId) {
    common::job(&common::template(&[(0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)], &[0.0]))
}

/// Two such sheets: job, first and second wall; the second one's numbers are 500 on.
fn two_sheets() -> (Job, WallId, WallId) {
    let (job, first) = sheet();
    let job = apply(&job, &Edit::AddWall { name: "Aft".to_owned() }).unwrap();
    let other = job.walls[1].id;
    let (mut ticks, mut edges) = (job.walls[0].template.ticks.clone(), job.walls[0].template.edges.clone());
    ticks.iter_mut().for_each(|t| t.id.0 += 500);
    edges.iter_mut().for_each(|e| {
        e.id.0 += 500;
        e.ticks.iter_mut().for_each(|t| t.0 += 500);
    });
    (with(&job, other, WallEdit::Trace(ticks, edges)), first, other)
}

/// The first sheet's first edge joined to the second one's third.
fn joined(job: &Job, first: WallId, other: WallId, kind: JointKind) -> Job {
    let (a, b) = (EdgeOf { wall: first, edge: EdgeId(201) }, EdgeOf { wall: other, edge: EdgeId(703) });
    apply(job, &Edit::Join { a, b, kind }).unwrap()
}

fn with(job: &Job, wall: WallId, edit: WallEdit) -> Job {
    let job = apply(job, &Edit::Wall(wall, edit)).unwrap();
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job, "what is typed comes back from the file");
    job
}

fn only(job: &Job) -> WallPlan {
    plan(job).walls.remove(0)
}

fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} for {want}");
}

#[test]
fn a_film_and_an_air_gap_hold_no_foam() {
    let (job, wall) = sheet();
    let mut layers = vec![LayerStock::default(); 3];
    (layers[1].before, layers[2].before) = (mm(0.2), mm(6.0));
    let job = with(&job, wall, WallEdit::Layers(layers));
    close(job.walls[0].thickness().mm(), 3.0 * 25.4 + 6.2, 1e-9);
    let set = only(&job).layers.unwrap();
    let at: Vec<(f64, f64)> = set.layers.iter().map(|l| (l.from, l.to)).collect();
    for (got, want) in at.iter().zip([(0.0, 25.4), (25.6, 51.0), (57.0, 82.4)]) {
        close(got.0, want.0, 1e-9);
        close(got.1, want.1, 1e-9);
    }
    let bad = vec![LayerStock { before: mm(-1.0), ..LayerStock::default() }];
    let why = apply(&job, &Edit::Wall(wall, WallEdit::Layers(bad))).unwrap_err().to_string();
    assert!(why.contains("the space before layer 1"), "{why}");
}

#[test]
fn spaces_count_in_a_box_too() {
    // The neighbour's two layers and the space between stand before the edge that stops short: 25.4 + 5 + 25.4.
    let (job, first, other) = two_sheets();
    let spaced = vec![LayerStock::default(), LayerStock { before: mm(5.0), ..LayerStock::default() }];
    let job = with(&job, other, WallEdit::Layers(spaced));
    let job = joined(&job, first, other, JointKind::StopsShort);
    let planned = plan(&job);
    let width = |w: usize, k: usize| {
        planned.walls[w].layers.as_ref().unwrap().layers[k].outer.rings[0].bounds().width()
    };
    close(width(0, 0), 800.0 - 55.8, 1e-6);
    let aft = planned.walls[1].layers.as_ref().unwrap();
    close(aft.layers[1].from, 30.4, 1e-9);
    close(aft.layers[1].to, 55.8, 1e-9);
}

#[test]
fn a_liner_is_the_last_layer_of_its_own_stock() {
    let (job, wall) = sheet();
    let lining = Lining { sheet: mm(4.0), material: "Laminate".to_owned(), bond: mm(1.0), edges: Vec::new() };
    let job = with(&job, wall, WallEdit::Liner(Some(lining.clone())));
    let planned = plan(&job);
    let set = planned.walls[0].layers.clone().unwrap();
    assert_eq!((set.layers.len(), job.walls[0].layer_count()), (5, 5));
    let panel = &set.layers[4];
    close(panel.from, 4.0 * 25.4 + 1.0, 1e-9);
    close(panel.to, 4.0 * 25.4 + 5.0, 1e-9);
    // At each of four square edges that stop short: sheet and bond.
    close(panel.area_outer, (800.0 - 10.0) * (500.0 - 10.0), 0.01);
    assert_eq!((job.walls[0].material(4), job.walls[0].material(5)), ("XPS", "Laminate"));
    let piece = planned.pieces.iter().find(|p| p.id.layer == 5).unwrap();
    assert_eq!((piece.mark.as_str(), piece.material.as_str()), ("Hull side 5", "Laminate"));
    close(piece.thickness, 4.0, 1e-9);
    // The panel goes in last.
    assert_eq!(planned.fitting_order().last().unwrap().id.layer, 5);
    // Flat between fillets of 10 mm, and r²(1 − π/4) of filler for each mm, as in the square corner of school geometry.
    let liner = planned.walls[0].liner.clone().unwrap();
    let flat: f64 = liner.clear.iter().map(Ring::area).sum();
    close(flat, (800.0 - 30.0) * (500.0 - 30.0), 0.1);
    close(liner.filler / liner.fillet_length, 100.0 * (1.0 - std::f64::consts::FRAC_PI_4), 1e-6);
    // A rim and an edge that runs past.
    let edges = vec![(EdgeId(202), LiningEdge::Free), (EdgeId(203), LiningEdge::RunsPast)];
    let job = with(&job, wall, WallEdit::Liner(Some(Lining { edges, ..lining })));
    let set = only(&job).layers.unwrap();
    close(set.layers[4].area_outer, (800.0 - 5.0) * (500.0 - 5.0), 0.01);
    // Without the liner the fifth layer is gone, and with it the order that named it.
    let job = with(&job, wall, WallEdit::Liner(None));
    assert_eq!(only(&job).layers.unwrap().layers.len(), 4);
}

#[test]
fn a_liner_stands_on_the_neighbours_foam() {
    let (job, first, other) = two_sheets();
    let job = with(&job, other, WallEdit::Layers(vec![LayerStock::default(); 5]));
    let job = joined(&job, first, other, JointKind::RunsPast);
    let lining = Lining { sheet: mm(4.0), material: "Laminate".to_owned(), bond: mm(1.0), edges: Vec::new() };
    let job = with(&job, first, WallEdit::Liner(Some(lining)));
    // Five inches of the neighbour at one edge, which has no panel; sheet and bond at the three others.
    let set = only(&job).layers.unwrap();
    close(set.layers[4].area_outer, (800.0 - 127.0 - 5.0) * (500.0 - 10.0), 0.01);
}

#[test]
fn a_trim_is_carried_to_the_layers_after_it() {
    let (job, wall) = sheet();
    let trims = vec![TrimAt { at: 0.0, trim: mm(2.0) }, TrimAt { at: 1.0, trim: mm(6.0) }];
    let fitted = Fitted { layer: 2, edge: EdgeId(201), trims };
    let job = with(&job, wall, WallEdit::Fitted(vec![fitted.clone()]));
    let set = only(&job).layers.unwrap();
    for layer in &set.layers {
        let taken = if layer.number > 2 { 500.0 * 4.0 } else { 0.0 };
        close(layer.area_outer, 400_000.0 - taken, 0.5);
    }
    for (bad, words) in [
        (Fitted { layer: 9, ..fitted.clone() }, "layer 9"),
        (Fitted { trims: Vec::new(), ..fitted.clone() }, "no place"),
        (Fitted { trims: vec![TrimAt { at: 0.5, trim: mm(300.0) }], ..fitted.clone() }, "100 mm"),
    ] {
        let why = apply(&job, &Edit::Wall(wall, WallEdit::Fitted(vec![bad]))).unwrap_err().to_string();
        assert!(why.contains(words), "{why}");
    }
    // Fewer layers, or an edge less, and the trims that named them are gone: the file opens again.
    let job = with(&job, wall, WallEdit::Layers(vec![LayerStock::default()]));
    assert!(job.walls[0].fitted.is_empty());
}

/// A rectangle's points and edges, typed from the same place as the first, numbers from `from` on.
fn rectangle(from: u32, (x0, y0, x1, y1): (f64, f64, f64, f64)) -> (Vec<Tick>, Vec<Edge>) {
    let t = common::template(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], &[0.0]);
    let mut t = t;
    for tick in &mut t.ticks {
        tick.id = TickId(tick.id.0 + from);
    }
    for edge in &mut t.edges {
        edge.id = EdgeId(edge.id.0 + from);
        edge.ticks.iter_mut().for_each(|k| k.0 += from);
    }
    (t.ticks, t.edges)
}

/// The sheet with a second template, 120 mm larger to the right and 40 mm up, at the box face.
fn two_templates(lies: Lies) -> (Job, WallId) {
    let (job, wall) = sheet();
    let mut further = Further { lies, ..Further::default() };
    further.template.taken_at = TakenAt::FromInner(mm(0.0));
    let job = apply(&job, &Edit::Wall(wall, WallEdit::Further(vec![further]))).unwrap();
    let (ticks, edges) = rectangle(1000, (0.0, 0.0, 920.0, 540.0));
    let trace = Edit::Wall(wall, WallEdit::Trace(ticks, edges));
    let job = apply(&job, &Edit::InTemplate { wall, template: 1, edit: Box::new(trace) }).unwrap();
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
    (job, wall)
}

#[test]
fn two_templates_give_the_bevels_between_them() {
    for lies in [Lies::AsFirst, Lies::default()] {
        let (job, _) = two_templates(lies);
        let p = only(&job);
        let set = p.layers.clone().unwrap();
        // A frustum: each face's sides grow evenly with the depth; volume h/3 (A1 + A2 + M) by the prismoid's rule.
        for layer in &set.layers {
            let k = layer.to / 101.6;
            close(layer.area_inner, (800.0 + 120.0 * k) * (500.0 + 40.0 * k), 0.5);
        }
        let volume: f64 = set.layers.iter().map(|l| l.volume).sum();
        let h = 101.6;
        close(volume, h / 6.0 * (400_000.0 + 920.0 * 540.0 + 4.0 * 860.0 * 520.0), 50.0);
        let lean = |edge: u32| {
            let side =
                p.outline.as_ref().unwrap().sides().iter().find(|s| s.edge.id == edge).unwrap().clone();
            side.edge.bevel.at(0.5).to_degrees()
        };
        close(lean(201), (120.0_f64 / h).atan().to_degrees(), 1e-6);
        close(lean(202), (40.0_f64 / h).atan().to_degrees(), 1e-6);
        close(lean(200), 0.0, 1e-9);
        let loft = p.loft.clone().unwrap();
        assert!(loft.matches.contains(&vec![Some(EdgeId(200)), Some(EdgeId(1200))]), "{:?}", loft.matches);
        assert!(loft.expected_error > 0.0 && p.templates.len() == 2);
    }
}

#[test]
fn the_depth_of_each_template_follows_the_face_that_stays() {
    // The inner template at the liner, the outer one at the hull: an inch more of foam makes the same rise over more depth.
    let (job, wall) = two_templates(Lies::AsFirst);
    let job = with(&job, wall, WallEdit::Layers(vec![LayerStock::default(); 5]));
    let job = with(&job, wall, WallEdit::Fixed(FixedFace::Inner));
    let set = only(&job).layers.unwrap();
    close(set.layers[4].area_inner, 920.0 * 540.0, 0.5);
    close(set.layers[0].area_outer, 400_000.0, 0.5);
}

#[test]
fn a_wrong_match_is_put_right_by_naming_the_edge() {
    let (job, wall) = two_templates(Lies::AsFirst);
    let mut further = job.walls[0].further.clone();
    further[0].begins = Some(EdgeId(1201));
    let turned = with(&job, wall, WallEdit::Further(further.clone()));
    let loft = only(&turned).loft.unwrap();
    assert!(loft.matches.contains(&vec![Some(EdgeId(200)), Some(EdgeId(1201))]), "{:?}", loft.matches);
    further[0].begins = Some(EdgeId(200));
    assert!(
        apply(&job, &Edit::Wall(wall, WallEdit::Further(further))).is_err(),
        "an edge of the first is none of it"
    );
}

#[test]
fn a_template_that_is_not_closed_is_told_and_left_out() {
    let (job, wall) = sheet();
    let job = with(&job, wall, WallEdit::Further(vec![Further::default()]));
    let place = Place::Typed { at: Point::new(10.0, 10.0), sd: 1.0 };
    let add = Edit::Wall(wall, WallEdit::AddTick { edge: None, before: None, place });
    let job = apply(&job, &Edit::InTemplate { wall, template: 1, edit: Box::new(add.clone()) }).unwrap();
    assert_eq!((job.walls[0].template.ticks.len(), job.walls[0].further[0].template.ticks.len()), (4, 1));
    let p = only(&job);
    assert!(p.layers.is_some() && p.loft.is_none());
    assert!(
        p.problems.iter().any(|q| q.sentence.contains("template 2") && q.sentence.contains("not closed"))
    );
    let gone = Edit::InTemplate { wall, template: 3, edit: Box::new(add) };
    assert!(apply(&job, &gone).unwrap_err().to_string().contains("not there"));
}

#[test]
fn templates_of_other_edges_are_refused_in_words() {
    let (job, wall) = two_templates(Lies::AsFirst);
    let corner = WallEdit::BreakAfter(TickId(1100));
    let job = apply(&job, &Edit::InTemplate { wall, template: 1, edit: Box::new(Edit::Wall(wall, corner)) });
    let p = only(&job.unwrap());
    assert!(p.layers.is_none() || p.loft.is_none());
    assert!(p.problems.iter().any(|q| q.sentence.contains("template")), "{:?}", p.problems);
}

#[test]
fn trims_holes_and_spaces_hold_between_two_templates() {
    use coldwright_job::Hole;
    let (job, wall) = two_templates(Lies::AsFirst);
    let whole = only(&job).layers.unwrap();
    let trims = vec![TrimAt { at: 0.0, trim: mm(3.0) }];
    let job = with(&job, wall, WallEdit::Fitted(vec![Fitted { layer: 1, edge: EdgeId(203), trims }]));
    let job = with(&job, wall, WallEdit::Holes(vec![Hole::round("Hose", (mm(400.0), mm(250.0)), mm(60.0))]));
    let set = only(&job).layers.unwrap();
    for (a, b) in set.layers.iter().zip(&whole.layers) {
        let high = 500.0 + 40.0 * a.from / 101.6;
        let trim = if a.number > 1 { 3.0 * high } else { 0.0 };
        close(b.area_outer - a.area_outer, std::f64::consts::PI * 900.0 + trim, 1.0);
    }
}

#[test]
fn a_joined_wall_of_two_templates_says_how_far_it_is_off() {
    let (job, wall) = two_templates(Lies::AsFirst);
    let job = apply(&job, &Edit::AddWall { name: "Aft".to_owned() }).unwrap();
    let other = job.walls[1].id;
    let (ticks, edges) = rectangle(2000, (0.0, 0.0, 600.0, 500.0));
    let job = apply(&job, &Edit::Wall(other, WallEdit::Trace(ticks, edges))).unwrap();
    let (a, b) = (EdgeOf { wall, edge: EdgeId(203) }, EdgeOf { wall: other, edge: EdgeId(2201) });
    let job = apply(&job, &Edit::Join { a, b, kind: JointKind::StopsShort }).unwrap();
    let planned = plan(&job);
    // Straight edges between two templates: one template with their bevels tells the same wall, and nothing is said.
    let set = planned.walls[0].layers.clone().unwrap();
    close(set.layers[0].outer.rings[0].bounds().width(), 800.0 - 101.6, 0.01);
    assert!(!planned.walls[0].problems.iter().any(|q| q.sentence.contains("all templates say")));
}

#[test]
fn plans_made_one_after_the_other_are_as_made_from_nothing() {
    let (job, wall) = two_templates(Lies::AsFirst);
    let mut planner = Planner::default();
    let steps = [
        WallEdit::Cut(CutStyle::SquareFits),
        WallEdit::Liner(Some(Lining::default())),
        WallEdit::Further(Vec::new()),
        WallEdit::Liner(None),
    ];
    let mut job = job;
    planner.plan(&job);
    for step in steps {
        job = apply(&job, &Edit::Wall(wall, step)).unwrap();
        let (kept, fresh) = (planner.plan(&job), plan(&job));
        assert_eq!(kept.walls[0].layers, fresh.walls[0].layers);
        assert_eq!(kept.pieces.len(), fresh.pieces.len());
    }
}

/// The sheet over a round hollow of 900 mm radius, 800 mm along, its first layers made into something.
fn over_hollow(first: FirstLayers) -> (Job, WallId) {
    let (job, wall) = sheet();
    let shape = HollowShape::Radius { radius: mm(900.0), length: mm(800.0) };
    let behind = HollowBehind { shape, first, ..HollowBehind::measured(mm(800.0), mm(10.0)) };
    (with(&job, wall, WallEdit::Hollow(Some(behind))), wall)
}

/// Half the angle that 800 mm span on a circle of 900 mm.
fn half() -> f64 {
    (400.0_f64 / 900.0).asin()
}

#[test]
fn the_void_behind_flat_foam_is_the_segment_of_the_circle() {
    // Area of a circular segment: R²/2 (θ − sin θ), θ the whole angle (school geometry); 500 mm high.
    let (job, _) = over_hollow(FirstLayers::Flat);
    let p = only(&job);
    let of = p.hollow.clone().unwrap();
    let theta = 2.0 * half();
    let segment = 0.5 * 900.0 * 900.0 * (theta - theta.sin());
    close(of.void / 500.0, segment, segment * 1e-5);
    close(of.deepest.0, 900.0 * (1.0 - half().cos()), 1e-3);
    close(p.filler.hollow, of.void, 1e-6);
    close(of.before_flat, 0.0, 0.0);
    close(p.layers.unwrap().layers[0].area_outer, 400_000.0, 1e-6);
}

#[test]
fn strips_are_pieces_as_wide_as_the_surface_and_bevelled_to_each_other() {
    let first = FirstLayers::Strips { layers: 1, gap: mm(2.0), widest: mm(300.0), square_up_to: mm(0.2) };
    let (job, _) = over_hollow(first);
    let planned = plan(&job);
    let of = planned.walls[0].hollow.clone().unwrap();
    let HollowLayer::Strips { strips, cuts } = &of.layers[0] else { panic!("no strips") };
    // Chords of a circle that leave 2 mm at most: w = 2·sqrt(2·R·g − g²) each at most.
    let widest = 2.0 * (2.0 * 900.0 * 2.0_f64 - 4.0).sqrt();
    assert_eq!(strips.len(), (2.0 * half() / (2.0 * (widest / 1800.0).asin())).ceil() as usize);
    let pieces: Vec<_> = planned.pieces.iter().filter(|q| q.id.layer == 1).collect();
    assert_eq!((pieces.len(), cuts.len()), (strips.len(), strips.len() + 1));
    for (piece, strip) in pieces.iter().zip(strips) {
        let hull = &piece.layer.outer.rings[0];
        close(hull.bounds().width(), strip.width, 1e-6);
        close(hull.bounds().height(), 500.0, 1e-6);
        assert!(strip.gap <= 2.0 + 1e-9);
        // Each joint takes the thickness times the tangent of its bevel off the box face, the ends of the layer nothing.
        let ends = [strip.number > 1, strip.number < strips.len()];
        let off: f64 = [strip.bevels.0, strip.bevels.1]
            .iter()
            .zip(ends)
            .map(|(b, joint)| if joint { -25.4 * b.tan() } else { 0.0 })
            .sum();
        assert!(off > 0.1);
        close(piece.layer.inner.rings[0].bounds().width(), strip.width - off, 1e-6);
    }
    // Half the turn from chord to chord of a regular polygon: each chord turns by the angle it spans.
    let turn = 2.0 * (strips[1].width / 1800.0).asin();
    close(strips[1].bevels.0, -0.5 * turn, 1e-3);
    // The layers after stay whole.
    assert_eq!(planned.pieces.len(), strips.len() + 3);
    assert!(!planned.shared.iter().any(|q| q.sentence.contains("Hull side 1")), "{:?}", planned.shared);
}

#[test]
fn kerfed_foam_is_as_long_as_the_bend() {
    let first = FirstLayers::Kerfs { layers: 1, web: mm(5.0), kerf: mm(3.0), spacing: mm(60.0) };
    let (job, wall) = over_hollow(first);
    let p = only(&job);
    let of = p.hollow.clone().unwrap();
    let HollowLayer::Kerfs { depth, at, spacing, .. } = &of.layers[0] else { panic!("no kerfs") };
    // What is left under the kerfs bends to 900 less half of it: length angle × (R − web/2).
    let long = 2.0 * half() * (900.0 - 2.5);
    let set = p.layers.clone().unwrap();
    close(set.layers[0].outer.rings[0].bounds().width(), long, 0.02);
    close(set.layers[1].outer.rings[0].bounds().width(), 800.0, 1e-9);
    close(*depth, 20.4, 1e-9);
    // Three flat layers follow: the segment of the circle stands before them.
    let theta = 2.0 * half();
    let segment = 0.5 * 900.0 * 900.0 * (theta - theta.sin()) * 500.0;
    close(of.before_flat, segment, segment * 1e-5);
    // Enough to close: angle × depth ÷ width, rounded up (design rule), here fewer than the spacing asks for.
    assert!(at.len() as f64 >= 2.0 * half() * 20.4 / 3.0 && *spacing <= 60.0);
    assert!(at.windows(2).all(|w| (w[1] - w[0] - spacing).abs() < 1e-9) && of.void == 0.0);
    let bad = FirstLayers::Kerfs { layers: 1, web: mm(40.0), kerf: mm(3.0), spacing: mm(60.0) };
    let behind = HollowBehind { first: bad, ..job.walls[0].hollow.clone().unwrap() };
    let job = with(&job, wall, WallEdit::Hollow(Some(behind)));
    assert!(only(&job).problems.iter().any(|q| q.sentence.contains("cannot be kerfed")));
}

#[test]
fn gaps_come_back_in_order_and_bad_ones_are_refused() {
    let (job, wall) = sheet();
    let mut behind = HollowBehind::measured(mm(800.0), mm(10.0));
    behind.shape =
        HollowShape::Gaps { length: mm(800.0), gaps: vec![(mm(600.0), mm(8.0)), (mm(200.0), mm(9.0))] };
    let job = with(&job, wall, WallEdit::Hollow(Some(behind.clone())));
    let HollowShape::Gaps { gaps, .. } = &job.walls[0].hollow.as_ref().unwrap().shape else { panic!() };
    assert_eq!(gaps[0].0, mm(200.0));
    behind.shape = HollowShape::Gaps { length: mm(800.0), gaps: vec![(mm(900.0), mm(8.0))] };
    let why = apply(&job, &Edit::Wall(wall, WallEdit::Hollow(Some(behind)))).unwrap_err().to_string();
    assert!(why.contains("straightedge"), "{why}");
}

#[test]
fn a_stepped_lid_rests_on_its_ledges_and_lifts_out() {
    let (job, wall) = sheet();
    let lid = SteppedLid { ledges: vec![mm(0.0), mm(20.0), mm(15.0)], draft_deg: 3.0, clearance: mm(4.0) };
    let job = with(&job, wall, WallEdit::Stands(Stands::Lid));
    let job = with(&job, wall, WallEdit::Lid(Some(lid.clone())));
    let planned = plan(&job);
    let set = planned.walls[0].layers.clone().unwrap();
    let slope = 3.0_f64.to_radians().tan();
    let mut back = 4.0;
    for (layer, ledge) in set.layers.iter().zip([0.0, 20.0, 15.0, 0.0]) {
        back += ledge;
        // Each side stands back by gasket, ledges and depth times the draft's tangent.
        for (z, area) in [(layer.from, layer.area_outer), (layer.to, layer.area_inner)] {
            let off = 2.0 * (back + z * slope);
            close(area, (800.0 - off) * (500.0 - off), 0.05);
        }
        assert!(
            layer.bevels.len() == 4
                && layer.bevels.iter().all(|m| (m.angle + 3.0_f64.to_radians()).abs() < 1e-12)
        );
    }
    let hole = lid_opening(&job.walls[0], planned.walls[0].outline.as_deref().unwrap());
    close(hole[1].0, 800.0 - 2.0 * (20.0 + 25.4 * slope), 1e-6);
    assert_eq!(planned.pieces.len(), 4);
    // A liner under it is as large as its lowest face.
    let lined = with(&job, wall, WallEdit::Liner(Some(Lining::default())));
    let set = only(&lined).layers.unwrap();
    close(set.layers[4].area_outer, set.layers[3].area_inner, 1e-9);
    for (bad, words) in [
        (SteppedLid { draft_deg: 70.0, ..lid.clone() }, "draft"),
        (SteppedLid { clearance: mm(-1.0), ..lid.clone() }, "gasket"),
        (SteppedLid { ledges: vec![mm(-5.0)], ..lid.clone() }, "ledges"),
    ] {
        let why = apply(&job, &Edit::Wall(wall, WallEdit::Lid(Some(bad)))).unwrap_err().to_string();
        assert!(why.contains(words), "{why}");
    }
    // Ledges that leave nothing stop that wall, in words.
    let much = SteppedLid { ledges: vec![mm(0.0), mm(300.0)], ..lid };
    let job = with(&job, wall, WallEdit::Lid(Some(much)));
    let p = only(&job);
    assert!(
        p.layers.is_none() && p.problems.iter().any(|q| q.sentence.contains("nothing is left of layer 2"))
    );
}
