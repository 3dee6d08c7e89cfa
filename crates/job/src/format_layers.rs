//! The part of `job.json` that holds a wall's layers, its liner and the trims taken while it was fitted.

use coldwright_geometry::Length;
use serde::{Deserialize, Serialize};

use crate::document::{EdgeId, LayerStock};
use crate::error::JobError;
use crate::format::{length, number};
use crate::lid::SteppedLid;
use crate::lining::{Fitted, Lining, LiningEdge, TrimAt};

#[derive(Serialize, Deserialize)]
pub(crate) struct LayerFile {
    thickness_mm: f64,
    material: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    space_before_mm: Option<f64>,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct LiningFile {
    sheet_mm: f64,
    material: String,
    bond_mm: f64,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    edges: Vec<LiningEdgeFile>,
}

#[derive(Serialize, Deserialize)]
struct LiningEdgeFile {
    edge: u32,
    meets: MeetsFile,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum MeetsFile {
    StopsShort,
    RunsPast,
    Free,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct LidFile {
    ledges_mm: Vec<f64>,
    draft_deg: f64,
    clearance_mm: f64,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct FittedFile {
    layer: u32,
    edge: u32,
    trims: Vec<TrimFile>,
}

#[derive(Serialize, Deserialize)]
struct TrimFile {
    at: f64,
    trim_mm: f64,
}

pub(crate) fn layer_to_file(l: &LayerStock) -> LayerFile {
    LayerFile {
        thickness_mm: l.thickness.mm(),
        material: l.material.clone(),
        space_before_mm: Some(l.before.mm()).filter(|mm| *mm != 0.0),
    }
}

pub(crate) fn layer_from_file(l: LayerFile) -> Result<LayerStock, JobError> {
    Ok(LayerStock {
        thickness: length(l.thickness_mm, "thickness_mm")?,
        material: l.material,
        before: l.space_before_mm.map_or(Ok(Length::default()), |mm| length(mm, "space_before_mm"))?,
    })
}

pub(crate) fn lining_to_file(l: &Lining) -> LiningFile {
    LiningFile {
        sheet_mm: l.sheet.mm(),
        material: l.material.clone(),
        bond_mm: l.bond.mm(),
        edges: l
            .edges
            .iter()
            .map(|(edge, meets)| LiningEdgeFile {
                edge: edge.0,
                meets: match meets {
                    LiningEdge::StopsShort => MeetsFile::StopsShort,
                    LiningEdge::RunsPast => MeetsFile::RunsPast,
                    LiningEdge::Free => MeetsFile::Free,
                },
            })
            .collect(),
    }
}

pub(crate) fn lining_from_file(l: LiningFile) -> Result<Lining, JobError> {
    Ok(Lining {
        sheet: length(l.sheet_mm, "sheet_mm")?,
        material: l.material,
        bond: length(l.bond_mm, "bond_mm")?,
        edges: l
            .edges
            .into_iter()
            .map(|e| {
                let meets = match e.meets {
                    MeetsFile::StopsShort => LiningEdge::StopsShort,
                    MeetsFile::RunsPast => LiningEdge::RunsPast,
                    MeetsFile::Free => LiningEdge::Free,
                };
                (EdgeId(e.edge), meets)
            })
            .collect(),
    })
}

pub(crate) fn fitted_to_file(f: &Fitted) -> FittedFile {
    FittedFile {
        layer: f.layer,
        edge: f.edge.0,
        trims: f.trims.iter().map(|t| TrimFile { at: t.at, trim_mm: t.trim.mm() }).collect(),
    }
}

pub(crate) fn fitted_from_file(f: FittedFile) -> Result<Fitted, JobError> {
    let trim = |t: TrimFile| Ok(TrimAt { at: number(t.at, "at")?, trim: length(t.trim_mm, "trim_mm")? });
    Ok(Fitted {
        layer: f.layer,
        edge: EdgeId(f.edge),
        trims: f.trims.into_iter().map(trim).collect::<Result<_, JobError>>()?,
    })
}

pub(crate) fn lid_to_file(l: &SteppedLid) -> LidFile {
    LidFile {
        ledges_mm: l.ledges.iter().map(|w| w.mm()).collect(),
        draft_deg: l.draft_deg,
        clearance_mm: l.clearance.mm(),
    }
}

pub(crate) fn lid_from_file(l: LidFile) -> Result<SteppedLid, JobError> {
    Ok(SteppedLid {
        ledges: l.ledges_mm.into_iter().map(|mm| length(mm, "ledges_mm")).collect::<Result<_, _>>()?,
        draft_deg: number(l.draft_deg, "draft_deg")?,
        clearance: length(l.clearance_mm, "clearance_mm")?,
    })
}
