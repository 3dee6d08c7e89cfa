//! The joined walls as they stand: the far ones as bodies, the near ones as dashed outlines that are looked through.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_geometry::{Folded, LayerSet, Point, Pose, Rect, Ring, Vec2, Xyz};
use coldwright_job::{BoxPlan, Job, Plan, WallId};
use kurbo::{BezPath, Shape};

use crate::hidden::{Bodies, Eye};
use crate::room::thinned;
use crate::wording;

/// From above, starboard and aft: as the window shows the box at first.
const EYE: Eye = Eye { turn: 0.6, tip: 0.5 };
const PT: f64 = 9.0;
const LINE: Pen = Pen::solid(0.25);
const NEAR: Pen = Pen { width_mm: 0.18, dash_mm: Some((2.0, 1.4)), grey: 0.45 };
/// A ring turns a corner of its body where it turns by more than this, radians.
const CORNER: f64 = 0.35;

/// One wall where it stands.
struct Standing<'a> {
    id: WallId,
    set: &'a LayerSet,
    pose: Pose,
    far: bool,
}

/// The picture, at most so wide and high, mm, and a sentence below it; None where no walls stand.
pub(super) fn picture(job: &Job, plan: &Plan, room: (f64, f64)) -> Option<(Drawing, String)> {
    let boxed = plan.boxed.as_deref()?;
    let walls = standing(plan, boxed, boxed.folded.as_ref()?);
    let mut bodies = Bodies::new(EYE);
    for wall in walls.iter().filter(|w| w.far) {
        hide(&mut bodies, wall);
    }
    let mut lines: Vec<Vec<Point>> = Vec::new();
    for wall in walls.iter().filter(|w| w.far) {
        for line in edges(wall) {
            lines.extend(bodies.showing(&line));
        }
    }
    let near: Vec<Vec<Point>> = walls.iter().filter(|w| !w.far).flat_map(outline).collect();
    let all = || lines.iter().chain(&near).flatten().copied();
    let bounds = all().map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b))?;
    let scale = (room.0 / bounds.width().max(1.0)).min(room.1 / bounds.height().max(1.0));
    let place = |p: &Point| Point::new((p.x - bounds.x0) * scale, (p.y - bounds.y0) * scale);
    let size = Rect::new(0.0, 0.0, bounds.width() * scale, bounds.height() * scale);
    let mut drawing = Drawing::new("", size);
    for (all, pen) in [(&near, NEAR), (&lines, LINE)] {
        for line in all {
            drawing.line(path(&line.iter().map(place).collect::<Vec<_>>()), pen, Layer::Marks);
        }
    }
    names(&mut drawing, job, &walls, &bodies, &place);
    let through: Vec<String> = walls
        .iter()
        .filter(|w| !w.far)
        .filter_map(|w| Some(wording::wall_name(job, job.wall(w.id)?)))
        .collect();
    let mut sentence = "The box from above, starboard and aft.".to_owned();
    if !through.is_empty() {
        sentence += &format!(" Dashed, looked through: {}.", through.join(", "));
    }
    for wall in job.openings().filter_map(|opening| job.wall(opening.place?.wall)) {
        sentence += &format!(" The hole in {} is the opening.", wording::wall_name(job, wall));
    }
    Some((drawing, sentence))
}

fn standing<'a>(plan: &'a Plan, boxed: &BoxPlan, folded: &Folded) -> Vec<Standing<'a>> {
    let mut out: Vec<Standing<'a>> = Vec::new();
    // Walls that do not hang together stand in frames of their own: group after group beside the last.
    let mut next: Option<f64> = None;
    for group in &boxed.together {
        let first = out.len();
        for at in group {
            let Some((id, pose)) = boxed.walls.get(*at).zip(folded.poses.get(*at)) else { continue };
            let Some(set) = plan.wall(*id).and_then(|w| w.layers.as_deref()) else { continue };
            let far = EYE.seen(pose.inward()).1 > 0.0;
            out.push(Standing { id: *id, set, pose: *pose, far });
        }
        let reach = |walls: &[Standing<'_>]| {
            let x = |w: &Standing<'_>| {
                let rings = w.set.layers.first().map(|l| (l.from, l.outer.rings.clone())).into_iter();
                let pose = w.pose;
                rings
                    .flat_map(move |(z, rings)| {
                        rings
                            .into_iter()
                            .flat_map(move |r| r.outer.into_iter().map(move |p| pose.place(p, z).x))
                    })
                    .collect::<Vec<f64>>()
            };
            walls.iter().flat_map(x).fold((f64::MAX, f64::MIN), |(lo, hi), x| (lo.min(x), hi.max(x)))
        };
        let (lo, hi) = reach(&out[first..]);
        if lo > hi {
            continue;
        }
        let by = next.map_or(0.0, |x| x - lo);
        for wall in &mut out[first..] {
            wall.pose.origin.x += by;
        }
        next = Some(hi + by + 0.25 * (hi - lo));
    }
    out
}

/// Both faces of every layer with its sides.
fn hide(bodies: &mut Bodies, wall: &Standing<'_>) {
    for layer in &wall.set.layers {
        for (section, z) in [(&layer.outer, layer.from), (&layer.inner, layer.to)] {
            for ring in &section.rings {
                let ring = thinned(ring);
                let placed =
                    |line: &Vec<Point>| line.iter().map(|p| wall.pose.place(*p, z)).collect::<Vec<_>>();
                let all: Vec<Vec<Xyz>> =
                    std::iter::once(&ring.outer).chain(&ring.holes).map(placed).collect();
                bodies.face(&all);
            }
        }
        for (a, b) in layer.outer.rings.iter().zip(&layer.inner.rings) {
            let (a, b) = (thinned(a), thinned(b));
            let n = a.outer.len();
            for (i, from) in a.outer.iter().enumerate() {
                let to = a.outer[(i + 1) % n];
                let (c, d) = (nearest(&b, to), nearest(&b, *from));
                let at = |p: Point, z: f64| wall.pose.place(p, z);
                bodies.face(&[vec![
                    at(*from, layer.from),
                    at(to, layer.from),
                    at(c, layer.to),
                    at(d, layer.to),
                ]]);
            }
        }
    }
}

/// The point of a ring's boundary nearest to a place.
fn nearest(ring: &Ring, to: Point) -> Point {
    let far = |p: &Point| p.distance_squared(to);
    ring.outer.iter().copied().min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(to)
}

/// The rings of every layer, and its sides' corners.
fn edges(wall: &Standing<'_>) -> Vec<Vec<Xyz>> {
    let mut out = Vec::new();
    for layer in &wall.set.layers {
        for (section, z) in [(&layer.outer, layer.from), (&layer.inner, layer.to)] {
            for ring in section.rings.iter().map(thinned) {
                for line in std::iter::once(&ring.outer).chain(&ring.holes) {
                    let mut placed: Vec<Xyz> = line.iter().map(|p| wall.pose.place(*p, z)).collect();
                    placed.extend(placed.first().copied());
                    out.push(placed);
                }
            }
        }
        for (a, b) in layer.outer.rings.iter().zip(&layer.inner.rings) {
            let (a, b) = (thinned(a), thinned(b));
            let n = a.outer.len();
            for (i, p) in a.outer.iter().enumerate() {
                let (before, after) = (*p - a.outer[(i + n - 1) % n], a.outer[(i + 1) % n] - *p);
                if before.cross(after).atan2(before.dot(after)).abs() > CORNER {
                    let to = nearest(&b, *p);
                    out.push(vec![wall.pose.place(*p, layer.from), wall.pose.place(to, layer.to)]);
                }
            }
        }
    }
    out
}

/// The hull face of a wall that is looked through.
fn outline(wall: &Standing<'_>) -> Vec<Vec<Point>> {
    let Some(layer) = wall.set.layers.first() else { return Vec::new() };
    layer
        .outer
        .rings
        .iter()
        .map(thinned)
        .flat_map(|ring| std::iter::once(ring.outer).chain(ring.holes))
        .map(|ring| {
            let mut line: Vec<Point> =
                ring.iter().map(|p| EYE.seen(wall.pose.place(*p, layer.from)).0).collect();
            line.extend(line.first().copied());
            line
        })
        .collect()
}

/// Names on the box faces that show, each on a place of its own.
fn names(
    drawing: &mut Drawing,
    job: &Job,
    walls: &[Standing<'_>],
    bodies: &Bodies,
    place: &dyn Fn(&Point) -> Point,
) {
    let mut taken: Vec<Rect> = Vec::new();
    for wall in walls.iter().filter(|w| w.far) {
        let (Some(of), Some(layer)) = (job.wall(wall.id), wall.set.layers.last()) else { continue };
        let words = wording::wall_name(job, of);
        let high = font::em_mm(PT);
        let half = Vec2::new(font::text_width_mm(&words, PT, false) / 2.0 + 0.8, high * 0.62);
        // The middle first, then places of the face round it.
        let bounds = layer.inner.rings.iter().map(Ring::bounds).reduce(|a, b| a.union(b));
        let Some(bounds) = bounds else { continue };
        let shares = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8];
        let spots = shares
            .iter()
            .flat_map(|v| shares.iter().map(move |u| (*u, *v)))
            .map(|(u, v)| Point::new(bounds.x0 + u * bounds.width(), bounds.y0 + v * bounds.height()));
        let spots: Vec<Point> = spots.collect();
        // A step to the right on the paper, in the wall's plane.
        let [(u, _), (v, _)] = [0, 1].map(|k| EYE.seen(wall.pose.axes[k]));
        let det = u.x * v.y - u.y * v.x;
        let right = if det.abs() > 0.05 { Vec2::new(v.y / det, -u.y / det) } else { Vec2::ZERO };
        let scale = place(&Point::new(1.0, 0.0)).x - place(&Point::ZERO).x;
        let on_face = |p: Point| {
            layer.inner.rings.iter().any(|r| r.contains(p)) && bodies.shows(wall.pose.place(p, layer.to))
        };
        let free = |p: &Point, whole: bool| {
            let ends = right * (half.x / scale);
            if !on_face(*p) || whole && !(on_face(*p - ends) && on_face(*p + ends)) {
                return None;
            }
            let on = place(&EYE.seen(wall.pose.place(*p, layer.to)).0);
            let rect = Rect::from_points(on - half, on + half);
            taken.iter().all(|t| t.intersect(rect).area() <= 0.0).then_some((on, rect))
        };
        let found =
            spots.iter().find_map(|p| free(p, true)).or_else(|| spots.iter().find_map(|p| free(p, false)));
        let Some((on, rect)) = found else { continue };
        taken.push(rect);
        drawing.fill(rect.to_path(0.1), 1.0, Layer::Marks);
        drawing.text(Text {
            at: Point::new(on.x, on.y - high * 0.35),
            words,
            height_pt: PT,
            angle: 0.0,
            anchor: Anchor::Middle,
            bold: false,
            layer: Layer::Words,
        });
    }
}

fn path(line: &[Point]) -> BezPath {
    let mut out = BezPath::new();
    for (i, p) in line.iter().enumerate() {
        if i == 0 { out.move_to(*p) } else { out.line_to(*p) }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_job::{Edit, Opening, OpeningPlace, OpeningShape, TypedBox, apply, plan};

    fn drawn(top: bool) -> (Drawing, String) {
        let job = apply(&Job::default(), &Edit::AddBox(TypedBox { top, ..TypedBox::default() })).unwrap();
        picture(&job, &plan(&job), (180.0, 95.0)).unwrap()
    }

    #[test]
    fn the_far_walls_are_bodies_and_the_near_ones_are_named_below() {
        let (drawing, words) = drawn(true);
        assert_eq!(
            words,
            "The box from above, starboard and aft. Dashed, looked through: Inboard side, Aft end, Top."
        );
        let ink = drawing.ink().unwrap();
        assert!(drawing.bounds.inflate(0.2, 0.2).contains_rect(ink), "{ink:?}");
        let named = |item: &coldwright_export::Item| match item {
            coldwright_export::Item::Text(t) => Some(t.words.clone()),
            _ => None,
        };
        let mut names: Vec<String> = drawing.items.iter().filter_map(named).collect();
        names.sort();
        assert_eq!(names, ["Floor", "Forward end", "Hull side"]);
    }

    #[test]
    fn an_opening_is_drawn_where_it_lies() {
        let top = |job: &Job| job.walls.iter().find(|w| w.name == "Top").unwrap().id;
        let job =
            apply(&Job::default(), &Edit::AddBox(TypedBox { top: true, ..TypedBox::default() })).unwrap();
        let mm = |v: i64| coldwright_geometry::Length::from_micrometres(v * 1000);
        let shape = OpeningShape::Rectangle { width: mm(200), height: mm(150), corner: mm(30) };
        let place = Some(OpeningPlace { wall: top(&job), at: (mm(300), mm(250)) });
        let bare = picture(&job, &plan(&job), (180.0, 95.0)).unwrap();
        let opening = Opening { shape, behind: None, place };
        let job = apply(&job, &Edit::SetOpening(Some(opening))).unwrap();
        let (drawing, words) = picture(&job, &plan(&job), (180.0, 95.0)).unwrap();
        assert!(words.ends_with("The hole in Top is the opening."), "{words}");
        assert_eq!(drawing.items.len(), bare.0.items.len() + 1, "one line more");
    }

    #[test]
    fn nothing_of_a_body_shows_through_the_faces_before_it() {
        // Of four plates on each other, all as large, the lines between them show on the two sides turned to the eye only.
        let job = apply(&Job::default(), &Edit::AddBox(TypedBox::default())).unwrap();
        let p = plan(&job);
        let boxed = p.boxed.clone().unwrap();
        let walls = standing(&p, &boxed, boxed.folded.as_ref().unwrap());
        let floor = walls.iter().find(|w| job.wall(w.id).unwrap().name == "Floor").unwrap();
        let mut bodies = Bodies::new(EYE);
        hide(&mut bodies, floor);
        // A place below the floor's middle is hidden, one on its box face shows.
        let middle = floor.set.layers[0].outer.rings[0].bounds().center();
        assert!(!bodies.shows(floor.pose.place(middle, -5.0)));
        assert!(bodies.shows(floor.pose.place(middle, 4.0 * 25.4)));
        assert!(!bodies.shows(floor.pose.place(middle, 2.0 * 25.4)), "within the foam");
    }

    #[test]
    fn a_job_without_joints_has_no_picture() {
        let job = Job::default();
        assert!(picture(&job, &plan(&job), (180.0, 95.0)).is_none());
    }
}
