//! Prints how long a whole box takes: layers of joined walls, folding, room inside. Budget: 50 ms.

use std::time::Instant;

use coldwright_geometry::{GeometryError, PlainBox, fold, inside, joined_layers, plain_box};

#[expect(clippy::print_stdout, reason = "it is what the example is for")]
fn main() -> Result<(), GeometryError> {
    let typed = PlainBox { lean: 18_f64.to_radians(), top: true, ..PlainBox::default() };
    let (walls, joints) = plain_box(&typed)?;
    let runs = 20;
    let start = Instant::now();
    let mut room = 0.0;
    for _ in 0..runs {
        for set in joined_layers(&walls, &joints)? {
            room += 0.0 * set?.layers.len() as f64;
        }
        let folded = fold(&walls, &joints)?;
        room += inside(&walls, &joints, &folded)?.iter().map(|i| i.room).sum::<f64>();
    }
    let each = start.elapsed().as_secs_f64() * 1000.0 / f64::from(runs);
    println!("6 walls, 24 layers, 12 joints: {each:.1} ms; room {:.1} litres", room / f64::from(runs) / 1e6);
    Ok(())
}
