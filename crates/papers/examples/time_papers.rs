//! The time and memory all papers of a large job take. Budget: 60 pieces on 300 pages under 2 s and 300 MB, the patterns under
//! 3 MB: `cargo run --release -p coldwright-papers --example time_papers`.

#![expect(clippy::print_stdout, reason = "a program to run by hand")]

use coldwright_export::Paper;
use coldwright_geometry::{EdgeKind, Length, Point};
use coldwright_job::{
    BevelAt, CutStyle, Edge, EdgeId, Job, LayerStock, Place, Template, Tick, TickId, Wall, WallId, plan,
};
use coldwright_papers::{MakeOptions, make};

/// Fifteen walls of four layers, each with a curved top of nine ticks and a bevel that changes along it.
fn job() -> Job {
    let walls = (0..15_u32).map(|i| {
        let (width, height) = (380.0 + 18.0 * f64::from(i), 330.0 + 5.0 * f64::from(i));
        let mut at = vec![(0.0, 0.0), (width, 0.0), (width + 30.0, height)];
        at.extend((1..8).map(|k| {
            let t = f64::from(k) / 8.0;
            (width + 30.0 - (width + 30.0) * t, height + 160.0 * t * (1.0 - t))
        }));
        at.push((0.0, height - 20.0));
        let place = |(k, (x, y)): (usize, &(f64, f64))| Tick {
            id: TickId(k as u32),
            place: Place::Typed { at: Point::new(*x, *y), sd: 0.5 },
        };
        let edge = |id: u32, name: &str, kind, ticks: &[u32], degrees: &[f64]| Edge {
            id: EdgeId(id),
            name: name.to_owned(),
            kind,
            ticks: ticks.iter().map(|t| TickId(*t)).collect(),
            bevel: degrees
                .iter()
                .enumerate()
                .map(|(k, degrees)| BevelAt { at: k as f64, degrees: *degrees })
                .collect(),
            gap: Length::default(),
            smoothing: Length::default(),
        };
        let top: Vec<u32> = (2..=10).collect();
        Wall {
            id: WallId(i + 1),
            name: format!("Side {}", i + 1),
            template: Template {
                ticks: at.iter().enumerate().map(place).collect(),
                edges: vec![
                    edge(1, "foot", EdgeKind::Straight, &[0, 1], &[-6.0]),
                    edge(2, "fore edge", EdgeKind::Straight, &[1, 2], &[12.0]),
                    edge(3, "top", EdgeKind::Fair, &top, &[20.0, 4.0]),
                    edge(4, "after edge", EdgeKind::Straight, &[10, 0], &[8.0]),
                ],
                base: Some(EdgeId(1)),
                ..Template::default()
            },
            layers: vec![
                LayerStock {
                    thickness: Length::from_64ths(64),
                    material: "XPS".to_owned(),
                    ..LayerStock::default()
                };
                4
            ],
            cut: CutStyle::Bevelled,
            ..Wall::default()
        }
    });
    Job { name: "Sixty pieces".to_owned(), walls: walls.collect(), next_id: 100, ..Job::default() }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = job();
    let start = std::time::Instant::now();
    let plan = plan(&job);
    println!("planned in {:?}", start.elapsed());
    for paper in [Paper::A4, Paper::Letter] {
        let start = std::time::Instant::now();
        let files = make(&job, &plan, &MakeOptions { paper: Some(paper), ..MakeOptions::default() })?;
        let took = start.elapsed();
        let patterns = files.iter().find(|f| f.name == "patterns.pdf").map_or(&[][..], |f| &f.bytes);
        let pages = patterns.windows(9).filter(|w| *w == b"/MediaBox").count();
        println!(
            "{}: {} files made in {took:?}, patterns {:.2} MB on {pages} pages",
            paper.plain_name(),
            files.len(),
            patterns.len() as f64 / 1e6
        );
    }
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        println!("{}", status.lines().find(|l| l.starts_with("VmHWM")).unwrap_or("no figure of memory here"));
    }
    Ok(())
}
