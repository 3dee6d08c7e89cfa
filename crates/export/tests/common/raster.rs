//! Pages as grey pictures made by pdftoppm, read by hand so that no further library is needed.

use kurbo::Point;

/// One page rendered in grey.
pub struct Raster {
    width: usize,
    height: usize,
    grey: Vec<u8>,
    /// Pixels per millimetre.
    scale: f64,
}

impl Raster {
    /// Renders all pages at `dpi`, in order.
    pub fn pages(pdftoppm: &str, pdf: &[u8], dpi: u32, name: &str) -> Vec<Raster> {
        let folder = super::Folder::new(name);
        let file = folder.path("in.pdf");
        std::fs::write(&file, pdf).unwrap();
        super::run(pdftoppm, &["-r", &dpi.to_string(), "-gray", &file, &folder.path("page")]);
        let parent = std::path::Path::new(&file).parent().unwrap().to_owned();
        let mut names: Vec<_> = std::fs::read_dir(parent)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|e| e == "pgm"))
            .collect();
        // The tool pads the page number to the same width on every page.
        names.sort();
        names.iter().map(|path| Raster::read(&std::fs::read(path).unwrap(), f64::from(dpi) / 25.4)).collect()
    }

    /// A binary PGM: "P5", width, height, 255, one white space, bytes.
    fn read(bytes: &[u8], scale: f64) -> Raster {
        let mut at = 0;
        let mut word = || {
            let start = at;
            while !bytes[at].is_ascii_whitespace() {
                at += 1;
            }
            at += 1;
            String::from_utf8(bytes[start..at - 1].to_vec()).unwrap()
        };
        assert_eq!(word(), "P5");
        let (width, height) = (word().parse().unwrap(), word().parse().unwrap());
        assert_eq!(word(), "255");
        let grey = bytes[at..].to_vec();
        assert_eq!(grey.len(), width * height);
        Raster { width, height, grey, scale }
    }

    /// Darkness at a place of the page in mm, y up: 0 white to 1 black, between pixels in proportion.
    pub fn dark(&self, mm: Point) -> f64 {
        let x = mm.x * self.scale - 0.5;
        let y = self.height as f64 - mm.y * self.scale - 0.5;
        let (x0, y0) = (x.floor(), y.floor());
        let (fx, fy) = (x - x0, y - y0);
        let pixel = |dx: f64, dy: f64| {
            let (i, j) = (x0 + dx, y0 + dy);
            if i < 0.0 || j < 0.0 || i >= self.width as f64 || j >= self.height as f64 {
                return 0.0;
            }
            1.0 - f64::from(self.grey[j as usize * self.width + i as usize]) / 255.0
        };
        (pixel(0., 0.) * (1. - fx) + pixel(1., 0.) * fx) * (1. - fy)
            + (pixel(0., 1.) * (1. - fx) + pixel(1., 1.) * fx) * fy
    }

    /// The box round everything darker than a quarter, as distances in mm from the left, right, lower and upper edge.
    pub fn clear_edges(&self) -> [f64; 4] {
        let dark = |i: usize| self.grey[i] < 191;
        let columns: Vec<usize> = (0..self.grey.len()).filter(|i| dark(*i)).map(|i| i % self.width).collect();
        let rows: Vec<usize> = (0..self.grey.len()).filter(|i| dark(*i)).map(|i| i / self.width).collect();
        let edge = |list: &[usize], size: usize| {
            let (low, high) = (list.iter().min().unwrap(), list.iter().max().unwrap());
            (*low as f64 / self.scale, (size - 1 - high) as f64 / self.scale)
        };
        let ((left, right), (upper, lower)) = (edge(&columns, self.width), edge(&rows, self.height));
        [left, right, lower, upper]
    }

    /// Straight dark runs of at least `least` pixels along rows (or columns): line position, start and end, all in
    /// pixels, neighbouring lines of one stroke joined at their middle.
    pub fn strokes(&self, rows: bool, least: usize) -> Vec<(f64, f64, f64)> {
        let (lines, length) = if rows { (self.height, self.width) } else { (self.width, self.height) };
        let dark = |line: usize, i: usize| {
            let at = if rows { line * self.width + i } else { i * self.width + line };
            self.grey[at] < 128
        };
        let mut out: Vec<(usize, usize, usize, usize)> = vec![];
        for line in 0..lines {
            let mut start = None;
            for i in 0..=length {
                match (start, i < length && dark(line, i)) {
                    (None, true) => start = Some(i),
                    (Some(from), false) => {
                        if i - from >= least {
                            let same = out.iter_mut().find(|(_, last, a, b)| {
                                *last + 1 == line && a.abs_diff(from) < 6 && b.abs_diff(i) < 6
                            });
                            match same {
                                Some(stroke) => stroke.1 = line,
                                None => out.push((line, line, from, i)),
                            }
                        }
                        start = None;
                    }
                    _ => {}
                }
            }
        }
        out.into_iter().map(|(a, b, from, to)| ((a + b) as f64 / 2.0, from as f64, to as f64)).collect()
    }
}
