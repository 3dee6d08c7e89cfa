//! Closed outlines among the curves of a drawing file: those that close themselves, and those made of loose lines and arcs
//! whose ends meet.

use std::collections::BTreeMap;

use kurbo::{BezPath, PathEl, Point, Rect, Shape};

use crate::error::ExportError;
use crate::outlines::OutlinesRead;

/// Farthest two ends may lie apart and still meet, as a share of the whole drawing's longer side: 0.1 mm on 1 m. Less, and
/// drawings rounded to a tenth stay open; more, and a true gap is closed in silence.
const MEET: f64 = 1.0e-4;
/// Outlines shorter than this share of the longest are marks, letters and small holes, and no template.
const SMALL: f64 = 0.03;

/// One closed outline.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedOutline {
    /// The layer's name in the file.
    pub layer: String,
    /// One closed subpath, counter-clockwise, in the file's units.
    pub path: BezPath,
}

/// The closed outlines of a drawing, the one with the largest area first, and what was left out.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedOutlines {
    /// The outlines; at least one.
    pub outlines: Vec<ClosedOutline>,
    /// Closed, but too small beside the largest to be a template.
    pub small: usize,
    /// Lines whose ends meet nothing.
    pub open: usize,
}

/// A stretch between two ends that are not each other's.
struct Open {
    path: BezPath,
    ends: [Point; 2],
    used: bool,
}

impl OutlinesRead {
    /// The closed outlines, however they are drawn: in one line, or of lines and arcs of one layer whose ends meet to a
    /// ten-thousandth of the drawing's size. What lies twice is given once.
    ///
    /// ```
    /// use coldwright_export::read_dxf;
    /// let side = |x1: f64, y1: f64, x2: f64, y2: f64| format!("0\nLINE\n8\nhull\n10\n{x1}\n20\n{y1}\n11\n{x2}\n21\n{y2}\n");
    /// let sides = [side(0., 0., 90., 0.), side(0., 40., 0., 0.), side(90., 0., 0., 40.)].concat();
    /// let read = read_dxf(&format!("0\nSECTION\n2\nENTITIES\n{sides}0\nENDSEC\n"))?;
    /// let found = read.closed()?;
    /// assert_eq!(found.outlines.len(), 1);
    /// assert_eq!(kurbo::Shape::area(&found.outlines[0].path), 1800.0);
    /// # Ok::<(), coldwright_export::ExportError>(())
    /// ```
    ///
    /// # Errors
    /// [`ExportError::NothingClosed`] when there is none, with the smallest gap that was left open.
    pub fn closed(&self) -> Result<ClosedOutlines, ExportError> {
        let size = self.curves.iter().map(|c| c.path.bounding_box()).reduce(|a, b| a.union(b));
        let longest = size.map_or(0.0, |r| r.width().max(r.height()));
        let meet = longest * MEET;
        let mut found: Vec<ClosedOutline> = Vec::new();
        let mut loose: BTreeMap<&str, Vec<Open>> = BTreeMap::new();
        for curve in &self.curves {
            for path in subpaths(&curve.path) {
                let Some(ends) = ends(&path) else { continue };
                if closes(&path) || ends[0].distance(ends[1]) <= meet {
                    found.push(ClosedOutline { layer: curve.layer.clone(), path });
                } else {
                    loose.entry(&curve.layer).or_default().push(Open { path, ends, used: false });
                }
            }
        }
        let (mut open, mut gap) = (0, f64::INFINITY);
        for (layer, list) in &mut loose {
            for chain in chains(list, meet) {
                let Some(ends) = ends(&chain.path) else { continue };
                if ends[0].distance(ends[1]) <= meet {
                    found.push(ClosedOutline { layer: (*layer).to_owned(), path: chain.path });
                } else {
                    open += chain.lines;
                    gap = gap.min(ends[0].distance(ends[1]));
                }
            }
        }
        let mut outlines: Vec<(f64, Rect, ClosedOutline)> =
            found.into_iter().filter_map(|outline| sound(outline, longest)).collect();
        outlines.sort_by(|a, b| b.0.total_cmp(&a.0));
        let same = |a: Rect, b: Rect| {
            (a.origin() - b.origin()).hypot() <= meet
                && (a.x1 - b.x1).abs() <= meet
                && (a.y1 - b.y1).abs() <= meet
        };
        outlines.dedup_by(|b, a| same(a.1, b.1) && (a.0 - b.0).abs() <= meet * longest);
        let long = |r: &Rect| r.width().max(r.height());
        let least = SMALL * outlines.iter().map(|(_, r, _)| long(r)).fold(0.0, f64::max);
        let all = outlines.len();
        let outlines: Vec<ClosedOutline> =
            outlines.into_iter().filter(|(_, r, _)| long(r) >= least).map(|(_, _, o)| o).collect();
        if outlines.is_empty() {
            let gap = gap.is_finite().then(|| format!("{gap:.3}"));
            return Err(ExportError::NothingClosed { lines: open, gap });
        }
        Ok(ClosedOutlines { small: all - outlines.len(), outlines, open })
    }
}

/// Area, box and the outline turned counter-clockwise; nothing for one without an area.
fn sound(outline: ClosedOutline, longest: f64) -> Option<(f64, Rect, ClosedOutline)> {
    let mut path = outline.path;
    if !closes(&path) {
        path.close_path();
    }
    let area = path.area();
    if !area.is_finite() || area.abs() <= longest * longest * 1.0e-8 {
        return None;
    }
    if area < 0.0 {
        path = path.reverse_subpaths();
    }
    Some((area.abs(), path.bounding_box(), ClosedOutline { layer: outline.layer, path }))
}

fn subpaths(path: &BezPath) -> Vec<BezPath> {
    let mut out: Vec<BezPath> = Vec::new();
    let mut first = Point::ZERO;
    for el in path.elements() {
        match (el, out.last_mut()) {
            (PathEl::MoveTo(p), _) => {
                first = *p;
                out.push(BezPath::from_vec(vec![*el]));
            }
            (_, Some(current)) if closes(current) => {
                // A line that goes on after it was closed begins where it was closed.
                let mut next = BezPath::new();
                next.move_to(first);
                next.push(*el);
                out.push(next);
            }
            (_, Some(current)) => current.push(*el),
            (_, None) => {}
        }
    }
    out.retain(|p| p.elements().len() > 1);
    out
}

fn closes(path: &BezPath) -> bool {
    matches!(path.elements().last(), Some(PathEl::ClosePath))
}

fn ends(path: &BezPath) -> Option<[Point; 2]> {
    let PathEl::MoveTo(first) = path.elements().first()? else { return None };
    let last = path.elements().iter().rev().find_map(PathEl::end_point)?;
    Some([*first, last])
}

struct Chain {
    path: BezPath,
    lines: usize,
}

/// Joins stretches end to end, each used once.
fn chains(list: &mut [Open], meet: f64) -> Vec<Chain> {
    // Ends in squares as wide as they may lie apart: an end's partners are in its own square or the eight round it.
    let wide = meet.max(f64::MIN_POSITIVE);
    let square = |p: Point| ((p.x / wide).floor() as i64, (p.y / wide).floor() as i64);
    let mut places: BTreeMap<(i64, i64), Vec<(usize, usize)>> = BTreeMap::new();
    for (index, stretch) in list.iter().enumerate() {
        for (end, p) in stretch.ends.iter().enumerate() {
            places.entry(square(*p)).or_default().push((index, end));
        }
    }
    let mut out = Vec::new();
    for start in 0..list.len() {
        if list[start].used {
            continue;
        }
        list[start].used = true;
        let (mut first, mut at) = (list[start].ends[0], list[start].ends[1]);
        let mut turned = false;
        let mut chain = Chain { path: list[start].path.clone(), lines: 1 };
        while first.distance(at) > meet {
            let (x, y) = square(at);
            let next = (-1..=1)
                .flat_map(|i| (-1..=1).map(move |j| (x + i, y + j)))
                .filter_map(|cell| places.get(&cell))
                .flatten()
                .filter(|(index, end)| !list[*index].used && list[*index].ends[*end].distance(at) <= meet)
                .min_by(|a, b| {
                    let far = |(index, end): &(usize, usize)| list[*index].ends[*end].distance(at);
                    far(a).total_cmp(&far(b))
                });
            let Some(&(index, end)) = next else {
                if turned {
                    break;
                }
                // Nothing goes on from here: what comes in at the other end is looked for as well.
                turned = true;
                chain.path = chain.path.reverse_subpaths();
                (first, at) = (at, first);
                continue;
            };
            list[index].used = true;
            let forward =
                if end == 0 { list[index].path.clone() } else { list[index].path.reverse_subpaths() };
            chain.path.extend(forward.elements().iter().skip(1).copied());
            chain.lines += 1;
            at = list[index].ends[1 - end];
        }
        out.push(chain);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outlines::ReadCurve;
    use kurbo::{Affine, Circle};

    fn read(paths: Vec<(&str, BezPath)>) -> OutlinesRead {
        let curves = paths.into_iter().map(|(layer, path)| ReadCurve { layer: layer.into(), path }).collect();
        OutlinesRead { curves, unit_mm: None, passed_over: BTreeMap::new() }
    }

    fn line(points: &[(f64, f64)]) -> BezPath {
        let mut path = BezPath::new();
        path.move_to(points[0]);
        points[1..].iter().for_each(|p| path.line_to(*p));
        path
    }

    #[test]
    fn loose_lines_any_way_round_make_one_outline() {
        let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)];
        for mask in 0..16_u32 {
            let sides = [2, 0, 3, 1].map(|i: usize| {
                let mut side = [square[i], square[(i + 1) % 4]];
                if mask >> i & 1 == 1 {
                    side.reverse();
                }
                ("hull", line(&side))
            });
            let found = read(sides.to_vec()).closed().unwrap();
            assert_eq!((found.outlines.len(), found.small, found.open), (1, 0, 0), "mask {mask}");
            let area = found.outlines[0].path.area();
            assert!((area - 6000.0).abs() < 1e-9, "counter-clockwise whatever the sides' sense: {area}");
        }
    }

    #[test]
    fn a_gap_of_a_tenth_on_a_metre_is_closed_and_a_wider_one_named() {
        let three = |gap: f64| {
            read(vec![
                ("a", line(&[(0.0, 0.0), (1000.0, 0.0)])),
                ("a", line(&[(1000.0, gap), (500.0, 700.0)])),
                ("a", line(&[(500.0, 700.0), (0.0, 0.0)])),
            ])
            .closed()
        };
        assert!((three(0.05).unwrap().outlines[0].path.area() - 350_000.0).abs() < 50.0);
        assert_eq!(three(0.8), Err(ExportError::NothingClosed { lines: 3, gap: Some("0.800".into()) }));
    }

    #[test]
    fn layers_are_not_joined_and_what_lies_twice_is_one() {
        let half = [line(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0)]), line(&[(9.0, 9.0), (0.0, 9.0), (0.0, 0.0)])];
        let apart = read(vec![("a", half[0].clone()), ("b", half[1].clone())]).closed();
        assert!(matches!(apart, Err(ExportError::NothingClosed { lines: 2, .. })), "{apart:?}");
        let whole = Rect::new(0.0, 0.0, 9.0, 9.0).to_path(0.1);
        let twice =
            read(vec![("a", half[0].clone()), ("a", half[1].clone()), ("b", whole)]).closed().unwrap();
        assert_eq!(twice.outlines.len(), 1);
    }

    #[test]
    fn the_largest_comes_first_and_marks_are_left_out() {
        let circle = |r: f64| Circle::new((300.0, 200.0), r).to_path(0.01);
        let panel = Affine::scale_non_uniform(-1.0, 1.0) * Rect::new(-600.0, 0.0, 0.0, 400.0).to_path(0.1);
        let found =
            read(vec![("mark", circle(4.0)), ("hole", circle(50.0)), ("cut", panel)]).closed().unwrap();
        assert_eq!(found.outlines.iter().map(|o| o.layer.as_str()).collect::<Vec<_>>(), ["cut", "hole"]);
        assert_eq!(found.small, 1);
        assert!(found.outlines.iter().all(|o| o.path.area() > 0.0));
    }

    #[test]
    fn one_path_with_two_rings_is_two_outlines() {
        let mut both = Rect::new(0.0, 0.0, 90.0, 60.0).to_path(0.1);
        both.extend(Rect::new(20.0, 20.0, 50.0, 40.0).to_path(0.1));
        assert_eq!(read(vec![("a", both)]).closed().unwrap().outlines.len(), 2);
    }
}
