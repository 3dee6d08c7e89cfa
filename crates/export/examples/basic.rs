//! Writes a panel in the shape of an F as SVG, DXF and a PDF tiled on A4 into a folder (by default the system's
//! temporary folder) and says where.

use std::path::PathBuf;

use coldwright_export::{
    Anchor, Drawing, DxfOptions, Layer, PdfOptions, Pen, Text, TileOptions, dxf, pdf, svg, tile,
};
use kurbo::{BezPath, Point, Rect};

#[expect(clippy::print_stdout, reason = "an example says what it did")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).map_or_else(std::env::temp_dir, PathBuf::from);
    let panel = panel();
    let options = TileOptions {
        job_name: "Example locker".to_owned(),
        piece_name: "Panel F".to_owned(),
        ..TileOptions::default()
    };
    let pages = tile(&panel, &options)?;
    let title = PdfOptions { title: "Panel F".to_owned(), ..PdfOptions::default() };
    std::fs::write(folder.join("panel-f.svg"), svg(&panel, 0.005)?)?;
    std::fs::write(folder.join("panel-f.dxf"), dxf(&panel, &DxfOptions::default())?)?;
    std::fs::write(folder.join("panel-f.pdf"), pdf(&pages, &title)?)?;
    println!("panel-f.svg, panel-f.dxf and panel-f.pdf ({} pages) are in {}", pages.len(), folder.display());
    Ok(())
}

fn panel() -> Drawing {
    let outline = |inset: f64| {
        let i = inset;
        let points = [
            (0.0 + i, 0.0 + i),
            (160.0 - i, 0.0 + i),
            (160.0 - i, 240.0 + i),
            (400.0 - i, 240.0 + i),
            (400.0 - i, 380.0 - i),
            (160.0 - i, 380.0 - i),
            (160.0 - i, 460.0 + i),
            (560.0 - i, 460.0 + i),
            (560.0 - i, 620.0 - i),
            (0.0 + i, 620.0 - i),
        ];
        let mut path = BezPath::new();
        path.move_to(points[0]);
        for p in &points[1..] {
            path.line_to(*p);
        }
        path.close_path();
        path
    };
    let mut panel = Drawing::new("Panel F", Rect::new(0.0, 0.0, 560.0, 620.0));
    panel.line(outline(0.0), Pen::CUT, Layer::Cut);
    panel.line(outline(8.0), Pen::OTHER_FACE, Layer::OtherFace);
    for (x, y, words, height_pt) in
        [(80.0, 40.0, "Panel F", 24.0), (95.0, 40.0, "box face up · 1 in thick", 9.0)]
    {
        panel.text(Text {
            at: Point::new(x, y),
            words: words.to_owned(),
            height_pt,
            angle: std::f64::consts::FRAC_PI_2,
            anchor: Anchor::Start,
            bold: height_pt > 12.0,
            layer: Layer::Words,
        });
    }
    panel
}
