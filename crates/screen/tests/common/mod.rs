//! A desk to test at: a job with its history and plan, and the screen on it, as the program would hold them.
#![allow(
    dead_code,
    clippy::allow_attributes,
    clippy::expect_used,
    reason = "a rig for tests, of which each test file uses its own part"
)]

pub mod tracing;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use coldwright_canvas::{Limits, Picture};
use coldwright_job::{Edit, History, Job, LaidOut, PhotoId, Plan, Planner, WallEdit, apply, from_bytes};
use coldwright_screen::{Action, Busy, Made, Message, Shown, View, install, show};
use egui_kittest::Harness;

/// What the program would hold.
#[derive(Default)]
pub struct Desk {
    pub history: Option<History>,
    pub planner: Planner,
    pub plan: Plan,
    pub pictures: BTreeMap<PhotoId, Arc<Picture>>,
    pub view: View,
    /// Everything asked for so far.
    pub asked: Vec<Action>,
    pub refused: Vec<String>,
    pub busy: Vec<Busy>,
    pub messages: Vec<Message>,
    pub recovered: Option<String>,
    pub made: Option<Made>,
    pub laying: Option<Arc<LaidOut>>,
    pub stale: bool,
}

impl Desk {
    pub fn with(job: Job) -> Desk {
        let mut desk = Desk { history: Some(History::new(job)), ..Desk::default() };
        desk.replan();
        desk
    }

    /// A shipped sample, with its photo decoded.
    pub fn sample_with_photo(name: &str) -> Desk {
        let mut desk = Desk::sample(name);
        desk.decode();
        desk
    }

    /// A shipped sample, its photo not decoded.
    pub fn sample(name: &str) -> Desk {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../samples").join(name);
        let job = from_bytes(&std::fs::read(path).expect("the sample is there")).expect("the sample opens");
        Desk::with(job)
    }

    pub fn decode(&mut self) {
        for photo in self.job().photos.clone() {
            let bytes = photo.bytes.expect("the sample has its photo");
            let picture = Picture::decode(&bytes, &Limits::default()).expect("the photo opens");
            self.pictures.insert(photo.id, Arc::new(picture));
        }
    }

    pub fn job(&self) -> &Arc<Job> {
        self.history.as_ref().expect("a desk has a job").job()
    }

    /// Edits the first wall.
    pub fn edit(&mut self, edit: WallEdit) {
        let wall = self.job().walls[0].id;
        let history = self.history.as_mut().expect("a desk has a job");
        history.edit(&Edit::Wall(wall, edit), None).expect("the edit holds");
        self.replan();
    }

    pub fn replan(&mut self) {
        let job = self.job().clone();
        self.plan = self.planner.plan(&job);
    }

    pub fn frame(&mut self, ui: &mut egui::Ui) {
        let mut queue = Vec::new();
        let history = self.history.get_or_insert_with(|| History::new(Job::default()));
        let shown = Shown {
            job: history.job(),
            can_undo: history.can_undo(),
            can_redo: history.can_redo(),
            unsaved: history.unsaved(),
            file_name: None,
            plan: &self.plan,
            plan_is_current: !self.stale,
            pictures: &self.pictures,
            busy: &self.busy,
            laying: self.laying.as_ref(),
            messages: &self.messages,
            recovered: self.recovered.as_deref(),
            made: self.made.as_ref(),
        };
        show(ui, &shown, &mut self.view, &mut queue);
        for action in &queue {
            match action {
                Action::Edit(edit, gesture) => {
                    if let Err(why) = history.edit(edit, *gesture) {
                        self.refused.push(why.to_string());
                    }
                }
                Action::EndGesture => history.end_gesture(),
                Action::Undo => {
                    history.undo();
                }
                Action::Redo => {
                    history.redo();
                }
                _ => {}
            }
        }
        if !queue.is_empty() {
            self.asked.append(&mut queue);
            self.replan();
        }
    }

    /// The edits of walls asked for so far.
    pub fn wall_edits(&self) -> Vec<&WallEdit> {
        self.asked
            .iter()
            .filter_map(|a| match a {
                Action::Edit(Edit::Wall(_, edit), _) => Some(edit),
                _ => None,
            })
            .collect()
    }

    /// A harness without pictures.
    pub fn open(self, width: f32, height: f32) -> Harness<'static, Desk> {
        Harness::builder()
            .with_size(egui::vec2(width, height))
            .with_context_setup(install)
            .build_ui_state(|ui, desk: &mut Desk| desk.frame(ui), self)
    }

    /// A harness that can make pictures.
    pub fn open_for_pictures(self, width: f32, height: f32) -> Harness<'static, Desk> {
        Harness::builder()
            .with_size(egui::vec2(width, height))
            .with_context_setup(install)
            .wgpu()
            .build_ui_state(|ui, desk: &mut Desk| desk.frame(ui), self)
    }
}

/// The text box of that name.
pub fn text_box<'a>(h: &'a Harness<'static, Desk>, name: &'a str) -> egui_kittest::Node<'a> {
    use egui_kittest::kittest::Queryable as _;
    h.get_by_role_and_label(egui::Role::TextInput, name)
}

/// Types over what stands in a text box; it is not yet taken.
pub fn type_over(h: &mut Harness<'static, Desk>, name: &str, words: &str) {
    text_box(h, name).focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    text_box(h, name).type_text(words);
    h.run();
}

/// Applies edits to a job.
pub fn edited(job: Job, edits: &[Edit]) -> Job {
    edits.iter().fold(job, |job, edit| apply(&job, edit).expect("the edit holds"))
}

/// A wall whose outline crosses itself.
pub fn crossed_job() -> Job {
    use coldwright_job::{Place, WallId};
    use kurbo::Point;
    let mut job = typed_job();
    let edge = job.walls[0].template.edges[2].clone();
    for (tick, at) in edge.ticks.iter().zip([(60.0, 500.0), (900.0, -300.0)]) {
        let place = Place::Typed { at: Point::new(at.0, at.1), sd: 0.5 };
        job = edited(job, &[Edit::Wall(WallId(1), WallEdit::MoveTick(*tick, place))]);
    }
    job
}

/// The same wall with a tick far off a straight edge.
pub fn bent_job() -> Job {
    use coldwright_job::Place;
    let job = typed_job();
    let (wall, edge) = (job.walls[0].id, job.walls[0].template.edges[0].id);
    let place = Place::Typed { at: kurbo::Point::new(450.0, -14.0), sd: 0.5 };
    edited(job, &[Edit::Wall(wall, WallEdit::AddTick { edge: Some(edge), before: Some(1), place })])
}

/// Names longer than any room for them.
pub fn long_job() -> Job {
    use coldwright_job::{Edit as E, WallId};
    let long = "Starboard side under the companionway steps, behind the engine box and the old tank";
    let mut job = edited(typed_job(), &[E::NameJob(format!("Refit of the forward box, second try: {long}"))]);
    job =
        edited(job, &[E::Wall(WallId(1), WallEdit::Name(long.into())), E::AddWall { name: "Floor".into() }]);
    let mut layers = job.walls[0].layers.clone();
    layers[1].material = "polyurethane from the shed, second sheet".into();
    edited(job, &[E::Wall(WallId(1), WallEdit::Layers(layers))])
}

/// A wall of typed points: a lopsided quadrangle of four straight edges with leaning sides, corners measured.
pub fn typed_job() -> Job {
    use coldwright_job::{BevelAt, EdgeId, Place, WallId};
    use kurbo::Point;
    let mut job = edited(Job::default(), &[Edit::AddWall { name: "Forward".into() }]);
    let wall = WallId(1);
    let corners = [(0.0, 0.0), (900.0, 0.0), (840.0, 560.0), (60.0, 500.0)];
    for side in 0..4 {
        let (a, b) = (corners[side], corners[(side + 1) % 4]);
        let mut edge: Option<EdgeId> = None;
        for t in [0.1, 0.9] {
            let at = Point::new(a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
            let add = WallEdit::AddTick { edge, before: None, place: Place::Typed { at, sd: 0.5 } };
            job = edited(job, &[Edit::Wall(wall, add)]);
            edge = job.walls[0].template.edges.last().map(|e| e.id);
        }
        let id = edge.expect("the edge was made");
        let degrees = [0.0, 8.0, 0.0, -12.0][side];
        job = edited(job, &[Edit::Wall(wall, WallEdit::Bevel(id, vec![BevelAt { at: 0.0, degrees }]))]);
    }
    job
}

/// Two walls of typed points, the second like the first.
pub fn two_walls() -> Job {
    let mut job = typed_job();
    let first = job.walls[0].clone();
    job = edited(job, &[Edit::AddWall { name: "Aft".into() }]);
    let aft = job.walls[1].id;
    edited(
        job,
        &[
            Edit::Wall(aft, WallEdit::Trace(first.template.ticks, first.template.edges)),
            Edit::Wall(aft, WallEdit::Layers(first.layers)),
        ],
    )
}

/// Two walls, their pieces laid out.
pub fn laid_desk() -> Desk {
    use coldwright_nesting::{Effort, nest};
    let mut desk = Desk::with(two_walls());
    let asked = coldwright_job::sheet_request(desk.job(), &desk.plan.pieces);
    let effort = Effort { seed: 1, moves: Some(200), seconds: None, threads: 1 };
    let stop = std::sync::atomic::AtomicBool::new(false);
    let outcome = nest(&asked.request, &effort, &stop, &mut |_| ()).expect("the pieces can be laid out");
    let kept = coldwright_job::keep_layout(&asked, &outcome, 1);
    let history = desk.history.as_mut().expect("a desk has a job");
    history.edit(&Edit::KeepLayout(Some(kept)), None).expect("the layout is kept");
    desk.replan();
    desk
}

/// Two walls and an opening that not every layer passes in one piece.
pub fn small_opening() -> Job {
    use coldwright_geometry::Length;
    use coldwright_job::{Opening, OpeningShape};
    let side = |mm: i64| Length::from_micrometres(mm * 1000);
    let shape = OpeningShape::Rectangle { width: side(360), height: side(300), corner: side(40) };
    edited(two_walls(), &[Edit::SetOpening(Some(Opening { shape, behind: None, place: None }))])
}

/// Two walls joined at two corners, one of them woven.
pub fn joined() -> Job {
    use coldwright_job::{EdgeOf, JointKind};
    let job = two_walls();
    let at = |wall: usize, edge: usize| {
        let w = &job.walls[wall];
        EdgeOf { wall: w.id, edge: w.template.edges[edge].id }
    };
    let joins = [
        Edit::Join { a: at(0, 1), b: at(1, 3), kind: JointKind::default() },
        Edit::Join { a: at(0, 3), b: at(1, 1), kind: JointKind::RunsPast },
    ];
    edited(job.clone(), &joins)
}

/// A box of typed sizes, its hull side leaning.
pub fn typed_box() -> Job {
    use coldwright_job::TypedBox;
    edited(Job::default(), &[Edit::AddBox(TypedBox { lean_deg: 15.0, ..TypedBox::default() })])
}
