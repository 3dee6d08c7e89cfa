//! Plans of the sheets in the shop book: the answer for each foam, straight cuts, the order at the saw, small pieces by number.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::collections::BTreeSet;

use coldwright_job::{CUTTING_RULE, CutStyle, Job, LayerSeams, Seam, SeamStyle, Units, WallId, plan};
use coldwright_papers::{Kind, MakeOptions, PaperFile, make};
use common::job::four_sided;
use common::parts::{in_parts, laid_out, mm};

fn made(job: &Job, kinds: &[Kind]) -> Vec<PaperFile> {
    make(job, &plan(job), &MakeOptions { kinds: kinds.to_vec(), ..MakeOptions::default() }).unwrap()
}

/// The words of the shop book, line by line; `None` where the reader is not installed.
fn book(name: &str, job: &Job) -> Option<String> {
    if !common::has("pdftotext", "-v") {
        return None;
    }
    let files = made(job, &[Kind::Pdf]);
    let bytes = &files.iter().find(|f| f.name == "shop-book.pdf").unwrap().bytes;
    let folder = common::Folder::new(name);
    let path = folder.write("shop-book.pdf", bytes);
    let text = common::run("pdftotext", &["-layout", path.to_str().unwrap(), "-"]);
    Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// A panel in so many slivers of 12 mm and a rest, four layers thick.
fn crowded(slivers: usize) -> Job {
    let seam = |k: usize| {
        let x = 14.0 * (k + 1) as f64;
        Seam { from: (x, -50.0).into(), to: (x, 450.0).into(), style: SeamStyle::Butt }
    };
    let seams = (1..=3)
        .map(|layer| LayerSeams { wall: WallId(1), layer, seams: (0..slivers).map(seam).collect() })
        .collect();
    laid_out(&Job { seams, ..four_sided(900.0, 60.0, 0.0, CutStyle::SquareFits) })
}

#[test]
fn pieces_too_small_for_their_mark_are_numbered_each_once() {
    let job = crowded(14);
    let Some(book) = book("crowded", &job) else { return };
    let listed: Vec<&str> = book
        .match_indices("Numbered for want of room: ")
        .map(|(at, words)| &book[at + words.len()..])
        .collect();
    assert!(!listed.is_empty(), "{book}");
    let marks: BTreeSet<String> = plan(&job).pieces.iter().map(|p| p.mark.clone()).collect();
    let mut named = BTreeSet::new();
    for list in listed {
        let list = list.split_once('.').unwrap().0;
        for (i, one) in list.split(", ").enumerate() {
            let (number, mark) = one.split_once(' ').unwrap();
            assert_eq!(number.parse::<usize>().unwrap(), i + 1, "{list}");
            assert!(marks.contains(mark), "{mark} in {list}");
            assert!(named.insert(mark.to_owned()), "{mark} is numbered twice");
        }
    }
    // 12 mm at the scale of such a plan are a millimetre or less: no mark of ten letters stands in there.
    assert!(named.len() >= 35, "{} are numbered", named.len());
}

#[test]
fn a_plan_tells_the_answer_the_straight_cuts_and_the_order_at_the_saw() {
    let mut job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    job.cutting.throat = Some(mm(700.0));
    job.cutting.kerf = mm(3.0);
    let Some(book) = book("cuts", &job) else { return };
    let n = plan(&job).laid.unwrap().layout.sheets.len();
    assert!(book.contains(&format!("buy {n} of Full sheet")), "{book}");
    assert!(book.contains(CUTTING_RULE), "{book}");
    assert_eq!(book.matches("Saw in this order: Panel").count(), n, "{book}");
    assert!(book.contains("First saw right across, each time the part in hand: cut 1 lies"), "{book}");
    let without = Job { cutting: coldwright_job::Cutting { throat: None, ..job.cutting }, ..job };
    assert!(!self::book("whole", &without).unwrap().contains("First saw right across"));
}

#[test]
fn what_to_buy_is_in_the_units_of_the_job() {
    let job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    let buy = |job: &Job| {
        let files = made(job, &[Kind::Csv]);
        let file = files.iter().find(|f| f.name == "buy.csv").unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    let (metric, inches) = (buy(&job), buy(&Job { units: Units::Inches, ..job.clone() }));
    assert!(metric.contains(",m²,") && metric.contains(",m,") && !metric.contains(",ft,"), "{metric}");
    assert!(inches.contains(",sq ft,") && inches.contains(",ft,") && !inches.contains(",m,"), "{inches}");
    assert!(inches.contains(",pieces,"));
}
