//! The parts of an R2000 (AC1015) file round its entities: header, tables, blocks, objects.

use kurbo::Rect;

use super::entities::{dash_name, dashes, entities};
use super::tags::Tags;
use super::{DxfOptions, DxfUnit, MODEL_SPACE, colour};
use crate::drawing::Drawing;
use crate::layer::Layer;

// Handles of what is always there; everything else counts up from `FIRST_FREE`.
const BLOCK_RECORDS: u32 = 0x1;
const LAYERS: u32 = 0x2;
const STYLES: u32 = 0x3;
const LINE_TYPES: u32 = 0x5;
const VIEWS: u32 = 0x6;
const USER_FRAMES: u32 = 0x7;
const VIEWPORTS: u32 = 0x8;
const APPLICATIONS: u32 = 0x9;
const DIM_STYLES: u32 = 0xA;
const ROOT: u32 = 0xC;
const GROUPS: u32 = 0xD;
const PLOT_STYLES: u32 = 0xE;
const NORMAL_PLOT: u32 = 0xF;
const LAYOUTS: u32 = 0x10;
const LAYOUT_MODEL: u32 = 0x11;
const LAYOUT_PAPER: u32 = 0x12;
const PAPER_SPACE: u32 = 0x20;
const FIRST_FREE: u32 = 0x30;

/// The whole file.
pub(super) fn file(drawing: &Drawing, options: &DxfOptions) -> String {
    let inches = options.unit == DxfUnit::Inch;
    let mut body = Tags::new(inches, FIRST_FREE);
    section(&mut body, "CLASSES", |_| {});
    section(&mut body, "TABLES", |tags| tables(tags, drawing));
    section(&mut body, "BLOCKS", blocks);
    section(&mut body, "ENTITIES", |tags| entities(tags, drawing, options));
    section(&mut body, "OBJECTS", objects);
    body.put(0, "EOF");

    // The header names a handle above all others, so it is written last and put first.
    let mut head = Tags::new(inches, 0);
    let seed = body.fresh();
    section(&mut head, "HEADER", |tags| header(tags, drawing, options.unit, seed));
    head.text + &body.text
}

fn section(tags: &mut Tags, name: &str, inside: impl FnOnce(&mut Tags)) {
    tags.put(0, "SECTION");
    tags.put(2, name);
    inside(tags);
    tags.put(0, "ENDSEC");
}

fn header(tags: &mut Tags, drawing: &Drawing, unit: DxfUnit, seed: u32) {
    let extent = drawing.ink().unwrap_or(drawing.bounds);
    tags.put(9, "$ACADVER");
    tags.put(1, "AC1015");
    tags.put(9, "$DWGCODEPAGE");
    tags.put(3, "ANSI_1252");
    tags.put(9, "$INSBASE");
    tags.point3(10, kurbo::Point::ZERO);
    tags.put(9, "$EXTMIN");
    tags.point3(10, extent.origin());
    tags.put(9, "$EXTMAX");
    tags.point3(10, (extent.x1, extent.y1).into());
    tags.put(9, "$LTSCALE");
    tags.bare(40, 1.0);
    tags.put(9, "$TEXTSTYLE");
    tags.put(7, "Standard");
    tags.put(9, "$CLAYER");
    tags.put(8, "0");
    tags.put(9, "$LUNITS");
    tags.int(70, 2);
    tags.put(9, "$LUPREC");
    tags.int(70, 4);
    tags.put(9, "$HANDSEED");
    tags.handle(5, seed);
    tags.put(9, "$MEASUREMENT");
    tags.int(70, i64::from(unit == DxfUnit::Mm));
    tags.put(9, "$INSUNITS");
    tags.int(70, if unit == DxfUnit::Mm { 4 } else { 1 });
}

fn table(tags: &mut Tags, name: &str, handle: u32, entries: i64, inside: impl FnOnce(&mut Tags)) {
    tags.put(0, "TABLE");
    tags.put(2, name);
    tags.handle(5, handle);
    tags.handle(330, 0);
    tags.put(100, "AcDbSymbolTable");
    tags.int(70, entries);
    inside(tags);
    tags.put(0, "ENDTAB");
}

fn record(tags: &mut Tags, kind: &str, table: u32, class: &str, name: &str) {
    let handle = tags.fresh();
    record_at(tags, kind, handle, table, class, name);
}

fn record_at(tags: &mut Tags, kind: &str, handle: u32, table: u32, class: &str, name: &str) {
    tags.put(0, kind);
    // Dimension styles alone have their handle under another code.
    tags.handle(if kind == "DIMSTYLE" { 105 } else { 5 }, handle);
    tags.handle(330, table);
    tags.put(100, "AcDbSymbolTableRecord");
    tags.put(100, class);
    tags.put(2, name);
    if kind != "BLOCK_RECORD" {
        tags.int(70, 0);
    }
}

fn tables(tags: &mut Tags, drawing: &Drawing) {
    table(tags, "VPORT", VIEWPORTS, 1, |tags| viewport(tags, drawing.ink().unwrap_or(drawing.bounds)));
    let dashes = dashes(drawing);
    table(tags, "LTYPE", LINE_TYPES, 3 + dashes.len() as i64, |tags| {
        for name in ["ByBlock", "ByLayer", "Continuous"] {
            record(tags, "LTYPE", LINE_TYPES, "AcDbLinetypeTableRecord", name);
            tags.put(3, "");
            tags.int(72, 65);
            tags.int(73, 0);
            tags.length(40, 0.0);
        }
        for (place, (on, off)) in dashes.into_iter().enumerate() {
            record(tags, "LTYPE", LINE_TYPES, "AcDbLinetypeTableRecord", &dash_name(place));
            super::dash_pattern(tags, on, off, true);
        }
    });
    table(tags, "LAYER", LAYERS, 1 + Layer::ALL.len() as i64, |tags| {
        let names =
            std::iter::once(("0", 7)).chain(Layer::ALL.map(|layer| (layer.file_name(), colour(layer))));
        for (name, colour) in names {
            record(tags, "LAYER", LAYERS, "AcDbLayerTableRecord", name);
            tags.int(62, colour);
            tags.put(6, "Continuous");
            tags.int(370, -3);
            tags.handle(390, NORMAL_PLOT);
        }
    });
    table(tags, "STYLE", STYLES, 3, |tags| {
        for (name, file) in
            [("Standard", "txt"), ("Words", "NotoSans-Regular.ttf"), ("Words-bold", "NotoSans-Bold.ttf")]
        {
            record(tags, "STYLE", STYLES, "AcDbTextStyleTableRecord", name);
            super::style(tags, file);
        }
    });
    table(tags, "VIEW", VIEWS, 0, |_| {});
    table(tags, "UCS", USER_FRAMES, 0, |_| {});
    table(tags, "APPID", APPLICATIONS, 1, |tags| {
        record(tags, "APPID", APPLICATIONS, "AcDbRegAppTableRecord", "ACAD");
    });
    table(tags, "DIMSTYLE", DIM_STYLES, 1, |tags| {
        tags.put(100, "AcDbDimStyleTable");
        record(tags, "DIMSTYLE", DIM_STYLES, "AcDbDimStyleTableRecord", "Standard");
    });
    table(tags, "BLOCK_RECORD", BLOCK_RECORDS, 2, |tags| {
        for (name, handle, layout) in
            [("*Model_Space", MODEL_SPACE, LAYOUT_MODEL), ("*Paper_Space", PAPER_SPACE, LAYOUT_PAPER)]
        {
            record_at(tags, "BLOCK_RECORD", handle, BLOCK_RECORDS, "AcDbBlockTableRecord", name);
            tags.handle(340, layout);
        }
    });
}

/// The view a reader opens with: all ink.
fn viewport(tags: &mut Tags, extent: Rect) {
    record(tags, "VPORT", VIEWPORTS, "AcDbViewportTableRecord", "*Active");
    for (code, value) in [(10, 0.0), (20, 0.0), (11, 1.0), (21, 1.0)] {
        tags.bare(code, value);
    }
    tags.point(12, extent.center());
    for (code, value) in [(13, 0.0), (23, 0.0), (14, 1.0), (24, 1.0), (15, 0.0), (25, 0.0)] {
        tags.bare(code, value);
    }
    for (code, value) in [(16, 0.0), (26, 0.0), (36, 1.0), (17, 0.0), (27, 0.0), (37, 0.0)] {
        tags.bare(code, value);
    }
    tags.length(40, extent.height().max(extent.width()) * 1.05);
    for (code, value) in [(41, 1.5), (42, 50.0), (43, 0.0), (44, 0.0), (50, 0.0), (51, 0.0)] {
        tags.bare(code, value);
    }
    for (code, value) in [(71, 0), (72, 1000), (73, 1), (74, 3), (75, 0), (76, 0), (77, 0), (78, 0)] {
        tags.int(code, value);
    }
}

fn blocks(tags: &mut Tags) {
    for (name, owner) in [("*Model_Space", MODEL_SPACE), ("*Paper_Space", PAPER_SPACE)] {
        for kind in ["BLOCK", "ENDBLK"] {
            tags.put(0, kind);
            let handle = tags.fresh();
            tags.handle(5, handle);
            tags.handle(330, owner);
            tags.put(100, "AcDbEntity");
            if owner == PAPER_SPACE {
                tags.int(67, 1);
            }
            tags.put(8, "0");
            if kind == "ENDBLK" {
                tags.put(100, "AcDbBlockEnd");
                continue;
            }
            tags.put(100, "AcDbBlockBegin");
            tags.put(2, name);
            tags.int(70, 0);
            tags.point3(10, kurbo::Point::ZERO);
            tags.put(3, name);
            tags.put(1, "");
        }
    }
}

fn objects(tags: &mut Tags) {
    dictionary(
        tags,
        ROOT,
        0,
        &[("ACAD_GROUP", GROUPS), ("ACAD_LAYOUT", LAYOUTS), ("ACAD_PLOTSTYLENAME", PLOT_STYLES)],
    );
    dictionary(tags, GROUPS, ROOT, &[]);
    dictionary(tags, LAYOUTS, ROOT, &[("Layout1", LAYOUT_PAPER), ("Model", LAYOUT_MODEL)]);
    tags.put(0, "ACDBDICTIONARYWDFLT");
    tags.handle(5, PLOT_STYLES);
    tags.handle(330, ROOT);
    tags.put(100, "AcDbDictionary");
    tags.int(281, 1);
    tags.put(3, "Normal");
    tags.handle(350, NORMAL_PLOT);
    tags.put(100, "AcDbDictionaryWithDefault");
    tags.handle(340, NORMAL_PLOT);
    tags.put(0, "ACDBPLACEHOLDER");
    tags.handle(5, NORMAL_PLOT);
    tags.handle(330, PLOT_STYLES);
    layout(tags, LAYOUT_MODEL, "Model", 0, MODEL_SPACE);
    layout(tags, LAYOUT_PAPER, "Layout1", 1, PAPER_SPACE);
}

fn dictionary(tags: &mut Tags, handle: u32, owner: u32, entries: &[(&str, u32)]) {
    tags.put(0, "DICTIONARY");
    tags.handle(5, handle);
    tags.handle(330, owner);
    tags.put(100, "AcDbDictionary");
    tags.int(281, 1);
    for (name, entry) in entries {
        tags.put(3, name);
        tags.handle(350, *entry);
    }
}

fn layout(tags: &mut Tags, handle: u32, name: &str, order: i64, block: u32) {
    tags.put(0, "LAYOUT");
    tags.handle(5, handle);
    tags.handle(330, LAYOUTS);
    tags.put(100, "AcDbPlotSettings");
    for code in [1, 2, 4, 6] {
        tags.put(code, "");
    }
    for code in (40..=49).chain([140, 141]) {
        tags.bare(code, 0.0);
    }
    tags.bare(142, 1.0);
    tags.bare(143, 1.0);
    // 1024 marks the settings of model space.
    for (code, value) in [(70, if order == 0 { 1712 } else { 688 }), (72, 0), (73, 0), (74, 5)] {
        tags.int(code, value);
    }
    tags.put(7, "");
    tags.int(75, 16);
    for (code, value) in [(147, 1.0), (148, 0.0), (149, 0.0)] {
        tags.bare(code, value);
    }
    tags.put(100, "AcDbLayout");
    tags.put(1, name);
    tags.int(70, 1);
    tags.int(71, order);
    for (code, value) in [(10, 0.0), (20, 0.0), (11, 420.0), (21, 297.0)] {
        tags.bare(code, value);
    }
    for code in [12, 14, 15] {
        tags.point3(code, kurbo::Point::ZERO);
    }
    tags.bare(146, 0.0);
    tags.point3(13, kurbo::Point::ZERO);
    for (code, value) in [(16, 1.0), (26, 0.0), (36, 0.0), (17, 0.0), (27, 1.0), (37, 0.0)] {
        tags.bare(code, value);
    }
    tags.int(76, 0);
    tags.handle(330, block);
}
