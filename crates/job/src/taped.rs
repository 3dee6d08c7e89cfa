//! Numbers measured without a photo, kept as they were written down, and the points that follow from them.

use coldwright_canvas::CanvasError;
use coldwright_canvas::measured::{
    Baseline, Corrections, FaceUp, Measure, MeasuredPoint, Style, Suspect, TapedLength, TickStick, TieSide,
    adjust, points_from_offsets, points_from_table, read_lengths, read_ties, stick_tips, tie,
};
use coldwright_geometry::{Length, Unit, Writing};
use kurbo::Point;
use nalgebra::DMatrix;

/// A shape measured without a photo: the notebook's page, not the points worked out from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Taped {
    /// How it was measured.
    pub way: TapedWay,
    /// The table, as typed or pasted: one line a point.
    pub table: String,
    /// Further distances between points, to check by: from, to, length.
    pub lengths: String,
    /// Unit of a number without one, as it was when the table was written.
    pub bare: Unit,
    /// Plain numbers, or feet-inches-eighths.
    pub writing: Writing,
    /// Standard uncertainty of one length, mm.
    pub sd: f64,
    /// What the rule's end lies beyond its zero mark: added to every length taped from a face.
    pub rule_end: Length,
}

/// How points were measured without a photo.
#[derive(Clone, Debug, PartialEq)]
pub enum TapedWay {
    /// Each point's distances across and up.
    AcrossAndUp,
    /// Offsets to one or both sides of a line.
    Offsets {
        /// How the line lies.
        line: OffsetLine,
        /// From the line to the face of the stick that the rule was held against, on either side.
        stick: Length,
    },
    /// Two tapes or more from known points.
    Ties {
        /// The known points: name, across, up, one line each.
        known: String,
        /// The side of the line from the first known point to the second on which the shape lies.
        side: TieSide,
    },
    /// A stick whose tip touches the surface while its heel and notch are marked on a board.
    TickStick {
        /// From heel to notch.
        notch: Length,
        /// From heel to tip, along the line from heel to notch.
        tip: Length,
        /// How far the tip lies to the left of that line.
        aside: Length,
    },
}

/// How a line that offsets are taken from lies.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum OffsetLine {
    /// Level; offsets upwards first.
    #[default]
    Level,
    /// A plumb line measured downwards; offsets to the right first.
    PlumbDown,
    /// A plumb line measured upwards; offsets to the left first.
    PlumbUp,
}

/// Points worked out from a table, with what is left over.
#[derive(Clone, Debug, PartialEq)]
pub struct TapedFit {
    /// Name and place of each point, mm, in the table's order round the shape.
    pub points: Vec<(String, Point)>,
    /// Their joint covariance, mm².
    pub cov_mm2: DMatrix<f64>,
    /// What each measurement that is checked by others misses by.
    pub residuals: Vec<Residual>,
    /// Measurements beyond those needed.
    pub spare: usize,
    /// The one to measure again first, in words.
    pub suspect: Option<String>,
}

/// What one measurement misses by.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// Which, in words: "A to 3".
    pub what: String,
    /// Measured minus what all together give, mm.
    pub mm: f64,
    /// In standard deviations, where others check it.
    pub sigmas: Option<f64>,
}

impl Default for Taped {
    fn default() -> Self {
        Taped {
            way: TapedWay::AcrossAndUp,
            table: String::new(),
            lengths: String::new(),
            bare: Unit::Mm,
            writing: Writing::Plain,
            // A tape read to the millimetre at both ends. Common practice, no source.
            sd: 1.0,
            rule_end: Length::default(),
        }
    }
}

/// One table may be this long, bytes.
pub(crate) const LONGEST_TABLE: usize = 200_000;
/// A table may hold so many points: each is adjusted with all others.
const MOST_POINTS: usize = 500;

impl Taped {
    /// Works the points out. A table without a line gives none.
    ///
    /// # Errors
    /// What cannot be read, with its line and cell; ties that do not meet or leave a point loose.
    pub fn fit(&self) -> Result<TapedFit, CanvasError> {
        let style = Style { bare: self.bare, writing: self.writing, sd_mm: self.sd };
        let lengths = if empty(&self.lengths) { Vec::new() } else { read_lengths(&self.lengths, &style)? };
        let lengths: Vec<Measure> = lengths.into_iter().map(|m| self.corrected(m)).collect();
        if empty(&self.table) {
            return Ok(TapedFit::nothing());
        }
        match &self.way {
            TapedWay::Ties { known, side } => self.tied(known, *side, &style, lengths),
            TapedWay::AcrossAndUp => {
                joined(points_from_table(&self.table, &style)?, Vec::new(), &lengths, &style)
            }
            TapedWay::Offsets { line, stick } => {
                let baseline = match line {
                    OffsetLine::Level => Baseline::LEVEL,
                    OffsetLine::PlumbDown => Baseline::PLUMB_DOWN,
                    OffsetLine::PlumbUp => Baseline::PLUMB_UP,
                };
                let corrections = Corrections { rule_end_mm: self.rule_end.mm(), stick_mm: stick.mm() };
                let mut points = points_from_offsets(&self.table, baseline, corrections, &style)?;
                told_apart(&mut points);
                joined(points, Vec::new(), &lengths, &style)
            }
            TapedWay::TickStick { notch, tip, aside } => {
                let stick = TickStick { notch_mm: notch.mm(), tip_mm: tip.mm(), aside_mm: aside.mm() };
                let tips = stick_tips(&self.table, &stick, &style)?;
                let own = tips
                    .iter()
                    .map(|(p, face, apart)| Residual {
                        what: match face {
                            FaceUp::Marked => format!("heel to notch at {}", p.name),
                            FaceUp::Other => format!("heel to notch at {}, stick over", p.name),
                        },
                        mm: *apart,
                        sigmas: sigmas(*apart, style.sd_mm * std::f64::consts::SQRT_2),
                    })
                    .collect();
                joined(tips.into_iter().map(|t| t.0).collect(), own, &lengths, &style)
            }
        }
    }

    fn corrected(&self, m: Measure) -> Measure {
        Measure { length_mm: m.length_mm + self.rule_end.mm(), ..m }
    }

    fn tied(
        &self,
        known: &str,
        side: TieSide,
        style: &Style,
        lengths: Vec<Measure>,
    ) -> Result<TapedFit, CanvasError> {
        let known = points_from_table(known, style)?;
        let names: Vec<&str> = known.iter().map(|k| k.name.as_str()).collect();
        let ties = read_ties(&self.table, &names, style)?;
        let mut all: Vec<Measure> = ties.into_iter().map(|m| self.corrected(m)).collect();
        all.extend(lengths);
        let fixed: Vec<(&str, Point)> = known.iter().map(|k| (k.name.as_str(), k.at)).collect();
        let network = adjust(&fixed, side, &all)?;
        if network.points.len() > MOST_POINTS {
            return Err(too_many(network.points.len()));
        }
        let what = |i: usize| all.get(i).map_or_else(String::new, |m| format!("{} to {}", m.from, m.to));
        let residuals = network
            .misfits
            .iter()
            .map(|m| Residual { what: what(m.measure), mm: m.misfit_mm, sigmas: m.sigmas })
            .collect();
        let suspect = network.suspicious.map(|i| format!("the length from {}", what(i)));
        let points = network.points.into_iter().map(|p| (p.name, p.at)).collect();
        Ok(TapedFit { points, cov_mm2: network.cov_mm2, residuals, spare: network.redundancy, suspect })
    }
}

impl TapedFit {
    fn nothing() -> TapedFit {
        TapedFit {
            points: Vec::new(),
            cov_mm2: DMatrix::zeros(0, 0),
            residuals: Vec::new(),
            spare: 0,
            suspect: None,
        }
    }

    /// Which point has that name.
    pub fn index(&self, name: &str) -> Option<usize> {
        self.points.iter().position(|p| p.0 == name)
    }

    /// The largest miss of a measurement that others check, mm.
    pub fn largest(&self) -> Option<&Residual> {
        self.residuals.iter().filter(|r| r.sigmas.is_some()).max_by(|a, b| a.mm.abs().total_cmp(&b.mm.abs()))
    }
}

/// Points placed one by one, checked by points measured twice and by distances between them.
fn joined(
    read: Vec<MeasuredPoint>,
    mut residuals: Vec<Residual>,
    lengths: &[Measure],
    style: &Style,
) -> Result<TapedFit, CanvasError> {
    let mut spare = residuals.len();
    // A point measured again, as the first one at the end to close the round, counts as their mean.
    let mut points: Vec<(MeasuredPoint, f64)> = Vec::with_capacity(read.len());
    for (i, mut p) in read.into_iter().enumerate() {
        if p.name.is_empty() {
            p.name = (i + 1).to_string();
        }
        if let Some((old, times)) = points.iter_mut().find(|o| o.0.name == p.name) {
            let off = p.at - old.at;
            let sd = (old.spread.xx / *times + p.spread.xx).sqrt();
            residuals.push(Residual {
                what: format!("{} measured again", p.name),
                mm: off.hypot(),
                sigmas: sigmas(off.x.abs().max(off.y.abs()), sd),
            });
            spare += 2;
            old.at += off / (*times + 1.0);
            *times += 1.0;
        } else {
            points.push((p, 1.0));
        }
    }
    if points.len() > MOST_POINTS {
        return Err(too_many(points.len()));
    }
    let at: Vec<Point> = points.iter().map(|p| p.0.at).collect();
    let mut cov = DMatrix::zeros(2 * at.len(), 2 * at.len());
    for (i, (p, times)) in points.iter().enumerate() {
        let s = p.spread;
        for (r, c, v) in [(0, 0, s.xx), (0, 1, s.xy), (1, 0, s.xy), (1, 1, s.yy)] {
            cov[(2 * i + r, 2 * i + c)] = v / times;
        }
    }
    let index = |name: &str| {
        let found = points.iter().position(|p| p.0.name == name);
        found.ok_or_else(|| CanvasError::UnknownPoint { name: name.to_owned() })
    };
    let mut tapes = Vec::with_capacity(lengths.len());
    for m in lengths {
        let (from, to) = (index(&m.from)?, index(&m.to)?);
        tapes.push(TapedLength { from, to, length_mm: m.length_mm, sd_mm: style.sd_mm, counts: true });
    }
    let tied = tie(&at, &cov, &tapes)?;
    let name = |i: usize| points.get(i).map_or("", |p| p.0.name.as_str());
    let between = |l: &TapedLength| format!("{} to {}", name(l.from), name(l.to));
    for (l, c) in tapes.iter().zip(&tied.checks) {
        residuals.push(Residual { what: between(l), mm: c.misfit_mm, sigmas: Some(c.sigmas.abs()) });
    }
    let twice = residuals
        .iter()
        .filter(|r| r.sigmas.is_some_and(|s| s > SUSPICIOUS))
        .max_by(|a, b| a.sigmas.unwrap_or(0.0).total_cmp(&b.sigmas.unwrap_or(0.0)));
    let suspect = match tied.suspect {
        Some(Suspect::Length(i)) => tapes.get(i).map(|l| format!("the length from {}", between(l))),
        Some(Suspect::Point(i)) => Some(format!("point {}", name(i))),
        None => twice.map(|r| r.what.clone()),
    };
    Ok(TapedFit {
        points: points.iter().zip(&tied.points).map(|(p, at)| (p.0.name.clone(), *at)).collect(),
        cov_mm2: tied.cov_mm2,
        residuals,
        spare: spare + tapes.len(),
        suspect,
    })
}

/// Two offsets on one side of a station are two points: the second is called "400 b".
fn told_apart(points: &mut [MeasuredPoint]) {
    for i in 1..points.len() {
        let (before, rest) = points.split_at_mut(i);
        let Some(p) = rest.first_mut() else { continue };
        let plain = p.name.clone();
        let mut letters = 'b'..='z';
        while before.iter().any(|q| q.name == p.name) {
            let Some(letter) = letters.next() else { break };
            p.name = format!("{plain} {letter}");
        }
    }
}

/// Beyond this many standard deviations a measurement is suspected: 1 of 1000 good ones.
const SUSPICIOUS: f64 = 3.29;

fn sigmas(off: f64, sd: f64) -> Option<f64> {
    (sd > 0.0).then(|| (off / sd).abs())
}

fn empty(text: &str) -> bool {
    text.lines().all(|l| l.trim().is_empty() || l.trim_start().starts_with('#'))
}

fn too_many(points: usize) -> CanvasError {
    CanvasError::BadNumber { what: "number of points", rule: "at most 500", value: points as f64 }
}
