//! The wait between opening a photo and seeing it measured. Budget: under 2 s for 12 megapixels, decoding, finding and solving together, in
//! release on one core; aimed at 0.6 s. The demo photo is 6.9 megapixels: 1.1 s and 0.35 s of that are its share.

use std::hint::black_box;

use coldwright_canvas::{CardKind, Limits, PhotoCards, Picture, SolveOptions, find_cards, solve};
use criterion::{Criterion, criterion_group, criterion_main};

fn measure(c: &mut Criterion) {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/photos/demo-hull-side.jpg");
    let Ok(bytes) = std::fs::read(path) else { return };
    let Ok(picture) = Picture::decode(&bytes, &Limits::default()) else { return };
    let found = find_cards(&picture, CardKind::Printed);
    let photo = [PhotoCards::new(&picture, &found)];
    let mut group = c.benchmark_group("demo photo, 6.9 megapixels");
    group.sample_size(20);
    group.bench_function("decode", |b| {
        b.iter(|| Picture::decode(black_box(&bytes), &Limits::default()).is_ok());
    });
    group.bench_function("find five cards", |b| {
        b.iter(|| find_cards(black_box(&picture), CardKind::Printed).cards.len());
    });
    group.bench_function("solve", |b| b.iter(|| solve(black_box(&photo), &SolveOptions::default()).is_ok()));
    group.bench_function("all three", |b| {
        b.iter(|| {
            let picture = Picture::decode(black_box(&bytes), &Limits::default()).ok()?;
            let found = find_cards(&picture, CardKind::Printed);
            solve(&[PhotoCards::new(&picture, &found)], &SolveOptions::default()).ok()
        });
    });
    group.finish();
}

criterion_group!(benches, measure);
criterion_main!(benches);
