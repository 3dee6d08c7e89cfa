//! Helpers shared by the whole-product tests: where the samples are, what the demo photos were made from.
#![expect(clippy::unwrap_used, clippy::panic, reason = "only tests use this crate, and a test may stop")]

use std::fs;
use std::path::{Path, PathBuf};

use coldwright_job::{Job, from_bytes};
use kurbo::{Affine, ParamCurveNearest, PathSeg, Point};
use serde_json::Value;

/// The root of the workspace.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A shipped sample job.
///
/// # Panics
/// When it is not there or does not open.
pub fn sample(name: &str) -> Job {
    from_bytes(&fs::read(root().join("samples").join(name)).unwrap()).unwrap()
}

/// What a demo photo was made from.
#[derive(Debug)]
pub struct Truth {
    /// Card number, middle in the world (mm) and turn (radians).
    pub cards: Vec<(u32, Point, f64)>,
    /// Area of the outline, mm².
    pub area: f64,
    /// The outline's parts by name, as polylines in the world, mm.
    pub parts: Vec<(String, Vec<Point>)>,
}

impl Truth {
    /// Reads the truth of a demo photo.
    ///
    /// # Panics
    /// When it is not there.
    pub fn of(photo: &str) -> Truth {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(format!("{photo}.truth.json"));
        let value: Value = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
        let point = |v: &Value| Point::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap());
        let list = |v: &Value| v.as_array().unwrap().clone();
        Truth {
            area: value["area_mm2"].as_f64().unwrap(),
            cards: list(&value["cards"])
                .iter()
                .map(|c| {
                    let number = u32::try_from(c["number"].as_u64().unwrap()).unwrap();
                    (number, point(&c["centre_mm"]), c["angle_deg"].as_f64().unwrap().to_radians())
                })
                .collect(),
            parts: list(&value["boundary"])
                .iter()
                .map(|p| {
                    (
                        p["name"].as_str().unwrap().to_owned(),
                        list(&p["points_mm"]).iter().map(point).collect(),
                    )
                })
                .collect(),
        }
    }

    /// From the solved plane to the world: the plane's frame is that of the lowest-numbered card.
    ///
    /// # Panics
    /// When the photo shows no card.
    pub fn world(&self) -> Affine {
        let (_, centre, angle) = self.cards.iter().min_by_key(|c| c.0).unwrap();
        Affine::translate(centre.to_vec2()) * Affine::rotate(*angle)
    }

    /// Distance of a point in the world from a named part of the outline, mm.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn distance(&self, part: &str, p: Point) -> f64 {
        let Some((_, line)) = self.parts.iter().find(|(name, _)| name == part) else {
            panic!("no part {part}")
        };
        line.windows(2)
            .map(|w| PathSeg::Line(kurbo::Line::new(w[0], w[1])).nearest(p, 1e-6).distance_sq.sqrt())
            .fold(f64::INFINITY, f64::min)
    }

    /// Where a part begins in the world.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn corner(&self, part: &str) -> Point {
        self.parts.iter().find(|(name, _)| name == part).unwrap().1[0]
    }
}
