//! The hollow behind a wall: how it was measured, and what the first layers are made into for it.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{
    Along, Edit, FirstLayers, HollowBehind, HollowLayer, HollowShape, Stands, Wall, WallEdit,
};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, degrees, exactly, notes};
use crate::parts::{button, choices, fact, group, group_with, hint, mm, rest, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::layer_facts::volume;
use super::outline::wall_edit;

/// Makes the edit that changes the hollow so.
type Change<'a> = dyn Fn(&dyn Fn(&mut HollowBehind)) -> Edit + 'a;

/// How a box changes the hollow.
type Put<'a> = &'a dyn Fn(&mut HollowBehind, Length);

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let word = if wall.hollow.is_some() { "Remove hollow" } else { "Add hollow" };
    let change = group_with(ui, "Hollow behind the hull face", word);
    let Some(hollow) = &wall.hollow else {
        hint(ui, "Lay a straightedge on the hull where the wall goes, and measure the gap behind it.");
        if change {
            let bounds = shown.wall_plan(view).and_then(|w| w.outline.as_ref()).map(|o| o.bounds().width());
            let length = Length::from_mm(bounds.unwrap_or(1000.0).round()).unwrap_or_default();
            let fresh = HollowBehind::measured(length, Length::from_micrometres(10_000));
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Hollow(Some(fresh))), None));
        }
        return;
    };
    if change {
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Hollow(None)), None));
    }
    let edit = |change: &dyn Fn(&mut HollowBehind)| -> Edit {
        let mut next = hollow.clone();
        change(&mut next);
        wall_edit(wall, WallEdit::Hollow(Some(next)))
    };
    let up = if wall.stands == Stands::Upright { "upright" } else { "fore and aft" };
    row(ui, "Straightedge", |ui| {
        if let Some(along) = choices(ui, hollow.along, &[(Along::Across, "level"), (Along::Up, up)]) {
            queue.push(Action::Edit(edit(&|h| h.along = along), None));
        }
    });
    let mut boxed = Boxes { shown, wall, edit: &edit, view, queue };
    boxed.length(ui, "It begins at", hollow.from, &|h, l| h.from = l);
    boxed.length(ui, "It is long", hollow.shape.length(), &|h, l| match &mut h.shape {
        HollowShape::Radius { length, .. } | HollowShape::Gaps { length, .. } => *length = l,
    });
    let round = matches!(hollow.shape, HollowShape::Radius { .. });
    if let Some(round) = choices(ui, round, &[(false, "gaps measured"), (true, "a radius")]) {
        let length = hollow.shape.length();
        let shape = if round {
            // As deep as the deepest gap: R = (l²/4 + g²) / 2g.
            let deep = match &hollow.shape {
                HollowShape::Gaps { gaps, .. } => gaps.iter().map(|g| g.1.mm()).fold(0.0, f64::max).max(1.0),
                HollowShape::Radius { .. } => 1.0,
            };
            let radius = (0.25 * length.mm().powi(2) + deep * deep) / (2.0 * deep);
            HollowShape::Radius { radius: Length::from_mm(radius.round()).unwrap_or_default(), length }
        } else {
            let middle = Length::from_mm(length.mm() / 2.0).unwrap_or_default();
            let deep =
                shown.wall_plan(boxed.view).and_then(|w| w.hollow.as_ref()).map_or(10.0, |h| h.deepest.0);
            let gap = Length::from_mm((deep * 10.0).round() / 10.0).unwrap_or_default();
            HollowShape::Gaps { length, gaps: vec![(middle, gap)] }
        };
        boxed.queue.push(Action::Edit(edit(&|h| h.shape = shape.clone()), None));
    }
    match &hollow.shape {
        HollowShape::Radius { radius, .. } => boxed.length(ui, "Its radius", *radius, &|h, l| {
            if let HollowShape::Radius { radius, .. } = &mut h.shape {
                *radius = l;
            }
        }),
        HollowShape::Gaps { gaps, length } => boxed.gaps(ui, gaps, *length),
    }
    boxed.first(ui, hollow);
    told(ui, shown, view);
}

/// The boxes of one hollow.
struct Boxes<'a> {
    shown: &'a Shown<'a>,
    wall: &'a Wall,
    edit: &'a Change<'a>,
    view: &'a mut View,
    queue: &'a mut Vec<Action>,
}

impl Boxes<'_> {
    fn length(&mut self, ui: &mut Ui, label: &str, current: Length, put: Put<'_>) {
        row(ui, label, |ui| {
            let key = Id::unique(("hollow", self.wall.id, label));
            let bound = Bound { job: self.shown.job, key, name: label, hint: "", width: value_width(ui) };
            bound.length(ui, &mut self.view.drafts, Some(current), self.queue, |l| {
                l.map(|l| (self.edit)(&|h| put(h, l)))
            });
        });
    }

    /// Places along the straightedge and the gaps there.
    fn gaps(&mut self, ui: &mut Ui, gaps: &[(Length, Length)], length: Length) {
        hint(ui, "Place along the straightedge, and the gap there. It touches at both ends.");
        let with = |edit: &Change<'_>, list: Vec<(Length, Length)>| {
            edit(&|h| {
                if let HollowShape::Gaps { gaps, .. } = &mut h.shape {
                    gaps.clone_from(&list);
                }
            })
        };
        for (index, (at, gap)) in gaps.iter().enumerate() {
            ui.horizontal_top(|ui| {
                for (name, current, first) in [("Place", at, true), ("Gap", gap, false)] {
                    let name = format!("{name} {} of the hollow", index + 1);
                    let key = Id::unique(("hollow gap", self.wall.id, index, first));
                    let bound = Bound { job: self.shown.job, key, name: &name, hint: "", width: 92.0 };
                    let read = |text: &str| {
                        let r = parse_length(text, self.shown.job.units.bare(), Writing::Plain)
                            .map_err(|e| e.to_string())?;
                        let mut list = gaps.to_vec();
                        if let Some(g) = list.get_mut(index) {
                            if first { g.0 = r.length } else { g.1 = r.length }
                        }
                        Ok(Read { value: with(self.edit, list), echo: Some(r.words) })
                    };
                    let words = exactly(self.shown.job.units, *current);
                    bound.run(ui, &mut self.view.drafts, words, self.queue, read);
                }
                let remove = rest(ui, "Remove", gaps.len() > 1);
                if remove.accessible_name(format!("Remove gap {}", index + 1)).clicked() {
                    let mut list = gaps.to_vec();
                    list.remove(index);
                    self.queue.push(Action::Edit(with(self.edit, list), None));
                }
            });
            notes(ui, &mut self.view.drafts);
        }
        if button(ui, "Add a gap", false).clicked() {
            let mut places: Vec<f64> = gaps.iter().map(|g| g.0.mm()).collect();
            places.extend([0.0, length.mm()]);
            places.sort_by(f64::total_cmp);
            let widest = places.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
            let at = widest.map_or(0.0, |w| f64::midpoint(w[0], w[1]));
            let mut list = gaps.to_vec();
            let near = list.iter().min_by(|a, b| (a.0.mm() - at).abs().total_cmp(&(b.0.mm() - at).abs()));
            let gap = near.map(|g| g.1).unwrap_or_default();
            list.push((Length::from_mm(at.round()).unwrap_or_default(), gap));
            list.sort();
            self.queue.push(Action::Edit(with(self.edit, list), None));
        }
    }

    /// What the first layers are made into.
    fn first(&mut self, ui: &mut Ui, hollow: &HollowBehind) {
        let mm = |v: i64| Length::from_micrometres(v * 1000);
        hint(ui, "The layers next to the hull are");
        let kind = |f: &FirstLayers| match f {
            FirstLayers::Flat => 0,
            FirstLayers::Strips { .. } => 1,
            FirstLayers::Kerfs { .. } => 2,
        };
        let here = kind(&hollow.first);
        if let Some(next) =
            choices(ui, here, &[(0, "flat, void filled"), (1, "strips"), (2, "bent on kerfs")])
        {
            let layers = hollow.first.layers().max(1);
            let first = match next {
                0 => FirstLayers::Flat,
                1 => FirstLayers::Strips { layers, gap: mm(2), widest: mm(300), square_up_to: mm(1) },
                _ => FirstLayers::Kerfs { layers, web: mm(5), kerf: mm(3), spacing: mm(60) },
            };
            self.queue.push(Action::Edit((self.edit)(&|h| h.first = first), None));
        }
        if here > 0 {
            row(ui, "How many layers", |ui| {
                let key = Id::unique(("hollow layers", self.wall.id));
                let bound = Bound {
                    job: self.shown.job,
                    key,
                    name: "Layers over the hollow",
                    hint: "",
                    width: value_width(ui),
                };
                let edit = self.edit;
                bound.run(ui, &mut self.view.drafts, hollow.first.layers().to_string(), self.queue, |text| {
                    let n: u32 =
                        text.trim().parse().map_err(|_| "give a whole number of layers".to_owned())?;
                    let value = edit(&|h| match &mut h.first {
                        FirstLayers::Flat => {}
                        FirstLayers::Strips { layers, .. } | FirstLayers::Kerfs { layers, .. } => *layers = n,
                    });
                    Ok(Read { value, echo: None })
                });
            });
        }
        match hollow.first {
            FirstLayers::Flat => {}
            FirstLayers::Strips { layers, gap, widest, square_up_to } => {
                let of =
                    |gap, widest, square_up_to| FirstLayers::Strips { layers, gap, widest, square_up_to };
                self.length(ui, "Gap left, up to", gap, &|h, l| h.first = of(l, widest, square_up_to));
                self.length(ui, "Widest strip", widest, &|h, l| h.first = of(gap, l, square_up_to));
                self.length(ui, "Joints square up to", square_up_to, &|h, l| h.first = of(gap, widest, l));
            }
            FirstLayers::Kerfs { layers, web, kerf, spacing } => {
                let of = |web, kerf, spacing| FirstLayers::Kerfs { layers, web, kerf, spacing };
                self.length(ui, "Left under a kerf", web, &|h, l| h.first = of(l, kerf, spacing));
                self.length(ui, "A kerf is wide", kerf, &|h, l| h.first = of(web, l, spacing));
                self.length(ui, "Kerf to kerf, up to", spacing, &|h, l| h.first = of(web, kerf, l));
            }
        }
    }
}

/// What follows from it.
fn told(ui: &mut Ui, shown: &Shown<'_>, view: &View) {
    let Some(plan) = shown.wall_plan(view).and_then(|w| w.hollow.clone()) else { return };
    let (deep, at) = plan.deepest;
    fact(ui, "Deepest", &format!("{}, at {}", mm(shown, deep), mm(shown, at)));
    if let Some(radius) = plan.tightest {
        fact(ui, "Tightest", &format!("{} radius", mm(shown, radius)));
    }
    fact(ui, "Void behind layer 1", &volume(shown, plan.void));
    if plan.before_flat > 0.0 {
        let first = plan.layers.len() + 1;
        fact(ui, &format!("Before layer {first}, flat"), &volume(shown, plan.before_flat));
    }
    for (index, layer) in plan.layers.iter().enumerate() {
        match layer {
            HollowLayer::Strips { strips, .. } => {
                group(ui, &format!("Layer {}: {} strips", index + 1, strips.len()));
                for s in strips {
                    let lean = |a: f64| degrees(a.to_degrees());
                    let words = format!(
                        "{}, gap {}, joints {} and {}",
                        mm(shown, s.width),
                        mm(shown, s.gap),
                        lean(s.bevels.0),
                        lean(s.bevels.1)
                    );
                    fact(ui, &format!("Strip {}", s.number), &words);
                }
            }
            HollowLayer::Kerfs { depth, spacing, at, .. } => {
                group(ui, &format!("Layer {}: bent on {} kerfs", index + 1, at.len()));
                fact(ui, "Kerfs", &format!("{} deep, {} apart", mm(shown, *depth), mm(shown, *spacing)));
            }
        }
    }
}
