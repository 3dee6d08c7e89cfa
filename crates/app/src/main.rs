//! The `coldwright` program.

fn main() {}
