//! The time to cut a drawing into pages and write them. Budget: 300 pages under 1 s (half of the 2 s in which a whole
//! job's papers must be made), 30 pages under 60 ms so that a change in the window shows at once.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};

use coldwright_export::{Drawing, Layer, Paper, PdfOptions, Pen, TileOptions, pdf, tile};
use kurbo::{BezPath, Rect};

/// A wavy panel of this width and three quarters of the height in mm, with inner rings so that many pages have ink.
fn panel(width: f64) -> Drawing {
    let mut drawing = Drawing::new("bench", Rect::new(0.0, 0.0, width, width * 0.75));
    for ring in 0..6 {
        let inset = f64::from(ring) * width * 0.055;
        let mut path = BezPath::new();
        for i in 0..1200 {
            let t = f64::from(i) / 1200.0 * std::f64::consts::TAU;
            let wave = 1.0 + 0.01 * (40.0 * t).sin();
            let x = width / 2.0 + (width / 2.0 - inset) * t.cos() * wave;
            let y = width * 0.375 + (width * 0.375 - inset) * t.sin() * wave;
            if i == 0 { path.move_to((x, y)) } else { path.line_to((x, y)) }
        }
        path.close_path();
        let (pen, layer) =
            if ring % 2 == 0 { (Pen::CUT, Layer::Cut) } else { (Pen::OTHER_FACE, Layer::OtherFace) };
        drawing.line(path, pen, layer);
    }
    drawing
}

fn pages(c: &mut Criterion) {
    let mut group = c.benchmark_group("tile and write on A4");
    group.sample_size(20);
    for width in [1200.0, 4000.0] {
        let drawing = panel(width);
        let options = TileOptions { paper: Paper::A4, ..TileOptions::default() };
        let count = tile(&drawing, &options).map_or(0, |pages| pages.len());
        group.bench_function(BenchmarkId::from_parameter(format!("{count} pages")), |b| {
            b.iter(|| tile(&drawing, &options).and_then(|pages| pdf(&pages, &PdfOptions::default())));
        });
    }
    group.finish();
}

criterion_group!(benches, pages);
criterion_main!(benches);
