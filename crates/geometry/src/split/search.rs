//! Seams worked out: fewest parts first, then the shortest seams.
//!
//! Directions: along the layer's main edges and square to them. For one direction the places a seam may lie at are known
//! ([`Places`]), a piece between two of them passes when one that holds it does, and the least number of seams with the least
//! length is found by dynamic programming over the places (R. Bellman 1957). Where strips of one direction are not enough, each
//! strip is cut across in the same way.

use kurbo::Vec2;

use super::part::{Part, hull_of, split_by};
use super::places::{Around, Places};
use super::rules::{Fails, SplitRules};
use super::seam::{Seam, SeamStyle};
use crate::opening::{convex_hull, narrowest};
use crate::section::segments;
use crate::{GeometryError, Layer, Ring};

/// Directions tried at most.
const DIRECTIONS: usize = 8;
/// Weight of evenness against length, for seams of one length: no part much smaller than the others.
const EVEN: f64 = 1e-4;

/// Seams that divide a layer so that every part keeps to the rules; none when it does whole.
///
/// `neighbours` are the seams of the layers before and after. The fewest parts are looked for first, then the shortest seams, then
/// the most even parts; seams lie along a main edge of the layer or square to one, all across or in strips cut once more
/// across. The answer has been checked part by part with [`split_by`].
///
/// # Errors
/// [`GeometryError::Split`] naming the limit that stops it and what would help; [`GeometryError::NotFinite`] for a limit that is
/// no usable number.
pub fn split(layer: &Layer, rules: &SplitRules, neighbours: &[Seam]) -> Result<Vec<Seam>, GeometryError> {
    rules.checked(layer.number)?;
    if layer.fills.is_empty() {
        return Err(GeometryError::EmptyAtDepth { layer: layer.number, depth: layer.from });
    }
    let Some(fails) = layer.fills.iter().find_map(|r| rules.fails(&convex_hull(&r.outer))) else {
        return Ok(Vec::new());
    };
    let neighbours: Vec<Seam> = neighbours.iter().copied().filter(Seam::is_sound).collect();
    found(layer, rules, &neighbours).ok_or_else(|| GeometryError::Split {
        layer: layer.number,
        why: reason(layer, rules, &neighbours, fails),
    })
}

/// The limit without which it can be done, in words.
fn reason(layer: &Layer, rules: &SplitRules, neighbours: &[Seam], fails: Fails) -> String {
    let works = |r: SplitRules| found(layer, &r, neighbours).is_some();
    if rules.stagger > 0.0 && !neighbours.is_empty() && works(SplitRules { stagger: 0.0, ..*rules }) {
        return format!(
            "no seam stays {:.0} mm from the seams of its neighbours; lower that distance or move their seams",
            rules.stagger
        );
    }
    if rules.clear > 0.0 && works(SplitRules { clear: 0.0, ..*rules }) {
        return format!(
            "no seam stays {:.0} mm from its corners and cut-outs; lower that distance or draw the seams by hand",
            rules.clear
        );
    }
    if rules.least > 0.0 && works(SplitRules { least: 0.0, ..*rules }) {
        return format!("a part would be narrower than {:.0} mm; allow narrower parts", rules.least);
    }
    if rules.style != SeamStyle::Butt && works(SplitRules { style: SeamStyle::Butt, ..*rules }) {
        return "the laps take too much of the width; use narrower laps or butts".to_owned();
    }
    if let Some(l) = rules.longest
        && works(SplitRules { longest: None, ..*rules })
    {
        return format!(
            "no parts of at most {l:.0} mm are found; allow longer parts or draw the seams by hand"
        );
    }
    if let Some(t) = rules.turning
        && works(SplitRules { turning: None, ..*rules })
    {
        return format!(
            "no parts of it can be turned in the {:.0} mm behind the opening; fit it before the layers in the way, or draw the seams by hand",
            t.room().depth
        );
    }
    let what = match fails {
        Fails::Wide => format!(
            "no straight seams bring every part under the {:.0} mm that go through the opening",
            rules.widest
        ),
        Fails::Long => "no straight seams bring every part under the length allowed".to_owned(),
        Fails::Room => {
            "no straight seams bring every part to a size that can be turned behind the opening".to_owned()
        }
        Fails::Sheet => "no straight seams bring every part onto the sheet".to_owned(),
    };
    format!(
        "{what}, with all distances kept; lower the distances from corners and neighbours, or draw the seams by hand"
    )
}

/// Seams and how many pieces they leave.
#[derive(Clone)]
struct Answer {
    seams: Vec<Seam>,
    parts: usize,
    length: f64,
}

fn found(layer: &Layer, rules: &SplitRules, neighbours: &[Seam]) -> Option<Vec<Seam>> {
    let around = Around::new(layer, rules, neighbours);
    let mut all: Vec<Answer> = Vec::new();
    for along in main_directions(layer) {
        let mut whole = Answer { seams: Vec::new(), parts: 0, length: 0.0 };
        let mut strips = Some(whole.clone());
        let mut plain = true;
        for ring in &layer.fills {
            if rules.fails(&convex_hull(&ring.outer)).is_none() {
                whole.parts += 1;
                strips.iter_mut().for_each(|s| s.parts += 1);
                continue;
            }
            let region = std::slice::from_ref(ring);
            match across(region, along, &around, rules) {
                Some(a) if plain => add(&mut whole, a.0),
                _ => plain = false,
            }
            strips = strips.and_then(|mut s| {
                add(&mut s, twice(region, along, &around)?);
                Some(s)
            });
        }
        all.extend(plain.then_some(whole));
        all.extend(strips);
    }
    all.sort_by(|a, b| {
        a.parts.cmp(&b.parts).then((a.length * 1e3).round().total_cmp(&(b.length * 1e3).round()))
    });
    // The best that stands up to the full check; the search itself saw the whole outline, not the faces.
    all.into_iter().take(12).find(|a| stands(layer, rules, &a.seams)).map(|a| a.seams)
}

fn add(to: &mut Answer, more: Answer) {
    to.seams.extend(more.seams);
    to.parts += more.parts;
    to.length += more.length;
}

fn stands(layer: &Layer, rules: &SplitRules, seams: &[Seam]) -> bool {
    let fine = |p: &Part| {
        let hull = hull_of(&p.layer);
        rules.fails(&hull).is_none() && narrowest(&hull).is_some_and(|e| e.width >= rules.least - 1e-3)
    };
    split_by(layer, seams, 0.0).is_ok_and(|parts| parts.iter().all(fine))
}

/// Directions of the layer's long edges and square to them, the longest first, no two within a degree; then level and upright.
fn main_directions(layer: &Layer) -> Vec<Vec2> {
    let rings = || layer.fills.iter().map(|r| &r.outer);
    let all: f64 = rings().map(|r| crate::section::ring_length(r)).sum();
    let mut sides: Vec<(f64, Vec2)> =
        rings().flat_map(|r| segments(r)).map(|(a, b)| (a.distance(b), b - a)).collect();
    sides.sort_by(|a, b| b.0.total_cmp(&a.0));
    let long = sides.into_iter().filter(|s| s.0 > 0.08 * all).map(|s| s.1 / s.0).take(DIRECTIONS);
    let level = [Vec2::new(1.0, 0.0)];
    let mut out: Vec<Vec2> = Vec::new();
    for d in long.chain(level).flat_map(|d| [d, d.turn_90()]) {
        if out.len() < DIRECTIONS && out.iter().all(|o| o.cross(d).abs() > 0.017) {
            out.push(d);
        }
    }
    out
}

/// Strips of one direction, those that still fail cut once more across.
fn twice(region: &[Ring], along: Vec2, around: &Around<'_>) -> Option<Answer> {
    let rules = around.rules;
    let (mut out, strips) = across(region, along, around, &rules.width_only())?;
    out.parts = 0;
    for strip in strips {
        if rules.fails(&convex_hull(&strip.outer)).is_none() {
            out.parts += 1;
            continue;
        }
        // Laps of the strips reach farther than the strips themselves; the check at the end sees them.
        let (more, _) = across(std::slice::from_ref(&strip), along.turn_90(), around, rules)?;
        add(&mut out, more);
    }
    Some(out)
}

/// Fewest seams of one direction across a region, then the shortest, and the pieces between them.
fn across(
    region: &[Ring],
    along: Vec2,
    around: &Around<'_>,
    rules: &SplitRules,
) -> Option<(Answer, Vec<Ring>)> {
    let places = Places::new(region, along, around);
    let n = places.all.len();
    let passes = |i: usize, j: usize| {
        places.between(i, j, true).iter().all(|r| rules.fails(&convex_hull(&r.outer)).is_none())
    };
    let broad = |i: usize, j: usize| {
        let all = places.between(i, j, true);
        !all.is_empty() && all.iter().all(|r| narrowest(&r.outer).is_some_and(|e| e.width >= rules.least))
    };
    let wide = (places.all[n - 1].0 - places.all[0].0).max(1e-9);
    // Best way to each place: seams, cost, place before.
    let mut best: Vec<Option<(usize, f64, usize)>> = vec![None; n];
    best[0] = Some((0, 0.0, 0));
    let mut low = 0;
    for j in 1..n {
        while low < j && !passes(low, j) {
            low += 1;
        }
        for i in low..j {
            let Some((count, cost, _)) = best[i] else { continue };
            let w = places.all[j].0 - places.all[i].0;
            if w < rules.least {
                break;
            }
            let cost = cost + places.length(j) + EVEN * w * w / wide;
            let count = count + 1;
            let better = best[j].is_none_or(|(c, old, _)| count < c || count == c && cost < old - 1e-9);
            if better && broad(i, j) {
                best[j] = Some((count, cost, i));
            }
        }
    }
    let mut chosen = Vec::new();
    let mut k = n - 1;
    while k > 0 {
        let (.., before) = best[k]?;
        chosen.push((before, k));
        k = before;
    }
    chosen.reverse();
    let pieces: Vec<Ring> = chosen.iter().flat_map(|(i, j)| places.between(*i, *j, false)).collect();
    let seams: Vec<Seam> = chosen.iter().flat_map(|(_, j)| places.all[*j].1.iter().copied()).collect();
    let length = seams.iter().map(Seam::length).sum();
    Some((Answer { seams, parts: pieces.len(), length }, pieces))
}
