//! The part of `job.json` that holds a template: cards seen, ticks, edges.

use coldwright_canvas::{CardKind, CardSeen, Crossing};
use coldwright_geometry::EdgeKind;
use kurbo::Point;
use serde::{Deserialize, Serialize};

use crate::document::{EdgeId, PhotoId, TickId};

use crate::error::JobError;
use crate::format::{length, lengths, number, pair};
use crate::format_hole::{HoleFile, hole_from_file, hole_to_file};
use crate::format_taped::{
    AgainFile, DistanceFile, RectangleFile, SketchFile, TapedFile, again_from_file, again_to_file,
    distance_from_file, distance_to_file, rectangle_from_file, rectangle_to_file, sketch_from_file,
    sketch_to_file, taped_from_file, taped_to_file,
};
use crate::template::{BevelAt, Edge, Height, Place, SeenFrom, Sighting, Sightings, TakenAt, Template, Tick};

#[derive(Serialize, Deserialize)]
pub(crate) struct TemplateFile {
    seen_from: SeenFile,
    taken_at: TakenFile,
    stick_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sightings: Option<SightingsFile>,
    ticks: Vec<TickFile>,
    edges: Vec<EdgeFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    base_edge: Option<u32>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    holes: Vec<HoleFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    taped: Option<TapedFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    distances: Vec<DistanceFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    again: Vec<AgainFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rectangle: Option<RectangleFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sketch: Option<SketchFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    drawn_from: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum SeenFile {
    BoxSide,
    HullSide,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum TakenFile {
    FromOuterMm(f64),
    FromInnerMm(f64),
}

#[derive(Serialize, Deserialize)]
struct SightingsFile {
    card: CardFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    printed_mm: Option<[f64; 2]>,
    #[serde(default)]
    left_out: Vec<u32>,
    click_px: f64,
    finder: u32,
    photos: Vec<SightingFile>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum CardFile {
    Printed,
    PlainBlackEdgeMm(f64),
}

#[derive(Serialize, Deserialize)]
struct SightingFile {
    photo: u32,
    size_px: [u32; 2],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    focal_px: Option<f64>,
    cards: Vec<CardSeenFile>,
}

#[derive(Serialize, Deserialize)]
struct CardSeenFile {
    number: u32,
    half_size: bool,
    corners_px: [[f64; 2]; 4],
    /// Card x and y in mm, picture x and y in px, standard uncertainty in px.
    crossings: Vec<[f64; 5]>,
}

#[derive(Serialize, Deserialize)]
struct TickFile {
    id: u32,
    #[serde(flatten)]
    place: PlaceFile,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum PlaceFile {
    Pixel { photo: u32, px: [f64; 2], height: HeightFile },
    Typed { mm: [f64; 2], sd_mm: f64 },
    Taped { point: String },
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum HeightFile {
    Laps(u8),
    Mm(f64),
}

#[derive(Serialize, Deserialize)]
struct EdgeFile {
    id: u32,
    name: String,
    kind: EdgeKindFile,
    ticks: Vec<u32>,
    bevel: Vec<BevelFile>,
    gap_mm: f64,
    #[serde(default)]
    smoothing_mm: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum EdgeKindFile {
    Straight,
    Fair,
}

#[derive(Serialize, Deserialize)]
struct BevelFile {
    at: f64,
    angle_deg: f64,
}

fn xy(p: Point) -> [f64; 2] {
    [p.x, p.y]
}

pub(crate) fn template_to_file(t: &Template) -> TemplateFile {
    TemplateFile {
        seen_from: match t.seen_from {
            SeenFrom::BoxSide => SeenFile::BoxSide,
            SeenFrom::HullSide => SeenFile::HullSide,
        },
        taken_at: match t.taken_at {
            TakenAt::FromOuter(l) => TakenFile::FromOuterMm(l.mm()),
            TakenAt::FromInner(l) => TakenFile::FromInnerMm(l.mm()),
        },
        stick_mm: t.stick.mm(),
        sightings: t.sightings.as_ref().map(|s| SightingsFile {
            card: match s.kind {
                CardKind::Printed => CardFile::Printed,
                CardKind::Plain { black_edge_mm } => CardFile::PlainBlackEdgeMm(black_edge_mm),
            },
            printed_mm: s.printed.map(pair),
            left_out: s.left_out.clone(),
            click_px: s.click_px,
            finder: s.finder,
            photos: s.photos.iter().map(sighting_to_file).collect(),
        }),
        ticks: t.ticks.iter().map(tick_to_file).collect(),
        edges: t.edges.iter().map(edge_to_file).collect(),
        base_edge: t.base.map(|b| b.0),
        holes: t.holes.iter().map(hole_to_file).collect(),
        taped: t.taped.as_ref().map(taped_to_file),
        distances: t.distances.iter().map(distance_to_file).collect(),
        again: t.again.iter().map(again_to_file).collect(),
        rectangle: t.rectangle.as_ref().map(rectangle_to_file),
        sketch: t.sketch.as_ref().map(sketch_to_file),
        drawn_from: t.drawn_from.clone(),
    }
}

fn sighting_to_file(s: &Sighting) -> SightingFile {
    SightingFile {
        photo: s.photo.0,
        size_px: [s.size.0, s.size.1],
        focal_px: s.focal_px,
        cards: s
            .cards
            .iter()
            .map(|c| CardSeenFile {
                number: c.number,
                half_size: c.half_size,
                corners_px: c.corners_px.map(xy),
                crossings: c
                    .crossings
                    .iter()
                    .map(|x| [x.card_mm.x, x.card_mm.y, x.px.x, x.px.y, x.sd_px])
                    .collect(),
            })
            .collect(),
    }
}

fn tick_to_file(t: &Tick) -> TickFile {
    TickFile {
        id: t.id.0,
        place: match &t.place {
            Place::Pixel { photo, px, height } => PlaceFile::Pixel {
                photo: photo.0,
                px: xy(*px),
                height: match height {
                    Height::Laps(n) => HeightFile::Laps(*n),
                    Height::Stated(l) => HeightFile::Mm(l.mm()),
                },
            },
            Place::Typed { at, sd } => PlaceFile::Typed { mm: xy(*at), sd_mm: *sd },
            Place::Taped { point } => PlaceFile::Taped { point: point.clone() },
        },
    }
}

fn edge_to_file(e: &Edge) -> EdgeFile {
    EdgeFile {
        id: e.id.0,
        name: e.name.clone(),
        kind: match e.kind {
            EdgeKind::Straight => EdgeKindFile::Straight,
            EdgeKind::Fair => EdgeKindFile::Fair,
        },
        ticks: e.ticks.iter().map(|t| t.0).collect(),
        bevel: e.bevel.iter().map(|b| BevelFile { at: b.at, angle_deg: b.degrees }).collect(),
        gap_mm: e.gap.mm(),
        smoothing_mm: e.smoothing.mm(),
    }
}

pub(crate) fn template_from_file(f: TemplateFile) -> Result<Template, JobError> {
    Ok(Template {
        seen_from: match f.seen_from {
            SeenFile::BoxSide => SeenFrom::BoxSide,
            SeenFile::HullSide => SeenFrom::HullSide,
        },
        taken_at: match f.taken_at {
            TakenFile::FromOuterMm(mm) => TakenAt::FromOuter(length(mm, "from_outer_mm")?),
            TakenFile::FromInnerMm(mm) => TakenAt::FromInner(length(mm, "from_inner_mm")?),
        },
        stick: length(f.stick_mm, "stick_mm")?,
        sightings: f.sightings.map(sightings_from_file).transpose()?,
        ticks: f.ticks.into_iter().map(tick_from_file).collect::<Result<_, _>>()?,
        edges: f.edges.into_iter().map(edge_from_file).collect::<Result<_, _>>()?,
        base: f.base_edge.map(EdgeId),
        holes: f.holes.into_iter().map(hole_from_file).collect::<Result<_, _>>()?,
        taped: f.taped.map(taped_from_file).transpose()?,
        distances: f.distances.into_iter().map(distance_from_file).collect::<Result<_, _>>()?,
        again: f.again.into_iter().map(again_from_file).collect(),
        rectangle: f.rectangle.map(rectangle_from_file).transpose()?,
        sketch: f.sketch.map(sketch_from_file).transpose()?,
        drawn_from: f.drawn_from,
    })
}

fn sightings_from_file(f: SightingsFile) -> Result<Sightings, JobError> {
    Ok(Sightings {
        kind: match f.card {
            CardFile::Printed => CardKind::Printed,
            CardFile::PlainBlackEdgeMm(mm) => CardKind::Plain { black_edge_mm: number(mm, "card")? },
        },
        printed: f.printed_mm.map(|p| lengths(p, "printed_mm")).transpose()?,
        left_out: f.left_out,
        click_px: number(f.click_px, "click_px")?,
        finder: f.finder,
        photos: f
            .photos
            .into_iter()
            .map(|s| {
                Ok(Sighting {
                    photo: PhotoId(s.photo),
                    size: (s.size_px[0], s.size_px[1]),
                    focal_px: s.focal_px.map(|v| number(v, "focal_px")).transpose()?,
                    cards: s.cards.into_iter().map(card_from_file).collect(),
                })
            })
            .collect::<Result<_, JobError>>()?,
    })
}

fn card_from_file(c: CardSeenFile) -> CardSeen {
    CardSeen {
        number: c.number,
        half_size: c.half_size,
        corners_px: c.corners_px.map(point),
        crossings: c
            .crossings
            .into_iter()
            .map(|[x, y, u, v, sd]| Crossing { card_mm: Point::new(x, y), px: Point::new(u, v), sd_px: sd })
            .collect(),
    }
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

fn tick_from_file(f: TickFile) -> Result<Tick, JobError> {
    Ok(Tick {
        id: TickId(f.id),
        place: match f.place {
            PlaceFile::Pixel { photo, px, height } => Place::Pixel {
                photo: PhotoId(photo),
                px: point(px),
                height: match height {
                    HeightFile::Laps(n) => Height::Laps(n),
                    HeightFile::Mm(mm) => Height::Stated(length(mm, "height")?),
                },
            },
            PlaceFile::Typed { mm, sd_mm } => Place::Typed { at: point(mm), sd: number(sd_mm, "sd_mm")? },
            PlaceFile::Taped { point } => Place::Taped { point },
        },
    })
}

fn edge_from_file(f: EdgeFile) -> Result<Edge, JobError> {
    Ok(Edge {
        id: EdgeId(f.id),
        name: f.name,
        kind: match f.kind {
            EdgeKindFile::Straight => EdgeKind::Straight,
            EdgeKindFile::Fair => EdgeKind::Fair,
        },
        ticks: f.ticks.into_iter().map(TickId).collect(),
        bevel: f.bevel.into_iter().map(|b| BevelAt { at: b.at, degrees: b.angle_deg }).collect(),
        gap: length(f.gap_mm, "gap_mm")?,
        smoothing: length(f.smoothing_mm, "smoothing_mm")?,
    })
}
