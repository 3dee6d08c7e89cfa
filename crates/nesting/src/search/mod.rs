//! The search: how a layout is found. Nothing here is public; every layout is checked by other code before it leaves.
//!
//! Overlap of two pieces is measured by own code ([`pair`]), not by a collision library: on panels of a box a query with
//! its measure of badness costs 0.9 µs, the library `jagua-rs` 1.1 takes 1.9 to 2.4 µs for the bare verdict (8 to 100
//! pieces, same machine; `witness`, ignored test). Coordinates stay in 64 bit, sheets with a waist keep all their parts,
//! and the sine is the same on every machine, which a repeatable count of moves needs. The library stays as the witness
//! that the verdicts are right.

pub(crate) mod budget;
pub(crate) mod first;
pub(crate) mod pair;
pub(crate) mod poles;
pub(crate) mod problem;
pub(crate) mod relax;
pub(crate) mod scene;
pub(crate) mod seek;
pub(crate) mod shape;
pub(crate) mod sheets;
pub(crate) mod squeeze;
pub(crate) mod strip;
#[cfg(test)]
mod witness;
