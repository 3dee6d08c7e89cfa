//! Time to cut the layers of a wall, which runs while the person waits.
//!
//! Budget, CPU time on one core: 40 layers of 500 sides within 10 ms, within 15 ms where open and closed sides meet and some
//! die on the way; 12 layers of a template with four fair sides within 10 ms, within 40 ms where corners step; time about linear
//! in the number of sides up to 20 000.
//!
//! Measured (release, one of two shared virtual server cores, thread CPU time): 3.9 ms for 500 sides and 40 layers, 11 ms when
//! open and closed sides meet and some die on the way, 6.2 ms when every side has its own bevel and most corners run away; 5.3 ms
//! for four fair sides and 12 layers, 27 ms open and closed; 4 layers of 2000, 5000 and 20 000 sides 2.6, 8 and 37 ms, each its
//! own bevel 13, 19 and 65 ms.

use std::hint::black_box;

use coldwright_geometry::{
    Bevel, Edge, EdgeKind, FixedFace, GeometryError, Outline, Point, Spread, TemplateDepth, Tick, WallShape,
    layers,
};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};

/// How the bevels of the sides differ.
#[derive(Debug, Clone, Copy)]
enum Leans {
    /// All 8°.
    One,
    /// Quarter by quarter 6° open, 4° closed, 9° open, 3° closed.
    Quarters,
    /// From 2° to 12°, each side its own: neighbours that hardly turn meet far away, so that most corners are cut square.
    Own,
}

/// A piece with four corners and bulging sides, of `sides` edges with `between` ticks inside each; 0.8 m wide, larger with
/// more than 2000 edges.
fn wall(sides: usize, between: usize, count: usize, leans: Leans) -> Result<WallShape, GeometryError> {
    let total = sides * (between + 1);
    let tick = |k: usize| {
        let w = std::f64::consts::TAU * (k % total) as f64 / total as f64;
        let r =
            (400.0 + 40.0 * w.cos()) * (1.0 - 0.2 * (2.0 * w).sin().abs()) * (total as f64 / 2000.0).max(1.0);
        Tick {
            id: (k % total) as u32,
            at: Point::new(1.4 * r * w.cos(), r * w.sin()),
            spread: Spread::round(0.3),
        }
    };
    let edges = (0..sides)
        .map(|i| {
            let lean = match leans {
                Leans::One => 8.0,
                Leans::Quarters => [6.0, -4.0, 9.0, -3.0][(4 * i / sides) % 4],
                Leans::Own => 2.0 + (i % 11) as f64,
            };
            Ok(Edge {
                id: i as u32,
                name: format!("side {i}"),
                kind: if between == 0 { EdgeKind::Straight } else { EdgeKind::Fair },
                ticks: (i * (between + 1)..=(i + 1) * (between + 1)).map(tick).collect(),
                bevel: Bevel::constant(lean.to_radians())?,
                gap: 0.0,
                smoothing: 0.0,
            })
        })
        .collect::<Result<Vec<_>, GeometryError>>()?;
    Ok(WallShape {
        outline: Outline::new(edges, vec![])?.0,
        template_depth: TemplateDepth::FromOuter(0.0),
        fixed: FixedFace::Outer,
        thicknesses: vec![if count > 20 { 2.0 } else { 25.4 }; count],
    })
}

fn bench(c: &mut Criterion) {
    let mut group = c.benchmark_group("layers");
    group.sample_size(10);
    for (name, sides, between, count, mixed) in [
        ("4 fair sides, 12 layers, one bevel", 4, 8, 12, Leans::One),
        ("4 fair sides, 12 layers, open and closed", 4, 8, 12, Leans::Quarters),
        ("500 straight sides, 40 layers, one bevel", 500, 0, 40, Leans::One),
        ("500 straight sides, 40 layers, open and closed", 500, 0, 40, Leans::Quarters),
        ("500 straight sides, 40 layers, each its own bevel", 500, 0, 40, Leans::Own),
        ("2000 straight sides, 4 layers, one bevel", 2000, 0, 4, Leans::One),
        ("5000 straight sides, 4 layers, one bevel", 5000, 0, 4, Leans::One),
        ("20000 straight sides, 4 layers, one bevel", 20_000, 0, 4, Leans::One),
        ("2000 straight sides, 4 layers, each its own bevel", 2000, 0, 4, Leans::Own),
        ("5000 straight sides, 4 layers, each its own bevel", 5000, 0, 4, Leans::Own),
        ("20000 straight sides, 4 layers, each its own bevel", 20_000, 0, 4, Leans::Own),
    ] {
        if let Ok(wall) = wall(sides, between, count, mixed) {
            group.bench_function(BenchmarkId::from_parameter(name), |b| {
                b.iter(|| black_box(layers(black_box(&wall))));
            });
        }
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
