//! A request settled: everything doubtful is refused here in words, so that the search may rely on clean shapes.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Vec2};

use crate::error::NestingError;
use crate::region::{Rule, area, combine, on_grid, outside, widened};
use crate::request::{Piece, Request, Stock, Stuff, Turns};
use crate::ring::{bounds, hull, self_crossing, signed_area, upright};
use crate::search::problem::{Ground, Held, Item, Pose, Problem};
use crate::search::shape::{Shape, thinned};
use crate::turn::sin_cos_deg;

/// Most copies of one stuff laid out at once: memory and time of the search grow with their square.
pub(crate) const MOST_COPIES: u64 = 1000;
/// Shapes are made smaller by this all round, mm, so that exact contact counts as none; far below the check's 0.01 mm.
const CONTACT: f64 = 1e-6;
/// Points a shape may have before it is thinned.
const MANY_POINTS: usize = 36;

fn usable(value: f64, what: impl Fn() -> String) -> Result<(), NestingError> {
    if value.is_finite() && value.abs() <= 1e6 {
        Ok(())
    } else {
        Err(NestingError::NotUsable { what: what() })
    }
}

fn not_negative(value: f64, what: &str) -> Result<(), NestingError> {
    usable(value, || what.to_owned())?;
    if value < 0.0 { Err(NestingError::NotUsable { what: what.to_owned() }) } else { Ok(()) }
}

/// A clean counter-clockwise ring, or why not.
pub(crate) fn clean(ring: &[Point], what: &str) -> Result<Vec<Point>, NestingError> {
    for (k, p) in ring.iter().enumerate() {
        usable(p.x, || format!("point {} of {what}", k + 1))?;
        usable(p.y, || format!("point {} of {what}", k + 1))?;
    }
    let mut ring = upright(ring);
    on_grid(&mut ring);
    let ring = upright(&ring);
    if ring.len() < 3 || signed_area(&hull(&ring)) < 1e-9 {
        return Err(NestingError::Empty { what: what.to_owned() });
    }
    if let Some(p) = self_crossing(&ring) {
        return Err(NestingError::SelfCrossing { what: what.to_owned(), x: p.x, y: p.y });
    }
    if signed_area(&ring) < 1e-9 {
        return Err(NestingError::Empty { what: what.to_owned() });
    }
    Ok(ring)
}

/// Whether an outline can be used: finite, three different points or more, some area, not crossing itself. `what` names it in the
/// refusal.
///
/// # Errors
/// [`NestingError::NotUsable`], [`NestingError::Empty`] or [`NestingError::SelfCrossing`].
pub fn check_outline(ring: &[Point], what: &str) -> Result<(), NestingError> {
    clean(ring, what).map(|_| ())
}

fn unique<'a>(kind: &'static str, ids: impl Iterator<Item = &'a String>) -> Result<(), NestingError> {
    let mut seen = BTreeSet::new();
    for id in ids {
        if !seen.insert(id) {
            return Err(NestingError::Repeated { kind, id: id.clone() });
        }
    }
    Ok(())
}

/// One stuff's problem.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    pub(crate) stuff: Stuff,
    pub(crate) problem: Problem,
}

/// A piece as the search sees it: widened by half the spacing, thinned when it has many points.
pub(crate) fn piece_shape(piece: &Piece, ring: &[Point], spacing: f64) -> Result<Shape, NestingError> {
    let turns = match &piece.turns {
        Turns::Any => Turns::Any,
        Turns::Only(list) if list.is_empty() => return Err(NestingError::NoTurn { id: piece.id.clone() }),
        Turns::Only(list) => {
            for d in list {
                usable(*d, || format!("a turn of piece \"{}\"", piece.id))?;
            }
            Turns::Only(list.clone())
        }
    };
    let by = spacing / 2.0 - CONTACT;
    let wide =
        |by: f64| widened(ring, by).into_iter().max_by(|a, b| signed_area(a).total_cmp(&signed_area(b)));
    let empty = || NestingError::Empty { what: format!("piece \"{}\"", piece.id) };
    let mut out = wide(by).ok_or_else(empty)?;
    let b = bounds(ring);
    let size = b.width().min(b.height());
    // Widened a little more and thinned by as much holds the plain one; the loss grows from 0.02 mm only as it must.
    for far in [0.02, 0.05, 0.1, 0.2, 0.4] {
        if out.len() <= MANY_POINTS || far > size * 0.01 {
            break;
        }
        if let Some(w) = wide(by + far) {
            out = thinned(&w, far);
        }
    }
    Shape::new(&out, turns).ok_or_else(empty)
}

/// Rectangle, obstacles and free area of a kind of sheet.
fn ground(
    k: usize,
    stock: &Stock,
    spacing: f64,
    margin: f64,
    shapes: &mut Vec<Shape>,
) -> Result<Ground, NestingError> {
    let what = format!("stock \"{}\"", stock.id);
    let ring = clean(&stock.outline, &what)?;
    not_negative(stock.cost, &format!("the price of {what}"))?;
    let mut blocked = Vec::new();
    for b in &stock.blocked {
        blocked.push(clean(b, &format!("a blocked region of {what}"))?);
    }
    let sheet = bounds(&ring);
    let inset = margin - spacing / 2.0;
    let rect = [sheet.x0 + inset, sheet.y0 + inset, sheet.x1 - inset, sheet.y1 - inset];
    let mut obstacles = Vec::new();
    let by = inset.max(0.0) - CONTACT;
    for o in outside(&ring, &blocked) {
        for w in widened(&o, by) {
            if let Some(s) = Shape::new(&w, Turns::Only(vec![0.0])) {
                obstacles.push(shapes.len());
                shapes.push(s);
            }
        }
    }
    let usable = combine(&[ring], &blocked, Rule::Without).iter().map(area).sum();
    if usable <= 0.0 {
        return Err(NestingError::Empty { what });
    }
    Ok(Ground {
        rect,
        obstacles,
        usable,
        stock: k,
        cost: stock.cost,
        available: stock.available,
        missing: false,
    })
}

/// Checks a request and sorts it by stuff, in the order of [`Stuff`].
pub(crate) fn prepare(request: &Request) -> Result<Vec<Group>, NestingError> {
    not_negative(request.gap, "the gap between pieces")?;
    not_negative(request.kerf, "the width of the cut")?;
    not_negative(request.margin, "the margin at the sheet's edge")?;
    unique("pieces", request.pieces.iter().map(|p| &p.id))?;
    unique("kinds of stock", request.stock.iter().map(|s| &s.id))?;
    if request.pieces.iter().all(|p| p.quantity == 0) {
        return Err(NestingError::NoPieces);
    }
    if request.stock.is_empty() {
        return Err(NestingError::NoStock);
    }
    let spacing = request.spacing();
    let mut groups: BTreeMap<&Stuff, Problem> = BTreeMap::new();
    let mut counts: BTreeMap<&Stuff, (u64, &str)> = BTreeMap::new();
    for p in request.pieces.iter().filter(|p| p.quantity > 0) {
        counts.entry(&p.stuff).or_insert((0, &p.id)).0 += u64::from(p.quantity);
    }
    for (stuff, (count, id)) in &counts {
        let there = |s: &&Stock| &&s.stuff == stuff && s.available != Some(0);
        if !request.stock.iter().any(|s| there(&s)) {
            return Err(NestingError::NoStockOf {
                stuff: stuff.to_string(),
                pieces: u32::try_from(*count).unwrap_or(u32::MAX),
                id: (*id).to_owned(),
            });
        }
        if *count > MOST_COPIES {
            return Err(NestingError::TooMany {
                stuff: stuff.to_string(),
                count: *count,
                limit: MOST_COPIES,
            });
        }
    }
    for (k, s) in request.stock.iter().enumerate().filter(|(_, s)| s.available != Some(0)) {
        if counts.contains_key(&s.stuff) {
            let problem = groups.entry(&s.stuff).or_default();
            let g = ground(k, s, spacing, request.margin, &mut problem.shapes)?;
            problem.grounds.push(g);
        } else {
            clean(&s.outline, &format!("stock \"{}\"", s.id))?;
        }
    }
    let mut locked: BTreeMap<usize, u32> = BTreeMap::new();
    for (k, p) in request.pieces.iter().enumerate() {
        let ring = clean(&p.outline, &format!("piece \"{}\"", p.id))?;
        let Some(problem) = groups.get_mut(&p.stuff).filter(|_| p.quantity > 0) else { continue };
        let shape = problem.shapes.len();
        problem.shapes.push(piece_shape(p, &ring, spacing)?);
        let mut copy = 0;
        for lock in request.locks.iter().filter(|l| l.piece == k) {
            let held = held(request, lock, problem, Item { shape, piece: k, copy })?;
            problem.held.push(held);
            copy += 1;
        }
        locked.insert(k, copy);
        if copy > p.quantity {
            let why = format!("is one of {copy}, but only {} are asked for", p.quantity);
            return Err(NestingError::BadLock { id: p.id.clone(), why });
        }
        problem.items.extend((copy..p.quantity).map(|copy| Item { shape, piece: k, copy }));
    }
    if let Some(l) = request.locks.iter().find(|l| !locked.contains_key(&l.piece)) {
        let id = request.pieces.get(l.piece).map_or_else(|| l.piece.to_string(), |p| p.id.clone());
        return Err(NestingError::BadLock { id, why: "names a piece that is not asked for".to_owned() });
    }
    Ok(groups.into_iter().map(|(stuff, problem)| Group { stuff: stuff.clone(), problem }).collect())
}

fn held(
    request: &Request,
    lock: &crate::request::Lock,
    problem: &Problem,
    item: Item,
) -> Result<Held, NestingError> {
    let id = request.pieces[lock.piece].id.clone();
    let bad = |why: &str| NestingError::BadLock { id: id.clone(), why: why.to_owned() };
    usable(lock.turn_deg, || format!("the turn of the lock on piece \"{id}\""))?;
    usable(lock.at.x, || format!("the place of the lock on piece \"{id}\""))?;
    usable(lock.at.y, || format!("the place of the lock on piece \"{id}\""))?;
    let Some(ground) = problem.grounds.iter().position(|g| g.stock == lock.stock) else {
        return Err(bad("names a sheet of another stuff or none at all"));
    };
    if problem.grounds[ground].available.is_some_and(|n| lock.nth >= n) {
        return Err(bad("names a sheet beyond those there are"));
    }
    let centre = turned(problem.shapes[item.shape].centre, lock.turn_deg);
    let at = lock.at + centre;
    Ok(Held { item, ground, nth: lock.nth, pose: Pose { board: 0, deg: lock.turn_deg, x: at.x, y: at.y } })
}

/// A vector turned counter-clockwise by degrees.
pub(crate) fn turned(v: Vec2, deg: f64) -> Vec2 {
    let (s, c) = sin_cos_deg(deg);
    Vec2::new(c * v.x - s * v.y, s * v.x + c * v.y)
}
