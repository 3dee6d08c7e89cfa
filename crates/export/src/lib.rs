//! One neutral [`Drawing`] to SVG, DXF and PDF bytes at true size, tiled onto the paper people have; tables to CSV; outlines
//! of SVG and DXF files back to plain curves.
//!
//! Drawings are in millimetres, x right, y up; each writer flips y for itself. Nothing here knows files on disk, the
//! job or layers of foam: writers take a finished drawing and options, and return bytes that depend on nothing else.
//!
//! ```
//! use coldwright_export::{Drawing, Layer, Pen, TileOptions, PdfOptions, pdf, svg, tile};
//! use kurbo::{Rect, Shape};
//!
//! let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 600.0, 400.0));
//! panel.line(Rect::new(0.0, 0.0, 600.0, 400.0).to_path(0.01), Pen::CUT, Layer::Cut);
//! assert!(svg(&panel, 0.005)?.contains("width=\"600mm\""));
//!
//! let pages = tile(&panel, &TileOptions { job_name: "Sample".into(), piece_name: "Hull 3".into(), ..TileOptions::default() })?;
//! let bytes = pdf(&pages, &PdfOptions { title: "Hull 3".into(), ..PdfOptions::default() })?;
//! assert!(bytes.starts_with(b"%PDF-1.7"));
//! # Ok::<(), coldwright_export::ExportError>(())
//! ```
//!
//! Refused with a sentence: numbers that are not finite, drawings without size or ink, sheets too narrow, margins
//! under 12.7 mm, printer corrections beyond 5 %, more pages than a person would tape together; files that hold no
//! outline, with the line that cannot be understood.

mod arcs;
mod check_line;
mod closed;
mod drawing;
mod dxf_curve;
mod dxf_file;
mod dxf_read;
mod error;
mod flat;
pub mod font;
mod layer;
mod number;
mod outlines;
mod paper;
mod pdf_file;
mod pen;
mod svg_file;
mod svg_read;
mod table;
mod tiling;

pub use closed::{ClosedOutline, ClosedOutlines};
pub use drawing::{Anchor, Drawing, Fill, Item, Line, Text};
pub use dxf_file::{DxfCurves, DxfOptions, DxfUnit, DxfVersion, dxf};
pub use dxf_read::read_dxf;
pub use error::ExportError;
pub use layer::Layer;
pub use outlines::{OutlinesRead, ReadCurve};
pub use paper::Paper;
pub use pdf_file::{PdfDate, PdfOptions, PdfPage, Streams, pdf};
pub use pen::Pen;
pub use svg_file::svg;
pub use svg_read::read_svg;
pub use table::{Table, csv};
pub use tiling::{
    CheckSquare, Join, PageGrid, PageWindow, TileOptions, TilePage, TilePiece, Tiling, correction_from_print,
    page_grid, tile, tile_all, tile_pieces, tile_with_plan,
};
