//! `coldwright measure`: cards found, plane solved, pixels to millimetres.

use std::path::{Path, PathBuf};

use clap::Args;
use coldwright_canvas::{
    BadCard, CardKind, Click, PhotoCards, Placed, PlaneSolve, Point, PrintScale, SolveOptions, solve,
};
use serde_json::{Value, json};

use super::length_mm;
use crate::error::AppError;
use crate::import::{Imported, photo};
use crate::{files, say};

/// Standard uncertainty of a click, photo pixels, unless `--click` says otherwise.
const CLICK_PX: f64 = coldwright_job::DEFAULT_CLICK_PX;
/// Standard uncertainty of a height given with a point, mm.
const HEIGHT_SD_MM: f64 = 0.0;
/// What a click is at least taken to be uncertain by where two photos find a height, pixels: rays need some weight.
const LEAST_RAY_PX: f64 = 0.05;

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
    /// Standard uncertainty of that, per cent; 0 takes the print as exact. Without it: 0.1 when measured, 0.15 when not.
    #[arg(long, value_name = "PERCENT")]
    print_sd: Option<f64>,
    /// Leave out the card of this number; may be given again. The answer with all cards is shown beside it.
    #[arg(long, value_name = "N")]
    leave_out: Vec<u32>,
    /// A list of points to measure: [{"px":[x,y],"height":mm,"photo":0}, …]. With a "name" given in two or more photos the height is found.
    #[arg(long, value_name = "POINTS.json")]
    at: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// One solve, with the points placed by it.
#[derive(Debug)]
struct Answer {
    left_out: Vec<u32>,
    plane: PlaneSolve,
    placed: Option<Placed>,
    /// The points again, as if the print were exactly what was said: what the photo alone leaves uncertain.
    print_exact: Option<Placed>,
}

/// A point to measure.
#[derive(Debug)]
struct Asked {
    click: Click,
    name: Option<String>,
}

#[derive(Debug)]
struct Measured {
    photos: Vec<Imported>,
    asked: Vec<Asked>,
    print: PrintScale,
    answer: Answer,
    /// The other answer: without the cards that disagree, or with those that were left out.
    other: Option<Answer>,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    if !(words.click.is_finite() && (0.0..=100.0).contains(&words.click)) {
        return Err(AppError::Words("--click is a number of pixels from 0 to 100".to_owned()));
    }
    let kind = words.card.map_or(CardKind::Printed, |black_edge_mm| CardKind::Plain { black_edge_mm });
    let print = print_scale(words, kind)?;
    let photos = words.photos.iter().map(|p| photo(p, kind)).collect::<Result<Vec<_>, _>>()?;
    let seen: Vec<PhotoCards> = photos.iter().map(|p| PhotoCards::new(&p.picture, &p.found)).collect();
    let asked = words.at.as_ref().map(|path| read_points(path, seen.len(), words.click)).transpose()?;
    let points = asked.is_some();
    let asked = asked.unwrap_or_default();
    let clicks: Vec<Click> = asked.iter().map(|a| a.click).collect();
    let clicks = points.then_some(clicks.as_slice());
    let answer = answered(&seen, print, &words.leave_out, clicks)?;
    let other = if words.leave_out.is_empty() {
        let bad: Vec<u32> = answer.plane.bad_cards().iter().map(|b| b.number).collect();
        // Too few cards left is no failure of what was asked.
        if bad.is_empty() { None } else { answered(&seen, print, &bad, clicks).ok() }
    } else {
        answered(&seen, print, &[], clicks).ok()
    };
    let measured = Measured { photos, asked, print, answer, other };
    if words.json {
        say::json(&as_json(&measured)?);
        return Ok(());
    }
    in_words(&measured)
}

fn answered(
    seen: &[PhotoCards],
    print: PrintScale,
    leave_out: &[u32],
    clicks: Option<&[Click]>,
) -> Result<Answer, AppError> {
    let by = |sd: f64| {
        let print = PrintScale { sd, ..print };
        solve(seen, &SolveOptions { print, leave_out: leave_out.to_vec(), ..SolveOptions::default() })
    };
    let plane = by(print.sd)?;
    let placed = clicks.map(|c| plane.place(c)).transpose()?;
    let print_exact = clicks.map(|c| by(0.0)?.place(c)).transpose()?;
    Ok(Answer { left_out: leave_out.to_vec(), plane, placed, print_exact })
}

fn print_scale(words: &Words, kind: CardKind) -> Result<PrintScale, AppError> {
    let said = match words.print_sd {
        Some(percent) if (0.0..=5.0).contains(&percent) => Some(percent / 100.0),
        Some(percent) => {
            return Err(AppError::Words(format!("--print-sd is a per cent from 0 to 5, not {percent}")));
        }
        None => None,
    };
    let Some(text) = &words.print else {
        let sd = said.unwrap_or(coldwright_job::PRINT_SD_UNMEASURED);
        return Ok(PrintScale { x: 1.0, y: 1.0, sd });
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
    let scale =
        PrintScale { x: w / true_w, y: h / true_h, sd: said.unwrap_or(coldwright_job::PRINT_SD_MEASURED) };
    if (scale.x - 1.0).abs() > 0.05 || (scale.y - 1.0).abs() > 0.05 {
        return Err(AppError::Words(format!(
            "--print {text} is more than 5 % from {true_w} × {true_h} mm: print the cards again at 100 %, scaling off"
        )));
    }
    Ok(scale)
}

fn read_points(path: &Path, photos: usize, sd_px: f64) -> Result<Vec<Asked>, AppError> {
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
            let name = match &p["name"] {
                Value::Null => None,
                Value::String(name) => Some(name.clone()),
                v => Some(v.to_string()),
            };
            let click = Click { photo, px: Point::new(x, y), height_mm, sd_px, height_sd_mm: HEIGHT_SD_MM };
            Ok(Asked { click, name })
        })
        .collect()
}

/// What two or more photos say about the points that carry one name: name, place, height.
fn raised(m: &Measured, plane: &PlaneSolve) -> Result<Vec<(String, coldwright_canvas::Raised)>, AppError> {
    let mut names: Vec<&String> = Vec::new();
    for name in m.asked.iter().filter_map(|a| a.name.as_ref()) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let mut out = Vec::new();
    for name in names {
        let same = m.asked.iter().filter(|a| a.name.as_ref() == Some(name));
        let clicks: Vec<Click> =
            same.map(|a| Click { sd_px: a.click.sd_px.max(LEAST_RAY_PX), ..a.click }).collect();
        if clicks.iter().any(|c| Some(c.photo) != clicks.first().map(|f| f.photo)) {
            out.push((name.clone(), plane.raised(&clicks)?));
        }
    }
    Ok(out)
}

fn as_json(m: &Measured) -> Result<Value, AppError> {
    let plane = &m.answer.plane;
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
                "focal_sd_px": plane.focal_sd_px(i),
                "k1": lens.map(|l| l.k1),
                "k2": lens.map(|l| l.k2),
                "centre_px": lens.map(|l| [l.centre_px.x, l.centre_px.y]),
                "camera_height_mm": plane.height_above_plane(i),
                "tilt_deg": plane.tilt(i).map(f64::to_degrees),
                "camera_mm": plane.pose(i).map(|p| { let c = p.place(); [c.x, c.y, c.z] }),
                "warnings": p.picture.facts().warnings.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "doubts": plane.doubts(i).iter().map(ToString::to_string).collect::<Vec<_>>(),
                "notes": p.found.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
            })
        })
        .collect();
    let mut out = answer_json(&m.answer);
    out["photos"] = photos.into();
    out["print"] = json!({"x": m.print.x, "y": m.print.y, "sd": m.print.sd});
    let found = raised(m, plane)?;
    if !found.is_empty() {
        out["raised"] = found
            .iter()
            .map(|(name, r)| {
                json!({
                    "name": name, "mm": [r.at.x, r.at.y], "height_mm": r.height_mm, "sd_mm": r.sd_mm,
                    "miss_px": r.miss_px,
                })
            })
            .collect();
    }
    if let Some(other) = &m.other {
        let key = if m.answer.left_out.is_empty() { "without_bad_cards" } else { "with_all_cards" };
        out[key] = answer_json(other);
    }
    Ok(out)
}

fn answer_json(answer: &Answer) -> Value {
    let plane = &answer.plane;
    let mut out = json!({
        "left_out": answer.left_out,
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
        "bad_cards": plane.bad_cards().iter().map(bad_json).collect::<Vec<_>>(),
    });
    let square = |placed: &Placed| {
        let (n, cov) = (2 * placed.points.len(), &placed.cov_mm2);
        (0..n).map(|r| (0..n).map(|c| cov[(r, c)]).collect::<Vec<_>>()).collect::<Vec<_>>()
    };
    if let Some(placed) = &answer.placed {
        let sd = |k: usize| placed.cov_mm2[(k, k)].max(0.0).sqrt();
        let points = placed.points.iter().enumerate();
        out["points"] =
            points.map(|(i, p)| json!({"mm": [p.x, p.y], "sd": [sd(2 * i), sd(2 * i + 1)]})).collect();
        out["cov_mm2"] = square(placed).into();
    }
    if let Some(placed) = &answer.print_exact {
        out["cov_print_exact_mm2"] = square(placed).into();
    }
    out
}

fn bad_json(bad: &BadCard) -> Value {
    json!({"number": bad.number, "why": bad.to_string()})
}

fn in_words(m: &Measured) -> Result<(), AppError> {
    let plane = &m.answer.plane;
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
            (plane.lens(i), plane.height_above_plane(i), plane.tilt(i))
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
        for d in plane.doubts(i) {
            say::line(&format!("  {d}"));
        }
        for n in &p.found.notes {
            say::line(&format!("  {n}"));
        }
    }
    answer_in_words(&m.answer);
    for (name, r) in raised(m, plane)? {
        say::line(&format!(
            "{name}: {:.2}, {:.2} mm, {:.2} mm high (± {:.2})",
            r.at.x,
            r.at.y,
            r.height_mm,
            1.96 * r.sd_mm
        ));
    }
    if let Some(other) = &m.other {
        say::line(if m.answer.left_out.is_empty() {
            "\nWithout the cards named above:"
        } else {
            "\nWith all cards:"
        });
        answer_in_words(other);
    }
    Ok(())
}

fn answer_in_words(answer: &Answer) {
    let plane = &answer.plane;
    say::line(&format!("residual {:.3} px, {:.3} mm", plane.residual_px(), plane.residual_mm()));
    for bad in plane.bad_cards() {
        say::line(&format!("{bad}"));
    }
    for (i, p) in answer.placed.iter().flat_map(|p| p.points.iter().enumerate()) {
        say::line(&format!("point {}: {:.2}, {:.2} mm", i + 1, p.x, p.y));
    }
}
