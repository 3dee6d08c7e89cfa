//! Writes `layers.svg`: a lopsided hull piece with a fair side, its ticks and its layers, to look at.
//!
//! `cargo run -p coldwright-geometry --example layers_svg -- [FILE]`

use std::error::Error;
use std::fmt::Write as _;

use coldwright_geometry::{
    Bevel, BevelStation, Edge, EdgeKind, FixedFace, Outline, Point, Ring, Spread, TemplateDepth, Tick,
    WallShape, layers,
};

fn path(rings: &[Ring]) -> String {
    let mut out = String::new();
    for ring in rings.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)) {
        for (i, p) in ring.iter().enumerate() {
            let _ = write!(out, "{}{:.3} {:.3} ", if i == 0 { "M" } else { "L" }, p.x, -p.y);
        }
        out.push('Z');
    }
    out
}

fn main() -> Result<(), Box<dyn Error>> {
    let tick = |id: u32, x: f64, y: f64| Tick { id, at: Point::new(x, y), spread: Spread::round(0.4) };
    let edge = |id: u32, name: &str, kind, ticks: Vec<Tick>, bevel| Edge {
        id,
        name: name.to_owned(),
        kind,
        ticks,
        bevel,
        gap: 1.0,
        smoothing: 0.0,
    };
    // The hull runs up from the lower right; its bevel opens upwards. It is carried to the top, where no tick was taken.
    let hull = [(520.0, 8.0), (585.0, 90.0), (632.0, 180.0), (660.0, 270.0), (674.0, 355.0)];
    let hull = hull.iter().enumerate().map(|(i, p)| tick(10 + i as u32, p.0, p.1)).collect();
    let stations = vec![BevelStation { at: 0.0, angle: 0.35 }, BevelStation { at: 1.0, angle: 0.12 }];
    let edges = vec![
        edge(
            1,
            "floor",
            EdgeKind::Straight,
            vec![tick(1, 0.0, 0.0), tick(2, 480.0, 4.0)],
            Bevel::constant(0.1)?,
        ),
        edge(2, "hull", EdgeKind::Fair, hull, Bevel::from_stations(stations)?),
        edge(
            3,
            "counter",
            EdgeKind::Straight,
            vec![tick(20, 640.0, 402.0), tick(21, 210.0, 398.0)],
            Bevel::default(),
        ),
        edge(
            4,
            "step",
            EdgeKind::Straight,
            vec![tick(21, 210.0, 398.0), tick(22, 205.0, 300.0)],
            Bevel::constant(-0.15)?,
        ),
        edge(
            5,
            "ledge",
            EdgeKind::Straight,
            vec![tick(22, 205.0, 300.0), tick(23, 0.0, 296.0)],
            Bevel::default(),
        ),
        edge(
            6,
            "bulkhead",
            EdgeKind::Straight,
            vec![tick(23, 0.0, 296.0), tick(1, 0.0, 0.0)],
            Bevel::constant(-0.05)?,
        ),
    ];
    let (outline, notices) = Outline::new(edges, vec![])?;
    let wall = WallShape {
        outline,
        template_depth: TemplateDepth::FromOuter(0.0),
        fixed: FixedFace::Outer,
        thicknesses: vec![25.4; 4],
    };
    let set = layers(&wall)?;
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"820mm\" height=\"520mm\" viewBox=\"-50 -460 820 520\">\n<rect x=\"-50\" y=\"-460\" width=\"820\" height=\"520\" fill=\"#F7F4ED\"/>\n",
    );
    for layer in set.layers.iter().rev() {
        let shade = 250 - 18 * layer.number;
        writeln!(
            svg,
            "<path d=\"{}\" fill=\"rgb({shade},{shade},{shade})\" fill-opacity=\"0.5\" stroke=\"#1B6680\" stroke-width=\"0.8\"/>",
            path(&layer.inner.rings)
        )?;
        writeln!(
            svg,
            "<path d=\"{}\" fill=\"none\" stroke=\"#7A5016\" stroke-width=\"0.6\" stroke-dasharray=\"6 3\"/>",
            path(&layer.outer.rings)
        )?;
        for m in &layer.bevels {
            let tip = m.at + m.outward * 12.0;
            writeln!(
                svg,
                "<line x1=\"{:.2}\" y1=\"{:.2}\" x2=\"{:.2}\" y2=\"{:.2}\" stroke=\"#9C4318\" stroke-width=\"0.6\"/>",
                m.at.x, -m.at.y, tip.x, -tip.y
            )?;
        }
    }
    for side in wall.outline.sides() {
        for t in &side.edge.ticks {
            writeln!(
                svg,
                "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"3\" fill=\"none\" stroke=\"#22303A\"/>",
                t.at.x, -t.at.y
            )?;
        }
    }
    for (i, n) in notices.iter().chain(&set.notices).enumerate() {
        let words = n.to_string().replace('&', "&amp;").replace('<', "&lt;");
        writeln!(
            svg,
            "<text x=\"0\" y=\"{}\" font-size=\"12\" fill=\"#22303A\">{words}</text>",
            24 + 16 * i
        )?;
    }
    svg.push_str("</svg>\n");
    let file = std::env::args().nth(1).unwrap_or_else(|| "layers.svg".to_owned());
    std::fs::write(&file, svg)?;
    Ok(())
}
