//! Enough, or short by how much: the answer before the first cut, per material and thickness.

use crate::request::{Request, Stuff};
use crate::run::Job;
use crate::search::problem::Arrangement;

/// So many sheets of a kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// Index of the stock kind in the request.
    pub stock: usize,
    /// How many sheets.
    pub sheets: u32,
}

/// Whether the sheets owned are enough.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// Everything lies on sheets that are owned.
    Enough,
    /// These sheets must be bought, and are on the list of what can be bought.
    Buy(Vec<Count>),
    /// Stock runs out: besides what `buy` says, so many more sheets like `more` are needed, from nowhere on the list.
    ShortBy {
        /// Sheets to buy of what is on the list.
        buy: Vec<Count>,
        /// Sheets to be got beyond the list.
        more: Vec<Count>,
    },
}

/// The answer for one material and thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Which.
    pub stuff: Stuff,
    /// Copies asked for.
    pub pieces: u32,
    /// Copies that lie on sheets there are or can be bought.
    pub placed: u32,
    /// Area of the pieces, mm².
    pub piece_area: f64,
    /// Area of the sheets used, owned and bought, off-cuts as they are, mm².
    pub sheet_area: f64,
    /// Owned sheets used.
    pub owned: Vec<Count>,
    /// Enough, or what is wanting.
    pub verdict: Verdict,
}

/// The answers of all jobs.
pub(crate) fn answers(request: &Request, jobs: &[Job], bests: &[Arrangement]) -> Vec<Answer> {
    let one = |(job, best): (&Job, &Arrangement)| {
        let p = &job.problem;
        let tally = |wanted: &dyn Fn(&crate::search::problem::Ground) -> bool| {
            let mut out: Vec<Count> = Vec::new();
            for b in &best.boards {
                let g = &p.grounds[b.ground];
                if wanted(g) {
                    match out.iter_mut().find(|c| c.stock == g.stock) {
                        Some(c) => c.sheets += 1,
                        None => out.push(Count { stock: g.stock, sheets: 1 }),
                    }
                }
            }
            out.sort_by_key(|c| c.stock);
            out
        };
        let buy = tally(&|g| !g.missing && g.cost > 0.0);
        let more = tally(&|g| g.missing);
        let owned = tally(&|g| !g.missing && g.cost <= 0.0);
        let missing = |board: usize| best.boards.get(board).is_none_or(|b| p.grounds[b.ground].missing);
        let lost = best.poses.iter().filter(|q| missing(q.board)).count() as u32;
        let all = (p.items.len() + p.held.len()) as u32;
        let indices = p.items.iter().chain(p.held.iter().map(|h| &h.item)).map(|i| i.piece);
        let piece_area =
            indices.clone().map(|k| crate::ring::signed_area(&request.pieces[k].outline).abs()).sum();
        let there = best.boards.iter().map(|b| &p.grounds[b.ground]).filter(|g| !g.missing);
        let stuff = indices.clone().next().map(|k| request.pieces[k].stuff.clone()).unwrap_or_default();
        let verdict = match (buy.is_empty(), more.is_empty()) {
            (true, true) => Verdict::Enough,
            (false, true) => Verdict::Buy(buy),
            (_, false) => Verdict::ShortBy { buy, more },
        };
        let sheet_area = there.map(|g| g.usable).sum();
        Answer { stuff, pieces: all, placed: all - lost, piece_area, sheet_area, owned, verdict }
    };
    jobs.iter().zip(bests).map(one).collect()
}

impl Request {
    /// The request with spare copies against spoiling: for each material and thickness `share` of the copies (0.05: one
    /// in twenty), rounded up, one more of each of the pieces likeliest to be spoiled, largest area first. Copies from a
    /// piece's former quantity on are the spares.
    #[must_use]
    pub fn with_spares(&self, share: f64) -> Request {
        let mut out = self.clone();
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
        let mut stuffs: Vec<&Stuff> = self.pieces.iter().map(|p| &p.stuff).collect();
        stuffs.sort();
        stuffs.dedup();
        for stuff in stuffs {
            let mut those: Vec<usize> = (0..self.pieces.len())
                .filter(|k| self.pieces[*k].stuff == *stuff && self.pieces[*k].quantity > 0)
                .collect();
            let copies: f64 = those.iter().map(|k| f64::from(self.pieces[*k].quantity)).sum();
            let area = |k: usize| crate::ring::signed_area(&self.pieces[k].outline).abs();
            those.sort_by(|a, b| area(*b).total_cmp(&area(*a)).then(a.cmp(b)));
            let spares = (copies * share).ceil() as usize;
            for k in those.iter().cycle().take(if those.is_empty() { 0 } else { spares }) {
                out.pieces[*k].quantity += 1;
            }
        }
        out
    }
}
