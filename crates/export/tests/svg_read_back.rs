//! SVG read back by usvg, which the project does not use to write, and sized by rsvg-convert.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::svg;
use common::{farthest, letter_f, tool_or_skip};
use kurbo::Point;

/// All points of the path groups called `id`, in mm, y up, flattened by the reader's own curves.
fn read(text: &str, id: &str, height: f64) -> Vec<Vec<Point>> {
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).expect("usvg reads it");
    let usvg::Node::Group(group) = tree.node_by_id(id).expect("the layer's group is there") else {
        panic!("no group")
    };
    let to_mm = 25.4 / 96.0;
    group
        .children()
        .iter()
        .filter_map(|node| match node {
            usvg::Node::Path(path) => Some(path),
            _ => None,
        })
        .map(|path| {
            let at = path.abs_transform();
            path.data()
                .points()
                .iter()
                .map(|p| {
                    let (x, y) = (p.x * at.sx + p.y * at.kx + at.tx, p.x * at.ky + p.y * at.sy + at.ty);
                    Point::new(f64::from(x) * to_mm, height - f64::from(y) * to_mm)
                })
                .collect()
        })
        .collect()
}

#[test]
fn an_f_stays_an_f_to_a_hundredth_of_a_millimetre() {
    let drawing = letter_f();
    let text = svg(&drawing, 0.005).unwrap();
    let height = tree_height(&text);
    let outlines = read(&text, "Cut-line", height);
    assert_eq!(outlines.len(), 1);
    // The page's upper edge is the drawing's upper bound, so y up counts from there.
    let shift = drawing.bounds.y1 - height;
    let read: Vec<Point> =
        outlines[0].iter().map(|p| Point::new(p.x + drawing.bounds.x0, p.y + shift)).collect();
    let worst = farthest(&read, &common::f_outline());
    assert!(worst < 0.01, "outline off by {worst} mm");
}

fn tree_height(text: &str) -> f64 {
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    f64::from(tree.size().height()) * 25.4 / 96.0
}

#[test]
fn a_hundred_millimetres_read_a_hundred_in_two_readers() {
    let text = svg(&letter_f(), 0.005).unwrap();
    let check = read(&text, "Check-size-do-not-cut", tree_height(&text));
    let length = check[0][0].distance(check[0][1]);
    assert!((length - 100.0).abs() < 0.01, "usvg reads {length} mm");

    if let Some(rsvg) = tool_or_skip("rsvg-convert", "librsvg2-bin") {
        let folder = common::Folder::new("svg-size");
        let (svg_file, png) = (folder.path("f.svg"), folder.path("f.png"));
        std::fs::write(&svg_file, &text).unwrap();
        common::run(&rsvg, &["--dpi-x", "254", "--dpi-y", "254", "-b", "white", "-o", &png, &svg_file]);
        // A PNG's width and height stand in bytes 16 to 24; at 254 per inch a pixel is 0.1 mm.
        let bytes = std::fs::read(&png).unwrap();
        let number = |at: usize| f64::from(u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()));
        let size = (number(16) / 10.0, number(20) / 10.0);
        assert!((size.0 - 340.0).abs() <= 0.11, "rsvg-convert made {size:?} mm");
        assert!((size.1 - tree_height(&text)).abs() <= 0.11, "rsvg-convert made {size:?} mm");
    }
}
