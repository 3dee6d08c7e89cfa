//! The stages of one wall's plan: cards to plane, ticks to places, edges to outline, outline to layers.

use std::collections::HashMap;
use std::sync::Arc;

use coldwright_canvas::{CardKind, PhotoCards, PlaneSolve, PrintScale, SolveOptions, solve};
use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, Length, Outline, Severity, Show, Spread};
use kurbo::Affine;

use crate::distances::{diagonals, taken_in};
use crate::document::{EdgeId, TickId, Wall, WallId};
use crate::further::{Further, Lies, TemplatePlan};
use crate::hole::Hole;
use crate::layered::{Layered, layered};
use crate::measured::Measured;
use crate::photo_checks::photo_problems;
use crate::placing::{farthest_error, place_ticks};
use crate::plan::{PlacedTick, WallPlan};
use crate::problem::{Problem, Step};
use crate::said::said_of;
use crate::seen_again::heights;
use crate::template::{Place, SeenFrom, Sightings, Template};
use crate::without_cards::{KnownRectangle, only_a_sketch};

/// Standard uncertainty of a print scale taken as true, from the spread of ordinary printers; common practice, no
/// source.
pub const PRINT_SD_UNMEASURED: f64 = 0.0015;
/// Standard uncertainty of a print scale whose check lengths were measured with a rule: half a millimetre on 245.
pub const PRINT_SD_MEASURED: f64 = 0.001;

/// Results of the last run, with the inputs they came from.
#[derive(Debug)]
pub(crate) struct Kept {
    pub(crate) wall: WallId,
    templates: Vec<KeptTemplate>,
    input: Wall,
    layers: Layered,
}

/// One template of the last run.
#[derive(Clone, Debug)]
struct KeptTemplate {
    template: Template,
    frame: Frame,
    solved: Result<Option<Arc<PlaneSolve>>, String>,
    traced: Traced,
}

/// How a template's bottom edge lies in the wall's frame.
#[derive(Copy, Clone, Debug, PartialEq)]
enum Frame {
    /// Its bottom edge, moved so: not at all for the first template.
    Bottom(Affine),
    /// As another template's, which is turned so once it is seen from inside.
    As(Affine),
}

#[derive(Clone, Debug)]
struct Traced {
    ticks: Arc<Vec<PlacedTick>>,
    farthest: Option<f64>,
    measured: Measured,
    unseen: Vec<(TickId, String)>,
    to_wall: Affine,
    outline: Result<Option<Arc<Outline>>, Untraced>,
    notices: Vec<geo::Notice>,
    problems: Vec<Problem>,
}

/// Why there is no outline.
#[derive(Clone, Debug)]
enum Untraced {
    Geometry(GeometryError),
    Said(String),
}

impl Untraced {
    fn words(&self, show: Show) -> String {
        match self {
            Untraced::Geometry(why) => why.words(show),
            Untraced::Said(why) => why.clone(),
        }
    }
}

pub(crate) fn wall(wall: &Wall, show: Show, old: Option<&Kept>) -> (WallPlan, Kept) {
    let mut templates: Vec<KeptTemplate> = Vec::with_capacity(1 + wall.further.len());
    for (number, template) in wall.templates().enumerate() {
        let frame = match (number.checked_sub(1).and_then(|i| wall.further.get(i)), templates.first()) {
            (Some(Further { lies: Lies::AsFirst, .. }), Some(first)) => {
                Frame::As(first.traced.to_wall * mirror(&first.template))
            }
            (Some(Further { lies: Lies::ByBottom { across, up, turn_deg }, .. }), _) => {
                let at = kurbo::Vec2::new(across.mm(), up.mm());
                Frame::Bottom(Affine::translate(at) * Affine::rotate(turn_deg.to_radians()))
            }
            _ => Frame::Bottom(Affine::IDENTITY),
        };
        let before = old.and_then(|k| k.templates.get(number));
        templates.push(of_template(template, frame, before));
    }
    let layered = match old {
        Some(k) if k.input == *wall => k.layers.clone(),
        _ => {
            let outlines: Vec<Option<Arc<Outline>>> =
                templates.iter().map(|t| t.traced.outline.clone().ok().flatten()).collect();
            layered(wall, &outlines)
        }
    };

    let mut problems = Vec::new();
    for (number, t) in templates.iter().enumerate() {
        let name = match number {
            0 => wall.name.clone(),
            n => format!("{}, template {}", wall.name, n + 1),
        };
        photo_problems(wall.id, &name, show, &t.solved, t.traced.farthest, &mut problems);
        let (measured, ticks) = (&t.traced.measured, &t.traced.ticks);
        problems.extend(said_of(&t.template, (wall.id, &name), show, measured, &t.traced.unseen, ticks));
        problems.extend(t.traced.problems.iter().cloned());
        if let Err(why) = &t.traced.outline {
            let sentence = format!("{name}: {}", why.words(show));
            problems.push(Problem::new(Step::Outline, Severity::Stop, wall.id, sentence));
        }
        if number > 0 && matches!(t.traced.outline, Ok(None)) {
            let sentence = format!("{name}: its outline is not closed yet, and the layers do not follow it");
            problems.push(Problem::new(Step::Outline, Severity::Look, wall.id, sentence));
        }
        let said = |n| notice_problem(Step::Outline, wall.id, &name, &t.traced.ticks, n, show);
        problems.extend(t.traced.notices.iter().map(said));
    }
    let empty: Arc<Vec<PlacedTick>> = Arc::default();
    let ticks = templates.first().map_or(&empty, |t| &t.traced.ticks);
    match &layered.layers {
        Err(why) => {
            problems.push(Problem::new(
                Step::Layers,
                Severity::Stop,
                wall.id,
                format!("{}: {}", wall.name, why.words(show)),
            ));
        }
        Ok(Some(set)) => {
            problems.extend(set.notices.iter().map(|n| from_notice(Step::Layers, wall, ticks, n, show)));
        }
        Ok(None) => {}
    }
    if wall.lid.is_some() {
        let unused = [
            (
                !wall.fitted.is_empty(),
                "trims taken while fitting are not carried on; change its ledges or the room for its gasket",
            ),
            (
                !wall.further.is_empty(),
                "its further templates are not used; its layers follow from the opening at the top",
            ),
            (wall.hollow.is_some(), "a hollow behind it is not used; take it away"),
        ];
        for (_, words) in unused.into_iter().filter(|u| u.0) {
            let sentence = format!("{} is a lid in steps: {words}", wall.name);
            problems.push(Problem::new(Step::Layers, Severity::Look, wall.id, sentence));
        }
    }
    let mut plans: Vec<TemplatePlan> = templates
        .iter()
        .map(|t| TemplatePlan {
            solve: t.solved.clone().ok().flatten(),
            ticks: t.traced.ticks.clone(),
            farthest_error: t.traced.farthest,
            measured: t.traced.measured.clone(),
            to_wall: t.traced.to_wall,
            outline: t.traced.outline.clone().ok().flatten(),
        })
        .collect();
    let first = plans.first().cloned().unwrap_or_default();
    if plans.len() < 2 {
        plans.clear();
    }
    let plan = WallPlan {
        id: wall.id,
        solve: first.solve,
        ticks: first.ticks,
        farthest_error: first.farthest_error,
        measured: first.measured,
        to_wall: first.to_wall,
        outline: layered.loft.as_ref().map(|l| l.0.clone()).or(first.outline),
        layers: layered.layers.clone().ok().flatten(),
        templates: plans,
        loft: layered.loft.as_ref().map(|l| l.1.clone()),
        liner: None,
        hollow: None,
        filler: geo::WallFiller::default(),
        problems,
    };
    (plan, Kept { wall: wall.id, templates, input: wall.clone(), layers: layered })
}

fn of_template(template: &Template, frame: Frame, old: Option<&KeptTemplate>) -> KeptTemplate {
    let solved = match old {
        Some(k)
            if k.template.sightings == template.sightings
                && k.template.rectangle == template.rectangle
                && only_a_sketch(&k.template) == only_a_sketch(template) =>
        {
            k.solved.clone()
        }
        _ if only_a_sketch(template) => Ok(None),
        _ => template.sightings.as_ref().map(|s| solve_plane(s, template.rectangle.as_ref())).transpose(),
    };
    let traced = match old {
        Some(k) if k.template == *template && k.frame == frame => k.traced.clone(),
        _ => trace(template, frame, solved.as_ref().ok().and_then(Option::as_ref)),
    };
    KeptTemplate { template: template.clone(), frame, solved, traced }
}

fn solve_plane(s: &Sightings, known: Option<&KnownRectangle>) -> Result<Arc<PlaneSolve>, String> {
    let mut photos: Vec<PhotoCards> = s
        .photos
        .iter()
        .map(|p| PhotoCards {
            width: p.size.0,
            height: p.size.1,
            focal_prior_px: p.focal_px,
            cards: p.cards.clone(),
        })
        .collect();
    let mut print = match s.printed {
        Some((w, h)) => {
            let (true_w, true_h) = check_size(s.kind, (w, h));
            PrintScale { x: w.mm() / true_w, y: h.mm() / true_h, sd: PRINT_SD_MEASURED }
        }
        None => PrintScale { x: 1.0, y: 1.0, sd: PRINT_SD_UNMEASURED },
    };
    if let Some(known) = known {
        let (card, _) = known.card(s.click_px).map_err(|e| e.to_string())?;
        if photos.iter().all(|p| p.cards.is_empty()) {
            print = PrintScale { x: 1.0, y: 1.0, sd: known.scale_sd() };
        }
        let index = s.photos.iter().position(|p| p.photo == known.photo);
        if let Some(photo) = index.and_then(|i| photos.get_mut(i)) {
            photo.cards.push(card);
        }
    }
    let options = SolveOptions { print, leave_out: s.left_out.clone(), ..SolveOptions::default() };
    solve(&photos, &options).map(Arc::new).map_err(|e| e.to_string())
}

/// What the check lengths of a card measure when it is printed true, mm: width and height over the checkers of a full-size or a
/// half-size card, whichever was measured, or the black square of a plain tag.
pub(crate) fn check_size(kind: CardKind, measured: (Length, Length)) -> (f64, f64) {
    match kind {
        // Between the two sizes no print is within the 5 % that are allowed.
        CardKind::Printed if measured.0.mm() < 160.0 => (122.5, 90.0),
        CardKind::Printed => (245.0, 180.0),
        CardKind::Plain { black_edge_mm } => (black_edge_mm, black_edge_mm),
    }
}

pub(crate) fn from_notice(
    step: Step,
    wall: &Wall,
    ticks: &[PlacedTick],
    notice: &geo::Notice,
    show: Show,
) -> Problem {
    notice_problem(step, wall.id, &wall.name, ticks, notice, show)
}

fn notice_problem(
    step: Step,
    wall: WallId,
    name: &str,
    ticks: &[PlacedTick],
    notice: &geo::Notice,
    show: Show,
) -> Problem {
    use geo::Notice as N;
    let tick_id = |number: u32| ticks.iter().find(|t| t.number == number as usize).map(|t| t.id);
    let (edge, tick) = match notice {
        N::TickOffCurve { tick, edge, .. } => (Some(*edge), tick_id(*tick)),
        N::MergedTicks { edge, kept, .. } => (Some(*edge), tick_id(*kept)),
        N::CarriedFar { edge, .. }
        | N::EdgeVanished { edge, .. }
        | N::FeatherEdge { edge, .. }
        | N::Smoothed { edge, .. } => (Some(*edge), None),
        _ => (None, None),
    };
    let sentence = format!("{name}: {}", notice.words(show));
    Problem { edge: edge.map(EdgeId), tick, ..Problem::new(step, notice.severity(), wall, sentence) }
}

/// A template seen from the hull side is mirrored once.
fn mirror(t: &Template) -> Affine {
    match t.seen_from {
        SeenFrom::BoxSide => Affine::IDENTITY,
        SeenFrom::HullSide => Affine::new([-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]),
    }
}

fn trace(t: &Template, frame: Frame, plane: Option<&Arc<PlaneSolve>>) -> Traced {
    let nothing = Traced {
        ticks: Arc::default(),
        farthest: None,
        measured: Measured::default(),
        unseen: Vec::new(),
        to_wall: Affine::IDENTITY,
        outline: Ok(None),
        notices: Vec::new(),
        problems: Vec::new(),
    };
    let said = |why| Err(Untraced::Said(why));
    let (heights, unseen) = heights(t, plane.map(Arc::as_ref));
    let (mut places, fit) = match place_ticks(t, plane, &heights) {
        Ok(placed) => placed,
        Err(why) => return Traced { outline: said(why), ..nothing },
    };
    let distances = match taken_in(&mut places, &t.distances) {
        Ok(distances) => distances,
        Err(why) => return Traced { outline: said(why.to_string()), ..nothing },
    };
    let measured = Measured {
        taped: fit.map(Arc::new),
        distances: distances.into(),
        heights: heights.into(),
        diagonals: diagonals(t, &places).into(),
    };
    let clicked = |p: &Place| matches!(p, Place::Pixel { .. });
    let on_edges = || t.ticks.iter().filter(|k| t.edges.iter().any(|e| e.ticks.contains(&k.id)));
    if on_edges().any(|k| clicked(&k.place)) && on_edges().any(|k| !clicked(&k.place)) {
        let why = "some points are typed and some clicked, and nothing ties the two together; keep one kind"
            .to_owned();
        return Traced { outline: Err(Untraced::Said(why)), ..nothing };
    }
    let mirror = mirror(t);
    let farthest = farthest_error(&places);
    let numbers = tick_numbers(t);
    let placed = |map: Affine| -> Vec<PlacedTick> {
        let mut list: Vec<PlacedTick> = places
            .ids
            .iter()
            .enumerate()
            .map(|(i, id)| PlacedTick {
                id: *id,
                number: numbers.get(id).copied().unwrap_or(0),
                plane: places.points[i],
                wall: map * places.points[i],
                spread: turned(places.own(i), map),
            })
            .collect();
        list.sort_by_key(|p| p.number);
        list
    };
    let flat = placed(mirror);
    let ticks = Arc::new(flat.clone());
    let early = Traced { ticks, farthest, measured, unseen, to_wall: mirror, ..nothing };
    let enough = t.edges.len() >= 2 && flat.len() >= 3;
    if !enough {
        return early;
    }
    let first = match outline(t, &flat, &[]) {
        Ok((first, _)) => first,
        Err(why) if unfinished(t, &why) => return early,
        Err(why) => return Traced { outline: Err(Untraced::Geometry(why)), ..early },
    };
    // The base edge runs along x, its start corner at the origin; the ring is counter-clockwise by now.
    let base = t.base.map_or(0, |b| b.0);
    let side = first.sides().iter().position(|s| s.edge.id == base).unwrap_or(0);
    let ends = first.sides()[side].path.elements();
    let end_of = |e: Option<&kurbo::PathEl>| e.and_then(kurbo::PathEl::end_point).unwrap_or_default();
    let (start, end) = (end_of(ends.first()), end_of(ends.last()));
    let turn = match frame {
        Frame::Bottom(moved) => {
            moved * Affine::rotate(-(end - start).atan2()) * Affine::translate(-start.to_vec2())
        }
        Frame::As(turn) => turn,
    };
    let to_wall = turn * mirror;
    let ticks = placed(to_wall);
    match outline(t, &ticks, &t.holes) {
        Ok((outline, notices)) => Traced {
            ticks: Arc::new(ticks),
            to_wall,
            outline: Ok(Some(Arc::new(outline))),
            notices: notices.into_iter().filter(|n| !matches!(n, geo::Notice::RingReversed)).collect(),
            ..early
        },
        Err(why) => Traced { outline: Err(Untraced::Geometry(why)), ..early },
    }
}

/// Whether an outline is only not there yet: too few edges, or a last edge just begun. That is no fault while a person
/// traces.
fn unfinished(t: &Template, why: &GeometryError) -> bool {
    match why {
        GeometryError::TooFewEdges { .. } => true,
        GeometryError::EdgeNeedsTicks { edge, .. } => {
            t.edges.last().is_some_and(|e| e.name == *edge && e.ticks.len() < 2)
        }
        _ => false,
    }
}

fn turned(c: [f64; 4], map: Affine) -> Spread {
    let [a, b, m, n, ..] = map.as_coeffs();
    // x' = a x + m y, y' = b x + n y
    let (xx, xy, yy) = (c[0], (c[1] + c[2]) / 2.0, c[3]);
    Spread {
        xx: a * a * xx + 2.0 * a * m * xy + m * m * yy,
        xy: a * b * xx + (a * n + b * m) * xy + m * n * yy,
        yy: b * b * xx + 2.0 * b * n * xy + n * n * yy,
    }
}

/// The outline through placed ticks; holes are given in the wall's frame.
fn outline(
    t: &Template,
    placed: &[PlacedTick],
    holes: &[Hole],
) -> Result<(Outline, Vec<geo::Notice>), GeometryError> {
    let by_id: HashMap<TickId, &PlacedTick> = placed.iter().map(|p| (p.id, p)).collect();
    let mut edges = Vec::with_capacity(t.edges.len());
    for e in &t.edges {
        let stations =
            e.bevel.iter().map(|b| geo::BevelStation { at: b.at, angle: b.degrees.to_radians() }).collect();
        edges.push(geo::Edge {
            id: e.id.0,
            name: e.name.clone(),
            kind: e.kind,
            ticks: e
                .ticks
                .iter()
                .filter_map(|id| by_id.get(id))
                .map(|p| geo::Tick { id: p.number as u32, at: p.wall, spread: p.spread })
                .collect(),
            bevel: geo::Bevel::from_stations(stations)?,
            gap: e.gap.mm(),
            smoothing: e.smoothing.mm(),
        });
    }
    let (cutouts, leans) = holes.iter().map(Hole::cutout).unzip();
    // A mirrored plane turns the ring's sense; the order of ticks as clicked is kept and the ring is set right by
    // `Outline::new`, which reverses stations with it.
    let (outline, notices) = Outline::new(edges, cutouts)?;
    Ok((outline.leaning(leans)?, notices))
}

/// The number each tick is shown by: its place along the ring as clicked.
pub(crate) fn tick_numbers(t: &Template) -> HashMap<TickId, usize> {
    let mut numbers = HashMap::new();
    for id in t.edges.iter().flat_map(|e| &e.ticks) {
        let next = numbers.len() + 1;
        numbers.entry(*id).or_insert(next);
    }
    numbers
}
