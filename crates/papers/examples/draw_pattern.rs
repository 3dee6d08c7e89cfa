//! Draws one piece as SVG to look at: `cargo run -p coldwright-papers --example draw_pattern -- job.coldwright 1 3 out.svg`
//! (wall and layer counted from 1).

use coldwright_export::svg;
use coldwright_job::{from_bytes, plan};
use coldwright_papers::pattern;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [file, wall, layer, out] = words.as_slice() else { return Err("say JOB WALL LAYER OUT.svg".into()) };
    let job = from_bytes(&std::fs::read(file)?)?;
    let plan = plan(&job);
    let wall = plan.walls.get(wall.parse::<usize>()?.wrapping_sub(1)).ok_or("no such wall")?;
    std::fs::write(out, svg(&pattern(&job, wall, layer.parse()?)?, 0.005)?)?;
    Ok(())
}
