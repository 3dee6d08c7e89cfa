//! Sheets: enough, what to buy or short by how many; straight cuts to the saw's throat; the filling foam.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_job::{
    BreakDown, CutStyle, Cutting, Edit, Enough, Job, SheetShape, StockSheet, WallEdit, apply, enough,
    from_bytes, plan, purchases, to_bytes,
};
use common::walls::{lay_out, leaning, mm, walls};
use kurbo::{Point, Rect};

fn stock(job: &Job, sheets: Vec<StockSheet>) -> Job {
    apply(job, &Edit::SetStock(sheets)).unwrap()
}

fn sheet(name: &str, width: f64, length: f64, owned: Option<u32>) -> StockSheet {
    let shape = SheetShape::Rectangle { width: mm(width), length: mm(length) };
    StockSheet { name: name.to_owned(), shape, owned, ..StockSheet::default() }
}

fn cutting(job: &Job, change: impl FnOnce(&mut Cutting)) -> Job {
    let mut next = job.cutting;
    change(&mut next);
    apply(job, &Edit::SetCutting(next)).unwrap()
}

fn answers(job: &Job) -> (Vec<Enough>, Vec<String>) {
    let p = plan(job);
    let all = enough(job, p.laid.as_deref().unwrap());
    let words = all.iter().map(|e| e.words(job)).collect();
    (all, words)
}

#[test]
fn owned_sheets_that_do_are_enough() {
    let job = stock(&walls(&[(900.0, 500.0)], 3), vec![sheet("Shed", 1220.0, 2440.0, Some(2))]);
    let (_, words) = answers(&lay_out(&job, &plan(&job)));
    assert_eq!(words, ["XPS 25.4 mm: enough, 1 of the 2 owned; off-cuts cover 10 % for spoiled pieces"]);
}

#[test]
fn sheets_that_run_out_are_short_by_so_many_and_the_others_are_still_laid() {
    // Two pieces of 900 × 500 go on 1000 × 1100: five of them want two sheets and a half beyond the one owned.
    let job = stock(&walls(&[(900.0, 500.0)], 5), vec![sheet("Last one", 1000.0, 1100.0, Some(1))]);
    let kept = lay_out(&job, &plan(&job));
    let kept = from_bytes(&to_bytes(&kept).unwrap()).unwrap();
    let p = plan(&kept);
    let laid = p.laid.as_deref().unwrap();
    assert!(laid.is_sound(), "{:?}", laid.faults);
    assert_eq!((laid.layout.placements.len(), laid.layout.left.len()), (2, 3));
    let (all, words) = answers(&kept);
    assert_eq!(all[0].short, Some(("Last one".to_owned(), 2)));
    assert!(
        words[0].starts_with("XPS 25.4 mm: short by 2 more sheets like Last one, with the one owned"),
        "{words:?}"
    );
    let told = p.shared.last().unwrap().sentence.clone();
    assert!(told.contains("short by 2 more sheets") && told.contains("Add sheets"), "{told}");
    // A piece more was not there when they were laid out: that is another matter.
    let wall = kept.walls[0].id;
    let more = WallEdit::Layers(vec![Default::default(); 6]);
    let stale = plan(&apply(&kept, &Edit::Wall(wall, more)).unwrap());
    assert!(!stale.laid.as_deref().unwrap().is_sound());
}

#[test]
fn spoiled_pieces_are_counted_for_each_material_and_thickness() {
    let mut job = walls(&[(1180.0, 780.0)], 3);
    job = cutting(&job, |c| c.spare = 100);
    job = stock(&job, vec![sheet("Board", 1220.0, 2440.0, None)]);
    let kept = lay_out(&job, &plan(&job));
    let (all, words) = answers(&kept);
    // Three pieces of 1180 × 780 fill one board of 1220 × 2440; as much again is another.
    assert_eq!(
        (all[0].buy.clone(), all[0].spare.clone()),
        (vec![("Board".into(), 1)], vec![("Board".into(), 1)])
    );
    assert!(words[0].contains("buy 1 of Board; 1 of Board more for 100 % of spoiled pieces"), "{words:?}");
    assert!((purchases(&kept, &plan(&kept))[0].amount - 2.0).abs() < 1e-9);
    let owned = stock(&job, vec![sheet("Board", 1220.0, 2440.0, Some(1))]);
    let (all, words) = answers(&lay_out(&owned, &plan(&owned)));
    assert!(all[0].is_enough() && all[0].short_spare == Some(("Board".into(), 1)), "{words:?}");
}

#[test]
fn a_sheet_comes_to_the_throat_by_straight_cuts() {
    let sizes = [(1180.0, 400.0), (580.0, 700.0), (580.0, 700.0), (500.0, 500.0), (600.0, 500.0)];
    let mut job = walls(&sizes, 1);
    job = stock(&job, vec![sheet("Board", 1220.0, 2440.0, None)]);
    let kept = lay_out(&job, &plan(&job));
    let laid = |job: &Job| plan(job).laid.unwrap();
    assert!(laid(&kept).break_downs.iter().all(|b| *b == BreakDown::Whole), "no throat, no cuts");
    let wide = cutting(&kept, |c| c.throat = Some(mm(1300.0)));
    assert!(laid(&wide).break_downs.iter().all(|b| *b == BreakDown::Whole));
    for throat in [700.0, 615.0, 520.0] {
        let job = cutting(&kept, |c| c.throat = Some(mm(throat)));
        let laid = laid(&job);
        for (index, one) in laid.break_downs.iter().enumerate() {
            let BreakDown::Cuts(cuts) = one else { continue };
            let on: Vec<Rect> = laid
                .layout
                .placements
                .iter()
                .filter(|p| p.sheet == index)
                .map(|p| {
                    let ring: Vec<Point> =
                        laid.asked.request.pieces[p.piece].outline.iter().map(|q| p.apply(*q)).collect();
                    coldwright_geometry::bounds(&ring)
                })
                .collect();
            // Each cut divides one part that is there at its turn and takes no piece; at the end all with a piece on go through.
            let mut parts = vec![Rect::new(0.0, 0.0, 1220.0, 2440.0)];
            for cut in cuts {
                let at = parts.iter().position(|p| {
                    (p.origin() - cut.part.origin()).hypot() < 1e-6
                        && (p.size() - cut.part.size()).to_vec2().hypot() < 1e-6
                });
                let part = parts.remove(at.unwrap());
                let upright = (cut.from.x - cut.to.x).abs() < 1e-9;
                let (a, b) = if upright {
                    (Rect { x1: cut.from.x, ..part }, Rect { x0: cut.from.x, ..part })
                } else {
                    (Rect { y1: cut.from.y, ..part }, Rect { y0: cut.from.y, ..part })
                };
                let half = job.cutting.kerf.mm() / 2.0;
                for piece in on.iter().filter(|p| part.contains(p.center())) {
                    let far = if upright {
                        [piece.x0 - cut.from.x, cut.from.x - piece.x1]
                    } else {
                        [piece.y0 - cut.from.y, cut.from.y - piece.y1]
                    };
                    assert!(
                        far.into_iter().fold(f64::MIN, f64::max) >= half - 1e-5,
                        "{cut:?} through {piece:?}"
                    );
                }
                let less = |r: Rect, first: bool| match (upright, first) {
                    (true, true) => Rect { x1: r.x1 - half, ..r },
                    (true, false) => Rect { x0: r.x0 + half, ..r },
                    (false, true) => Rect { y1: r.y1 - half, ..r },
                    (false, false) => Rect { y0: r.y0 + half, ..r },
                };
                parts.extend([less(a, true), less(b, false)]);
            }
            for part in parts.iter().filter(|p| on.iter().any(|b| p.contains(b.center()))) {
                assert!(part.width().min(part.height()) <= throat + 1e-6, "{part:?} at {throat}");
            }
        }
    }
}

#[test]
fn what_has_to_be_filled_is_the_sum_of_the_geometry() {
    let leans = leaning(&[(600.0, 400.0)], 2, &[10.0], CutStyle::SquareFits);
    let wall = leans.walls[0].id;
    let p = plan(&leans);
    let set = p.walls[0].layers.as_deref().unwrap();
    let wedges: f64 = set.layers.iter().map(|l| l.wedge).sum();
    assert!(
        wedges > 0.0
            && (p.walls[0].filler.wedges - wedges).abs() < 1e-6
            && p.walls[0].filler.gaps.abs() < 1e-9
    );
    let bevelled = plan(&apply(&leans, &Edit::Wall(wall, WallEdit::Cut(CutStyle::Bevelled))).unwrap());
    assert!(bevelled.walls[0].filler.total().abs() < 1e-9);
    // A gap of 5 mm on one square edge 600 long, two layers of 25.4: 600 · 5 · 50.8 mm³.
    let mut gap = walls(&[(600.0, 400.0)], 2);
    let mut template = gap.walls[0].template.clone();
    template.edges[0].gap = mm(5.0);
    gap = apply(&gap, &Edit::Wall(wall, WallEdit::Trace(template.ticks, template.edges))).unwrap();
    let p = plan(&gap);
    assert!((p.walls[0].filler.gaps - 600.0 * 5.0 * 50.8).abs() < 1.0, "{:?}", p.walls[0].filler);
    let foam = purchases(&gap, &p).into_iter().find(|x| x.what.starts_with("Filling foam")).unwrap();
    // 0.15 litres, told to the tenth above.
    assert!(
        (foam.amount - 0.2).abs() < 1e-9
            && foam.because.starts_with("gaps 0.2 litres, wedges 0.0 litres; one can"),
        "{foam:?}"
    );
}
