//! The joints: which edge of one wall meets which of another, and whose foam owns the corner.

use coldwright_geometry::parse_angle;
use coldwright_job::{EdgeOf, Edit, Joint, JointKind};
use egui::{Id, Sense, Stroke, Ui, Vec2, WidgetInfo};

use super::{compartment, plain_box, room};
use crate::actions::Action;
use crate::edit_box::{Bound, Read, degrees};
use crate::parts::{button, button_if, choice, drop_down, group, heading, hint, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, words};
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &format!("Box of {}", shown.job.name));
    room::answer(ui, shown);
    if shown.job.joints.is_empty() {
        plain_box::show(ui, shown, view, queue);
    }
    room::by_height(ui, shown);
    join(ui, shown, view, queue);
    kind(ui, shown, view, queue);
    list(ui, shown, view);
    compartment::show(ui, shown, view, queue);
    room::readings(ui, shown);
}

/// Two edges are chosen and joined.
fn join(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "Join edges");
    if shown.job.walls.len() < 2 {
        hint(ui, "A corner needs two walls. Add another wall: click the job's name at the top left.");
        return;
    }
    for (end, (label, name)) in
        [("This edge", "First edge"), ("meets", "Second edge")].into_iter().enumerate()
    {
        row(ui, label, |ui| edge_choice(ui, shown, view, end, name));
    }
    let both = view.joining[0].zip(view.joining[1]);
    let same = both.is_some_and(|(a, b)| a.wall == b.wall);
    if button_if(ui, "Join edges", true, both.is_some() && !same).clicked()
        && let Some((a, b)) = both
    {
        queue.push(Action::Edit(Edit::Join { a, b, kind: JointKind::default() }, None));
        view.joining = [None; 2];
    }
    if same {
        hint(ui, "Both are edges of one wall: choose an edge of another wall.");
    }
}

fn edge_choice(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, end: usize, name: &str) {
    let Some(chosen) = view.joining.get(end).copied() else { return };
    let other = view.joining.get(1 - end).copied().flatten();
    let said = chosen.map_or("choose an edge".to_owned(), |e| edge_words(shown, e));
    drop_down(ui, ("edge", end), &said, name.to_owned(), |ui| {
        for wall in shown.job.walls.iter().filter(|w| other.is_none_or(|o| o.wall != w.id)) {
            for edge in &wall.template.edges {
                let here = EdgeOf { wall: wall.id, edge: edge.id };
                if shown.job.joint_at(here).is_none()
                    && ui.selectable_label(chosen == Some(here), edge_words(shown, here)).clicked()
                    && let Some(slot) = view.joining.get_mut(end)
                {
                    *slot = Some(here);
                }
            }
        }
    });
}

fn edge_words(shown: &Shown<'_>, at: EdgeOf) -> String {
    let wall = shown.job.wall(at.wall);
    let edge = wall.and_then(|w| w.template.edge(at.edge));
    format!("{}, {}", wall.map_or("?", |w| w.name.as_str()), edge.map_or("?", |e| e.name.as_str()))
}

/// Who owns the corner of the joint selected.
fn kind(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "The corner selected");
    let Some(joint) = view.joint.and_then(|id| shown.job.joint(id)) else {
        hint(ui, "Select a corner below to say which wall's foam runs past.");
        return;
    };
    let name = |at: EdgeOf| shown.job.wall(at.wall).map_or(String::new(), |w| w.name.clone());
    let (a, b) = (name(joint.a), name(joint.b));
    let kinds = [
        (JointKind::RunsPast, format!("{a} runs past {b}")),
        (JointKind::StopsShort, format!("{a} stops short of {b}")),
        (JointKind::Woven { first_runs: true }, format!("woven, layer 1 of {a} runs past")),
        (JointKind::Woven { first_runs: false }, format!("woven, layer 1 of {b} runs past")),
        (JointKind::Mitred, "mitred: both cut on the halving line".to_owned()),
    ];
    for (kind, said) in &kinds {
        if choice(ui, joint.kind == *kind, said).clicked() && joint.kind != *kind {
            queue.push(Action::Edit(Edit::JointKind(joint.id, *kind), None));
        }
    }
    row(ui, "Angle measured", |ui| {
        let bound = Bound {
            job: shown.job,
            key: Id::unique(("joint angle", joint.id)),
            name: "Angle of the corner",
            hint: "from the bevels",
            width: value_width(ui),
        };
        let current = joint.degrees.map(degrees).unwrap_or_default();
        bound.run(ui, &mut view.drafts, current, queue, |text| {
            if text.trim().is_empty() {
                return Ok(Read { value: Edit::JointAngle(joint.id, None), echo: None });
            }
            let angle = parse_angle(text).map_err(|e| e.to_string())?.to_degrees();
            Ok(Read { value: Edit::JointAngle(joint.id, Some(angle)), echo: Some(degrees(angle)) })
        });
    });
    if button(ui, "Take this joint apart", false).clicked() {
        queue.push(Action::Edit(Edit::Unjoin(joint.id), None));
    }
}

fn kind_words(kind: JointKind) -> &'static str {
    match kind {
        JointKind::RunsPast => "runs past",
        JointKind::StopsShort => "stops short",
        JointKind::Woven { .. } => "woven",
        JointKind::Mitred => "mitred",
    }
}

fn list(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let count = match shown.job.joints.len() {
        0 => "Corners".to_owned(),
        1 => "1 corner".to_owned(),
        n => format!("{n} corners"),
    };
    group(ui, &count);
    if shown.job.joints.is_empty() {
        hint(ui, "None yet. Walls that are not joined are cut as they are, alone.");
    }
    for joint in &shown.job.joints {
        if line(ui, shown, joint, view.joint == Some(joint.id)) {
            view.joint = Some(joint.id);
            view.wall = Some(joint.a.wall);
        }
    }
}

fn line(ui: &mut Ui, shown: &Shown<'_>, joint: &Joint, here: bool) -> bool {
    let p = Palette::at(ui);
    let (rect, response) = ui
        .push_id(("joint", joint.id), |ui| {
            ui.allocate_exact_size(Vec2::new(ui.available_width(), 44.0), Sense::click())
        })
        .inner;
    let (a, b) = (edge_words(shown, joint.a), edge_words(shown, joint.b));
    let kind = kind_words(joint.kind);
    response.widget_info(|| {
        WidgetInfo::selected(egui::Role::Button, true, here, format!("{a} meets {b}: {kind}"))
    });
    let painter = ui.painter_at(rect);
    let fill = if here { ui.visuals().selection.bg_fill } else { ui.visuals().widgets.inactive.weak_bg_fill };
    painter.rect_filled(rect, 2.0, fill);
    let frame = if here || response.hovered() || response.has_focus() {
        Stroke::new(1.5, p.hand)
    } else {
        Stroke::new(1.0, p.hair)
    };
    painter.rect_stroke(rect, 2.0, frame, egui::StrokeKind::Inside);
    let kind = painter.layout_no_wrap(kind.to_owned(), words(), p.quiet);
    let left = rect.width() - kind.size().x - 24.0;
    painter.galley(egui::pos2(rect.max.x - 8.0 - kind.size().x, rect.min.y + 3.0), kind, p.quiet);
    for (text, down, width, colour) in
        [(a, 3.0, left, p.ink), (format!("meets {b}"), 22.0, rect.width() - 16.0, p.ink)]
    {
        let mut job = egui::text::LayoutJob::simple_singleline(text, words(), colour);
        job.wrap = egui::text::TextWrapping::truncate_at_width(width);
        painter.galley(rect.min + Vec2::new(8.0, down), painter.layout_job(job), colour);
    }
    response.clicked()
}
