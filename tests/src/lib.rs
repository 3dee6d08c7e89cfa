//! Helpers shared by the whole-product tests.
