//! `coldwright measure`: cards found, plane solved, pixels to millimetres.

use std::path::{Path, PathBuf};

use clap::Args;
use coldwright_canvas::{CardKind, Click, PhotoCards, PlaneSolve, Point, PrintScale, SolveOptions, solve};
use serde_json::{Value, json};

use super::length_mm;
use crate::error::AppError;
use crate::import::{Imported, photo};
use crate::{files, say};

/// Standard uncertainty of a click, photo pixels, unless `--click` says otherwise.
const CLICK_PX: f64 = coldwright_job::DEFAULT_CLICK_PX;
/// Standard uncertainty of a height given with a point, mm.
const HEIGHT_SD_MM: f64 = 0.0;

#[derive(Debug, Args)]
pub(super) struct Words {
    /// Photos of one layout of cards.
    #[arg(required = true)]
    photos: Vec<PathBuf>,
    /// Plain tags whose black square measures this (such as 150mm) instead of the printed card.
    #[arg(long, value_name = "SIZE", value_parser = length_mm)]
    card: Option<f64>,
    /// Standard uncertainty of a click, pixels; 0 takes the points as exact.
    #[arg(long, value_name = "PX", default_value_t = CLICK_PX)]
    click: f64,
    /// What the card's checkers measure across and high on paper (true: 245,180; plain tags: their black square).
    #[arg(long, value_name = "W,H")]
    print: Option<String>,
    /// Leave out the card of this number; may be given again.
    #[arg(long, value_name = "N")]
    leave_out: Vec<u32>,
    /// A list of points to measure: [{"px":[x,y],"height":mm,"photo":0}, …].
    #[arg(long, value_name = "POINTS.json")]
    at: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug)]
struct Measured {
    photos: Vec<Imported>,
    plane: PlaneSolve,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    if !(words.click.is_finite() && (0.0..=100.0).contains(&words.click)) {
        return Err(AppError::Words("--click is a number of pixels from 0 to 100".to_owned()));
    }
    let kind = words.card.map_or(CardKind::Printed, |black_edge_mm| CardKind::Plain { black_edge_mm });
    let options = SolveOptions { print: print_scale(words, kind)?, leave_out: words.leave_out.clone() };
    let photos = words.photos.iter().map(|p| photo(p, kind)).collect::<Result<Vec<_>, _>>()?;
    let seen: Vec<PhotoCards> = photos.iter().map(|p| PhotoCards::new(&p.picture, &p.found)).collect();
    let clicks = words.at.as_ref().map(|path| read_points(path, seen.len(), words.click)).transpose()?;
    let plane = solve(&seen, &options)?;
    let placed = clicks.as_ref().map(|c| plane.place(c)).transpose()?;
    let measured = Measured { photos, plane };
    if words.json {
        let mut answer = as_json(&measured);
        if let Some(placed) = &placed {
            let n = placed.points.len();
            let cov = &placed.cov_mm2;
            answer["points"] = (0..n)
                .map(|i| {
                    let sd = |k: usize| cov[(k, k)].max(0.0).sqrt();
                    json!({"mm": [placed.points[i].x, placed.points[i].y], "sd": [sd(2 * i), sd(2 * i + 1)]})
                })
                .collect();
            answer["cov_mm2"] =
                (0..2 * n).map(|r| (0..2 * n).map(|c| cov[(r, c)]).collect::<Vec<_>>()).collect();
        }
        say::json(&answer);
        return Ok(());
    }
    in_words(&measured);
    for (i, p) in placed.iter().flat_map(|p| p.points.iter().enumerate()) {
        say::line(&format!("point {}: {:.2}, {:.2} mm", i + 1, p.x, p.y));
    }
    Ok(())
}

fn print_scale(words: &Words, kind: CardKind) -> Result<PrintScale, AppError> {
    let Some(text) = &words.print else {
        return Ok(PrintScale { x: 1.0, y: 1.0, sd: coldwright_job::PRINT_SD_UNMEASURED });
    };
    let wrong = || {
        AppError::Words(format!(
            "--print takes the width and height measured on the card, such as 245,180; not {text}"
        ))
    };
    let (w, h) = text.split_once([',', ';']).ok_or_else(wrong)?;
    let (w, h) = (length_mm(w).map_err(|_| wrong())?, length_mm(h).map_err(|_| wrong())?);
    let (true_w, true_h) = match kind {
        CardKind::Printed => (245.0, 180.0),
        CardKind::Plain { black_edge_mm } => (black_edge_mm, black_edge_mm),
    };
    let scale = PrintScale { x: w / true_w, y: h / true_h, sd: coldwright_job::PRINT_SD_MEASURED };
    if (scale.x - 1.0).abs() > 0.05 || (scale.y - 1.0).abs() > 0.05 {
        return Err(AppError::Words(format!(
            "--print {text} is more than 5 % from {true_w} × {true_h} mm: print the cards again at 100 %, scaling off"
        )));
    }
    Ok(scale)
}

fn read_points(path: &Path, photos: usize, sd_px: f64) -> Result<Vec<Click>, AppError> {
    let wrong = |why: String| AppError::Words(format!("{why}: {}", path.display()));
    let value: Value = serde_json::from_slice(&files::read(path)?)
        .map_err(|e| wrong(format!("the points cannot be read as JSON ({e})")))?;
    let list = value.as_array().ok_or_else(|| wrong("the points are not a list".to_owned()))?;
    list.iter()
        .enumerate()
        .map(|(i, p)| {
            let number = |v: &Value| v.as_f64().filter(|n| n.is_finite());
            let px = (number(&p["px"][0]), number(&p["px"][1]));
            let (Some(x), Some(y)) = px else {
                return Err(wrong(format!("point {} needs \"px\": [x, y]", i + 1)));
            };
            let height_mm = match &p["height"] {
                Value::Null => 0.0,
                v => number(v).ok_or_else(|| wrong(format!("the height of point {} is no number", i + 1)))?,
            };
            let photo = match &p["photo"] {
                Value::Null => 0,
                v => v.as_u64().and_then(|n| usize::try_from(n).ok()).unwrap_or(usize::MAX),
            };
            if photo >= photos {
                return Err(wrong(format!(
                    "point {} names a photo that was not given (they count from 0)",
                    i + 1
                )));
            }
            Ok(Click { photo, px: Point::new(x, y), height_mm, sd_px, height_sd_mm: HEIGHT_SD_MM })
        })
        .collect()
}

fn as_json(m: &Measured) -> Value {
    let plane = &m.plane;
    let photos: Vec<Value> = m
        .photos
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let lens = plane.lens(i);
            json!({
                "file": p.name,
                "width_px": p.picture.width(),
                "height_px": p.picture.height(),
                "cards": p.found.cards.iter().map(|c| c.number).collect::<Vec<_>>(),
                "focal_px": lens.map(|l| l.focal_px),
                "k1": lens.map(|l| l.k1),
                "k2": lens.map(|l| l.k2),
                "centre_px": lens.map(|l| [l.centre_px.x, l.centre_px.y]),
                "camera_height_mm": plane.height_above_plane(i),
                "tilt_deg": plane.tilt(i).map(f64::to_degrees),
                "camera_mm": plane.pose(i).map(|p| { let c = p.place(); [c.x, c.y, c.z] }),
                "warnings": p.picture.facts().warnings.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "notes": p.found.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "photos": photos,
        "residual_px": plane.residual_px(),
        "residual_mm": plane.residual_mm(),
        "chi2_per_dof": plane.chi2_per_dof(),
        "cards": plane.cards().iter().map(|c| json!({
            "number": c.number,
            "half_size": c.half_size,
            "centre_mm": [c.centre.x, c.centre.y],
            "angle_deg": c.angle_rad.to_degrees(),
            "residual_px": c.residual_px,
            "points": c.points,
        })).collect::<Vec<_>>(),
        "bad_cards": plane.bad_cards().iter().map(|b| json!({"number": b.number, "why": b.to_string()})).collect::<Vec<_>>(),
    })
}

fn in_words(m: &Measured) {
    for (i, p) in m.photos.iter().enumerate() {
        let numbers: Vec<String> = p.found.cards.iter().map(|c| c.number.to_string()).collect();
        say::line(&format!(
            "{}: {} × {} pixels, cards {}",
            p.name,
            p.picture.width(),
            p.picture.height(),
            numbers.join(", ")
        ));
        if let (Some(lens), Some(height), Some(tilt)) =
            (m.plane.lens(i), m.plane.height_above_plane(i), m.plane.tilt(i))
        {
            say::line(&format!(
                "  focal length {:.1} px, k1 {:.4}, k2 {:.4}; camera {:.0} mm above the cards, tilted {:.1}°",
                lens.focal_px,
                lens.k1,
                lens.k2,
                height,
                tilt.to_degrees()
            ));
        }
        for w in &p.picture.facts().warnings {
            say::line(&format!("  {w}"));
        }
        for n in &p.found.notes {
            say::line(&format!("  {n}"));
        }
    }
    say::line(&format!("residual {:.3} px, {:.3} mm", m.plane.residual_px(), m.plane.residual_mm()));
    for bad in m.plane.bad_cards() {
        say::line(&format!("{bad}"));
    }
}
