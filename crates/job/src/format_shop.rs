//! The part of `job.json` beyond the walls: joints, opening, stock, seams, order, layout.

use kurbo::Point;
use serde::{Deserialize, Serialize};

use crate::compartments::Compartment;
use crate::corners::{EdgeOf, Joint, JointId, JointKind};
use crate::document::{EdgeId, Job, WallId};
use crate::error::JobError;
use crate::format::{length, number};
use crate::workshop::{
    Cutting, KeptLayout, KeptPlace, LayerSeams, Opening, OpeningPlace, OpeningShape, PieceId, Seam,
    SeamStyle, SheetShape, StockSheet,
};

/// Everything beyond the walls. A file of version 1 has none of it and gets what a new job has.
#[derive(Serialize, Deserialize, Default)]
pub(crate) struct ShopFile {
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    joints: Vec<JointFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    compartments: Vec<CompartmentFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    opening: Option<OpeningFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stock: Option<Vec<StockFile>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    cutting: Option<CuttingFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    seams: Vec<LayerSeamsFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    order: Vec<PieceFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    layout: Option<LayoutFile>,
}

#[derive(Serialize, Deserialize)]
struct JointFile {
    id: u32,
    /// Wall, edge.
    a: [u32; 2],
    b: [u32; 2],
    kind: KindFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    angle_deg: Option<f64>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum KindFile {
    RunsPast,
    StopsShort,
    WovenFirstRuns,
    WovenFirstStops,
    Mitred,
}

#[derive(Serialize, Deserialize)]
struct CompartmentFile {
    back: u32,
    front: u32,
    name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    opening: Option<OpeningFile>,
}

#[derive(Serialize, Deserialize)]
struct OpeningFile {
    shape: OpeningShapeFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    behind_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    place: Option<OpeningPlaceFile>,
}

#[derive(Serialize, Deserialize)]
struct OpeningPlaceFile {
    wall: u32,
    at_mm: [f64; 2],
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum OpeningShapeFile {
    Rectangle { width_mm: f64, height_mm: f64, corner_mm: f64 },
    Round { diameter_mm: f64 },
}

#[derive(Serialize, Deserialize)]
struct StockFile {
    name: String,
    material: String,
    thickness_mm: f64,
    shape: SheetFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    owned: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum SheetFile {
    RectangleMm([f64; 2]),
    OutlineMm(Vec<[f64; 2]>),
}

#[derive(Serialize, Deserialize)]
struct CuttingFile {
    kerf_mm: f64,
    apart_mm: f64,
    margin_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    throat_mm: Option<f64>,
    tilt_deg: [u8; 2],
    blade_mm: f64,
    stagger_mm: f64,
    /// From version 3 on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    clear_mm: Option<f64>,
    spare_percent: u8,
    can_litres: u32,
    fillet_mm: f64,
}

#[derive(Serialize, Deserialize)]
struct PieceFile {
    wall: u32,
    layer: u32,
    part: u32,
}

#[derive(Serialize, Deserialize)]
struct LayerSeamsFile {
    wall: u32,
    layer: u32,
    seams: Vec<SeamFile>,
}

#[derive(Serialize, Deserialize)]
struct SeamFile {
    from_mm: [f64; 2],
    to_mm: [f64; 2],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    half_lap_mm: Option<f64>,
}

#[derive(Serialize, Deserialize)]
struct LayoutFile {
    seed: u64,
    moves: u64,
    places: Vec<PlaceFile>,
    /// From version 3 on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    left: Vec<PieceFile>,
    /// From version 3 on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    short: Vec<(String, u32)>,
}

#[derive(Serialize, Deserialize)]
struct PlaceFile {
    piece: PieceFile,
    stock: String,
    nth: u32,
    turn_deg: f64,
    at_mm: [f64; 2],
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    locked: bool,
}

pub(crate) fn shop_to_file(job: &Job) -> ShopFile {
    ShopFile {
        joints: job.joints.iter().map(joint_to_file).collect(),
        compartments: job
            .compartments
            .iter()
            .map(|c| CompartmentFile {
                back: c.back.0,
                front: c.front.0,
                name: c.name.clone(),
                opening: c.opening.map(opening_to_file),
            })
            .collect(),
        opening: job.opening.map(opening_to_file),
        stock: Some(job.stock.iter().map(stock_to_file).collect()),
        cutting: Some(CuttingFile {
            kerf_mm: job.cutting.kerf.mm(),
            apart_mm: job.cutting.apart.mm(),
            margin_mm: job.cutting.margin.mm(),
            throat_mm: job.cutting.throat.map(coldwright_geometry::Length::mm),
            tilt_deg: [job.cutting.tilt.0, job.cutting.tilt.1],
            blade_mm: job.cutting.blade.mm(),
            stagger_mm: job.cutting.stagger.mm(),
            clear_mm: Some(job.cutting.clear.mm()),
            spare_percent: job.cutting.spare,
            can_litres: job.cutting.can_litres,
            fillet_mm: job.cutting.fillet.mm(),
        }),
        seams: job.seams.iter().map(seams_to_file).collect(),
        order: job.order.iter().map(piece_to_file).collect(),
        layout: job.layout.as_ref().map(|l| LayoutFile {
            seed: l.seed,
            moves: l.moves,
            places: l.places.iter().map(place_to_file).collect(),
            left: l.left.iter().map(piece_to_file).collect(),
            short: l.short.clone(),
        }),
    }
}

fn joint_to_file(j: &Joint) -> JointFile {
    JointFile {
        id: j.id.0,
        a: [j.a.wall.0, j.a.edge.0],
        b: [j.b.wall.0, j.b.edge.0],
        kind: match j.kind {
            JointKind::RunsPast => KindFile::RunsPast,
            JointKind::StopsShort => KindFile::StopsShort,
            JointKind::Woven { first_runs: true } => KindFile::WovenFirstRuns,
            JointKind::Woven { first_runs: false } => KindFile::WovenFirstStops,
            JointKind::Mitred => KindFile::Mitred,
        },
        angle_deg: j.degrees,
    }
}

fn stock_to_file(s: &StockSheet) -> StockFile {
    StockFile {
        name: s.name.clone(),
        material: s.material.clone(),
        thickness_mm: s.thickness.mm(),
        shape: match &s.shape {
            SheetShape::Rectangle { width, length } => SheetFile::RectangleMm([width.mm(), length.mm()]),
            SheetShape::Outline(ring) => SheetFile::OutlineMm(ring.iter().map(|p| [p.x, p.y]).collect()),
        },
        owned: s.owned,
    }
}

fn seams_to_file(s: &LayerSeams) -> LayerSeamsFile {
    let one = |s: &Seam| SeamFile {
        from_mm: [s.from.x, s.from.y],
        to_mm: [s.to.x, s.to.y],
        half_lap_mm: match s.style {
            SeamStyle::Butt => None,
            SeamStyle::HalfLap(width) => Some(width.mm()),
        },
    };
    LayerSeamsFile { wall: s.wall.0, layer: s.layer, seams: s.seams.iter().map(one).collect() }
}

fn piece_to_file(p: &PieceId) -> PieceFile {
    PieceFile { wall: p.wall.0, layer: p.layer, part: p.part }
}

fn place_to_file(p: &KeptPlace) -> PlaceFile {
    PlaceFile {
        piece: piece_to_file(&p.piece),
        stock: p.stock.clone(),
        nth: p.nth,
        turn_deg: p.turn_deg,
        at_mm: [p.at.x, p.at.y],
        locked: p.locked,
    }
}

fn opening_to_file(o: Opening) -> OpeningFile {
    OpeningFile {
        shape: match o.shape {
            OpeningShape::Rectangle { width, height, corner } => OpeningShapeFile::Rectangle {
                width_mm: width.mm(),
                height_mm: height.mm(),
                corner_mm: corner.mm(),
            },
            OpeningShape::Round { diameter } => OpeningShapeFile::Round { diameter_mm: diameter.mm() },
        },
        behind_mm: o.behind.map(coldwright_geometry::Length::mm),
        place: o.place.map(|p| OpeningPlaceFile { wall: p.wall.0, at_mm: [p.at.0.mm(), p.at.1.mm()] }),
    }
}

/// Puts what stands in the file into a job that has its walls.
pub(crate) fn shop_from_file(f: ShopFile, job: &mut Job) -> Result<(), JobError> {
    job.joints = f.joints.iter().map(joint_from_file).collect();
    let compartment = |c: &CompartmentFile| {
        let opening = c.opening.as_ref().map(opening_from_file).transpose()?;
        Ok(Compartment { back: WallId(c.back), front: WallId(c.front), name: c.name.clone(), opening })
    };
    job.compartments = f.compartments.iter().map(compartment).collect::<Result<_, JobError>>()?;
    job.opening = f.opening.as_ref().map(opening_from_file).transpose()?;
    if let Some(stock) = f.stock {
        job.stock = stock.into_iter().map(stock_from_file).collect::<Result<_, _>>()?;
    }
    if let Some(c) = f.cutting {
        job.cutting = cutting_from_file(&c)?;
    }
    job.seams = f.seams.into_iter().map(seams_from_file).collect::<Result<_, _>>()?;
    job.order = f.order.iter().map(piece_from_file).collect();
    job.layout = f.layout.map(layout_from_file).transpose()?;
    Ok(())
}

fn joint_from_file(j: &JointFile) -> Joint {
    let at = |[wall, edge]: [u32; 2]| EdgeOf { wall: WallId(wall), edge: EdgeId(edge) };
    Joint {
        id: JointId(j.id),
        a: at(j.a),
        b: at(j.b),
        kind: match j.kind {
            KindFile::RunsPast => JointKind::RunsPast,
            KindFile::StopsShort => JointKind::StopsShort,
            KindFile::WovenFirstRuns => JointKind::Woven { first_runs: true },
            KindFile::WovenFirstStops => JointKind::Woven { first_runs: false },
            KindFile::Mitred => JointKind::Mitred,
        },
        degrees: j.angle_deg,
    }
}

fn place_from_file(f: &OpeningPlaceFile) -> Result<OpeningPlace, JobError> {
    let at = (length(f.at_mm[0], "at_mm")?, length(f.at_mm[1], "at_mm")?);
    Ok(OpeningPlace { wall: WallId(f.wall), at })
}

fn opening_from_file(f: &OpeningFile) -> Result<Opening, JobError> {
    Ok(Opening {
        shape: match f.shape {
            OpeningShapeFile::Rectangle { width_mm, height_mm, corner_mm } => OpeningShape::Rectangle {
                width: length(width_mm, "width_mm")?,
                height: length(height_mm, "height_mm")?,
                corner: length(corner_mm, "corner_mm")?,
            },
            OpeningShapeFile::Round { diameter_mm } => {
                OpeningShape::Round { diameter: length(diameter_mm, "diameter_mm")? }
            }
        },
        behind: f.behind_mm.map(|mm| length(mm, "behind_mm")).transpose()?,
        place: f.place.as_ref().map(place_from_file).transpose()?,
    })
}

fn stock_from_file(f: StockFile) -> Result<StockSheet, JobError> {
    Ok(StockSheet {
        name: f.name,
        material: f.material,
        thickness: length(f.thickness_mm, "thickness_mm")?,
        shape: match f.shape {
            SheetFile::RectangleMm([w, l]) => SheetShape::Rectangle {
                width: length(w, "rectangle_mm")?,
                length: length(l, "rectangle_mm")?,
            },
            SheetFile::OutlineMm(ring) => {
                SheetShape::Outline(ring.into_iter().map(point).collect::<Result<_, _>>()?)
            }
        },
        owned: f.owned,
    })
}

fn cutting_from_file(c: &CuttingFile) -> Result<Cutting, JobError> {
    Ok(Cutting {
        kerf: length(c.kerf_mm, "kerf_mm")?,
        apart: length(c.apart_mm, "apart_mm")?,
        margin: length(c.margin_mm, "margin_mm")?,
        throat: c.throat_mm.map(|mm| length(mm, "throat_mm")).transpose()?,
        tilt: (c.tilt_deg[0], c.tilt_deg[1]),
        blade: length(c.blade_mm, "blade_mm")?,
        stagger: length(c.stagger_mm, "stagger_mm")?,
        clear: c.clear_mm.map_or(Ok(Cutting::default().clear), |mm| length(mm, "clear_mm"))?,
        spare: c.spare_percent,
        can_litres: c.can_litres,
        fillet: length(c.fillet_mm, "fillet_mm")?,
    })
}

fn piece_from_file(p: &PieceFile) -> PieceId {
    PieceId { wall: WallId(p.wall), layer: p.layer, part: p.part }
}

fn seams_from_file(f: LayerSeamsFile) -> Result<LayerSeams, JobError> {
    let one = |s: SeamFile| {
        let style = match s.half_lap_mm {
            None => SeamStyle::Butt,
            Some(mm) => SeamStyle::HalfLap(length(mm, "half_lap_mm")?),
        };
        Ok(Seam { from: point(s.from_mm)?, to: point(s.to_mm)?, style })
    };
    let seams = f.seams.into_iter().map(one).collect::<Result<_, JobError>>()?;
    Ok(LayerSeams { wall: WallId(f.wall), layer: f.layer, seams })
}

fn layout_from_file(f: LayoutFile) -> Result<KeptLayout, JobError> {
    let one = |p: PlaceFile| {
        Ok(KeptPlace {
            piece: piece_from_file(&p.piece),
            stock: p.stock,
            nth: p.nth,
            turn_deg: number(p.turn_deg, "turn_deg")?,
            at: point(p.at_mm)?,
            locked: p.locked,
        })
    };
    let places = f.places.into_iter().map(one).collect::<Result<_, JobError>>()?;
    let left = f.left.iter().map(piece_from_file).collect();
    Ok(KeptLayout { seed: f.seed, moves: f.moves, places, left, short: f.short })
}

fn point([x, y]: [f64; 2]) -> Result<Point, JobError> {
    Ok(Point::new(number(x, "a point")?, number(y, "a point")?))
}
