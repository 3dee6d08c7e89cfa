//! Panels cut into parts, and pieces laid out on sheets.

use coldwright_geometry::Length;
use coldwright_job::{
    CutStyle, Job, KeptLayout, KeptPlace, LayerSeams, Seam, SeamStyle, StockSheet, WallId, plan,
};
use kurbo::Point;

use super::job::four_sided;

/// A panel 900 × 400 mm whose second layer is cut at 300 and at 620 mm; the seam at 620 ends on another that runs across.
pub fn in_parts(style: SeamStyle, degrees: f64, cut: CutStyle) -> Job {
    let seam = |from: (f64, f64), to: (f64, f64)| Seam { from: from.into(), to: to.into(), style };
    let seams = vec![seam((300.0, -50.0), (300.0, 450.0)), seam((300.0, 220.0), (950.0, 220.0))];
    Job {
        seams: vec![LayerSeams { wall: WallId(1), layer: 2, seams }],
        ..four_sided(900.0, 400.0, degrees, cut)
    }
}

/// The job with its pieces in a row on a sheet of their own stock, 20 mm apart, every second one turned a quarter; a new sheet
/// where the row is full.
pub fn laid_out(job: &Job) -> Job {
    let job = Job {
        stock: vec![StockSheet { name: "Full sheet".to_owned(), ..StockSheet::default() }],
        ..job.clone()
    };
    let (width, length) = (1219.2, 2438.4);
    let (mut at, mut nth) = (20.0, 0);
    let planned = plan(&job);
    let places = planned.pieces.iter().enumerate().map(|(i, piece)| {
        let turn_deg = if i % 2 == 1 { 90.0 } else { 0.0 };
        // A quarter turn takes (x, y) to (-y, x).
        let turned = |p: &Point| if i % 2 == 1 { Point::new(-p.y, p.x) } else { *p };
        let low =
            piece.outline.iter().map(turned).fold((f64::MAX, f64::MAX), |a, p| (a.0.min(p.x), a.1.min(p.y)));
        let high =
            piece.outline.iter().map(turned).fold((f64::MIN, f64::MIN), |a, p| (a.0.max(p.x), a.1.max(p.y)));
        assert!(high.0 - low.0 < width - 40.0);
        if at + high.1 - low.1 > length - 20.0 {
            (at, nth) = (20.0, nth + 1);
        }
        let shift = Point::new(20.0 - low.0, at - low.1);
        at += high.1 - low.1 + 20.0;
        let stock = "Full sheet".to_owned();
        KeptPlace { piece: piece.id, stock, nth, turn_deg, at: shift, locked: false }
    });
    let layout = KeptLayout { places: places.collect(), ..KeptLayout::default() };
    Job { layout: Some(layout), ..job }
}

pub fn mm(v: f64) -> Length {
    Length::from_mm(v).unwrap()
}
