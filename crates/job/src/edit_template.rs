//! Edits of a template: its ticks and edges.

use coldwright_geometry::{EdgeKind, Length};

use crate::document::{EdgeId, TickId};

use crate::edit::said;
use crate::edit_taped::{keep_base, tidy};
use crate::edit_wall::{WallEdit, check_bevel, check_place};
use crate::error::JobError;
use crate::template::{BevelAt, Edge, Template, Tick};

/// Applies the edits that touch ticks and edges; the others are no business of this file.
pub(crate) fn apply(
    t: &mut Template,
    edit: &WallEdit,
    fresh_tick: TickId,
    fresh_edge: EdgeId,
) -> Result<(), JobError> {
    match edit {
        WallEdit::AddTick { edge, before, place } => {
            check_place(place)?;
            let at = match edge {
                Some(id) => edge_index(t, *id)?,
                None => {
                    let edge = plain_edge(fresh_edge, t);
                    t.edges.push(edge);
                    t.edges.len() - 1
                }
            };
            t.ticks.push(Tick { id: fresh_tick, place: place.clone() });
            let list = &mut t.edges[at].ticks;
            let put = before.unwrap_or(list.len()).min(list.len());
            list.insert(put, fresh_tick);
            if t.base.is_none() {
                t.base = Some(t.edges[at].id);
            }
        }
        WallEdit::MoveTick(id, place) => {
            check_place(place)?;
            t.ticks.iter_mut().find(|k| k.id == *id).ok_or(JobError::NoTick(*id))?.place = place.clone();
        }
        WallEdit::RemoveTick(id) => {
            t.tick(*id).ok_or(JobError::NoTick(*id))?;
            t.ticks.retain(|k| k.id != *id);
            tidy(t);
            keep_base(t);
        }
        WallEdit::MakeCorner(id) => {
            let (edge, place) = tick_in_edge(t, *id)?;
            let count = t.edges.len();
            if place == 0 {
                // The first tick of an edge: the edge before it ends there. On the first edge that closes the ring.
                let before = &mut t.edges[(edge + count - 1) % count];
                if count > 1 && before.ticks.last() != Some(id) {
                    before.ticks.push(*id);
                }
                return Ok(());
            }
            if place + 1 == t.edges[edge].ticks.len() && edge + 1 < count {
                // The last tick of an edge that another follows: that one begins with it.
                let next = &mut t.edges[edge + 1];
                if next.ticks.first() != Some(id) {
                    next.ticks.insert(0, *id);
                }
                return Ok(());
            }
            one_bevel(&t.edges[edge])?;
            let second = t.edges[edge].ticks[place..].to_vec();
            t.edges[edge].ticks.truncate(place + 1);
            split_off(t, edge, fresh_edge, second);
        }
        WallEdit::BreakAfter(id) => {
            let (edge, place) = tick_in_edge(t, *id)?;
            if place + 1 == t.edges[edge].ticks.len() {
                return Err(JobError::NothingAfter(*id));
            }
            one_bevel(&t.edges[edge])?;
            let second = t.edges[edge].ticks.split_off(place + 1);
            split_off(t, edge, fresh_edge, second);
        }
        WallEdit::JoinAt(id) => {
            let first =
                t.edges.iter().position(|e| e.ticks.last() == Some(id)).ok_or(JobError::NotACorner(*id))?;
            let second = (first + 1) % t.edges.len();
            if second == first || t.edges[second].ticks.first() != Some(id) {
                return Err(JobError::NotACorner(*id));
            }
            one_bevel(&t.edges[first])?;
            one_bevel(&t.edges[second])?;
            if t.edges[first].bevel != t.edges[second].bevel {
                return Err(JobError::TwoBevels(t.edges[first].name.clone(), t.edges[second].name.clone()));
            }
            let gone = t.edges[second].clone();
            t.edges[first].ticks.extend(gone.ticks.iter().skip(1).copied());
            t.edges.remove(second);
            if t.base == Some(gone.id) {
                let keep = if second < first { first - 1 } else { first };
                t.base = Some(t.edges[keep].id);
            }
        }
        WallEdit::NameEdge(id, name) => {
            let name = said(name, "the edge")?;
            edge_mut(t, *id)?.name = name;
        }
        WallEdit::EdgeKind(id, kind) => edge_mut(t, *id)?.kind = *kind,
        WallEdit::Bevel(id, bevel) => {
            let edge = edge_mut(t, *id)?;
            check_bevel(bevel, &edge.name)?;
            edge.bevel.clone_from(bevel);
        }
        WallEdit::Gap(id, gap) => {
            if !(0.0..=200.0).contains(&gap.mm()) {
                return Err(JobError::Gap { mm: gap.mm() });
            }
            edge_mut(t, *id)?.gap = *gap;
        }
        WallEdit::Smoothing(id, most) => {
            if !(0.0..=2.0).contains(&most.mm()) {
                return Err(JobError::Smoothing { mm: most.mm() });
            }
            edge_mut(t, *id)?.smoothing = *most;
        }
        _ => {}
    }
    Ok(())
}

/// Stations along an edge lie at fractions of its length, which an edit does not know: they cannot be shared out.
fn one_bevel(edge: &Edge) -> Result<(), JobError> {
    if edge.bevel.len() > 1 { Err(JobError::SeveralBevels(edge.name.clone())) } else { Ok(()) }
}

/// A new edge behind another, with the ticks taken from it and all else like it.
fn split_off(t: &mut Template, edge: usize, id: EdgeId, ticks: Vec<TickId>) {
    let fresh = plain_edge(id, t);
    let second = Edge { id, name: fresh.name, ticks, ..t.edges[edge].clone() };
    t.edges.insert(edge + 1, second);
}

/// A straight square edge without ticks, under a name no edge of the template has.
pub(crate) fn plain_edge(id: EdgeId, t: &Template) -> Edge {
    let taken = |name: &String| t.edges.iter().any(|e| e.name == *name);
    let name =
        (t.edges.len() + 1..).map(|n| format!("Edge {n}")).find(|name| !taken(name)).unwrap_or_default();
    Edge {
        id,
        name,
        kind: EdgeKind::Straight,
        ticks: Vec::new(),
        bevel: vec![BevelAt { at: 0.0, degrees: 0.0 }],
        gap: Length::default(),
        smoothing: Length::default(),
    }
}

fn edge_index(t: &Template, id: EdgeId) -> Result<usize, JobError> {
    t.edges.iter().position(|e| e.id == id).ok_or(JobError::NoEdge(id))
}

fn edge_mut(t: &mut Template, id: EdgeId) -> Result<&mut Edge, JobError> {
    t.edges.iter_mut().find(|e| e.id == id).ok_or(JobError::NoEdge(id))
}

fn tick_in_edge(t: &Template, id: TickId) -> Result<(usize, usize), JobError> {
    t.edges
        .iter()
        .enumerate()
        .find_map(|(e, edge)| edge.ticks.iter().position(|k| *k == id).map(|p| (e, p)))
        .ok_or(JobError::NoTick(id))
}
