//! The table the search works at: bodies on boards, how badly each pair overlaps, and the weight of each pair.

use crate::search::pair::{badness, boxes_meet, outlines_meet};
use crate::search::problem::{Arrangement, Board, Pose, Problem};
use crate::search::shape::{Body, Shape};

/// Bodies on boards. The first `movable` bodies are the problem's items in order; then come held copies and obstacles.
#[derive(Debug, Clone)]
pub(crate) struct Scene<'p> {
    pub(crate) problem: &'p Problem,
    pub(crate) boards: Vec<Board>,
    /// Rectangle of each board, may be smaller than its ground's.
    pub(crate) rects: Vec<[f64; 4]>,
    pub(crate) movable: usize,
    pub(crate) poses: Vec<Pose>,
    shapes: Vec<usize>,
    bodies: Vec<Body>,
    boxes: Vec<[f64; 4]>,
    /// Who lies on each board; `None` of an item's poses counts while it is lifted.
    on: Vec<Vec<usize>>,
    loss: Vec<f32>,
    weight: Vec<f32>,
}

impl<'p> Scene<'p> {
    /// Boards with their held copies and obstacles; all items are lifted off.
    pub(crate) fn new(problem: &'p Problem, boards: &[Board]) -> Scene<'p> {
        let mut poses = vec![Pose { board: usize::MAX, ..Pose::default() }; problem.items.len()];
        let mut shapes: Vec<usize> = problem.items.iter().map(|i| i.shape).collect();
        let movable = shapes.len();
        for (k, b) in boards.iter().enumerate() {
            for h in problem.held.iter().filter(|h| h.ground == b.ground && h.nth == b.nth) {
                poses.push(Pose { board: k, ..h.pose });
                shapes.push(h.item.shape);
            }
            for &o in &problem.grounds[b.ground].obstacles {
                let c = problem.shapes[o].centre;
                poses.push(Pose { board: k, deg: 0.0, x: c.x, y: c.y });
                shapes.push(o);
            }
        }
        let n = shapes.len();
        let mut scene = Scene {
            problem,
            boards: boards.to_vec(),
            rects: boards.iter().map(|b| problem.grounds[b.ground].rect).collect(),
            movable,
            bodies: vec![Body::default(); n],
            boxes: vec![[0.0; 4]; n],
            on: vec![Vec::new(); boards.len()],
            loss: vec![0.0; n * n],
            weight: vec![1.0; n * n],
            poses,
            shapes,
        };
        for i in movable..n {
            scene.put(i, scene.poses[i]);
        }
        scene
    }

    /// The same with every item where the arrangement has it.
    pub(crate) fn of(problem: &'p Problem, all: &Arrangement) -> Scene<'p> {
        let mut scene = Scene::new(problem, &all.boards);
        scene.put_all(&all.poses);
        scene
    }

    /// The item's shape.
    pub(crate) fn shape(&self, i: usize) -> &'p Shape {
        &self.problem.shapes[self.shapes[i]]
    }

    /// Who lies on a board.
    pub(crate) fn lying(&self, board: usize) -> &[usize] {
        &self.on[board]
    }

    /// The box of a body that lies on a board.
    pub(crate) fn box_of(&self, i: usize) -> [f64; 4] {
        self.boxes[i]
    }

    /// The poses as an arrangement.
    pub(crate) fn arrangement(&self) -> Arrangement {
        Arrangement { boards: self.boards.clone(), poses: self.poses[..self.movable].to_vec() }
    }

    /// Lifts an item off its board.
    pub(crate) fn lift(&mut self, i: usize) {
        let b = self.poses[i].board;
        if b == usize::MAX {
            return;
        }
        let n = self.shapes.len();
        self.on[b].retain(|j| *j != i);
        for j in 0..n {
            self.loss[i * n + j] = 0.0;
            self.loss[j * n + i] = 0.0;
        }
        self.poses[i].board = usize::MAX;
    }

    /// Puts an item at a pose, off the old one, and measures it against all on that board.
    pub(crate) fn put(&mut self, i: usize, pose: Pose) {
        if i < self.movable {
            self.lift(i);
        }
        let n = self.shapes.len();
        let shape = self.shape(i);
        let mut body = std::mem::take(&mut self.bodies[i]);
        shape.put(pose.deg, pose.x, pose.y, &mut body);
        for &j in &self.on[pose.board] {
            let other = self.shape(j);
            let l = if i >= self.movable && j >= self.movable {
                0.0
            } else {
                badness(
                    &body,
                    &self.bodies[j],
                    shape.across.max(other.across),
                    shape.weight * other.weight,
                    f32::INFINITY,
                )
            };
            self.loss[i * n + j] = l;
            self.loss[j * n + i] = l;
        }
        self.boxes[i] = body.bounds;
        self.bodies[i] = body;
        self.poses[i] = pose;
        self.on[pose.board].push(i);
    }

    /// Puts every item at its pose.
    pub(crate) fn put_all(&mut self, poses: &[Pose]) {
        for (i, p) in poses.iter().enumerate() {
            if self.poses[i] != *p {
                self.put(i, *p);
            }
        }
    }

    /// The item's badness at a body it does not lie at, weighted; no more exact than "over the limit" above the limit.
    pub(crate) fn cost(&self, i: usize, board: usize, body: &Body, limit: f32) -> f32 {
        let n = self.shapes.len();
        let shape = self.shape(i);
        let weights = &self.weight[i * n..(i + 1) * n];
        let mut sum = 0.0;
        for &j in &self.on[board] {
            if j != i && boxes_meet(&body.bounds, &self.boxes[j]) {
                let other = self.shape(j);
                let fade = shape.across.max(other.across);
                let left = (limit - sum) / weights[j];
                sum += weights[j] * badness(body, &self.bodies[j], fade, shape.weight * other.weight, left);
                if sum > limit {
                    return sum;
                }
            }
        }
        sum
    }

    /// Whether a body is free of all others on a board.
    pub(crate) fn is_free(&self, i: usize, board: usize, body: &Body) -> bool {
        self.on[board].iter().all(|&j| {
            j == i || !boxes_meet(&body.bounds, &self.boxes[j]) || !outlines_meet(body, &self.bodies[j])
        })
    }

    /// The item's badness where it lies, weighted.
    pub(crate) fn cost_of(&self, i: usize) -> f32 {
        let n = self.shapes.len();
        self.loss[i * n..(i + 1) * n].iter().zip(&self.weight[i * n..(i + 1) * n]).map(|(l, w)| l * w).sum()
    }

    /// The item's badness where it lies, unweighted.
    pub(crate) fn loss_of(&self, i: usize) -> f32 {
        let n = self.shapes.len();
        self.loss[i * n..(i + 1) * n].iter().sum()
    }

    /// Badness of all pairs, unweighted; exactly 0 when nothing overlaps.
    pub(crate) fn total(&self) -> f32 {
        let n = self.shapes.len();
        (0..self.movable).map(|i| self.loss[i * n + i..(i + 1) * n].iter().sum::<f32>()).sum()
    }

    /// Every pair counts the same again.
    pub(crate) fn forget(&mut self) {
        self.weight.fill(1.0);
    }

    /// Pairs that overlap count for more from now on, the worst pair most; the others slowly go back to 1.
    ///
    /// The factors 1.2 to 2 and 0.95 are those of the paper named in [`super::relax`].
    pub(crate) fn learn(&mut self) {
        let worst = self.loss.iter().fold(0.0f32, |m, l| m.max(*l));
        if worst <= 0.0 {
            return;
        }
        for (w, l) in self.weight.iter_mut().zip(&self.loss) {
            *w = if *l > 0.0 { (*w * (1.2 + 0.8 * l / worst)).min(1e9) } else { (*w * 0.95).max(1.0) };
        }
    }
}
