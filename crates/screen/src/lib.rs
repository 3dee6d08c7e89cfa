//! Part of Coldwright.
