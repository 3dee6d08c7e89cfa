//! The unknowns of a solve, and one card point seen through them.

use kurbo::Point;
use nalgebra::{Matrix3, Rotation3, Vector3};

use crate::lens::Lens;
use crate::plane::{PER_PHOTO, Pose};

/// A card's place: middle and turn, plane frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    pub x: f64,
    pub y: f64,
    pub angle: f64,
}

impl Place {
    pub(crate) const ORIGIN: Self = Self { x: 0.0, y: 0.0, angle: 0.0 };

    /// A point given on the card, on the plane.
    pub(crate) fn apply(&self, p: Point) -> Point {
        let (s, c) = self.angle.sin_cos();
        Point::new(self.x + c * p.x - s * p.y, self.y + s * p.x + c * p.y)
    }

    /// This place seen from another: `other⁻¹ · self`.
    pub(crate) fn seen_from(&self, other: &Self) -> Self {
        let (s, c) = other.angle.sin_cos();
        let (dx, dy) = (self.x - other.x, self.y - other.y);
        Self { x: c * dx + s * dy, y: -s * dx + c * dy, angle: self.angle - other.angle }
    }

    /// `self · inner`: a place given in this place's frame, in the frame this place is given in.
    pub(crate) fn then(&self, inner: &Self) -> Self {
        let p = self.apply(Point::new(inner.x, inner.y));
        Self { x: p.x, y: p.y, angle: self.angle + inner.angle }
    }
}

/// All unknowns at one moment of the iteration.
#[derive(Debug, Clone)]
pub(crate) struct State {
    pub lenses: Vec<Lens>,
    pub poses: Vec<Pose>,
    /// Cards by number; the first is held at the origin.
    pub cards: Vec<Place>,
    /// Print scale along the card's x and y.
    pub print: [f64; 2],
    /// One card whose own scale is let free, for the test of bad cards.
    pub free_scale: Option<(usize, f64)>,
}

/// One measured card point.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Observation {
    pub photo: usize,
    pub card: usize,
    pub on_card: Point,
    pub px: Point,
    pub sd: f64,
}

/// Most columns one observation touches: 8 lens, 6 pose, 3 card, 2 print, 1 own scale.
pub(crate) const ROW: usize = 20;

/// Residual of one observation (measured minus predicted, pixels) and how the prediction answers to the unknowns.
pub(crate) struct Row {
    pub residual: [f64; 2],
    pub columns: [usize; ROW],
    pub by: [[f64; ROW]; 2],
}

impl State {
    /// Unknowns in all, the inactive ones included.
    pub(crate) fn unknowns(&self) -> usize {
        self.lenses.len() * PER_PHOTO + self.cards.len().saturating_sub(1) * 3 + 3
    }

    pub(crate) fn card_column(&self, card: usize) -> usize {
        self.lenses.len() * PER_PHOTO + (card - 1) * 3
    }

    pub(crate) fn print_column(&self) -> usize {
        self.lenses.len() * PER_PHOTO + self.cards.len().saturating_sub(1) * 3
    }

    /// Value of a lens, print or own-scale unknown; 0 for poses and places, which carry no wishes.
    pub(crate) fn value(&self, column: usize) -> f64 {
        if let Some(lens) = self.lenses.get(column / PER_PHOTO) {
            return match column % PER_PHOTO {
                0 => lens.focal_px,
                1 => lens.centre_px.x,
                2 => lens.centre_px.y,
                3 => lens.k1,
                4 => lens.k2,
                5 => lens.k3,
                6 => lens.p1,
                7 => lens.p2,
                _ => 0.0,
            };
        }
        match column.checked_sub(self.print_column()) {
            Some(k @ 0..2) => self.print[k],
            Some(2) => self.free_scale.map_or(1.0, |s| s.1),
            _ => 0.0,
        }
    }

    /// A card point on the plane.
    pub(crate) fn on_plane(&self, o: &Observation) -> Option<Point> {
        let own = match self.free_scale {
            Some((card, scale)) if card == o.card => scale,
            _ => 1.0,
        };
        let scaled = Point::new(o.on_card.x * self.print[0] * own, o.on_card.y * self.print[1] * own);
        Some(self.cards.get(o.card)?.apply(scaled))
    }

    /// Residual only.
    pub(crate) fn residual(&self, o: &Observation) -> Option<[f64; 2]> {
        let p = self.on_plane(o)?;
        let (lens, pose) = (self.lenses.get(o.photo)?, self.poses.get(o.photo)?);
        let q = pose.turn * Vector3::new(p.x, p.y, 0.0) + pose.shift;
        let at = lens.project([q.x, q.y, q.z])?.px;
        Some([o.px.x - at[0], o.px.y - at[1]])
    }

    /// Residual with derivatives of the prediction.
    pub(crate) fn row(&self, o: &Observation) -> Option<Row> {
        let (lens, pose, card) =
            (self.lenses.get(o.photo)?, self.poses.get(o.photo)?, self.cards.get(o.card)?);
        let own = match self.free_scale {
            Some((c, scale)) if c == o.card => scale,
            _ => 1.0,
        };
        let (s, c) = card.angle.sin_cos();
        let scaled = Point::new(o.on_card.x * self.print[0] * own, o.on_card.y * self.print[1] * own);
        let p = card.apply(scaled);
        let turned = pose.turn * Vector3::new(p.x, p.y, 0.0);
        let q = turned + pose.shift;
        let seen = lens.project([q.x, q.y, q.z])?;

        let base = o.photo * PER_PHOTO;
        let mut columns = [usize::MAX; ROW];
        let mut by = [[0.0; ROW]; 2];
        for (k, column) in columns.iter_mut().take(PER_PHOTO).enumerate() {
            *column = base + k;
        }
        if o.card > 0 {
            for k in 0..3 {
                columns[14 + k] = self.card_column(o.card) + k;
            }
        }
        let print = self.print_column();
        columns[17] = print;
        columns[18] = print + 1;
        if matches!(self.free_scale, Some((card, _)) if card == o.card) {
            columns[19] = print + 2;
        }
        let axes = [pose.turn.column(0).into_owned(), pose.turn.column(1).into_owned()];
        let along = |v: [f64; 2]| axes[0] * v[0] + axes[1] * v[1];
        // Movements of the point in camera axes.
        let moves: [Vector3<f64>; 12] = [
            Vector3::x().cross(&turned),
            Vector3::y().cross(&turned),
            Vector3::z().cross(&turned),
            Vector3::x(),
            Vector3::y(),
            Vector3::z(),
            axes[0],
            axes[1],
            along([-(p.y - card.y), p.x - card.x]),
            along([c * o.on_card.x * own, s * o.on_card.x * own]),
            along([-s * o.on_card.y * own, c * o.on_card.y * own]),
            along([(p.x - card.x) / own, (p.y - card.y) / own]),
        ];
        for (row, out) in by.iter_mut().enumerate() {
            out[..8].copy_from_slice(&seen.by_lens[row]);
            let slope = Vector3::from_row_slice(&seen.by_point[row]);
            for (k, m) in moves.iter().enumerate() {
                out[8 + k] = slope.dot(m);
            }
        }
        Some(Row { residual: [o.px.x - seen.px[0], o.px.y - seen.px[1]], columns, by })
    }

    /// The state moved by a step of all unknowns.
    pub(crate) fn moved(&self, step: &[f64]) -> Self {
        let mut next = self.clone();
        let at = |i: usize| step.get(i).copied().unwrap_or(0.0);
        for (i, lens) in next.lenses.iter_mut().enumerate() {
            let b = i * PER_PHOTO;
            lens.focal_px += at(b);
            lens.centre_px.x += at(b + 1);
            lens.centre_px.y += at(b + 2);
            lens.k1 += at(b + 3);
            lens.k2 += at(b + 4);
            lens.k3 += at(b + 5);
            lens.p1 += at(b + 6);
            lens.p2 += at(b + 7);
        }
        for (i, pose) in next.poses.iter_mut().enumerate() {
            let b = i * PER_PHOTO + 8;
            let turn = Rotation3::new(Vector3::new(at(b), at(b + 1), at(b + 2)));
            pose.turn = orthonormal(turn.matrix() * pose.turn);
            pose.shift += Vector3::new(at(b + 3), at(b + 4), at(b + 5));
        }
        for i in 1..next.cards.len() {
            let b = self.card_column(i);
            if let Some(card) = next.cards.get_mut(i) {
                card.x += at(b);
                card.y += at(b + 1);
                card.angle += at(b + 2);
            }
        }
        let b = self.print_column();
        next.print[0] += at(b);
        next.print[1] += at(b + 1);
        if let Some((_, scale)) = next.free_scale.as_mut() {
            *scale += at(b + 2);
        }
        next
    }
}

/// Takes rounding out of a rotation matrix.
pub(crate) fn orthonormal(m: Matrix3<f64>) -> Matrix3<f64> {
    let x = m.column(0).normalize();
    let y = (m.column(1) - x * x.dot(&m.column(1))).normalize();
    let z = x.cross(&y);
    Matrix3::from_columns(&[x, y, z])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_derivative_agrees_with_differences() {
        let turn = Rotation3::from_euler_angles(3.0, 0.2, 0.4).into_inner();
        let pose = Pose { turn, shift: Vector3::new(30.0, -50.0, 1300.0) };
        let mut lens = Lens::plain(3000.0, Point::new(2000.0, 1500.0));
        lens.k1 = 0.04;
        lens.p1 = 3e-4;
        let state = State {
            lenses: vec![lens],
            poses: vec![pose],
            cards: vec![Place::ORIGIN, Place { x: 400.0, y: -300.0, angle: 1.1 }],
            print: [1.002, 0.997],
            free_scale: Some((1, 1.01)),
        };
        let o = Observation {
            photo: 0,
            card: 1,
            on_card: Point::new(102.5, -50.0),
            px: Point::new(2500.0, 900.0),
            sd: 0.05,
        };
        let row = state.row(&o).unwrap();
        for k in 0..ROW {
            let column = row.columns[k];
            let size = if matches!(k, 0..3 | 11..16) { 1e-3 } else { 1e-6 };
            let mut step = vec![0.0; state.unknowns()];
            step[column] = size;
            let high = state.moved(&step).residual(&o).unwrap();
            step[column] = -size;
            let low = state.moved(&step).residual(&o).unwrap();
            for axis in 0..2 {
                let slope = -(high[axis] - low[axis]) / (2.0 * size);
                let stated = row.by[axis][k];
                assert!((slope - stated).abs() < 1e-4 * (1.0 + slope.abs()), "column {k}: {slope} {stated}");
            }
        }
    }

    #[test]
    fn places_compose() {
        let a = Place { x: 3.0, y: -2.0, angle: 0.7 };
        let b = Place { x: 10.0, y: 4.0, angle: -1.2 };
        let back = a.then(&b.seen_from(&a));
        assert!((back.x - b.x).abs() + (back.y - b.y).abs() + (back.angle - b.angle).abs() < 1e-12);
    }
}
