//! A small random number generator, the same on every machine.
//!
//! Method: Blackman and Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47, 2021 (xoshiro256++),
//! seeded by SplitMix64 (Steele, Lea, Flood 2014).

/// Generator of one worker.
#[derive(Debug, Clone)]
pub(crate) struct Random([u64; 4]);

impl Random {
    /// From a seed and the worker's number.
    pub(crate) fn new(seed: u64, worker: u64) -> Random {
        let mut z = seed ^ worker.wrapping_mul(0xA076_1D64_78BD_642F);
        let mut next = || {
            z = z.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut x = z;
            x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            x ^ (x >> 31)
        };
        Random([next(), next(), next(), next()])
    }

    fn next(&mut self) -> u64 {
        let s = &mut self.0;
        let out = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    /// Uniform in [0, 1).
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform in [low, high); `low` when they are equal or the wrong way round.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        if high > low { low + (high - low) * self.unit() } else { low }
    }

    /// Uniform in 0..n; 0 for n = 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((u128::from(self.next()) * n as u128) >> 64) as usize
    }

    /// About normal with mean 0 and deviation 1: a sum of twelve uniform numbers.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// Shuffles in place.
    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            items.swap(i, self.below(i + 1));
        }
    }
}
