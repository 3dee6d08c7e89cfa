//! Turns a stored picture upright by its orientation tag (EXIF 2.32, tag 274).

/// Turns RGB bytes upright; returns the new width, height and bytes.
pub(crate) fn turn(width: u32, height: u32, rgb: Vec<u8>, orientation: u8) -> (u32, u32, Vec<u8>) {
    if !(2..=8).contains(&orientation) {
        return (width, height, rgb);
    }
    let (w, h) = (width as usize, height as usize);
    let sideways = orientation >= 5;
    let (ow, oh) = if sideways { (h, w) } else { (w, h) };
    let mut out = vec![0u8; rgb.len()];
    // Blocks keep both the read and the written rows in cache.
    const BLOCK: usize = 32;
    for by in (0..oh).step_by(BLOCK) {
        for bx in (0..ow).step_by(BLOCK) {
            for y in by..(by + BLOCK).min(oh) {
                for x in bx..(bx + BLOCK).min(ow) {
                    let (sx, sy) = match orientation {
                        2 => (w - 1 - x, y),
                        3 => (w - 1 - x, h - 1 - y),
                        4 => (x, h - 1 - y),
                        5 => (y, x),
                        6 => (y, h - 1 - x),
                        7 => (w - 1 - y, h - 1 - x),
                        _ => (w - 1 - y, x),
                    };
                    let (from, to) = (3 * (sy * w + sx), 3 * (y * ow + x));
                    if let (Some(a), Some(b)) = (rgb.get(from..from + 3), out.get_mut(to..to + 3)) {
                        b.copy_from_slice(a);
                    }
                }
            }
        }
    }
    (ow as u32, oh as u32, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upright 3 × 2 picture a b c / d e f as each orientation stores it (EXIF 2.32 section 4.6.4, the 0th row and column's places).
    #[test]
    fn all_eight_orientations_give_the_same_picture() {
        let stored = [
            (1, 3, "abcdef"),
            (2, 3, "cbafed"),
            (3, 3, "fedcba"),
            (4, 3, "defabc"),
            (5, 2, "adbecf"),
            (6, 2, "cfbead"),
            (7, 2, "fcebda"),
            (8, 2, "daebfc"),
        ];
        for (orientation, width, text) in stored {
            let rgb: Vec<u8> = text.bytes().flat_map(|b| [b, b, b]).collect();
            let height = text.len() as u32 / width;
            let (w, h, out) = turn(width, height, rgb, orientation);
            let got: String = out.chunks(3).map(|c| char::from(c[0])).collect();
            assert_eq!((w, h, got.as_str()), (3, 2, "abcdef"), "orientation {orientation}");
        }
    }
}
