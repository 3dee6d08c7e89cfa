//! From a plan to paper: full-size patterns, cut files, tables, a shop book, and the printed cards for the photo.
//!
//! ```
//! use coldwright_job::{Edit, EdgeId, Job, Place, Template, Tick, TickId, WallId, apply, plan};
//! use coldwright_papers::{Kind, MakeOptions, make};
//! # use coldwright_geometry::{EdgeKind, Length, Point};
//! # use coldwright_job::{BevelAt, Edge};
//!
//! // A wall 600 mm wide and 400 mm high, typed in, whose sides lean out by 10 degrees.
//! let mut job = apply(&Job::default(), &Edit::AddWall { name: "Hull".into() })?;
//! let corners = [(0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)];
//! # let edge = |i: u32| Edge {
//! #     id: EdgeId(20 + i), name: format!("edge {i}"), kind: EdgeKind::Straight,
//! #     ticks: vec![TickId(10 + i), TickId(10 + (i + 1) % 4)],
//! #     bevel: vec![BevelAt { at: 0.0, degrees: 10.0 }], gap: Length::default(), smoothing: Length::default(),
//! # };
//! job.walls[0].template = Template {
//!     ticks: (10..).zip(corners).map(|(id, at)| Tick { id: TickId(id), place: Place::Typed { at: Point::from(at), sd: 0.5 } }).collect(),
//!     edges: (0..4).map(edge).collect(),
//!     ..Template::default()
//! };
//!
//! let files = make(&job, &plan(&job), &MakeOptions { kinds: vec![Kind::Svg], ..MakeOptions::default() })?;
//! let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
//! assert_eq!(names, ["hull-1.svg", "hull-2.svg", "hull-3.svg", "hull-4.svg"]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Refused with a sentence: jobs without walls, walls without layers, layers of which nothing is left to cut, figures that are
//! not finite, printers more than 5 % off, cards whose number does not exist. Nothing here touches files or knows the screen.

mod block;
mod card;
mod edge_words;
mod error;
mod faced;
mod faces;
mod glyph;
mod hidden;
mod laid;
mod make;
mod matching;
mod names;
mod neighbours;
mod offsets;
mod pages;
mod pattern;
mod room;
mod seams;
mod second_face;
mod shop_book;
mod stations;
mod tables;
mod wire;
mod wire_template;
mod wording;

pub use card::{CardOptions, cards};
pub use error::PapersError;
pub use make::{Kind, MakeOptions, PaperFile, make};
pub use pattern::{has_second_pattern, pattern, piece_pattern, second_pattern};
