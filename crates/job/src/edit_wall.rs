//! What a person can do to one wall.

use coldwright_geometry::{EdgeKind, FixedFace, Length};

use crate::distances::TapedDistance;
use crate::document::{CutStyle, EdgeId, Job, LayerStock, Stands, TickId, WallId};
use crate::edit::{said, unique_wall_name};
use crate::error::JobError;
use crate::further::Further;
use crate::hole::Hole;
use crate::hollow::{HollowBehind, HollowShape};
use crate::lid::SteppedLid;
use crate::lining::{Fitted, Lining};
use crate::seen_again::SeenAgain;
use crate::taped::Taped;
use crate::template::{BevelAt, Edge, Place, SeenFrom, Sightings, TakenAt, Tick};
use crate::without_cards::{KnownRectangle, Sketch};
use crate::{edit_further, edit_taped, edit_template};

/// One change to a wall.
#[derive(Clone, Debug, PartialEq)]
pub enum WallEdit {
    /// Call it so.
    Name(String),
    /// It stands so.
    Stands(Stands),
    /// This face of the wall stays put.
    Fixed(FixedFace),
    /// Cut pieces so.
    Cut(CutStyle),
    /// These layers, outer to inner.
    Layers(Vec<LayerStock>),
    /// The panel on the wall's inner face.
    Liner(Option<Lining>),
    /// A lid in steps.
    Lid(Option<SteppedLid>),
    /// The hollow behind the wall's outer face.
    Hollow(Option<HollowBehind>),
    /// All trims taken while the wall's layers were fitted.
    Fitted(Vec<Fitted>),
    /// Which side of the template faced the camera.
    SeenFrom(SeenFrom),
    /// Where in the wall the template was taken.
    TakenAt(TakenAt),
    /// Thickness of the sticks.
    Stick(Length),
    /// The bottom or after edge.
    Base(EdgeId),
    /// Measured width and height over a printed card's checkers.
    Printed(Option<(Length, Length)>),
    /// Leave these card numbers out.
    LeaveOut(Vec<u32>),
    /// Cards looked for anew.
    Sightings(Sightings),
    /// A new tick at the end of an edge; without an edge a new one is begun behind the last.
    AddTick {
        /// The edge it belongs to.
        edge: Option<EdgeId>,
        /// Put it before this place in the edge's list; at its end when `None`.
        before: Option<usize>,
        /// Where it was measured.
        place: Place,
    },
    /// The tick was measured here instead.
    MoveTick(TickId, Place),
    /// Take the tick away; an edge left without ticks goes too.
    RemoveTick(TickId),
    /// Make the tick a corner: the edge ends there and a new one begins with the same tick.
    MakeCorner(TickId),
    /// The tick is no corner: the two edges that share it become one.
    JoinAt(TickId),
    /// Begin a new edge after this tick without a measured corner.
    BreakAfter(TickId),
    /// Call the edge so.
    NameEdge(EdgeId, String),
    /// Straight or fair.
    EdgeKind(EdgeId, EdgeKind),
    /// Bevel stations of the edge.
    Bevel(EdgeId, Vec<BevelAt>),
    /// Gap of the edge.
    Gap(EdgeId, Length),
    /// Smoothing of the edge.
    Smoothing(EdgeId, Length),
    /// These further templates at other depths.
    Further(Vec<Further>),
    /// These holes go through the wall.
    Holes(Vec<Hole>),
    /// The numbers taped without a photo; ticks follow its points. `None` takes them away.
    Taped(Option<Taped>),
    /// The distances taped between ticks.
    Distances(Vec<TapedDistance>),
    /// Ticks clicked in a second photo.
    SeenAgain(Vec<SeenAgain>),
    /// A rectangle of known size in a photo.
    Rectangle(Option<KnownRectangle>),
    /// Two points a known distance apart.
    Sketch(Option<Sketch>),
    /// Ticks and edges typed or pasted at once, replacing what is there.
    Trace(Vec<Tick>, Vec<Edge>),
    /// The outline of a drawing file, replacing what is there.
    Drawing(crate::drawn::DrawnTrace),
}

pub(crate) fn apply(job: &mut Job, id: WallId, edit: &WallEdit) -> Result<(), JobError> {
    if let WallEdit::Name(name) = edit {
        let name = said(name, "the wall")?;
        unique_wall_name(job, id, &name)?;
        job.wall_mut(id)?.name = name;
        return Ok(());
    }
    if let WallEdit::Drawing(drawn) = edit {
        let mut next = job.next_id;
        drawn.put(&mut job.wall_mut(id)?.template, &mut next);
        job.next_id = next;
        job.drop_unused_photos();
        return Ok(());
    }
    // New ids are taken before the wall is borrowed; an id that is not used is not missed.
    let (fresh_tick, fresh_edge) = (TickId(job.take_id()), EdgeId(job.take_id()));
    let wall = job.wall_mut(id)?;
    if let WallEdit::Further(further) = edit {
        edit_further::set(wall, further)?;
        job.drop_unused_photos();
        return Ok(());
    }
    if let WallEdit::Fitted(fitted) = edit {
        fitted.iter().try_for_each(|f| f.check(wall))?;
        wall.fitted.clone_from(fitted);
        return Ok(());
    }
    let template = &mut wall.template;
    match edit {
        WallEdit::Name(_) | WallEdit::Fitted(_) | WallEdit::Further(_) | WallEdit::Drawing(_) => {}
        WallEdit::Stands(stands) => wall.stands = *stands,
        WallEdit::Fixed(fixed) => wall.fixed = *fixed,
        WallEdit::Cut(cut) => wall.cut = *cut,
        WallEdit::Layers(layers) => {
            check_layers(layers, &wall.name)?;
            wall.layers.clone_from(layers);
        }
        WallEdit::Lid(lid) => {
            lid.as_ref().map_or(Ok(()), |l| l.check(&wall.name))?;
            wall.lid.clone_from(lid);
        }
        WallEdit::Hollow(hollow) => {
            let mut hollow = hollow.clone();
            if let Some(HollowShape::Gaps { gaps, .. }) = hollow.as_mut().map(|h| &mut h.shape) {
                gaps.sort();
            }
            hollow.as_ref().map_or(Ok(()), |h| h.check(&wall.name))?;
            wall.hollow = hollow;
        }
        WallEdit::Liner(liner) => {
            liner.as_ref().map_or(Ok(()), Lining::check)?;
            wall.liner.clone_from(liner);
        }
        WallEdit::SeenFrom(seen) => template.seen_from = *seen,
        WallEdit::TakenAt(at) => template.taken_at = *at,
        WallEdit::Stick(length) => {
            if !(0.0..=100.0).contains(&length.mm()) {
                return Err(JobError::Stick { mm: length.mm() });
            }
            template.stick = *length;
        }
        WallEdit::Base(edge) => {
            template.edge(*edge).ok_or(JobError::NoEdge(*edge))?;
            template.base = Some(*edge);
        }
        WallEdit::Printed(printed) => {
            let s = template.sightings.as_mut().ok_or_else(|| JobError::NoPhoto(wall.name.clone()))?;
            if let Some((w, h)) = printed {
                let (true_w, true_h) = crate::stage::check_size(s.kind, (*w, *h));
                for (length, true_mm, way) in [(w, true_w, "width"), (h, true_h, "height")] {
                    if (length.mm() / true_mm - 1.0).abs() > 0.05 {
                        return Err(JobError::PrintedScale { way, true_mm, mm: length.mm() });
                    }
                }
            }
            s.printed = *printed;
        }
        WallEdit::LeaveOut(numbers) => {
            let s = template.sightings.as_mut().ok_or_else(|| JobError::NoPhoto(wall.name.clone()))?;
            s.left_out.clone_from(numbers);
            s.left_out.sort_unstable();
            s.left_out.dedup();
        }
        WallEdit::Holes(holes) => {
            let mut holes = holes.clone();
            for hole in &mut holes {
                hole.name = said(&hole.name, "the hole")?;
                hole.check()?;
            }
            template.holes = holes;
        }
        WallEdit::Sightings(s) => template.sightings = Some(s.clone()),
        WallEdit::Trace(ticks, edges) => {
            ticks.iter().try_for_each(|tick| check_place(&tick.place))?;
            let ids: Vec<_> = ticks.iter().map(|t| t.id).collect();
            for edge in edges {
                check_bevel(&edge.bevel, &edge.name)?;
                if edge.ticks.is_empty() {
                    return Err(JobError::NoTicks(edge.name.clone()));
                }
                if let Some(lost) = edge.ticks.iter().find(|t| !ids.contains(t)) {
                    return Err(JobError::NoTick(*lost));
                }
            }
            template.ticks.clone_from(ticks);
            template.edges.clone_from(edges);
            edit_taped::tidy(template);
            template.drawn_from = None;
            edit_taped::keep_base(template);
            let highest = ids.iter().map(|t| t.0).chain(edges.iter().map(|e| e.id.0)).max().unwrap_or(0);
            job.next_id = job.next_id.max(highest + 1);
        }
        other => {
            edit_template::apply(template, other, fresh_tick, fresh_edge)?;
            let next = edit_taped::apply(template, other, fresh_tick.0)?;
            job.next_id = job.next_id.max(next);
        }
    }
    Ok(())
}

pub(crate) fn check_layers(layers: &[LayerStock], wall: &str) -> Result<(), JobError> {
    if layers.is_empty() {
        return Err(JobError::NoLayers(wall.to_owned()));
    }
    for (layer, number) in layers.iter().zip(1..) {
        let mm = layer.thickness.mm();
        if mm <= 0.0 || mm > 1000.0 {
            return Err(JobError::Thickness { wall: wall.to_owned(), layer: number, mm });
        }
        check_space(layer, wall, number)?;
    }
    Ok(())
}

fn check_space(layer: &LayerStock, wall: &str, number: usize) -> Result<(), JobError> {
    let mm = layer.before.mm();
    if (0.0..=1000.0).contains(&mm) {
        Ok(())
    } else {
        Err(JobError::Space { wall: wall.to_owned(), layer: number, mm })
    }
}

pub(crate) fn check_bevel(bevel: &[BevelAt], edge: &str) -> Result<(), JobError> {
    if bevel.is_empty() {
        return Err(JobError::NoBevel(edge.to_owned()));
    }
    for b in bevel {
        if !b.degrees.is_finite() || b.degrees.abs() > 75.0 || !(0.0..=1.0).contains(&b.at) {
            return Err(JobError::Bevel { edge: edge.to_owned(), degrees: b.degrees });
        }
    }
    Ok(())
}

pub(crate) fn check_place(place: &Place) -> Result<(), JobError> {
    let (point, sd) = match place {
        Place::Pixel { px, .. } => (px, 0.0),
        Place::Typed { at, sd } => (at, *sd),
        Place::Taped { .. } => return Ok(()),
    };
    if (0.0..1e6).contains(&sd) && point.is_finite() && point.to_vec2().hypot() < 1e6 {
        Ok(())
    } else {
        Err(JobError::Place)
    }
}
