//! Areas of outlines grown and shrunk by the distances a file lists.
//!
//! `cargo run --release -p coldwright-geometry --example offset_areas -- OUTLINES.json`
//!
//! The file holds `{"cases": [{"name", "ring", "holes", "offsets": [{"d", "join"}]}]}`, lengths in mm. For each case and
//! offset one line of JSON `{"name","d","join","area","parts"}` is printed, parts counted before slivers are dropped; for an
//! outline that cannot be used, `{"name","refused"}`.
#![allow(clippy::print_stdout, clippy::allow_attributes, reason = "the lines are what this is for")]

use coldwright_geometry::{Join, Point, Ring, offset};
use serde_json::{Value, json};

/// Chords 0.01 mm inside the arc: what kept areas of round corners are made with.
const ROUND: Join = Join::Round { tolerance: 0.01 };

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("name a file of outlines")?;
    let file: Value =
        serde_json::from_str(&std::fs::read_to_string(&path).map_err(|e| format!("{e}; {path}"))?)?;
    for case in file["cases"].as_array().ok_or("the file has no \"cases\"")? {
        let name = case["name"].as_str().ok_or("a case has no name")?;
        let region = Ring {
            outer: ring(&case["ring"]).ok_or("a ring is not a list of points")?,
            holes: case["holes"]
                .as_array()
                .map(|all| {
                    all.iter().map(ring).collect::<Option<Vec<_>>>().ok_or("a hole is not a list of points")
                })
                .transpose()?
                .unwrap_or_default(),
        };
        if let Err(why) = offset(&region, 0.0, ROUND) {
            println!("{}", json!({"name": name, "refused": why.to_string()}));
            continue;
        }
        for one in case["offsets"].as_array().map(Vec::as_slice).unwrap_or_default() {
            let d = one["d"].as_f64().ok_or("an offset has no distance \"d\"")?;
            let join = match one["join"].as_str() {
                Some("mitre") => Join::Mitre { limit: 4.0 },
                Some("round") => ROUND,
                _ => return Err("a join must be \"mitre\" or \"round\"".into()),
            };
            match offset(&region, d, join) {
                Ok(parts) => {
                    // Nothing left sums to -0.
                    let area = parts.iter().map(Ring::area).sum::<f64>() + 0.0;
                    println!(
                        "{}",
                        json!({"name": name, "d": one["d"], "join": one["join"], "area": area, "parts": parts.len()})
                    );
                }
                Err(why) => println!("{}", json!({"name": name, "refused": why.to_string()})),
            }
        }
    }
    Ok(())
}

fn ring(points: &Value) -> Option<Vec<Point>> {
    points.as_array()?.iter().map(|p| Some(Point::new(p.get(0)?.as_f64()?, p.get(1)?.as_f64()?))).collect()
}
