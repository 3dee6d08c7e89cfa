//! An R12 (AC1009) file: the few parts that version needs round its entities.

use super::entities::{dash_name, dashes, entities};
use super::tags::Tags;
use super::{DxfOptions, DxfUnit, colour};
use crate::drawing::Drawing;
use crate::layer::Layer;

/// The whole file. The version has no variable for the unit; the text on the check layer says it.
pub(super) fn file(drawing: &Drawing, options: &DxfOptions) -> String {
    let mut tags = Tags::new(options.unit == DxfUnit::Inch, 1);
    let extent = drawing.ink().unwrap_or(drawing.bounds);
    section(&mut tags, "HEADER", |tags| {
        tags.put(9, "$ACADVER");
        tags.put(1, "AC1009");
        tags.put(9, "$EXTMIN");
        tags.point3(10, extent.origin());
        tags.put(9, "$EXTMAX");
        tags.point3(10, (extent.x1, extent.y1).into());
        tags.put(9, "$LTSCALE");
        tags.bare(40, 1.0);
    });
    section(&mut tags, "TABLES", |tags| tables(tags, drawing));
    section(&mut tags, "BLOCKS", |_| {});
    section(&mut tags, "ENTITIES", |tags| entities(tags, drawing, options));
    tags.put(0, "EOF");
    tags.text
}

fn section(tags: &mut Tags, name: &str, inside: impl FnOnce(&mut Tags)) {
    tags.put(0, "SECTION");
    tags.put(2, name);
    inside(tags);
    tags.put(0, "ENDSEC");
}

fn table(tags: &mut Tags, name: &str, entries: i64, inside: impl FnOnce(&mut Tags)) {
    tags.put(0, "TABLE");
    tags.put(2, name);
    tags.int(70, entries);
    inside(tags);
    tags.put(0, "ENDTAB");
}

fn record(tags: &mut Tags, kind: &str, name: &str) {
    tags.put(0, kind);
    tags.put(2, name);
    tags.int(70, 0);
}

fn tables(tags: &mut Tags, drawing: &Drawing) {
    let dashes = dashes(drawing);
    table(tags, "LTYPE", 1 + dashes.len() as i64, |tags| {
        record(tags, "LTYPE", "CONTINUOUS");
        tags.put(3, "");
        tags.int(72, 65);
        tags.int(73, 0);
        tags.length(40, 0.0);
        for (place, (on, off)) in dashes.into_iter().enumerate() {
            record(tags, "LTYPE", &dash_name(place));
            super::dash_pattern(tags, on, off, false);
        }
    });
    table(tags, "LAYER", 1 + Layer::ALL.len() as i64, |tags| {
        let names =
            std::iter::once(("0", 7)).chain(Layer::ALL.map(|layer| (layer.file_name(), colour(layer))));
        for (name, colour) in names {
            record(tags, "LAYER", name);
            tags.int(62, colour);
            tags.put(6, "CONTINUOUS");
        }
    });
    table(tags, "STYLE", 3, |tags| {
        for name in ["STANDARD", "Words", "Words-bold"] {
            record(tags, "STYLE", name);
            super::style(tags, "txt");
        }
    });
}
