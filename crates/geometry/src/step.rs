//! A ring of plain sides drawn without loops: at a corner where strips overlap, one side simply ends at the other's end.
//!
//! Drawn through the template's corner such a corner makes a small loop that only the winding number takes out, at the price
//! of a boolean for every depth. Here the loop is left away; its triangle is kept, so that whoever uses the ring can see that
//! nothing else of the ring lies in it, and the answer is the same.

use kurbo::Point;

use crate::moved::{Mover, Sample};
use crate::slice::Join;

/// How two sides meet at one depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// End and start are one place.
    Meets,
    /// They cross.
    Cross,
    /// Straight from end to start.
    Square,
    /// The first ends on the second's start.
    FirstCut,
    /// The second starts on the first's end.
    SecondCut,
    /// One moved out, the other in: from end to start by way of the template's corner.
    Apart,
}

/// A ring without loops.
#[derive(Debug, Clone)]
pub(crate) struct Stepped {
    /// Three points a corner, some of them in one place, so that rings at two depths match point by point.
    pub ring: Vec<Point>,
    pub kinds: Vec<Kind>,
    /// The loops left away; the first point of each lies on the ring.
    pub loops: Vec<[Point; 3]>,
}

/// One corner of it.
struct Step {
    kind: Kind,
    points: [Point; 3],
    /// Parameters where the first side ends and the second starts.
    first: f64,
    second: f64,
    gone: Option<[Point; 3]>,
}

/// The ring of the `live` sides with the join after each, at `dz`; None when a side is bent or used up, or a corner too sharp.
pub(crate) fn stepped<'a>(
    sides: &[&Mover],
    joins: impl Iterator<Item = &'a Join>,
    dz: f64,
) -> Option<Stepped> {
    let n = sides.len();
    if !sides.iter().all(|s| s.is_plain()) {
        return None;
    }
    let mut out =
        Stepped { ring: Vec::with_capacity(3 * n), kinds: Vec::with_capacity(n), loops: Vec::new() };
    let mut cuts = Vec::with_capacity(n);
    for (k, join) in joins.enumerate() {
        let (a, b) = (sides[k], sides[(k + 1) % n]);
        let step = step(a, b, *join, dz)?;
        out.ring.extend(step.points);
        out.kinds.push(step.kind);
        out.loops.extend(step.gone);
        cuts.push((step.first, step.second));
    }
    // From the start of the first side, as it would be drawn with loops.
    out.ring.rotate_right(1);
    let runs = (0..n).all(|k| cuts[(k + n - 1) % n].1 < cuts[k].0);
    (runs && cuts.len() == n).then_some(out)
}

fn step(a: &Mover, b: &Mover, join: Join, dz: f64) -> Option<Step> {
    let (sa, sb) = (a.samples.last()?, b.samples.first()?);
    let (qa, qb) = (a.spot(sa, dz), b.spot(sb, dz));
    let ends = (a.ends().1, b.ends().0);
    let whole = |kind, points| Step { kind, points, first: ends.0, second: ends.1, gone: None };
    match join {
        Join::Cross { first, second, at } => Some(Step { first, second, ..whole(Kind::Cross, [at; 3]) }),
        Join::Square if qa.distance(qb) < 1e-4 => Some(whole(Kind::Meets, [qa, qb, qb])),
        Join::Square => Some(whole(Kind::Square, [qa, qb, qb])),
        Join::Through => {
            let cosine = sa.n.dot(sb.n);
            // A side between has died, or the corner is so sharp that an end does not reach the other side.
            if sa.p.distance(sb.p) > 1e-6 || cosine <= 0.0 {
                return None;
            }
            let (da, db) = (a.distance(sa, dz), b.distance(sb, dz));
            if da * db <= 0.0 {
                return Some(whole(Kind::Apart, [qa, sa.p, qb]));
            }
            // Where the end of the side moved farther meets the line of the other one.
            let end = |s: &Sample, d: f64, far: f64| {
                ((d / cosine).abs() <= far.abs()).then(|| s.p + s.n * (d / cosine))
            };
            if let Some(x) = end(sa, db, da) {
                let (q, way) = b.moved(ends.1, dz);
                let second = ends.1 + (x - q).dot(way) / way.hypot2();
                let cut = whole(Kind::SecondCut, [qa, x, x]);
                (second >= ends.1).then_some(Step { second, gone: Some([x, sa.p, qb]), ..cut })
            } else if let Some(x) = end(sb, da, db) {
                let (q, way) = a.moved(ends.0, dz);
                let first = ends.0 + (x - q).dot(way) / way.hypot2();
                let cut = whole(Kind::FirstCut, [x, x, qb]);
                (first <= ends.0).then_some(Step { first, gone: Some([x, sa.p, qa]), ..cut })
            } else {
                None
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::dice::Dice;
    use crate::loft::{Loft, whole};
    use crate::regions::without;
    use crate::{Bevel, Edge, EdgeKind, FixedFace, Outline, Ring, Spread, TemplateDepth, Tick, WallShape};

    /// A star of `n` straight sides whose radii differ by `rough`, each with its own bevel, open, closed or both by `way`.
    fn star(dice: &mut Dice, n: usize, rough: f64, way: usize) -> Option<WallShape> {
        let at = dice.star(n, rough);
        let tick = |i: usize| Tick { id: (i % n) as u32, at: at[i % n], spread: Spread::round(0.1) };
        let (low, high) = [(1.0, 25.0), (-25.0, -1.0), (-20.0, 20.0)][way];
        let edges = (0..n)
            .map(|i| Edge {
                id: i as u32,
                name: format!("side {i}"),
                kind: EdgeKind::Straight,
                ticks: vec![tick(i), tick(i + 1)],
                bevel: Bevel::constant(dice.between(low, high).to_radians()).unwrap(),
                gap: 0.0,
                smoothing: 0.0,
            })
            .collect();
        Some(WallShape {
            outline: Outline::new(edges, vec![]).ok()?.0,
            template_depth: TemplateDepth::FromOuter(0.0),
            fixed: FixedFace::Outer,
            thicknesses: vec![100.0],
        })
    }

    #[test]
    fn rings_without_loops_are_what_the_winding_number_leaves() {
        let mut dice = Dice(41);
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        let (mut with_loops, mut taken) = (0, 0);
        for case in 0..3000 {
            let (n, rough) = ([6, 20, 60][case % 3], [0.01, 0.05, 0.2, 0.5][case % 4]);
            let Some(wall) = star(&mut dice, n, rough, case % 5 % 3) else { continue };
            let loft = Loft::new(&wall, 0.0, 100.0).unwrap();
            let z = dice.between(0.5, 60.0);
            let mut slice = loft.slice(z);
            let loops = slice.stepped.as_ref().is_some_and(|s| !s.loops.is_empty());
            let (quick, simple) = whole(&slice);
            slice.stepped = None;
            let (slow, _) = whole(&slice);
            let apart = area(&without(&quick, &slow)) + area(&without(&slow, &quick));
            assert!(apart < 1e-3, "case {case}, {n} sides at {z}: {apart} mm² apart");
            with_loops += usize::from(loops);
            taken += usize::from(loops && simple);
        }
        assert!(with_loops > 500 && taken > 300, "{taken} of {with_loops}");
    }
}
