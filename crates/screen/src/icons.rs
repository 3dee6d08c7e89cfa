//! Own line icons, drawn as paths 1.5 wide in a square of 20.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, Vec2, pos2};

/// A line icon.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Icon {
    /// A leaning sheet with a tag in it.
    Photo,
    /// A lopsided ring with ticks.
    Outline,
    /// Three slabs seen on edge, the side tapering.
    Layers,
    /// Two walls that meet at a corner, their layers woven.
    Box,
    /// A slab in two parts before a hole.
    Pieces,
    /// A sheet with two pieces on it.
    Sheets,
    /// A cut line on a sheet.
    Papers,
    /// A line bending back.
    Undo,
    /// The same the other way.
    Redo,
    /// Out of the tray.
    Open,
    /// Into the tray.
    Save,
    /// Half a disc on a line: morning.
    Light,
    /// The disc under the line: night.
    Dark,
    /// Points down.
    More,
    /// Corners of a view.
    Fit,
    /// Work under way.
    Work,
    /// Something to know.
    Note,
    /// Something to look at.
    Look,
    /// Cannot go on.
    Stop,
}

/// One stroke of an icon: points in the square, closed or not.
struct Line(Vec<Pos2>, bool);

fn line(points: &[(f32, f32)]) -> Line {
    Line(points.iter().map(|(x, y)| pos2(*x, *y)).collect(), false)
}

fn ring(points: &[(f32, f32)]) -> Line {
    Line(points.iter().map(|(x, y)| pos2(*x, *y)).collect(), true)
}

fn arc(centre: (f32, f32), radius: f32, from: f32, to: f32) -> Line {
    let steps = 16;
    let points = (0..=steps).map(|i| {
        let a = from + (to - from) * i as f32 / steps as f32;
        pos2(centre.0 + radius * a.cos(), centre.1 + radius * a.sin())
    });
    Line(points.collect(), false)
}

fn cross(x: f32, y: f32, r: f32) -> [Line; 2] {
    [line(&[(x - r, y - r), (x + r, y + r)]), line(&[(x - r, y + r), (x + r, y - r)])]
}

impl Icon {
    fn lines(self) -> Vec<Line> {
        use std::f32::consts::{FRAC_PI_2, PI};
        match self {
            Icon::Photo => vec![
                ring(&[(4.5, 4.0), (15.0, 5.5), (18.0, 16.5), (1.5, 15.0)]),
                ring(&[(7.5, 8.0), (11.0, 8.4), (11.6, 12.2), (7.2, 11.8)]),
            ],
            Icon::Outline => {
                let mut v = vec![ring(&[(3.5, 15.5), (5.0, 5.0), (11.0, 3.5), (16.5, 8.5), (15.5, 16.0)])];
                v.extend(cross(5.0, 5.0, 2.0));
                v.extend(cross(16.5, 8.5, 2.0));
                v.extend(cross(3.5, 15.5, 2.0));
                v
            }
            Icon::Layers => vec![
                ring(&[(2.0, 3.0), (18.0, 3.0), (16.5, 7.0), (3.0, 7.0)]),
                ring(&[(3.4, 8.5), (16.0, 8.5), (14.5, 12.0), (4.4, 12.0)]),
                ring(&[(4.8, 13.5), (14.0, 13.5), (12.5, 17.0), (5.8, 17.0)]),
            ],
            Icon::Box => vec![
                ring(&[(3.0, 2.5), (7.0, 2.5), (7.0, 17.0), (3.0, 17.0)]),
                ring(&[(7.0, 13.0), (17.5, 13.0), (17.5, 17.0), (7.0, 17.0)]),
                line(&[(11.0, 2.5), (11.0, 9.0), (17.5, 9.0)]),
                line(&[(7.0, 9.0), (11.0, 9.0)]),
            ],
            Icon::Pieces => vec![
                ring(&[(2.0, 6.0), (8.5, 4.5), (7.0, 14.0), (2.0, 14.0)]),
                ring(&[(11.5, 4.0), (18.0, 2.5), (18.0, 14.0), (10.0, 14.0)]),
                line(&[(2.0, 17.5), (18.0, 17.5)]),
            ],
            Icon::Sheets => vec![
                ring(&[(2.0, 3.5), (18.0, 3.5), (18.0, 16.5), (2.0, 16.5)]),
                ring(&[(4.5, 6.0), (10.0, 6.0), (8.5, 14.0), (4.5, 14.0)]),
                ring(&[(12.5, 6.0), (15.5, 6.0), (15.5, 11.5), (11.5, 11.5)]),
            ],
            Icon::Papers => vec![
                ring(&[(3.5, 2.0), (16.5, 2.0), (16.5, 18.0), (3.5, 18.0)]),
                line(&[(3.5, 12.5), (8.0, 6.5), (16.5, 5.0)]),
                line(&[(6.5, 15.0), (9.5, 15.0)]),
                line(&[(11.5, 15.0), (13.5, 15.0)]),
            ],
            Icon::Undo | Icon::Redo => {
                let mut v = vec![arc((10.0, 11.0), 5.5, -FRAC_PI_2, FRAC_PI_2)];
                v.push(line(&[(10.0, 5.5), (3.5, 5.5)]));
                v.push(line(&[(6.5, 2.5), (3.5, 5.5), (6.5, 8.5)]));
                v.push(line(&[(10.0, 16.5), (6.5, 16.5)]));
                if self == Icon::Redo {
                    for Line(points, _) in &mut v {
                        for p in points {
                            p.x = 20.0 - p.x;
                        }
                    }
                }
                v
            }
            Icon::Open => vec![
                line(&[(3.0, 11.0), (3.0, 17.0), (17.0, 17.0), (17.0, 11.0)]),
                line(&[(10.0, 13.0), (10.0, 3.0)]),
                line(&[(6.5, 6.5), (10.0, 3.0), (13.5, 6.5)]),
            ],
            Icon::Save => vec![
                line(&[(3.0, 11.0), (3.0, 17.0), (17.0, 17.0), (17.0, 11.0)]),
                line(&[(10.0, 3.0), (10.0, 13.0)]),
                line(&[(6.5, 9.5), (10.0, 13.0), (13.5, 9.5)]),
            ],
            Icon::Light => vec![
                line(&[(1.5, 14.0), (18.5, 14.0)]),
                arc((10.0, 14.0), 4.5, PI, 2.0 * PI),
                line(&[(10.0, 3.5), (10.0, 6.0)]),
                line(&[(3.5, 6.5), (5.2, 8.2)]),
                line(&[(16.5, 6.5), (14.8, 8.2)]),
            ],
            Icon::Dark => vec![
                line(&[(1.5, 7.0), (18.5, 7.0)]),
                arc((10.0, 7.0), 4.5, 0.0, PI),
                line(&[(6.0, 16.0), (14.0, 16.0)]),
            ],
            Icon::More => vec![line(&[(6.0, 8.0), (10.0, 12.0), (14.0, 8.0)])],
            Icon::Fit => vec![
                line(&[(3.0, 7.5), (3.0, 3.0), (7.5, 3.0)]),
                line(&[(12.5, 3.0), (17.0, 3.0), (17.0, 7.5)]),
                line(&[(17.0, 12.5), (17.0, 17.0), (12.5, 17.0)]),
                line(&[(7.5, 17.0), (3.0, 17.0), (3.0, 12.5)]),
            ],
            Icon::Work => vec![
                line(&[(3.0, 13.0), (6.0, 7.0)]),
                line(&[(8.5, 13.0), (11.5, 7.0)]),
                line(&[(14.0, 13.0), (17.0, 7.0)]),
            ],
            Icon::Note => vec![line(&[(10.0, 8.5), (10.0, 15.5)]), line(&[(10.0, 4.5), (10.0, 6.0)])],
            Icon::Look => vec![
                ring(&[(10.0, 2.5), (18.0, 16.5), (2.0, 16.5)]),
                line(&[(10.0, 7.5), (10.0, 11.5)]),
                line(&[(10.0, 13.4), (10.0, 14.6)]),
            ],
            Icon::Stop => {
                let mut v = vec![ring(&[(3.0, 3.0), (17.0, 3.0), (17.0, 17.0), (3.0, 17.0)])];
                v.extend(cross(10.0, 10.0, 3.2));
                v
            }
        }
    }

    /// Draws the icon in a square.
    pub fn paint(self, painter: &Painter, square: Rect, colour: Color32) {
        let scale = square.width() / 20.0;
        let place = |p: &Pos2| square.min + Vec2::new(p.x, p.y) * scale;
        let stroke = Stroke::new(1.5, colour);
        for Line(points, closed) in self.lines() {
            let points: Vec<Pos2> = points.iter().map(place).collect();
            painter.add(if closed {
                Shape::closed_line(points, stroke)
            } else {
                Shape::line(points, stroke)
            });
        }
    }
}
