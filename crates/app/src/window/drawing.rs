//! Drawing files: read, asked about, and put into the job.

use std::path::PathBuf;
use std::sync::Arc;

use coldwright_job::{DrawnFile, DrawnTrace, Edit, Severity, Step, WallEdit, WallId};

use super::{App, errand};

impl App {
    /// Reads a drawing file for a wall.
    pub(super) fn add_drawing(&mut self, wall: Option<WallId>, path: PathBuf) {
        self.errand(Some((Step::Outline, "Reading the drawing")), move || errand::drawing(wall, &path));
    }

    /// Turns an outline of it into sides.
    pub(super) fn trace_drawing(
        &mut self,
        wall: Option<WallId>,
        file: Arc<DrawnFile>,
        outline: usize,
        unit_mm: f64,
    ) {
        self.errand(Some((Step::Outline, "Following the outline")), move || {
            errand::trace(wall, file, outline, unit_mm)
        });
    }

    /// Puts the sides into the wall that was meant if it is still bare, and into a new one otherwise.
    pub(super) fn take_drawing(&mut self, wall: Option<WallId>, file: &DrawnFile, trace: DrawnTrace) {
        let job = self.history.job().clone();
        let bare = |id: &WallId| {
            job.wall(*id).is_some_and(|w| w.template.ticks.is_empty() && w.template.sightings.is_none())
        };
        let wall = wall.filter(bare).or_else(|| {
            let stem =
                file.name.rsplit_once('.').map_or(file.name.as_str(), |(stem, _)| stem).trim().to_owned();
            let taken = job.walls.iter().any(|w| w.name.to_lowercase() == stem.to_lowercase());
            let name = if taken || stem.is_empty() { job.free_wall_name() } else { stem };
            self.edit(&Edit::AddWall { name }, None);
            self.history.job().walls.last().map(|w| w.id)
        });
        let Some(wall) = wall else { return };
        let off = trace.off_mm;
        if !self.edit(&Edit::Wall(wall, WallEdit::Drawing(trace)), None) {
            return;
        }
        self.view.show_wall(wall, Step::Outline);
        for note in &file.notes {
            self.tell(Severity::Look, note.clone());
        }
        self.tell(
            Severity::Note,
            format!(
                "The outline lies within {off:.2} mm of the drawing. Say which side of the wall the drawing shows."
            ),
        );
    }
}
