//! Makes the two sample jobs from the demo photos: `cargo run --release -p coldwright-job --example trace_samples`.
//!
//! The pixels are what a person clicked, read off enlarged cut-outs of the photos to half a pixel or so; nothing here
//! comes from the photos' truth files. The boat, its name and its locker are invented.

use std::error::Error;
use std::fs;
use std::path::Path;

use coldwright_canvas::{CardKind, Limits, PhotoCards, Picture, find_cards, without_private_data};
use coldwright_export::Paper;
use coldwright_geometry::{EdgeKind, Length};
use coldwright_job::{
    BevelAt, Edit, Height, Job, LayerStock, PhotoId, Place, Sighting, Stands, Units, WallEdit, WallId, apply,
    checks, plan, to_bytes,
};
use kurbo::Point;

struct Run {
    name: &'static str,
    kind: EdgeKind,
    /// Bevel in degrees at fractions of the edge.
    bevel: &'static [(f64, f64)],
    /// Thicknesses of stick from the floor to the clicked edge.
    laps: u8,
    clicks: &'static [(f64, f64)],
}

struct Sample {
    file: &'static str,
    photo: &'static str,
    job: &'static str,
    wall: &'static str,
    stands: Stands,
    units: Units,
    paper: Paper,
    stick_um: i64,
    layers: &'static [(i64, &'static str)],
    runs: [Run; 4],
}

const INCH: i64 = 25_400;

const SAMPLES: [Sample; 2] = [
    Sample {
        file: "hull-side.coldwright",
        photo: "demo-hull-side.jpg",
        job: "Tansy Lark, hull side",
        wall: "Hull side",
        stands: Stands::Upright,
        units: Units::Inches,
        paper: Paper::Letter,
        stick_um: 4_600,
        layers: &[(INCH, "XPS"), (INCH, "XPS"), (INCH, "XPS"), (INCH, "XPS")],
        runs: [
            Run {
                name: "Bottom",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, -12.0)],
                laps: 1,
                clicks: &[(640.0, 1377.5), (2410.0, 1274.5)],
            },
            Run {
                name: "Forward end",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, 0.0)],
                laps: 1,
                clicks: &[(2484.0, 1111.5), (2388.5, 932.5)],
            },
            Run {
                name: "Turn of the hull",
                kind: EdgeKind::Fair,
                bevel: &[(0.0, 18.0)],
                laps: 2,
                clicks: &[(2027.5, 605.0), (1787.0, 527.0), (1569.5, 496.0), (1150.5, 535.0), (920.5, 607.5)],
            },
            Run {
                name: "After end",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, 0.0)],
                laps: 2,
                clicks: &[(629.3, 840.0), (510.2, 1330.0)],
            },
        ],
    },
    Sample {
        file: "floor.coldwright",
        photo: "demo-floor-panel.jpg",
        job: "Tansy Lark, floor",
        wall: "Floor",
        stands: Stands::Floor,
        units: Units::Millimetres,
        paper: Paper::A4,
        stick_um: 5_500,
        layers: &[(25_000, "XPS"), (25_000, "XPS"), (25_000, "XPS")],
        runs: [
            Run {
                name: "Engine bulkhead",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, 0.0)],
                laps: 1,
                clicks: &[(505.0, 1648.5), (2270.0, 1604.2)],
            },
            Run {
                name: "Inboard end",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, 4.0)],
                laps: 2,
                clicks: &[(2409.3, 1545.0), (2354.2, 1120.0)],
            },
            Run {
                name: "Hull",
                kind: EdgeKind::Fair,
                bevel: &[(0.0, 24.0), (1.0, 17.0)],
                laps: 2,
                clicks: &[(1973.5, 719.5), (1731.5, 683.0), (1394.3, 657.3), (1084.3, 660.8), (729.8, 698.6)],
            },
            Run {
                name: "Outboard end",
                kind: EdgeKind::Straight,
                bevel: &[(0.0, 8.0)],
                laps: 2,
                clicks: &[(420.4, 960.0), (374.5, 1590.0)],
            },
        ],
    },
];

fn main() -> Result<(), Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    for sample in &SAMPLES {
        let job = trace(sample, &fs::read(folder.join("photos").join(sample.photo))?)?;
        for problem in checks(&job, &plan(&job)) {
            tell(&format!("{}: {problem}", sample.file));
        }
        fs::write(folder.join(sample.file), to_bytes(&job)?)?;
    }
    Ok(())
}

fn trace(sample: &Sample, bytes: &[u8]) -> Result<Job, Box<dyn Error>> {
    let picture = Picture::decode(bytes, &Limits::default())?;
    let seen = PhotoCards::new(&picture, &find_cards(&picture, CardKind::Printed));
    let sighting = Sighting {
        photo: PhotoId(0),
        size: (seen.width, seen.height),
        focal_px: seen.focal_prior_px,
        cards: seen.cards,
    };
    let mut job = apply(&Job::default(), &Edit::AddWall { name: sample.wall.to_owned() })?;
    let wall = job.walls.first().map_or(WallId(0), |w| w.id);
    let add = Edit::AddPhoto {
        wall,
        name: sample.photo.to_owned(),
        bytes: without_private_data(bytes)?.into(),
        sighting,
        kind: CardKind::Printed,
    };
    for edit in [
        Edit::NameJob(sample.job.to_owned()),
        Edit::SetUnits(sample.units),
        Edit::SetPaper(sample.paper),
        add,
    ] {
        job = apply(&job, &edit)?;
    }
    let layers = sample
        .layers
        .iter()
        .map(|(um, material)| LayerStock {
            before: Length::default(),
            thickness: Length::from_micrometres(*um),
            material: (*material).to_owned(),
        })
        .collect();
    let mut edits = vec![
        WallEdit::Stands(sample.stands),
        WallEdit::Stick(Length::from_micrometres(sample.stick_um)),
        WallEdit::Layers(layers),
    ];
    let photo = job.photos.first().map_or(PhotoId(0), |p| p.id);
    for run in &sample.runs {
        for edit in edits.drain(..) {
            job = apply(&job, &Edit::Wall(wall, edit))?;
        }
        let mut edge = None;
        for (x, y) in run.clicks {
            let place = Place::Pixel { photo, px: Point::new(*x, *y), height: Height::Laps(run.laps) };
            job = apply(&job, &Edit::Wall(wall, WallEdit::AddTick { edge, before: None, place }))?;
            edge = job.wall(wall).and_then(|w| w.template.edges.last()).map(|e| e.id);
        }
        let Some(edge) = edge else { continue };
        let bevel = run.bevel.iter().map(|(at, degrees)| BevelAt { at: *at, degrees: *degrees }).collect();
        edits.extend([
            WallEdit::NameEdge(edge, run.name.to_owned()),
            WallEdit::EdgeKind(edge, run.kind),
            WallEdit::Bevel(edge, bevel),
            WallEdit::Gap(edge, Length::from_micrometres(3_000)),
        ]);
    }
    for edit in edits {
        job = apply(&job, &Edit::Wall(wall, edit))?;
    }
    Ok(job)
}

fn tell(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stdout(), "{line}");
}
