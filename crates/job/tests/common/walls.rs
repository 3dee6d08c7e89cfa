//! Plain walls with layers, joints and an opening.

use std::sync::atomic::AtomicBool;

use coldwright_geometry::Length;
use coldwright_job::{
    CutStyle, EdgeId, EdgeOf, Edit, Job, JointKind, LayerStock, Opening, OpeningShape, Plan, TickId,
    WallEdit, apply, keep_layout, sheet_request,
};
use coldwright_nesting::{Effort, nest};

pub fn mm(v: f64) -> Length {
    Length::from_mm(v).unwrap()
}

/// A job of walls w × h, each with so many layers an inch thick; edges of wall i have the ids 1000·i + 200….
pub fn walls(sizes: &[(f64, f64)], layers: usize) -> Job {
    leaning(sizes, layers, &[0.0], CutStyle::SquareFits)
}

/// The same with bevels and a cut.
pub fn leaning(sizes: &[(f64, f64)], layers: usize, degrees: &[f64], cut: CutStyle) -> Job {
    let mut job = Job::default();
    for (i, (w, h)) in sizes.iter().enumerate() {
        job = apply(&job, &Edit::AddWall { name: format!("Wall {i}") }).unwrap();
        let id = job.walls[i].id;
        let mut t = super::template(&[(0.0, 0.0), (*w, 0.0), (*w, *h), (0.0, *h)], degrees);
        let shift = 1000 * i as u32;
        t.ticks.iter_mut().for_each(|k| k.id = TickId(k.id.0 + shift));
        for edge in &mut t.edges {
            edge.id = EdgeId(edge.id.0 + shift);
            edge.ticks.iter_mut().for_each(|k| *k = TickId(k.0 + shift));
        }
        let stock = vec![LayerStock::default(); layers];
        for e in [WallEdit::Trace(t.ticks, t.edges), WallEdit::Layers(stock), WallEdit::Cut(cut)] {
            job = apply(&job, &Edit::Wall(id, e)).unwrap();
        }
    }
    job
}

pub fn edge(job: &Job, wall: usize, side: u32) -> EdgeOf {
    EdgeOf { wall: job.walls[wall].id, edge: EdgeId(1000 * wall as u32 + 200 + side) }
}

pub fn join(job: &Job, a: (usize, u32), b: (usize, u32), kind: JointKind) -> Job {
    apply(job, &Edit::Join { a: edge(job, a.0, a.1), b: edge(job, b.0, b.1), kind }).unwrap()
}

pub fn opening(job: &Job, w: f64, h: f64, behind: Option<f64>) -> Job {
    let shape = OpeningShape::Rectangle { width: mm(w), height: mm(h), corner: mm(0.0) };
    apply(job, &Edit::SetOpening(Some(Opening { shape, behind: behind.map(mm), place: None }))).unwrap()
}

pub fn marks(plan: &Plan) -> Vec<&str> {
    plan.fitting_order().into_iter().map(|p| p.mark.as_str()).collect()
}

/// The job with its pieces laid out by a short search.
pub fn lay_out(job: &Job, p: &Plan) -> Job {
    let asked = sheet_request(job, &p.pieces);
    let effort = Effort { seed: 3, moves: Some(20), seconds: None, threads: 1 };
    let found = nest(&asked.request, &effort, &AtomicBool::new(false), &mut |_| ()).unwrap();
    apply(job, &Edit::KeepLayout(Some(keep_layout(&asked, &found, 3)))).unwrap()
}
