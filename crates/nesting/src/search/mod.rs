//! The search: how a layout is found. Nothing here is public; every layout is checked by other code before it leaves.

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
