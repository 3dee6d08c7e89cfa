//! What a fixed count of moves costs. Budget: a person waits 20 s for a box; 10 000 moves on 60 panels take under 3 s.

use std::hint::black_box;
use std::sync::atomic::AtomicBool;

use coldwright_nesting::{Effort, Piece, Request, Stock, Stuff, Turns, first_layout, nest};
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use kurbo::Point;

fn request(n: u32) -> Request {
    let panel = |k: u32| {
        let (w, h) = (350.0 + 17.0 * f64::from(k % 20), 300.0 + 11.0 * f64::from(k % 13));
        let mut outline = vec![Point::new(0.0, 0.0), Point::new(w, 10.0), Point::new(w * 0.95, h)];
        outline.extend(
            (1..15)
                .map(|i| f64::from(i) / 15.0)
                .map(|t| Point::new(w * (0.95 - 0.9 * t), h + 160.0 * t * (1.0 - t))),
        );
        Piece { id: format!("p{k}"), quantity: 1, outline, turns: Turns::Any, stuff: Stuff::default() }
    };
    let sheet =
        vec![Point::ZERO, Point::new(1219.2, 0.0), Point::new(1219.2, 2438.4), Point::new(0.0, 2438.4)];
    let full = Stock {
        id: "full".into(),
        outline: sheet,
        blocked: vec![],
        available: None,
        cost: 1.0,
        stuff: Stuff::default(),
    };
    Request {
        name: "bench".into(),
        gap: 3.0,
        margin: 2.0,
        pieces: (0..n).map(panel).collect(),
        stock: vec![full],
        ..Request::default()
    }
}

fn bench(c: &mut Criterion) {
    let mut group = c.benchmark_group("nest");
    group.sample_size(10);
    for n in [12, 60] {
        let request = request(n);
        group.bench_with_input(BenchmarkId::new("first layout", n), &request, |b, r| {
            b.iter(|| black_box(first_layout(r)));
        });
        let effort = Effort { seed: 1, moves: Some(1000), seconds: None, threads: 1 };
        group.bench_with_input(BenchmarkId::new("1000 moves", n), &request, |b, r| {
            b.iter(|| black_box(nest(r, &effort, &AtomicBool::new(false), &mut |_| ())));
        });
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
