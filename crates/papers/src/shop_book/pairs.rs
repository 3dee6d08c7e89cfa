//! Which ticks to tape on the real template, to find a slip before anything is cut.

use coldwright_job::PlacedTick;
use kurbo::Vec2;

/// Two ticks and the distance between them in the plan, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pair<'a> {
    pub(crate) from: &'a PlacedTick,
    pub(crate) to: &'a PlacedTick,
    pub(crate) distance: f64,
}

/// Up to three long distances that run in different directions: a stretch, a slant or one wrong tick shows in at least one.
pub(crate) fn three(ticks: &[PlacedTick]) -> Vec<Pair<'_>> {
    let mut all: Vec<Pair<'_>> = Vec::new();
    for (i, from) in ticks.iter().enumerate() {
        for to in &ticks[i + 1..] {
            let distance = from.wall.distance(to.wall);
            if distance > 1.0 && distance.is_finite() {
                all.push(Pair { from, to, distance });
            }
        }
    }
    let mut chosen: Vec<Pair<'_>> = Vec::new();
    while chosen.len() < 3 {
        // The longest, weighed by how far it is turned from the nearest of those chosen before.
        let worth = |p: &Pair<'_>| {
            let way = direction(p);
            chosen.iter().map(|c| way.cross(direction(c)).abs()).fold(1.0, f64::min) * p.distance
        };
        let best = all.iter().copied().max_by(|a, b| worth(a).total_cmp(&worth(b)));
        match best {
            Some(best) if worth(&best) > 0.05 * best.distance => chosen.push(best),
            _ => break,
        }
    }
    chosen
}

fn direction(p: &Pair<'_>) -> Vec2 {
    (p.to.wall - p.from.wall) / p.distance
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_geometry::{Point, Spread};
    use coldwright_job::TickId;

    fn ticks(places: &[(f64, f64)]) -> Vec<PlacedTick> {
        let spread = Spread { xx: 0.1, xy: 0.0, yy: 0.1 };
        let tick = |(i, (x, y)): (usize, &(f64, f64))| {
            let wall = Point::new(*x, *y);
            PlacedTick { id: TickId(i as u32), number: i + 1, plane: wall, wall, spread }
        };
        places.iter().enumerate().map(tick).collect()
    }

    #[test]
    fn both_diagonals_of_a_panel_and_a_third_way_across() {
        let ticks = ticks(&[(0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0), (450.0, 400.0)]);
        let found = three(&ticks);
        assert_eq!(found.len(), 3);
        assert!((found[0].distance - 900.0_f64.hypot(400.0)).abs() < 1e-9);
        assert!((found[1].distance - 900.0_f64.hypot(400.0)).abs() < 1e-9);
    }

    #[test]
    fn ticks_in_one_line_give_one_distance() {
        assert_eq!(three(&ticks(&[(0.0, 0.0), (10.0, 0.0), (50.0, 0.0)])).len(), 1);
        assert!(three(&ticks(&[(3.0, 3.0), (3.0, 3.0)])).is_empty());
    }
}
