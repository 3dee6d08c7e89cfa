//! The part of `job.json` that holds what was taped and what else stands beside cards: the table as written, distances between ticks,
//! second sights, a known rectangle, a sketch.

use coldwright_canvas::measured::TieSide;
use coldwright_geometry::{Unit, Writing};
use kurbo::Point;
use serde::{Deserialize, Serialize};

use crate::distances::TapedDistance;
use crate::document::{PhotoId, TickId};
use crate::error::JobError;
use crate::format::{length, lengths, number, pair};
use crate::seen_again::SeenAgain;
use crate::taped::{OffsetLine, Taped, TapedWay};
use crate::without_cards::{KnownRectangle, Sketch};

#[derive(Serialize, Deserialize)]
pub(crate) struct TapedFile {
    way: WayFile,
    table: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    lengths: Vec<String>,
    unit: UnitFile,
    #[serde(default)]
    feet_inches_eighths: bool,
    sd_mm: f64,
    #[serde(default)]
    rule_end_mm: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WayFile {
    AcrossAndUp,
    Offsets { line: LineFile, stick_mm: f64 },
    Ties { known: Vec<String>, side: SideFile },
    TickStick { notch_mm: f64, tip_mm: f64, aside_mm: f64 },
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum LineFile {
    Level,
    PlumbDown,
    PlumbUp,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum SideFile {
    Left,
    Right,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum UnitFile {
    Mm,
    Cm,
    M,
    Inch,
    Foot,
}

#[derive(Copy, Clone, Serialize, Deserialize)]
pub(crate) struct DistanceFile {
    from: u32,
    to: u32,
    length_mm: f64,
    sd_mm: f64,
    counts: bool,
}

fn lines(text: &str) -> Vec<String> {
    text.lines().map(str::to_owned).collect()
}

pub(crate) fn taped_to_file(t: &Taped) -> TapedFile {
    TapedFile {
        way: match &t.way {
            TapedWay::AcrossAndUp => WayFile::AcrossAndUp,
            TapedWay::Offsets { line, stick } => WayFile::Offsets {
                line: match line {
                    OffsetLine::Level => LineFile::Level,
                    OffsetLine::PlumbDown => LineFile::PlumbDown,
                    OffsetLine::PlumbUp => LineFile::PlumbUp,
                },
                stick_mm: stick.mm(),
            },
            TapedWay::Ties { known, side } => WayFile::Ties {
                known: lines(known),
                side: match side {
                    TieSide::Left => SideFile::Left,
                    TieSide::Right => SideFile::Right,
                },
            },
            TapedWay::TickStick { notch, tip, aside } => {
                WayFile::TickStick { notch_mm: notch.mm(), tip_mm: tip.mm(), aside_mm: aside.mm() }
            }
        },
        table: lines(&t.table),
        lengths: lines(&t.lengths),
        unit: match t.bare {
            Unit::Mm => UnitFile::Mm,
            Unit::Cm => UnitFile::Cm,
            Unit::M => UnitFile::M,
            Unit::Inch => UnitFile::Inch,
            Unit::Foot => UnitFile::Foot,
        },
        feet_inches_eighths: t.writing == Writing::FeetInchesEighths,
        sd_mm: t.sd,
        rule_end_mm: t.rule_end.mm(),
    }
}

pub(crate) fn taped_from_file(f: TapedFile) -> Result<Taped, JobError> {
    Ok(Taped {
        way: match f.way {
            WayFile::AcrossAndUp => TapedWay::AcrossAndUp,
            WayFile::Offsets { line, stick_mm } => TapedWay::Offsets {
                line: match line {
                    LineFile::Level => OffsetLine::Level,
                    LineFile::PlumbDown => OffsetLine::PlumbDown,
                    LineFile::PlumbUp => OffsetLine::PlumbUp,
                },
                stick: length(stick_mm, "stick_mm")?,
            },
            WayFile::Ties { known, side } => TapedWay::Ties {
                known: known.join("\n"),
                side: match side {
                    SideFile::Left => TieSide::Left,
                    SideFile::Right => TieSide::Right,
                },
            },
            WayFile::TickStick { notch_mm, tip_mm, aside_mm } => TapedWay::TickStick {
                notch: length(notch_mm, "notch_mm")?,
                tip: length(tip_mm, "tip_mm")?,
                aside: length(aside_mm, "aside_mm")?,
            },
        },
        table: f.table.join("\n"),
        lengths: f.lengths.join("\n"),
        bare: match f.unit {
            UnitFile::Mm => Unit::Mm,
            UnitFile::Cm => Unit::Cm,
            UnitFile::M => Unit::M,
            UnitFile::Inch => Unit::Inch,
            UnitFile::Foot => Unit::Foot,
        },
        writing: if f.feet_inches_eighths { Writing::FeetInchesEighths } else { Writing::Plain },
        sd: number(f.sd_mm, "sd_mm")?,
        rule_end: length(f.rule_end_mm, "rule_end_mm")?,
    })
}

pub(crate) fn distance_to_file(d: &TapedDistance) -> DistanceFile {
    DistanceFile { from: d.from.0, to: d.to.0, length_mm: d.length.mm(), sd_mm: d.sd, counts: d.counts }
}

pub(crate) fn distance_from_file(d: DistanceFile) -> Result<TapedDistance, JobError> {
    Ok(TapedDistance {
        from: TickId(d.from),
        to: TickId(d.to),
        length: length(d.length_mm, "length_mm")?,
        sd: number(d.sd_mm, "sd_mm")?,
        counts: d.counts,
    })
}

#[derive(Copy, Clone, Serialize, Deserialize)]
pub(crate) struct AgainFile {
    tick: u32,
    photo: u32,
    px: [f64; 2],
}

#[derive(Copy, Clone, Serialize, Deserialize)]
pub(crate) struct RectangleFile {
    photo: u32,
    corners_px: [[f64; 2]; 4],
    size_mm: [f64; 2],
    diagonals_mm: [f64; 2],
}

#[derive(Copy, Clone, Serialize, Deserialize)]
pub(crate) struct SketchFile {
    photo: u32,
    from_px: [f64; 2],
    to_px: [f64; 2],
    length_mm: f64,
}

fn xy(p: Point) -> [f64; 2] {
    [p.x, p.y]
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

pub(crate) fn again_to_file(a: &SeenAgain) -> AgainFile {
    AgainFile { tick: a.tick.0, photo: a.photo.0, px: xy(a.px) }
}

pub(crate) fn again_from_file(f: AgainFile) -> SeenAgain {
    SeenAgain { tick: TickId(f.tick), photo: PhotoId(f.photo), px: point(f.px) }
}

pub(crate) fn rectangle_to_file(r: &KnownRectangle) -> RectangleFile {
    RectangleFile {
        photo: r.photo.0,
        corners_px: r.corners.map(xy),
        size_mm: pair((r.width, r.height)),
        diagonals_mm: pair(r.diagonals),
    }
}

pub(crate) fn rectangle_from_file(f: RectangleFile) -> Result<KnownRectangle, JobError> {
    let (width, height) = lengths(f.size_mm, "size_mm")?;
    Ok(KnownRectangle {
        photo: PhotoId(f.photo),
        corners: f.corners_px.map(point),
        width,
        height,
        diagonals: lengths(f.diagonals_mm, "diagonals_mm")?,
    })
}

pub(crate) fn sketch_to_file(s: &Sketch) -> SketchFile {
    SketchFile { photo: s.photo.0, from_px: xy(s.from), to_px: xy(s.to), length_mm: s.length.mm() }
}

pub(crate) fn sketch_from_file(f: SketchFile) -> Result<Sketch, JobError> {
    Ok(Sketch {
        photo: PhotoId(f.photo),
        from: point(f.from_px),
        to: point(f.to_px),
        length: length(f.length_mm, "length_mm")?,
    })
}
