//! What the read-back tests share: a lopsided panel, tools that may be missing, a folder that cleans up.
#![allow(dead_code, clippy::allow_attributes, reason = "each test file uses a part of it")]

use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text};
use kurbo::{BezPath, Point, Rect, Vec2};

/// A panel in the shape of an F, 280 × 400 mm, with a round inside corner, so that a turn or a mirror shows.
pub fn f_path() -> BezPath {
    let mut path = BezPath::new();
    path.move_to((30.0, 20.0));
    path.line_to((110.0, 20.0));
    path.line_to((110.0, 180.0));
    path.line_to((230.0, 180.0));
    path.line_to((230.0, 250.0));
    path.line_to((140.0, 250.0));
    path.curve_to((123.0, 250.0), (110.0, 263.0), (110.0, 280.0));
    path.line_to((110.0, 350.0));
    path.line_to((310.0, 350.0));
    path.line_to((310.0, 420.0));
    path.line_to((30.0, 420.0));
    path.close_path();
    path
}

/// The same, as points no farther than 0.0005 mm from it.
pub fn f_outline() -> Vec<Point> {
    let mut out = vec![];
    kurbo::flatten(f_path(), 0.0005, |el| match el {
        kurbo::PathEl::MoveTo(p) | kurbo::PathEl::LineTo(p) => out.push(p),
        _ => {}
    });
    out
}

/// The F as a drawing with a cut line, its other face 4 mm inside it, and words.
pub fn letter_f() -> Drawing {
    let mut drawing = Drawing::new("Panel F", Rect::new(10.0, 0.0, 350.0, 440.0));
    drawing.line(f_path(), Pen::CUT, Layer::Cut);
    drawing.line(inside_f(), Pen::OTHER_FACE, Layer::OtherFace);
    drawing.text(Text {
        at: Point::new(80.0, 60.0),
        words: "Panel F 23 3/8 in".into(),
        height_pt: 24.0,
        angle: std::f64::consts::FRAC_PI_2,
        anchor: Anchor::Start,
        bold: true,
        layer: Layer::Words,
    });
    drawing
}

fn inside_f() -> BezPath {
    let points = [
        (34., 24.),
        (106., 24.),
        (106., 184.),
        (226., 184.),
        (226., 246.),
        (106., 246.),
        (106., 354.),
        (306., 354.),
        (306., 416.),
        (34., 416.),
    ];
    let mut path = BezPath::new();
    path.move_to(points[0]);
    for p in &points[1..] {
        path.line_to(*p);
    }
    path.close_path();
    path
}

/// The greater of the two one-sided distances between two closed polylines, in mm.
pub fn farthest(a: &[Point], b: &[Point]) -> f64 {
    let one_way = |from: &[Point], to: &[Point]| {
        from.iter()
            .map(|p| {
                (0..to.len()).map(|i| to_segment(*p, to[i], to[(i + 1) % to.len()])).fold(f64::MAX, f64::min)
            })
            .fold(0.0, f64::max)
    };
    one_way(a, b).max(one_way(b, a))
}

fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let along: Vec2 = b - a;
    let t = if along.hypot2() > 0.0 { ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}

/// The tool's name if it can be started. Otherwise says so and gives `None`, or fails under `COLDWRIGHT_TEST_ALL=1`.
pub fn tool_or_skip(tool: &str, package: &str) -> Option<String> {
    if Command::new(tool).arg("--version").output().is_ok() {
        return Some(tool.to_owned());
    }
    missing(&format!("{tool} ({package})"))
}

/// A Python that has ezdxf: `COLDWRIGHT_PYTHON`, or `python3`. Looked for once, as starting it takes a while.
pub fn python_with_ezdxf() -> Option<String> {
    static FOUND: OnceLock<Option<String>> = OnceLock::new();
    let look = || {
        let python = std::env::var("COLDWRIGHT_PYTHON").unwrap_or_else(|_| "python3".to_owned());
        let done = Command::new(&python).args(["-c", "import ezdxf"]).output();
        done.is_ok_and(|done| done.status.success()).then_some(python)
    };
    FOUND.get_or_init(look).clone().or_else(|| missing("ezdxf (from Python's package index)"))
}

fn missing(what: &str) -> Option<String> {
    assert!(std::env::var("COLDWRIGHT_TEST_ALL").as_deref() != Ok("1"), "needs {what}");
    println!("skipped: needs {what}");
    None
}

/// Runs a tool that must succeed, and gives what it printed.
pub fn run(tool: &str, args: &[&str]) -> String {
    let done = Command::new(tool).args(args).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr));
    assert!(done.status.success(), "{tool} {args:?}: {out}{err}");
    out.into_owned()
}

/// A folder of its own under the system's temporary folder, removed at the end.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("coldwright-export-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    pub fn path(&self, name: &str) -> String {
        self.0.join(name).to_string_lossy().into_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
