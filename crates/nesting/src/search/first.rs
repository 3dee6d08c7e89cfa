//! A first layout without search: largest pieces first, each in the lowest free corner of the first sheet that takes it.
//!
//! Corners are where the box of the piece meets the boxes of the pieces that lie already, so that rectangles fit exactly.
//! The idea is the bottom-left rule of Baker, Coffman and Rivest, "Orthogonal packings in two dimensions", 1980.

use crate::random::Random;
use crate::request::Turns;
use crate::search::pair::CLEARANCE;
use crate::search::problem::{Arrangement, Board, Pose, Problem};
use crate::search::scene::Scene;
use crate::search::seek::{Look, Scratch, seek};
use crate::search::shape::Body;

/// Pieces on a board up to which every pair of sides is tried as a corner; beyond, only each piece's own corners.
const ALL_CORNERS: usize = 40;

/// A layout, and the items that found no place because stock ran out.
#[derive(Debug, Clone, Default)]
pub(crate) struct First {
    pub(crate) arrangement: Arrangement,
    pub(crate) left: Vec<usize>,
}

/// Turns worth trying without a search.
fn turns(shape: &crate::search::shape::Shape) -> Vec<f64> {
    match &shape.turns {
        Turns::Only(list) => list.clone(),
        Turns::Any => {
            let mut base = shape.natural.clone();
            base.truncate(3);
            if base.is_empty() {
                base.push(0.0);
            }
            base.iter().flat_map(|d| (0..4).map(move |q| d + 90.0 * f64::from(q))).collect()
        }
    }
}

/// Axis along which a board is filled: 0 for x, 1 for y; its longer one.
pub(crate) fn long_axis(rect: &[f64; 4]) -> usize {
    usize::from(rect[3] - rect[1] > rect[2] - rect[0])
}

/// The lowest free corner for item `i` on a board, lowest along the board's long axis.
pub(crate) fn corner(scene: &Scene<'_>, i: usize, board: usize, body: &mut Body) -> Option<Pose> {
    let shape = scene.shape(i);
    let rect = scene.rects[board];
    let axis = long_axis(&rect);
    let mut best: Option<(f64, f64, Pose)> = None;
    for deg in turns(shape) {
        let e = shape.extent(deg);
        let low = [rect[0] - e[0], rect[1] - e[1]];
        let high = [rect[2] - e[2], rect[3] - e[3]];
        if low[0] > high[0] || low[1] > high[1] {
            continue;
        }
        let others: Vec<[f64; 4]> = scene.lying(board).iter().map(|&j| scene.box_of(j)).collect();
        let mut corners: Vec<[f64; 2]> = Vec::new();
        if others.len() <= ALL_CORNERS {
            let side = |k: usize| {
                let mut v: Vec<f64> = others.iter().map(|o| o[k + 2] - e[k] + CLEARANCE).collect();
                v.push(low[k]);
                v.extend(others.iter().map(|o| o[k] - e[k + 2] - CLEARANCE));
                v.push(high[k]);
                v.retain(|x| *x >= low[k] && *x <= high[k]);
                v.sort_by(f64::total_cmp);
                v.dedup();
                v
            };
            let (xs, ys) = (side(0), side(1));
            corners.extend(xs.iter().flat_map(|x| ys.iter().map(move |y| [*x, *y])));
        } else {
            corners.push(low);
            for o in &others {
                let (right, above) = (o[2] - e[0] + CLEARANCE, o[3] - e[1] + CLEARANCE);
                corners.extend([
                    [right, o[1] - e[1]],
                    [o[0] - e[0], above],
                    [low[0], above],
                    [right, low[1]],
                ]);
            }
            corners.retain(|c| (0..2).all(|k| c[k] >= low[k] && c[k] <= high[k]));
        }
        let reach = |c: &[f64; 2]| (c[axis] + e[axis + 2], c[1 - axis] + e[1 - axis + 2]);
        corners.sort_by(|a, b| reach(a).0.total_cmp(&reach(b).0).then(reach(a).1.total_cmp(&reach(b).1)));
        for c in &corners {
            let key = reach(c);
            if best.as_ref().is_some_and(|b| (key.0, key.1) >= (b.0, b.1)) {
                break;
            }
            shape.put(deg, c[0], c[1], body);
            if scene.is_free(i, board, body) {
                best = Some((key.0, key.1, Pose { board, deg, x: c[0], y: c[1] }));
                break;
            }
        }
    }
    let (_, _, pose) = best?;
    Some(slid(scene, i, pose, axis, body))
}

/// Slides a free pose back along the axis, then across, as far as it stays free in steps that halve.
fn slid(scene: &Scene<'_>, i: usize, mut pose: Pose, axis: usize, body: &mut Body) -> Pose {
    let shape = scene.shape(i);
    let rect = scene.rects[pose.board];
    let e = shape.extent(pose.deg);
    for k in [axis, 1 - axis, axis] {
        let mut step = shape.narrow * 0.25;
        while step > shape.narrow * 0.001 {
            let mut to = pose;
            let v = if k == 0 { &mut to.x } else { &mut to.y };
            *v -= step;
            let allowed = *v >= rect[k] - e[k];
            if allowed {
                shape.put(to.deg, to.x, to.y, body);
            }
            if allowed && scene.is_free(i, pose.board, body) {
                pose = to;
            } else {
                step *= 0.5;
            }
        }
    }
    pose
}

/// Boards that hold copies already, in order of ground and number.
pub(crate) fn held_boards(problem: &Problem) -> Vec<Board> {
    let mut boards: Vec<Board> =
        problem.held.iter().map(|h| Board { ground: h.ground, nth: h.nth }).collect();
    boards.sort();
    boards.dedup();
    boards
}

/// Grounds in the order in which they are taken: owned ones before bought ones, small before large among the owned, the
/// cheapest for its area first among the bought.
pub(crate) fn order_of_grounds(problem: &Problem) -> Vec<usize> {
    let mut order: Vec<usize> = (0..problem.grounds.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&problem.grounds[a], &problem.grounds[b]);
        let key = |g: &crate::search::problem::Ground| {
            if g.cost > 0.0 { (1, g.cost / g.usable) } else { (0, g.usable) }
        };
        key(a).0.cmp(&key(b).0).then(key(a).1.total_cmp(&key(b).1))
    });
    order
}

/// The next board of a ground that is not in the list, if there is one.
pub(crate) fn next_board(problem: &Problem, boards: &[Board], ground: usize) -> Option<Board> {
    let most = problem.grounds[ground].available.unwrap_or(u32::MAX);
    (0..most).find(|nth| !boards.contains(&Board { ground, nth: *nth })).map(|nth| Board { ground, nth })
}

/// Any free place for an item on the one board of a scene without movable items: a corner, or what a wide search finds.
pub(crate) fn alone(bare: &Scene<'_>, i: usize) -> Option<Pose> {
    corner(bare, i, 0, &mut Body::default()).or_else(|| {
        let look = Look { wide: 2000, near: 0, follow: 10 };
        let found = seek(bare, i, &look, &mut Random::new(1, 0), &mut Scratch::default())?;
        (found.cost <= 0.0).then_some(found.pose)
    })
}

/// The first layout.
pub(crate) fn first(problem: &Problem) -> First {
    let mut boards = held_boards(problem);
    let mut scene = Scene::new(problem, &boards);
    let mut body = Body::default();
    let mut order: Vec<usize> = (0..problem.items.len()).collect();
    order.sort_by(|&a, &b| {
        let area = |i: usize| problem.shapes[problem.items[i].shape].area;
        area(b).total_cmp(&area(a)).then(a.cmp(&b))
    });
    let mut left = Vec::new();
    let grounds = order_of_grounds(problem);
    // A shape that found no place on a board finds none later either: boards only get fuller.
    let mut refused: Vec<Vec<bool>> = vec![vec![false; problem.shapes.len()]; boards.len()];
    for i in order {
        let shape = problem.items[i].shape;
        let mut place = None;
        for (b, refused) in refused.iter_mut().enumerate().filter(|(_, r)| !r[shape]) {
            place = corner(&scene, i, b, &mut body);
            if place.is_some() {
                break;
            }
            refused[shape] = true;
        }
        if place.is_none() {
            for &g in &grounds {
                let Some(new) = next_board(problem, &boards, g) else { continue };
                let Some(home) = alone(&Scene::new(problem, &[new]), i) else { continue };
                let poses = scene.arrangement().poses;
                boards.push(new);
                scene = Scene::new(problem, &boards);
                for (k, p) in poses.iter().enumerate().filter(|(_, p)| p.board != usize::MAX) {
                    scene.put(k, *p);
                }
                refused.push(vec![false; problem.shapes.len()]);
                let board = boards.len() - 1;
                place = corner(&scene, i, board, &mut body).or(Some(Pose { board, ..home }));
                break;
            }
        }
        match place {
            Some(pose) => scene.put(i, pose),
            None => left.push(i),
        }
    }
    left.sort_unstable();
    First { arrangement: scene.arrangement(), left }
}
