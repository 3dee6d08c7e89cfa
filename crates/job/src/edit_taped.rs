//! Edits of what was taped: the table a template's ticks follow, and distances between ticks.

use coldwright_canvas::{CanvasError, sketch_scale};
use coldwright_geometry::{EdgeKind, Length};
use kurbo::Point;

use crate::distances::TapedDistance;
use crate::document::{EdgeId, PhotoId, TickId};
use crate::edit_wall::WallEdit;
use crate::error::JobError;
use crate::seen_again::SeenAgain;
use crate::taped::{LONGEST_TABLE, Taped, TapedFit, TapedWay};
use crate::template::{BevelAt, Edge, Place, Template, Tick};
use crate::without_cards::{KnownRectangle, Sketch};

/// Where the round turns by more than this a corner is set, radians: 35°. A bent side with its points 250 mm apart on a radius of
/// 600 mm turns by 24°; a corner that is flatter is set by hand.
const CORNER: f64 = 0.61;
/// A run whose points all lie this near its chord is straight to begin with, mm.
const STRAIGHT: f64 = 3.0;

/// Applies the edits of what was taped and seen again, and lets go of what names ticks that are gone; gives the next free number.
pub(crate) fn apply(t: &mut Template, edit: &WallEdit, first: u32) -> Result<u32, JobError> {
    match edit {
        WallEdit::Taped(taped) => return set(t, taped.as_ref(), first),
        WallEdit::Distances(distances) => {
            distances.iter().try_for_each(|d| check_distance(t, d))?;
            t.distances.clone_from(distances);
        }
        WallEdit::SeenAgain(again) => {
            again.iter().try_for_each(|a| check_again(t, a))?;
            t.again.clone_from(again);
        }
        WallEdit::Rectangle(rectangle) => {
            rectangle.as_ref().map_or(Ok(()), |r| check_rectangle(t, r))?;
            t.rectangle = *rectangle;
        }
        WallEdit::Sketch(sketch) => {
            sketch.as_ref().map_or(Ok(()), |s| check_sketch(t, s))?;
            t.sketch = *sketch;
        }
        _ => tidy(t),
    }
    Ok(0)
}

/// Puts the table in place and lets the ticks follow its points; gives the next free number.
fn set(t: &mut Template, taped: Option<&Taped>, first: u32) -> Result<u32, JobError> {
    let fit = taped.map(checked).transpose()?;
    // As a file's lines give it back.
    let plain = |text: &str| text.lines().collect::<Vec<_>>().join("\n");
    t.taped = taped.map(|taped| Taped {
        table: plain(&taped.table),
        lengths: plain(&taped.lengths),
        way: match &taped.way {
            TapedWay::Ties { known, side } => TapedWay::Ties { known: plain(known), side: *side },
            way => way.clone(),
        },
        ..taped.clone()
    });
    let names: Vec<&str> = fit.iter().flat_map(|f| f.points.iter().map(|p| p.0.as_str())).collect();
    t.ticks.retain(|k| !matches!(&k.place, Place::Taped { point } if !names.contains(&point.as_str())));
    tidy(t);
    let mut next = first;
    let mut fresh = || {
        next += 1;
        next - 1
    };
    if let Some(fit) = &fit {
        if t.edges.is_empty() {
            round(t, fit, &mut fresh);
        } else {
            added(t, &names, &mut fresh);
        }
    }
    keep_base(t);
    Ok(next)
}

/// A template whose base is gone, or that had none, lies by its first edge.
pub(crate) fn keep_base(t: &mut Template) {
    if t.base.is_none_or(|b| t.edge(b).is_none()) {
        t.base = t.edges.first().map(|e| e.id);
    }
}

/// Lets go of what names ticks that are gone.
pub(crate) fn tidy(t: &mut Template) {
    let there: std::collections::HashSet<TickId> = t.ticks.iter().map(|k| k.id).collect();
    for edge in &mut t.edges {
        edge.ticks.retain(|k| there.contains(k));
    }
    t.edges.retain(|e| !e.ticks.is_empty());
    t.distances.retain(|d| there.contains(&d.from) && there.contains(&d.to));
    t.again.retain(|a| there.contains(&a.tick));
}

/// A table that can be read and worked out.
fn checked(taped: &Taped) -> Result<TapedFit, JobError> {
    check_taped(taped)?;
    Ok(taped.fit()?)
}

/// Whether a table from outside holds numbers that can be; whether it can be worked out the plan says.
pub(crate) fn check_taped(t: &Taped) -> Result<(), JobError> {
    let long = t.table.len().max(t.lengths.len());
    let known = if let TapedWay::Ties { known, .. } = &t.way { known.len() } else { 0 };
    if long.max(known) > LONGEST_TABLE {
        return Err(JobError::LongTable(LONGEST_TABLE / 1000));
    }
    let number = |what, rule, value| Err(JobError::Canvas(CanvasError::BadNumber { what, rule, value }));
    if !(0.01..=100.0).contains(&t.sd) {
        return number("uncertainty of one length", "from 0.01 to 100 mm", t.sd);
    }
    if t.rule_end.mm().abs() > 1000.0 {
        return number("rule's end", "within 1000 mm", t.rule_end.mm());
    }
    match &t.way {
        TapedWay::Offsets { stick, .. } if stick.mm().abs() > 1000.0 => {
            number("distance to the stick's face", "within 1000 mm", stick.mm())
        }
        TapedWay::TickStick { notch, tip, aside }
            if notch.mm() <= 0.0 || notch.mm().max(tip.mm().abs()).max(aside.mm().abs()) > 10_000.0 =>
        {
            number("distance from heel to notch", "above zero, and the stick within 10 m", notch.mm())
        }
        _ => Ok(()),
    }
}

/// Whether a taped distance can be.
pub(crate) fn check_distance(t: &Template, d: &TapedDistance) -> Result<(), JobError> {
    for id in [d.from, d.to] {
        t.tick(id).ok_or(JobError::NoTick(id))?;
    }
    let mm = d.length.mm();
    if d.from == d.to || !(mm > 0.0 && mm < 1e5) || !(0.01..=100.0).contains(&d.sd) {
        return Err(JobError::Distance { mm });
    }
    Ok(())
}

/// Whether a second sight of a tick can be: another photo of the template, a place in it.
pub(crate) fn check_again(t: &Template, a: &SeenAgain) -> Result<(), JobError> {
    let tick = t.tick(a.tick).ok_or(JobError::NoTick(a.tick))?;
    let another = matches!(&tick.place, Place::Pixel { photo, .. } if *photo != a.photo);
    if another && in_photo(t, a.photo, &[a.px]) { Ok(()) } else { Err(JobError::Place) }
}

/// Whether a rectangle can be: corners in a photo of the template, sides and diagonals that belong together.
pub(crate) fn check_rectangle(t: &Template, r: &KnownRectangle) -> Result<(), JobError> {
    if !in_photo(t, r.photo, &r.corners) {
        return Err(JobError::Place);
    }
    r.card(1.0)?;
    Ok(())
}

/// Whether a sketch can be: two places in a photo of the template, apart.
pub(crate) fn check_sketch(t: &Template, s: &Sketch) -> Result<(), JobError> {
    if !in_photo(t, s.photo, &[s.from, s.to]) {
        return Err(JobError::Place);
    }
    sketch_scale(s.from, s.to, s.length.mm())?;
    Ok(())
}

fn in_photo(t: &Template, photo: PhotoId, places: &[Point]) -> bool {
    t.shows(photo) && places.iter().all(|p| p.is_finite() && p.to_vec2().hypot() < 1e6)
}

/// The first edges of a round of points: corners where it turns sharply, straight or bent as the points lie.
fn round(t: &mut Template, fit: &TapedFit, fresh: &mut impl FnMut() -> u32) {
    let ids: Vec<TickId> = fit.points.iter().map(|_| TickId(fresh())).collect();
    let ticks = ids.iter().zip(&fit.points);
    t.ticks.extend(ticks.map(|(id, p)| Tick { id: *id, place: Place::Taped { point: p.0.clone() } }));
    let at: Vec<Point> = fit.points.iter().map(|p| p.1).collect();
    let n = at.len();
    if n == 0 {
        return;
    }
    let turns = |i: usize| {
        let (a, b) = (at[i] - at[(i + n - 1) % n], at[(i + 1) % n] - at[i]);
        a.hypot() > 1e-6 && b.hypot() > 1e-6 && a.cross(b).atan2(a.dot(b)).abs() > CORNER
    };
    let corners: Vec<usize> = (0..n).filter(|i| n > 2 && turns(*i)).collect();
    let runs: Vec<Vec<usize>> = if corners.len() < 2 {
        vec![(0..n).collect()]
    } else {
        let ends = corners.iter().zip(corners.iter().cycle().skip(1));
        ends.map(|(a, b)| (0..=(b + n - a) % n).map(|k| (a + k) % n).collect()).collect()
    };
    let mut lowest: Option<(EdgeId, f64)> = None;
    for (number, run) in runs.iter().enumerate() {
        let places: Vec<Point> = run.iter().map(|i| at[*i]).collect();
        let id = EdgeId(fresh());
        t.edges.push(Edge {
            id,
            name: format!("Edge {}", number + 1),
            kind: if straight(&places) { EdgeKind::Straight } else { EdgeKind::Fair },
            ticks: run.iter().map(|i| ids[*i]).collect(),
            bevel: vec![BevelAt { at: 0.0, degrees: 0.0 }],
            gap: Length::default(),
            smoothing: Length::default(),
        });
        let middle = places.iter().map(|p| p.y).sum::<f64>() / places.len().max(1) as f64;
        if lowest.is_none_or(|l| middle < l.1) {
            lowest = Some((id, middle));
        }
    }
    t.base = lowest.map(|l| l.0);
}

fn straight(places: &[Point]) -> bool {
    let (Some(a), Some(b)) = (places.first(), places.last()) else { return true };
    let chord = (*b - *a) / a.distance(*b).max(1e-9);
    places.iter().all(|p| chord.cross(*p - *a).abs() <= STRAIGHT)
}

/// Points new in the table get ticks behind those of the points before them.
fn added(t: &mut Template, names: &[&str], fresh: &mut impl FnMut() -> u32) {
    let of = |t: &Template, name: &str| {
        t.ticks.iter().find(|k| matches!(&k.place, Place::Taped { point } if point == name)).map(|k| k.id)
    };
    for (i, name) in names.iter().enumerate() {
        if of(t, name).is_some() {
            continue;
        }
        let id = TickId(fresh());
        let before = i.checked_sub(1).and_then(|k| names.get(k)).and_then(|n| of(t, n));
        t.ticks.push(Tick { id, place: Place::Taped { point: (*name).to_owned() } });
        let spot = before.and_then(|b| {
            // Behind the point before it, in the edge that goes on from there.
            let edge = t.edges.iter().rposition(|e| e.ticks.contains(&b))?;
            Some((edge, t.edges[edge].ticks.iter().position(|k| *k == b)? + 1))
        });
        match (spot, t.edges.last_mut()) {
            (Some((edge, place)), _) => t.edges[edge].ticks.insert(place, id),
            (None, Some(last)) => last.ticks.push(id),
            (None, None) => {}
        }
    }
}
