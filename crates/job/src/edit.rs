//! Edits: everything a person can do to a job, applied by one pure function.

use coldwright_export::Paper;
use coldwright_geometry::Length;

use crate::compartments::MirroredEdge;
use crate::corners::{EdgeOf, JointId, JointKind};
use crate::document::{Job, LayerStock, Photo, PhotoId, Units, Wall, WallId};
use crate::edit_box::TypedBox;
use crate::edit_wall::WallEdit;
use crate::error::JobError;
use crate::template::{Sighting, Sightings};
use crate::workshop::{Cutting, KeptLayout, Opening, PieceId, Seam, StockSheet};
use crate::{compartments, edit_box, edit_further, edit_shop, edit_wall};

/// One change to a job.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Call the job so.
    NameJob(String),
    /// Read and show lengths so.
    SetUnits(Units),
    /// Make patterns for this paper.
    SetPaper(Paper),
    /// What a printed 100 mm measured, width then height; `None` takes it as true.
    SetPrinted100(Option<(Length, Length)>),
    /// Add a wall without a template.
    AddWall {
        /// What to call it.
        name: String,
    },
    /// Take a wall away, its photos with it when no other wall uses them.
    RemoveWall(WallId),
    /// Put a photo into the job and make its cards what this wall is measured by. Further photos of the same
    /// layout join the first.
    AddPhoto {
        /// The wall it shows.
        wall: WallId,
        /// File name without folders.
        name: String,
        /// Picture bytes, already without private data.
        bytes: std::sync::Arc<[u8]>,
        /// What was found in it; its `photo` is set by the edit.
        sighting: Sighting,
        /// The kind of card looked for.
        kind: coldwright_canvas::CardKind,
    },
    /// Add the walls and joints of a plain box.
    AddBox(TypedBox),
    /// Begin a compartment behind this wall.
    AddCompartment {
        /// The wall of the compartment there is.
        front: WallId,
        /// What to call the new one.
        name: String,
        /// The divider's outline seen from the new one.
        edges: Vec<MirroredEdge>,
        /// Layers of the new one's wall there, outer to inner.
        layers: Vec<LayerStock>,
    },
    /// Every piece of the compartment with this wall at its divider must pass this hole.
    CompartmentOpening(WallId, Option<Opening>),
    /// These edges meet.
    Join {
        /// One edge; the kind is told from here.
        a: EdgeOf,
        /// The other.
        b: EdgeOf,
        /// Who owns the corner.
        kind: JointKind,
    },
    /// The edges of this joint do not meet after all.
    Unjoin(JointId),
    /// The foam of this corner belongs so.
    JointKind(JointId, JointKind),
    /// The angle between the outer faces at this joint, degrees; `None` takes it from the bevels.
    JointAngle(JointId, Option<f64>),
    /// Every piece must pass this hole.
    SetOpening(Option<Opening>),
    /// Saw and spaces.
    SetCutting(Cutting),
    /// Sheets owned and on sale.
    SetStock(Vec<StockSheet>),
    /// Cut a layer here; `None` lets the seams be worked out again.
    SetSeams {
        /// The wall.
        wall: WallId,
        /// 1 = outermost.
        layer: u32,
        /// The seams; an empty list keeps the layer whole.
        seams: Option<Vec<Seam>>,
    },
    /// Fit the pieces in this order; empty: as worked out.
    SetOrder(Vec<PieceId>),
    /// Keep this layout of the sheets.
    KeepLayout(Option<KeptLayout>),
    /// A change to one wall.
    Wall(WallId, WallEdit),
    /// A change to one wall, or a photo for it, as though one of its further templates were its first.
    InTemplate {
        /// The wall.
        wall: WallId,
        /// Which: 1 is the first of the further ones, 0 the first of all.
        template: usize,
        /// An [`Edit::Wall`] or [`Edit::AddPhoto`] of the same wall.
        edit: Box<Edit>,
    },
}

/// Applies an edit and gives the new document; the old one is untouched.
///
/// # Errors
/// When the edit names something that is not there, or a value that cannot be (a thickness of nothing, a bevel past
/// 75°). The sentence says what to do instead.
///
/// # Examples
/// ```
/// use coldwright_job::{apply, Edit, Job};
/// let job = apply(&Job::default(), &Edit::AddWall { name: "Hull side".into() })?;
/// assert_eq!(job.walls[0].name, "Hull side");
/// # Ok::<(), coldwright_job::JobError>(())
/// ```
pub fn apply(job: &Job, edit: &Edit) -> Result<Job, JobError> {
    let mut next = job.clone();
    change(&mut next, edit)?;
    edit_shop::tidy(&mut next);
    Ok(next)
}

pub(crate) fn change(next: &mut Job, edit: &Edit) -> Result<(), JobError> {
    match edit {
        Edit::NameJob(name) => next.name = said(name, "the job")?,
        Edit::SetUnits(units) => next.units = *units,
        Edit::SetPaper(paper) => next.paper = *paper,
        Edit::SetPrinted100(printed) => {
            if let Some((w, h)) = printed {
                for (length, way) in [(w, "width"), (h, "height")] {
                    if (length.mm() / 100.0 - 1.0).abs() > 0.05 {
                        return Err(JobError::PrintedScale { way, true_mm: 100.0, mm: length.mm() });
                    }
                }
            }
            next.printed_100_mm = *printed;
        }
        Edit::AddWall { name } => {
            let id = WallId(next.take_id());
            let name = said(name, "the wall")?;
            unique_wall_name(next, id, &name)?;
            next.walls.push(Wall { id, name, ..Wall::default() });
        }
        Edit::RemoveWall(id) => {
            let at = next.walls.iter().position(|w| w.id == *id).ok_or(JobError::NoWall(*id))?;
            next.walls.remove(at);
            next.drop_unused_photos();
        }
        Edit::AddPhoto { wall, name, bytes, sighting, kind } => {
            let stored: usize = next.photos.iter().filter_map(|p| p.bytes.as_ref()).map(|b| b.len()).sum();
            if (stored + bytes.len()) as u64 > crate::file::LARGEST_PHOTOS {
                return Err(JobError::TooManyPhotos(crate::file::LARGEST_PHOTOS >> 20));
            }
            let id = PhotoId(next.take_id());
            next.photos.push(Photo { id, name: said(name, "the photo")?, bytes: Some(bytes.clone()) });
            let wall = next.wall_mut(*wall)?;
            let mut sighting = sighting.clone();
            sighting.photo = id;
            // To a millionth of a pixel: far below the measuring error, and the job file stays readable.
            let short = |v: f64| (v * 1e6).round() / 1e6;
            for crossing in sighting.cards.iter_mut().flat_map(|c| &mut c.crossings) {
                crossing.px = (short(crossing.px.x), short(crossing.px.y)).into();
                crossing.sd_px = short(crossing.sd_px);
            }
            match &mut wall.template.sightings {
                Some(s) if s.kind == *kind => s.photos.push(sighting),
                Some(s) => {
                    return Err(JobError::MixedCards { wall: wall.name.clone(), photos: s.photos.len() });
                }
                none => {
                    *none = Some(Sightings {
                        kind: *kind,
                        printed: None,
                        left_out: Vec::new(),
                        click_px: DEFAULT_CLICK_PX,
                        finder: coldwright_canvas::FINDER_VERSION,
                        photos: vec![sighting],
                    });
                }
            }
        }
        Edit::Wall(id, edit) => edit_wall::apply(next, *id, edit)?,
        Edit::InTemplate { wall, template, edit } => edit_further::in_template(next, *wall, *template, edit)?,
        Edit::AddBox(typed) => edit_box::apply(next, typed)?,
        Edit::AddCompartment { front, name, edges, layers } => {
            compartments::add(next, *front, name, edges, layers)?;
        }
        Edit::CompartmentOpening(back, opening) => compartments::set_opening(next, *back, *opening)?,
        of_the_shop => {
            let fresh = next.take_id();
            edit_shop::apply(next, of_the_shop, fresh)?;
        }
    }
    Ok(())
}

/// Standard uncertainty of one click, photo pixels, unless the person says otherwise: a finger or mouse on a stick's
/// end seen through the loupe. From our own trials on the sample photos, no published source.
pub const DEFAULT_CLICK_PX: f64 = 0.7;

pub(crate) fn said(name: &str, what: &'static str) -> Result<String, JobError> {
    let trimmed: String = name.trim().chars().filter(|c| !c.is_control()).take(120).collect();
    if trimmed.is_empty() { Err(JobError::NoName(what)) } else { Ok(trimmed) }
}

pub(crate) fn unique_wall_name(job: &Job, id: WallId, name: &str) -> Result<(), JobError> {
    let taken = job.walls.iter().any(|w| w.id != id && w.name.to_lowercase() == name.to_lowercase());
    if taken { Err(JobError::WallNameTaken(name.to_owned())) } else { Ok(()) }
}

impl Job {
    pub(crate) fn take_id(&mut self) -> u32 {
        let id = self.next_id;
        self.next_id += 1;
        id
    }

    pub(crate) fn wall_mut(&mut self, id: WallId) -> Result<&mut Wall, JobError> {
        self.walls.iter_mut().find(|w| w.id == id).ok_or(JobError::NoWall(id))
    }

    pub(crate) fn drop_unused_photos(&mut self) {
        let used: Vec<PhotoId> = self
            .walls
            .iter()
            .flat_map(Wall::templates)
            .filter_map(|t| t.sightings.as_ref())
            .flat_map(|s| s.photos.iter().map(|p| p.photo))
            .collect();
        self.photos.retain(|p| used.contains(&p.id));
    }
}
