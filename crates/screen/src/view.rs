//! What the person looks at: step, wall, selection, zoom, half-typed words. Never saved, never undone.

use std::collections::BTreeMap;

use coldwright_geometry::Length;
use coldwright_job::{
    EdgeId, EdgeOf, Height, Job, JointId, PhotoId, PieceId, Step, TickId, TypedBox, WallId,
};
use kurbo::Point;

use crate::actions::Command;
use crate::board::{Eye, EyeKey};
use crate::drawing_board::AskedDrawing;
use crate::edit_box::Drafts;
use crate::outline_cache::OutlineCache;
use crate::path_field::PathFor;
use crate::stack_mesh::StackCache;
use crate::tiles::Tiles;

/// View state. `step`, `wall` and `dark` may be set from outside at any time; the rest looks after itself.
#[derive(Debug)]
pub struct View {
    /// The step shown.
    pub step: Step,
    /// The wall shown; set to the first wall when it is `None` or gone.
    pub wall: Option<WallId>,
    /// The dark theme.
    pub dark: bool,
    pub(crate) selected: Selected,
    /// The template in hand, and the wall it is one of.
    pub(crate) in_hand: (Option<WallId>, usize),
    pub(crate) photo: Option<PhotoId>,
    pub(crate) eyes: BTreeMap<EyeKey, Eye>,
    pub(crate) drafts: Drafts,
    pub(crate) line_drafts: crate::lines_box::LineDrafts,
    pub(crate) height: Height,
    pub(crate) new_edge: bool,
    pub(crate) looked_at: (Step, Selected),
    pub(crate) scrolled: crate::column::Scrolled,
    pub(crate) snap: bool,
    pub(crate) sought: crate::stick_ticks::Sought,
    pub(crate) proposal: crate::snapping::Proposal,
    pub(crate) following: crate::edge_follow::Following,
    pub(crate) flat: bool,
    pub(crate) layers_as: LayersAs,
    pub(crate) layer: usize,
    pub(crate) turn: (f64, f64),
    pub(crate) spread: f64,
    pub(crate) cut: CutAt,
    pub(crate) grab: Grab,
    pub(crate) gesture: u64,
    pub(crate) nudging: bool,
    pub(crate) photo_path: String,
    pub(crate) job_path: String,
    pub(crate) table_path: String,
    pub(crate) asked_clicks: Option<crate::asked_clicks::AskedClicks>,
    pub(crate) without_cards: crate::column::WithoutCards,
    pub(crate) folder: String,
    pub(crate) focus_path: Option<PathFor>,
    pub(crate) asked_path: PathFor,
    pub(crate) asked_job: PathFor,
    pub(crate) next_step: Option<Step>,
    pub(crate) after: Option<Command>,
    pub(crate) shown_dark: Option<bool>,
    pub(crate) board_id: Option<egui::Id>,
    pub(crate) board_ring: bool,
    pub(crate) tiles: Tiles,
    pub(crate) stack: StackCache,
    pub(crate) lines: OutlineCache,
    pub(crate) pages: crate::papers_board::PagesCache,
    pub(crate) piece: Option<PieceId>,
    pub(crate) sheet: usize,
    pub(crate) sheets: crate::sheets_board::SheetsCache,
    pub(crate) opening: crate::column::OpeningDraft,
    pub(crate) seam: Option<usize>,
    pub(crate) cutting: bool,
    pub(crate) joint: Option<JointId>,
    pub(crate) joining: [Option<EdgeOf>; 2],
    pub(crate) typed_box: TypedBox,
    /// Name typed for a second compartment, and sides of its opening of which the other is not typed yet.
    pub(crate) compartment: String,
    pub(crate) compartment_sides: BTreeMap<WallId, [Option<Length>; 2]>,
    pub(crate) boxed: crate::box_board::BoxCache,
    pub(crate) box_look: crate::box_board::BoxLook,
    pub(crate) drawing: Option<AskedDrawing>,
    pub(crate) paper_part: u32,
    pub(crate) paper_turned: bool,
}

/// The thing the column belongs to.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub(crate) enum Selected {
    /// The step as a whole.
    #[default]
    Step,
    /// The job, its walls and its file.
    Job,
    /// An edge.
    Edge(EdgeId),
    /// A tick.
    Tick(TickId),
    /// A hole of the wall, by its place in the list.
    Hole(usize),
}

/// How the layers are shown.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub(crate) enum LayersAs {
    /// Turnable, one over the other.
    #[default]
    Stack,
    /// One layer, flat.
    Plan,
    /// Through the wall.
    Section,
}

/// Where the section is taken: a share of the wall's width or height.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct CutAt {
    pub(crate) upright: bool,
    pub(crate) share: f64,
}

/// What the pointer holds.
#[derive(Copy, Clone, Debug, PartialEq, Default)]
pub(crate) enum Grab {
    /// Nothing.
    #[default]
    Nothing,
    /// The board: its centre when it was taken hold of.
    Board { centre: Point },
    /// A tick: where it was, less where the pointer was, in the board's units.
    Tick { id: TickId, offset: kurbo::Vec2, gesture: u64, frame: kurbo::Affine },
    /// The stack: its turn when it was taken hold of.
    Turn { from: (f64, f64) },
    /// The line of the section.
    Cut,
    /// A seam being drawn: where it began, in the layer's frame.
    Seam { from: Point },
    /// A seam held by an end or as a whole: its place in the list, and where it was taken hold of.
    SeamHeld { index: usize, by: SeamPart, at: Point },
    /// A piece on a sheet: where it was taken hold of, on the board.
    Piece { id: PieceId, at: Point },
}

/// What of a seam the pointer holds.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum SeamPart {
    /// Its first end.
    First,
    /// Its last end.
    Last,
    /// All of it.
    Whole,
}

impl Default for View {
    fn default() -> Self {
        View {
            step: Step::Photo,
            wall: None,
            dark: false,
            selected: Selected::Step,
            in_hand: (None, 0),
            photo: None,
            eyes: BTreeMap::new(),
            drafts: Drafts::default(),
            line_drafts: crate::lines_box::LineDrafts::default(),
            height: Height::Laps(1),
            new_edge: false,
            looked_at: (Step::Photo, Selected::Step),
            scrolled: crate::column::Scrolled::default(),
            snap: false,
            sought: crate::stick_ticks::Sought::default(),
            proposal: crate::snapping::Proposal::default(),
            following: crate::edge_follow::Following::default(),
            flat: false,
            layers_as: LayersAs::Stack,
            layer: 0,
            turn: (0.6, 0.5),
            spread: 0.6,
            cut: CutAt { upright: false, share: 0.5 },
            grab: Grab::Nothing,
            gesture: 0,
            nudging: false,
            photo_path: String::new(),
            job_path: String::new(),
            table_path: String::new(),
            asked_clicks: None,
            without_cards: crate::column::WithoutCards::default(),
            folder: String::new(),
            focus_path: None,
            asked_path: PathFor::Photo,
            asked_job: PathFor::Open,
            next_step: None,
            after: None,
            shown_dark: None,
            board_id: None,
            board_ring: false,
            tiles: Tiles::default(),
            stack: StackCache::default(),
            lines: OutlineCache::default(),
            pages: crate::papers_board::PagesCache::default(),
            piece: None,
            sheet: 0,
            sheets: crate::sheets_board::SheetsCache::default(),
            opening: crate::column::OpeningDraft::default(),
            seam: None,
            cutting: false,
            joint: None,
            joining: [None; 2],
            typed_box: TypedBox::default(),
            compartment: String::new(),
            compartment_sides: BTreeMap::new(),
            boxed: crate::box_board::BoxCache::default(),
            box_look: crate::box_board::BoxLook::default(),
            drawing: None,
            paper_part: 0,
            paper_turned: false,
        }
    }
}

impl View {
    /// The tick that is selected.
    pub fn tick(&self) -> Option<TickId> {
        match self.selected {
            Selected::Tick(id) => Some(id),
            _ => None,
        }
    }

    /// Which template of the wall is in hand: 0 is its first.
    pub fn template(&self) -> usize {
        if self.in_hand.0 == self.wall { self.in_hand.1 } else { 0 }
    }

    /// Takes a template of the wall in hand.
    pub fn take_template(&mut self, number: usize) {
        self.in_hand = (self.wall, number);
    }

    /// The edge that is selected.
    pub fn edge(&self) -> Option<EdgeId> {
        match self.selected {
            Selected::Edge(id) => Some(id),
            _ => None,
        }
    }

    /// Selects a tick.
    pub fn select_tick(&mut self, id: TickId) {
        self.selected = Selected::Tick(id);
    }

    /// Selects a piece, on the steps that show pieces.
    pub fn select_piece(&mut self, id: PieceId) {
        if self.piece.is_none_or(|p| (p.wall, p.layer) != (id.wall, id.layer)) {
            (self.seam, self.cutting) = (None, false);
        }
        self.piece = Some(id);
    }

    /// Where the middle of the piece selected stood on the sheets' board when it was drawn last, in points of the screen.
    pub fn piece_on_screen(&self) -> Option<egui::Pos2> {
        self.sheets.on_screen(self.piece?)
    }

    /// Selects an edge.
    pub fn select_edge(&mut self, id: EdgeId) {
        self.selected = Selected::Edge(id);
    }

    /// Puts the cursor into the path field for what was asked last (a photo, a job file, a folder), and shows the step
    /// it is on: for when a file dialog could not be opened.
    pub fn point_to_path_field(&mut self) {
        self.focus_path = Some(self.asked_path);
        match self.asked_path {
            PathFor::Table => (self.selected, self.step) = (Selected::Step, Step::Outline),
            PathFor::Photo => (self.selected, self.step) = (Selected::Step, Step::Photo),
            PathFor::Open | PathFor::Save => self.selected = Selected::Job,
            PathFor::Folder => (self.selected, self.step) = (Selected::Step, Step::Papers),
        }
    }

    /// Asks which outline of a drawing file is meant, and in what unit its numbers are where it does not say.
    pub fn ask_about_drawing(
        &mut self,
        wall: Option<WallId>,
        file: std::sync::Arc<coldwright_job::DrawnFile>,
    ) {
        self.drawing = Some(AskedDrawing::new(wall, file));
        self.eyes.remove(&EyeKey::Drawing);
        (self.selected, self.step) = (Selected::Step, Step::Outline);
    }

    /// Whether a drawing file is asked about: it has the board and the column until it is taken or left.
    pub(crate) fn asked_drawing(&self) -> bool {
        self.drawing.is_some() && self.step == Step::Outline && self.selected != Selected::Job
    }

    /// Shows a wall on a step.
    pub fn show_wall(&mut self, wall: WallId, step: Step) {
        (self.wall, self.selected, self.step) = (Some(wall), Selected::Step, step);
    }

    /// Shows the job on the flat board (`true`) or on its photo.
    pub fn show_flat(&mut self, flat: bool) {
        self.flat = flat;
    }

    /// Spreads the box's walls apart by a share, 0 to 1, and shows its near walls as bodies or looks through them.
    pub fn look_at_box(&mut self, spread: f64, near_walls: bool) {
        self.box_look.spread = if spread.is_finite() { spread.clamp(0.0, 1.0) } else { 0.0 };
        self.box_look.near = near_walls;
    }

    /// Forgets zoom, selection and half-typed words, for a job just opened; how the person likes to work stays.
    pub fn start_over(&mut self) {
        let (dark, snap) = (self.dark, self.snap);
        *self = View { dark, snap, ..View::default() };
    }

    pub(crate) fn new_gesture(&mut self) -> u64 {
        self.gesture += 1;
        self.gesture
    }

    /// Lets go of what is no longer in the job.
    pub(crate) fn settle(&mut self, job: &Job) {
        if self.wall.is_none_or(|id| job.wall(id).is_none()) {
            self.wall = job.walls.first().map(|w| w.id);
            if self.selected != Selected::Job {
                self.selected = Selected::Step;
            }
        }
        let wall = self.wall.and_then(|id| job.wall(id));
        let there = match self.selected {
            Selected::Step | Selected::Job => true,
            Selected::Edge(id) => wall.is_some_and(|w| w.template.edge(id).is_some()),
            Selected::Tick(id) => wall.is_some_and(|w| w.template.tick(id).is_some()),
            Selected::Hole(index) => wall.is_some_and(|w| index < w.template.holes.len()),
        };
        if !there {
            self.selected = Selected::Step;
        }
        let photos: Vec<PhotoId> = wall
            .and_then(|w| w.template.sightings.as_ref())
            .map(|s| s.photos.iter().map(|p| p.photo).collect())
            .unwrap_or_default();
        if self.photo.is_none_or(|p| !photos.contains(&p)) {
            self.photo = photos.first().copied();
        }
        if let Some(crate::asked_clicks::AskedClicks::Again(id)) = self.asked_clicks
            && wall.is_none_or(|w| w.template.tick(id).is_none())
        {
            self.asked_clicks = None;
        }
        let layers = wall.map_or(0, coldwright_job::Wall::layer_count);
        self.layer = self.layer.min(layers.saturating_sub(1));
        self.sheet = self.sheet.min(job.stock.len().saturating_sub(1));
        self.joint = self.joint.filter(|id| job.joint(*id).is_some());
        for end in &mut self.joining {
            let free = |e: &EdgeOf| {
                job.wall(e.wall).is_some_and(|w| w.template.edge(e.edge).is_some())
                    && job.joint_at(*e).is_none()
            };
            *end = end.filter(free);
        }
        let gone = |id: PieceId| {
            job.wall(id.wall).is_none_or(|w| !(1..=w.layer_count()).contains(&(id.layer as usize)))
        };
        if self.piece.is_some_and(gone) {
            (self.piece, self.seam, self.cutting) = (None, None, false);
        }
    }
}
