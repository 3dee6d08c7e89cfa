//! Makes all papers of a job into a folder: `cargo run -p coldwright-papers --example make_papers -- job.coldwright folder [paper]`.

#![expect(clippy::print_stdout, reason = "a program to run by hand")]

use coldwright_export::Paper;
use coldwright_job::{from_bytes, plan};
use coldwright_papers::{MakeOptions, make};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [file, folder, rest @ ..] = words.as_slice() else { return Err("say JOB FOLDER [PAPER]".into()) };
    let job = from_bytes(&std::fs::read(file)?)?;
    let paper = rest.first().map(|name| Paper::parse(name)).transpose()?;
    let start = std::time::Instant::now();
    let plan = plan(&job);
    let planned = start.elapsed();
    let files = make(&job, &plan, &MakeOptions { paper, ..MakeOptions::default() })?;
    println!("planned in {planned:?}, papers made in {:?}", start.elapsed() - planned);
    std::fs::create_dir_all(folder)?;
    for file in files {
        println!("{:>9} {}", file.bytes.len(), file.name);
        std::fs::write(std::path::Path::new(folder).join(file.name), file.bytes)?;
    }
    Ok(())
}
