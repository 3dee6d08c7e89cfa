//! Whether the sheets will do: for each material and thickness enough, what to buy, or short by how many.

use coldwright_geometry::{Length, signed_area};
use coldwright_nesting::Stuff;

use crate::document::Job;
use crate::sheets::LaidOut;

/// The answer for one material and thickness, the spare allowance for spoiled pieces counted in.
#[derive(Clone, Debug, PartialEq)]
pub struct Enough {
    /// The material.
    pub material: String,
    /// The thickness of the thinnest sheets that count as it.
    pub thickness: Length,
    /// Pieces cut from it.
    pub pieces: usize,
    /// Sheets owned that are used, and how many there are.
    pub owned: (u32, u32),
    /// Sheets to buy for the pieces as laid out: name, how many.
    pub buy: Vec<(String, u32)>,
    /// Sheets to buy beyond that, for spoiled pieces that the off-cuts do not cover: name, how many.
    pub spare: Vec<(String, u32)>,
    /// Sheets wanting that are not on the list of what can be bought, for the pieces: like which one, how many at least.
    pub short: Option<(String, u32)>,
    /// The same for the spare allowance.
    pub short_spare: Option<(String, u32)>,
}

impl Enough {
    /// Whether nothing is wanting that cannot be bought.
    pub fn is_enough(&self) -> bool {
        self.short.is_none()
    }

    /// "XPS 25.4 mm: enough, 2 of the 3 sheets owned" and so on, one sentence without full stop.
    pub fn words(&self, job: &Job) -> String {
        let foam = format!("{} {}", self.material, job.show(self.thickness));
        let list = |all: &[(String, u32)]| {
            all.iter().map(|(name, n)| format!("{n} of {name}")).collect::<Vec<_>>().join(", ")
        };
        let like = |(name, n): &(String, u32)| match n {
            1 => format!("1 more sheet like {name}"),
            n => format!("{n} more sheets like {name}"),
        };
        let owned = match self.owned {
            (0, _) | (_, 0) => String::new(),
            (1, 1) => ", with the one owned".to_owned(),
            (used, all) if used == all => format!(", with all {all} owned"),
            (used, all) => format!(", with {used} of the {all} owned"),
        };
        let main = match (&self.short, self.buy.is_empty()) {
            (Some(short), true) => format!("short by {}{owned}", like(short)),
            (Some(short), false) => {
                format!("short by {} beyond {} to buy{owned}", like(short), list(&self.buy))
            }
            (None, true) => match self.owned {
                (1, 1) => "enough, the one owned".to_owned(),
                (used, all) => format!("enough, {used} of the {all} owned"),
            },
            (None, false) => format!("buy {}{owned}", list(&self.buy)),
        };
        let per_cent = job.cutting.spare;
        let spare = match (&self.short_spare, self.spare.is_empty(), per_cent) {
            (_, _, 0) => String::new(),
            (Some(short), ..) => format!("; {per_cent} % for spoiled pieces would take {}", like(short)),
            (None, true, _) => format!("; off-cuts cover {per_cent} % for spoiled pieces"),
            (None, false, _) => format!("; {} more for {per_cent} % of spoiled pieces", list(&self.spare)),
        };
        format!("{foam}: {main}{spare}")
    }
}

/// The answers of a layout that still holds, in the order in which the job's stock first has each stuff.
pub fn enough(job: &Job, laid: &LaidOut) -> Vec<Enough> {
    if !laid.is_sound() {
        return Vec::new();
    }
    let request = &laid.asked.request;
    let mut stuffs: Vec<&Stuff> = Vec::new();
    for stock in &request.stock {
        if !stuffs.contains(&&stock.stuff) && request.pieces.iter().any(|p| p.stuff == stock.stuff) {
            stuffs.push(&stock.stuff);
        }
    }
    stuffs.into_iter().map(|stuff| of_stuff(job, laid, stuff)).collect()
}

fn of_stuff(job: &Job, laid: &LaidOut, stuff: &Stuff) -> Enough {
    let request = &laid.asked.request;
    let used = laid.used();
    let kinds = || {
        job.stock
            .iter()
            .zip(&request.stock)
            .zip(&used)
            .filter(|((_, s), _)| s.stuff == *stuff)
            .map(|((sheet, stock), used)| (sheet, signed_area(&stock.outline).abs(), *used))
    };
    let mine = || request.pieces.iter().enumerate().filter(|(_, p)| p.stuff == *stuff);
    let area = |i: usize| request.pieces.get(i).map_or(0.0, |p| signed_area(&p.outline).abs());
    let owned = kinds().filter_map(|(s, _, used)| Some((used, s.owned?)));
    let owned = owned.fold((0, 0), |(a, b), (used, all)| (a + used, b + all));
    let buy = kinds().filter(|(s, _, used)| s.owned.is_none() && *used > 0);
    let buy: Vec<(String, u32)> = buy.map(|(s, _, used)| (s.name.clone(), used)).collect();
    // What is wanting is counted in the largest kind, as far as its whole area could be used.
    let largest = kinds().max_by(|a, b| a.1.total_cmp(&b.1));
    let like = |wanted: f64| {
        let (sheet, whole, _) = largest?;
        (whole > 0.0 && wanted > 0.0)
            .then(|| (sheet.name.clone(), (wanted / whole - 1e-9).ceil().max(1.0) as u32))
    };
    let on_none: f64 =
        laid.layout.left.iter().filter(|l| mine().any(|(i, _)| i == l.piece)).map(|l| area(l.piece)).sum();
    let told = laid.short.iter().find(|(name, _)| kinds().any(|(s, ..)| s.name == *name)).cloned();
    let short = if on_none > 0.0 { told.or_else(|| like(on_none)) } else { None };

    let pieces: f64 = mine().map(|(i, _)| area(i)).sum();
    let wanted = pieces * f64::from(job.cutting.spare) / 100.0;
    let sheet_stuff = |sheet: usize| {
        laid.layout.sheets.get(sheet).and_then(|s| request.stock.get(s.stock)).map(|s| &s.stuff)
    };
    let offcuts: f64 =
        laid.offcuts.iter().filter(|o| sheet_stuff(o.sheet) == Some(stuff)).map(|o| o.rect.area()).sum();
    let unused: f64 =
        kinds().filter_map(|(s, whole, used)| Some(whole * f64::from(s.owned?.saturating_sub(used)))).sum();
    let wanting = (wanted - offcuts - unused).max(0.0);
    let on_sale = kinds().filter(|(s, ..)| s.owned.is_none()).max_by_key(|k| k.2);
    let (spare, short_spare) = match on_sale {
        _ if wanting <= 0.0 => (Vec::new(), None),
        Some((sheet, whole, _)) => {
            (vec![(sheet.name.clone(), (wanting / whole - 1e-9).ceil().max(1.0) as u32)], None)
        }
        None => (Vec::new(), like(wanting)),
    };
    Enough {
        material: stuff.material.clone(),
        thickness: Length::from_mm(stuff.thickness_mm()).unwrap_or_default(),
        pieces: mine().count(),
        owned,
        buy,
        spare,
        short,
        short_spare,
    }
}
