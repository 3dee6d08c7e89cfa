//! The one place that writes to standard output and standard error.

use std::io::{self, Write};

/// A line on standard output. A closed pipe is the reader's choice and no error.
pub(crate) fn line(text: &str) {
    let _ = writeln!(io::stdout(), "{text}");
}

/// A value as one JSON document on standard output.
pub(crate) fn json(value: &serde_json::Value) {
    line(&format!("{value:#}"));
}

/// A sentence on standard error.
pub(crate) fn error(text: &str) {
    let _ = writeln!(io::stderr(), "coldwright: {text}");
}
