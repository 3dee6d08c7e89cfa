//! Writes cards to a PDF to look at: `cargo run -p coldwright-papers --example print_cards -- cards.pdf [half]`.

use coldwright_papers::{CardOptions, cards};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "cards.pdf".to_owned());
    let half = std::env::args().nth(2).is_some_and(|word| word == "half");
    let bytes = cards(&CardOptions { half, first: if half { 101 } else { 1 }, ..CardOptions::default() })?;
    std::fs::write(path, bytes)?;
    Ok(())
}
