//! Reading the outlines of a DXF file, our own or foreign, to plain curves.
//!
//! Lines, polylines of both kinds with bulges, arcs, circles, ellipses and splines of model space; the rest is counted and
//! passed over. After
//! the published DXF reference: group codes, bulge = tan(included angle / 4), and the arbitrary axis rule, which turns
//! an entity whose extrusion points down into its mirror image (x to −x).

use std::collections::BTreeMap;

use kurbo::{Affine, Arc, BezPath, Point, Vec2};

use crate::dxf_curve::{Spline, ellipse};
use crate::error::ExportError;
use crate::outlines::{OutlinesRead, ReadCurve};

/// Farthest a Bézier curve may lie from the arc it stands for, in the file's units.
const ARC_TOLERANCE: f64 = 1.0e-4;

/// Reads a DXF in text form. Numbers with a comma for the point or with spaces round them, as some programs write, are
/// taken.
///
/// ```
/// use coldwright_export::{Drawing, DxfOptions, Layer, Pen, dxf, read_dxf};
/// use kurbo::{Rect, Shape};
/// let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 300.0, 200.0));
/// panel.line(panel.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
/// let read = read_dxf(&dxf(&panel, &DxfOptions::default())?)?;
/// assert_eq!(read.unit_mm, Some(1.0));
/// assert_eq!(read.curves[0].path.area().abs(), 60_000.0);
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// [`ExportError::NoDxf`] for bytes that are none, [`ExportError::DxfLine`] naming the first line that cannot be
/// understood, [`ExportError::DxfEmpty`] when there is no curve.
pub fn read_dxf(text: &str) -> Result<OutlinesRead, ExportError> {
    let tags = tags(text)?;
    let mut out = OutlinesRead { curves: Vec::new(), unit_mm: unit(&tags)?, passed_over: BTreeMap::new() };
    let start =
        tags.iter().position(|tag| tag.code == 2 && tag.value == "ENTITIES").map_or(tags.len(), |i| i + 1);
    let mut rest = &tags[start..];
    while let Some(first) = rest.first() {
        let end = rest.iter().skip(1).position(|tag| tag.code == 0).map_or(rest.len(), |i| i + 1);
        let mut entity = &rest[..end];
        rest = &rest[end..];
        if first.code == 0 && first.value == "ENDSEC" {
            break;
        }
        if first.code == 0 && first.value == "POLYLINE" {
            // Its vertices follow as entities of their own, up to SEQEND.
            let until =
                rest.iter().position(|tag| tag.code == 0 && tag.value != "VERTEX").unwrap_or(rest.len());
            let whole = entity.len() + until;
            let from = tags.len() - rest.len() - entity.len();
            entity = &tags[from..from + whole];
            rest = &rest[until..];
        }
        read_entity(entity, &mut out)?;
    }
    if out.curves.is_empty() {
        let found: Vec<String> =
            out.passed_over.iter().map(|(kind, count)| format!("{count} {kind}")).collect();
        let found = if found.is_empty() { "nothing".to_owned() } else { found.join(", ") };
        return Err(ExportError::DxfEmpty { found });
    }
    Ok(out)
}

/// A group code with its value.
struct Tag<'a> {
    code: i32,
    value: &'a str,
    /// Line of the value, from 1.
    line: usize,
}

impl Tag<'_> {
    fn wrong(&self, wanted: &'static str) -> ExportError {
        ExportError::DxfLine { line: self.line, wanted, found: self.value.chars().take(40).collect() }
    }

    fn number(&self) -> Result<f64, ExportError> {
        let text = self.value.replacen(',', ".", 1);
        let number = text.parse::<f64>().map_err(|_| self.wrong("a number"))?;
        if number.is_finite() { Ok(number) } else { Err(self.wrong("a number")) }
    }
}

fn tags(text: &str) -> Result<Vec<Tag<'_>>, ExportError> {
    if text.starts_with("AutoCAD Binary DXF") || !text.contains("SECTION") {
        return Err(ExportError::NoDxf);
    }
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let mut out = Vec::with_capacity(lines.len() / 2);
    for (i, pair) in lines.chunks_exact(2).enumerate() {
        let code = pair[0].parse::<i32>().map_err(|_| ExportError::DxfLine {
            line: 2 * i + 1,
            wanted: "a group code",
            found: pair[0].chars().take(40).collect(),
        })?;
        out.push(Tag { code, value: pair[1], line: 2 * i + 2 });
    }
    Ok(out)
}

/// Millimetres of the unit codes of `$INSUNITS`; 0 and strange ones say nothing.
fn unit(tags: &[Tag<'_>]) -> Result<Option<f64>, ExportError> {
    let Some(i) = tags.iter().position(|tag| tag.code == 9 && tag.value == "$INSUNITS") else {
        return Ok(None);
    };
    let Some(tag) = tags.get(i + 1) else { return Ok(None) };
    let known = [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (10, 914.4), (14, 100.0)];
    let code = tag.value.parse::<i32>().map_err(|_| tag.wrong("a unit code"))?;
    Ok(known.into_iter().find(|(known, _)| *known == code).map(|(_, mm)| mm))
}

/// A corner of a polyline and the bulge of the stretch after it.
struct Vertex {
    at: Point,
    bulge: f64,
}

fn read_entity(tags: &[Tag<'_>], out: &mut OutlinesRead) -> Result<(), ExportError> {
    let Some(kind) = tags.first().map(|tag| tag.value) else { return Ok(()) };
    let own_end = tags.iter().skip(1).position(|tag| tag.code == 0).map_or(tags.len(), |i| i + 1);
    let own = &tags[..own_end];
    let value = |code: i32, otherwise: f64| {
        own.iter().find(|tag| tag.code == code).map_or(Ok(otherwise), Tag::number)
    };
    let wanted =
        |code: i32| own.iter().find(|tag| tag.code == code).ok_or_else(|| tags[0].wrong("a whole entity"));
    // 67 = 1 marks what is on a layout sheet, not in the model.
    if value(67, 0.0)? > 0.5 {
        return Ok(());
    }
    let closed = value(70, 0.0)? as i64 & 1 == 1;
    let path = match kind {
        "LINE" => {
            let mut path = BezPath::new();
            path.move_to((wanted(10)?.number()?, wanted(20)?.number()?));
            path.line_to((wanted(11)?.number()?, wanted(21)?.number()?));
            path
        }
        "LWPOLYLINE" => polyline(&vertices(own)?, closed),
        // 16, 64: meshes; they are no outlines.
        "POLYLINE" if value(70, 0.0)? as i64 & (16 | 64) == 0 => {
            polyline(&vertices(&tags[own_end..])?, closed)
        }
        "CIRCLE" | "ARC" => {
            let centre = Point::new(wanted(10)?.number()?, wanted(20)?.number()?);
            let radius = wanted(40)?.number()?;
            let (from, sweep) = if kind == "ARC" {
                let (from, to) = (wanted(50)?.number()?, wanted(51)?.number()?);
                (from, (to - from).rem_euclid(360.0))
            } else {
                (0.0, 360.0)
            };
            let arc = Arc::new(centre, Vec2::new(radius, radius), from.to_radians(), sweep.to_radians(), 0.0);
            let mut path: BezPath = kurbo::Shape::path_elements(&arc, ARC_TOLERANCE).collect();
            if kind == "CIRCLE" {
                path.close_path();
            }
            path
        }
        "ELLIPSE" => {
            let centre = Point::new(wanted(10)?.number()?, wanted(20)?.number()?);
            let major = Vec2::new(wanted(11)?.number()?, wanted(21)?.number()?);
            let whole = (value(41, 0.0)?, value(42, std::f64::consts::TAU)?);
            ellipse(centre, major, wanted(40)?.number()?, whole, value(230, 1.0)? < 0.0, ARC_TOLERANCE)
        }
        "SPLINE" => match spline(own)?.path() {
            Some(path) => path,
            None => {
                // Points to pass through say nothing of the curve between them.
                *out.passed_over.entry("SPLINE without control points".to_owned()).or_insert(0) += 1;
                return Ok(());
            }
        },
        "SEQEND" => return Ok(()),
        other => {
            *out.passed_over.entry(other.to_owned()).or_insert(0) += 1;
            return Ok(());
        }
    };
    // Lines, ellipses and splines stand in the world's frame whatever their extrusion; the others in their own.
    let own_frame = !matches!(kind, "LINE" | "ELLIPSE" | "SPLINE");
    let down = own_frame && value(230, 1.0)? < 0.0;
    let path = if down { Affine::scale_non_uniform(-1.0, 1.0) * path } else { path };
    let layer = own.iter().find(|tag| tag.code == 8).map_or_else(String::new, |tag| tag.value.to_owned());
    if path.elements().len() > 1 {
        out.curves.push(ReadCurve { layer, path });
    }
    Ok(())
}

fn spline(tags: &[Tag<'_>]) -> Result<Spline, ExportError> {
    let mut out = Spline { degree: 0, knots: Vec::new(), points: Vec::new(), weights: Vec::new() };
    for tag in tags {
        match (tag.code, out.points.last_mut()) {
            (71, _) => out.degree = tag.number()?.clamp(0.0, 1000.0) as usize,
            (40, _) => out.knots.push(tag.number()?),
            (41, _) => out.weights.push(tag.number()?),
            (10, _) => out.points.push(Point::new(tag.number()?, 0.0)),
            (20, Some(point)) => point.y = tag.number()?,
            _ => {}
        }
    }
    Ok(out)
}

fn vertices(tags: &[Tag<'_>]) -> Result<Vec<Vertex>, ExportError> {
    let mut out: Vec<Vertex> = Vec::new();
    for tag in tags {
        match (tag.code, out.last_mut()) {
            (10, _) => out.push(Vertex { at: Point::new(tag.number()?, 0.0), bulge: 0.0 }),
            (20, Some(vertex)) => vertex.at.y = tag.number()?,
            (42, Some(vertex)) => vertex.bulge = tag.number()?,
            // Flag 16 of a vertex: a corner of the frame a smooth polyline was made from, not on the curve.
            (70, Some(_)) if tag.number()? as i64 & 16 != 0 => {
                out.pop();
            }
            _ => {}
        }
    }
    Ok(out)
}

fn polyline(vertices: &[Vertex], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    let Some(first) = vertices.first() else { return path };
    path.move_to(first.at);
    let count = if closed { vertices.len() } else { vertices.len() - 1 };
    for i in 0..count {
        let (a, b) = (&vertices[i], &vertices[(i + 1) % vertices.len()]);
        bulged(&mut path, a.at, b.at, a.bulge);
    }
    if closed {
        path.close_path();
    }
    path
}

/// A stretch from `a` to `b`: straight, or the arc whose included angle is 4·atan(bulge), counter-clockwise when positive.
fn bulged(path: &mut BezPath, a: Point, b: Point, bulge: f64) {
    let chord = b - a;
    if bulge.abs() < 1e-9 || chord.hypot() < 1e-9 {
        path.line_to(b);
        return;
    }
    let sweep = 4.0 * bulge.atan();
    // Seen along the chord, the centre of a counter-clockwise arc of less than a half turn lies to the left.
    let centre = a.midpoint(b) + chord.turn_90() * ((1.0 - bulge * bulge) / (4.0 * bulge));
    let radius = centre.distance(a);
    let arc = Arc::new(centre, Vec2::new(radius, radius), (a - centre).atan2(), sweep, 0.0);
    let mut last = a;
    arc.to_cubic_beziers(ARC_TOLERANCE, |c, d, p| {
        path.curve_to(c, d, p);
        last = p;
    });
    // The arc ends at b but for rounding.
    if last.distance(b) > 0.0 {
        path.line_to(b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    fn entity(body: &str) -> Result<OutlinesRead, ExportError> {
        let pairs = body.replace([' ', '|'], "\n");
        read_dxf(&format!("0\nSECTION\n2\nENTITIES\n{pairs}\n0\nENDSEC\n0\nEOF\n"))
    }

    #[test]
    fn bulges_are_arcs_to_their_closed_form() {
        // Bulge 1 is a half circle, tan(22.5°) a quarter, both counter-clockwise (DXF reference).
        // A segment of included angle t and radius r has the area r²·(t − sin t)/2.
        for bulge in [1.0, 0.414_213_562_373_095, 0.1, -1.0, 2.0] {
            let read =
                entity(&format!("0|LWPOLYLINE|8|a|90|2|70|1|10|0|20|0|42|{bulge}|10|10|20|0")).unwrap();
            let area = read.curves[0].path.area();
            let angle = 4.0 * f64::atan(bulge);
            let radius = 5.0 / (angle / 2.0).sin();
            let expected = radius * radius * (angle - angle.sin()) / 2.0;
            assert!((area - expected).abs() < 1e-2, "bulge {bulge}: {area}, expected {expected}");
            // Half the chord times the bulge is how far the arc stands off, to the right of the chord.
            let reach = read.curves[0].path.bounding_box();
            let off = if bulge > 0.0 { reach.y0 } else { reach.y1 };
            assert!((off + 5.0 * bulge).abs() < 1e-3, "bulge {bulge}: {reach:?}");
        }
    }

    #[test]
    fn commas_and_spaces_are_taken_and_a_bad_line_is_named() {
        let text = "  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n  8\na\n 10\n  1,5 \n 20\n0\n 11\n 3.5\n 21\n0\n  0\nENDSEC\n";
        let read = read_dxf(text).unwrap();
        assert!((read.curves[0].path.bounding_box().width() - 2.0).abs() < 1e-12);
        let bad = read_dxf(&text.replace("3.5", "1.234,5")).unwrap_err();
        assert_eq!(bad, ExportError::DxfLine { line: 14, wanted: "a number", found: "1.234,5".into() });
        for word in ["nan", "inf", "", "x"] {
            assert!(matches!(
                read_dxf(&text.replace(" 3.5", word)),
                Err(ExportError::DxfLine { line: 14, .. })
            ));
        }
        assert!(matches!(read_dxf("hello"), Err(ExportError::NoDxf)));
        assert!(matches!(read_dxf(""), Err(ExportError::NoDxf)));
    }

    #[test]
    fn a_downward_extrusion_is_the_mirror_image() {
        let read = entity("0|LWPOLYLINE|8|a|90|3|70|1|10|1|20|0|10|5|20|0|10|5|20|2|230|-1").unwrap();
        let found = read.curves[0].path.bounding_box();
        assert_eq!((found.x0, found.x1), (-5.0, -1.0));
        let line = entity("0|LINE|8|a|10|1|20|0|11|5|21|0|230|-1").unwrap();
        assert!(line.curves[0].path.bounding_box().x0 > 0.0, "lines stand in the world's frame");
    }

    #[test]
    fn the_frame_of_a_smooth_polyline_is_left_out() {
        let vertex = |x: i32, flag: i32| format!("|0|VERTEX|8|a|10|{x}|20|0|70|{flag}");
        let body =
            format!("0|POLYLINE|8|a|66|1|70|4{}{}{}|0|SEQEND", vertex(0, 8), vertex(99, 16), vertex(7, 8));
        assert!((entity(&body).unwrap().curves[0].path.bounding_box().width() - 7.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_passed_over_is_said() {
        let refused = entity("0|SPLINE|8|a|0|HATCH|8|b|0|INSERT|8|c").unwrap_err();
        let found = "1 HATCH, 1 INSERT, 1 SPLINE without control points".into();
        assert_eq!(refused, ExportError::DxfEmpty { found });
    }
}
