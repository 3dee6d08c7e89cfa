//! The part of `job.json` that holds the hollow behind a wall.

use coldwright_geometry::Length;
use serde::{Deserialize, Serialize};

use crate::error::JobError;
use crate::format::{length, lengths, pair};
use crate::hollow::{Along, FirstLayers, HollowBehind, HollowShape};

#[derive(Serialize, Deserialize)]
pub(crate) struct HollowFile {
    along: AlongFile,
    from_mm: f64,
    shape: ShapeFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    other: Option<ShapeFile>,
    first_layers: FirstFile,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum AlongFile {
    Across,
    Up,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum ShapeFile {
    Radius { radius_mm: f64, length_mm: f64 },
    Gaps { length_mm: f64, at_gap_mm: Vec<[f64; 2]> },
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FirstFile {
    Flat,
    Strips { layers: u32, gap_mm: f64, widest_mm: f64, square_up_to_mm: f64 },
    Kerfs { layers: u32, web_mm: f64, kerf_mm: f64, spacing_mm: f64 },
}

fn shape_to_file(s: &HollowShape) -> ShapeFile {
    match s {
        HollowShape::Radius { radius, length } => {
            ShapeFile::Radius { radius_mm: radius.mm(), length_mm: length.mm() }
        }
        HollowShape::Gaps { length, gaps } => {
            ShapeFile::Gaps { length_mm: length.mm(), at_gap_mm: gaps.iter().copied().map(pair).collect() }
        }
    }
}

fn shape_from_file(s: ShapeFile) -> Result<HollowShape, JobError> {
    Ok(match s {
        ShapeFile::Radius { radius_mm, length_mm } => HollowShape::Radius {
            radius: length(radius_mm, "radius_mm")?,
            length: length(length_mm, "length_mm")?,
        },
        ShapeFile::Gaps { length_mm, at_gap_mm } => HollowShape::Gaps {
            length: length(length_mm, "length_mm")?,
            gaps: at_gap_mm.into_iter().map(|g| lengths(g, "at_gap_mm")).collect::<Result<_, _>>()?,
        },
    })
}

pub(crate) fn hollow_to_file(h: &HollowBehind) -> HollowFile {
    HollowFile {
        along: match h.along {
            Along::Across => AlongFile::Across,
            Along::Up => AlongFile::Up,
        },
        from_mm: h.from.mm(),
        shape: shape_to_file(&h.shape),
        other: h.other.as_ref().map(shape_to_file),
        first_layers: match h.first {
            FirstLayers::Flat => FirstFile::Flat,
            FirstLayers::Strips { layers, gap, widest, square_up_to } => FirstFile::Strips {
                layers,
                gap_mm: gap.mm(),
                widest_mm: widest.mm(),
                square_up_to_mm: square_up_to.mm(),
            },
            FirstLayers::Kerfs { layers, web, kerf, spacing } => {
                FirstFile::Kerfs { layers, web_mm: web.mm(), kerf_mm: kerf.mm(), spacing_mm: spacing.mm() }
            }
        },
    }
}

pub(crate) fn hollow_from_file(f: HollowFile) -> Result<HollowBehind, JobError> {
    let mm = |v: f64, what: &str| -> Result<Length, JobError> { length(v, what) };
    Ok(HollowBehind {
        along: match f.along {
            AlongFile::Across => Along::Across,
            AlongFile::Up => Along::Up,
        },
        from: mm(f.from_mm, "from_mm")?,
        shape: shape_from_file(f.shape)?,
        other: f.other.map(shape_from_file).transpose()?,
        first: match f.first_layers {
            FirstFile::Flat => FirstLayers::Flat,
            FirstFile::Strips { layers, gap_mm, widest_mm, square_up_to_mm } => FirstLayers::Strips {
                layers,
                gap: mm(gap_mm, "gap_mm")?,
                widest: mm(widest_mm, "widest_mm")?,
                square_up_to: mm(square_up_to_mm, "square_up_to_mm")?,
            },
            FirstFile::Kerfs { layers, web_mm, kerf_mm, spacing_mm } => FirstLayers::Kerfs {
                layers,
                web: mm(web_mm, "web_mm")?,
                kerf: mm(kerf_mm, "kerf_mm")?,
                spacing: mm(spacing_mm, "spacing_mm")?,
            },
        },
    })
}
