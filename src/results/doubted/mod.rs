//! The first picks while inputs lie anywhere within their tolerances: how often each holds, how often it is the best,
//! what it fails by, and which input decides.

mod text;

use super::csv::Sheet;
use super::json::Json;
use super::measure::Measure;
use super::measure::money;
use super::stamp::{self, Input as File};
use crate::candidate::{Bill, Candidate, Exclusion, exclusion, name};
use crate::catalog::Kind;
use crate::numerics::{draws, rank_correlation};
use crate::scoring::{Assessment, Check, HydraulicHalf, Score, binding};
use crate::search::{Entry, Grouping};
use crate::simulation::Conditions;
use crate::study::{Doubt, Input, Study, TOLERANCES};
use crate::units::fixed;
use std::collections::BTreeMap;
use std::io;

/// Something that may be off, with a draw for each sample.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Which input.
    pub input: Input,
    /// The row that it is of, where it is of one.
    pub part: Option<(Kind, String)>,
    /// How far it is off in each sample: K, or a share of its value.
    pub off: Vec<f64>,
}

impl Source {
    /// In words: "flow", "price of gear-12-b".
    pub fn words(&self) -> String {
        let key = TOLERANCES.iter().find(|line| line.input == self.input).map_or("", |line| line.key);
        let key = key.replace('_', " ");
        self.part.as_ref().map_or_else(|| key.clone(), |(_, id)| format!("{key} of {id}"))
    }
}

/// What may be off of some picks. Each source has numbers of its own, so that none depends on which others there are.
pub fn sources(picks: &[Entry], study: &Study, doubt: &Doubt, series: u64, samples: usize) -> Vec<Source> {
    let mut all: Vec<(Input, Option<(Kind, String)>)> =
        [Input::AirTemperature, Input::Flow, Input::Pressure, Input::Idle]
            .map(|input| (input, None))
            .to_vec();
    for pick in picks {
        for (kind, id) in parts(&pick.candidate, study) {
            let inputs: &[Input] = match kind {
                Kind::Pumps => &[Input::VolumetricEfficiency, Input::OverallEfficiency, Input::Price],
                Kind::Coolers => &[Input::CoolerHeat, Input::Price],
                _ => &[Input::Price],
            };
            all.extend(inputs.iter().map(|input| (*input, Some((kind, id.clone())))));
        }
    }
    all.sort();
    all.dedup();
    all.into_iter()
        .filter(|(input, _)| doubt.of(*input) > 0.0)
        .map(|(input, part)| {
            let mut source = Source { input, part, off: Vec::new() };
            let within = doubt.of(input);
            source.off = draws(&source.words(), series, samples)
                .into_iter()
                .map(|x| within * (2.0 * x - 1.0))
                .collect();
            source
        })
        .collect()
}

/// The rows of the catalogs that a combination is made of.
fn parts(candidate: &Candidate, study: &Study) -> Vec<(Kind, String)> {
    let items = Bill::of(candidate, study).items;
    items.into_iter().filter_map(|item| Some((item.kind()?, item.id))).collect()
}

/// What became of a pick in a sample.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// Its score; `None` where a rule excludes it.
    score: Option<Score>,
    /// Whether its oil gets above the limit.
    too_hot: bool,
    /// What it fails by, or what binds.
    binds: Option<Reason>,
    /// Margins in the order of [`Check::ALL`]; NaN where there is none.
    margins: Vec<f64>,
}

/// What a pick fails by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Reason {
    Check(Check),
    Rule(Exclusion),
}

impl Reason {
    fn words(self) -> String {
        match self {
            Self::Check(check) => check.words().to_owned(),
            Self::Rule(rule) => format!("excluded: {}", rule.words()),
        }
    }
}

impl Trial {
    fn adequate(&self) -> bool {
        self.score.is_some_and(|score| score.adequate)
    }
}

/// Judges picks under the conditions of one sample.
pub fn trials(picks: &[Entry], conditions: &Conditions<'_>) -> Vec<Trial> {
    let mut halves = BTreeMap::new();
    picks
        .iter()
        .map(|pick| {
            let candidate = &pick.candidate;
            if let Some(rule) = exclusion(candidate, conditions.study) {
                let margins = vec![f64::NAN; Check::ALL.len()];
                return Trial { score: None, too_hot: false, binds: Some(Reason::Rule(rule)), margins };
            }
            let half = halves
                .entry(&candidate.hydraulics)
                .or_insert_with(|| HydraulicHalf::new(candidate.hydraulics.clone(), conditions));
            let judged = Assessment::with(half.clone(), None, candidate.thermals, conditions);
            let margin = |check: &Check| {
                judged.checks.iter().find(|c| c.check == *check).and_then(|c| c.margin).unwrap_or(f64::NAN)
            };
            Trial {
                score: Some(judged.score),
                too_hot: judged.checks.iter().any(|c| c.check == Check::PeakTemperature && !c.met),
                binds: binding(&judged.checks).map(|check| Reason::Check(check.check)),
                margins: Check::ALL.iter().map(margin).collect(),
            }
        })
        .collect()
}

/// A pick over all samples.
#[derive(Debug, Clone, PartialEq)]
struct Verdict {
    name: String,
    cost: f64,
    holds: usize,
    best: usize,
    /// In how many samples its oil gets above the limit.
    too_hot: usize,
    /// What it fails by most, and how often.
    fails: Option<(Reason, usize)>,
    /// What binds most often where it never fails.
    nearest: Option<Reason>,
    /// The input whose ranks go most with those of that margin, and the correlation.
    decides: Option<(String, f64)>,
}

/// The first picks under doubt.
#[derive(Debug)]
pub struct Doubted<'a> {
    study: &'a Study,
    doubt: Doubt,
    series: u64,
    best_of: Option<Grouping>,
    samples: usize,
    verdicts: Vec<Verdict>,
    sources: Vec<String>,
}

impl<'a> Doubted<'a> {
    /// Sums up trials: for each sample those of all picks.
    pub fn new(
        study: &'a Study,
        (doubt, series): (Doubt, u64),
        best_of: Option<Grouping>,
        picks: &[Entry],
        sources: &[Source],
        trials: &[Vec<Trial>],
    ) -> Self {
        let mut best = vec![0; picks.len()];
        for sample in trials {
            let adequate = sample.iter().zip(picks).enumerate().filter(|(_, (trial, _))| trial.adequate());
            let first = adequate
                .filter_map(|(i, (trial, pick))| Some((i, trial.score?, &pick.candidate)))
                .min_by(|(_, one, a), (_, other, b)| one.order(other).then_with(|| a.cmp(b)));
            if let Some((i, ..)) = first {
                best[i] += 1;
            }
        }
        let verdicts = picks.iter().enumerate().map(|(i, pick)| {
            let parts = parts(&pick.candidate, study);
            let own: Vec<&Source> =
                sources.iter().filter(|s| s.part.as_ref().is_none_or(|part| parts.contains(part))).collect();
            let mine: Vec<&Trial> = trials.iter().map(|sample| &sample[i]).collect();
            let (holds, fails): (Vec<&Trial>, Vec<&Trial>) = mine.iter().partition(|trial| trial.adequate());
            let failed = most(&fails);
            let nearest = if failed.is_some() { None } else { most(&holds).map(|(reason, _)| reason) };
            Verdict {
                name: name(&pick.candidate, study),
                cost: money(pick.score.cost),
                holds: holds.len(),
                best: best[i],
                too_hot: mine.iter().filter(|trial| trial.too_hot).count(),
                fails: failed,
                nearest,
                decides: failed.map(|(reason, _)| reason).or(nearest).and_then(|r| decides(r, &mine, &own)),
            }
        });
        Self {
            study,
            doubt,
            series,
            best_of,
            samples: trials.len(),
            verdicts: verdicts.collect(),
            sources: sources.iter().map(Source::words).collect(),
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "counts of samples are small")]
    fn share(&self, count: usize) -> f64 {
        count as f64 / self.samples as f64
    }

    fn percent(&self, count: usize) -> String {
        fixed(100.0 * self.share(count), 1)
    }

    /// Place of the cheapest, and of the one that holds most often; the earlier of equals.
    fn named(&self) -> (usize, usize) {
        let places = || 0..self.verdicts.len();
        let cheapest = places().min_by(|a, b| self.verdicts[*a].cost.total_cmp(&self.verdicts[*b].cost));
        let firmest = places().min_by_key(|i| std::cmp::Reverse(self.verdicts[*i].holds));
        (cheapest.unwrap_or(0), firmest.unwrap_or(0))
    }

    /// One line for each pick.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let mut sheet = Sheet::new();
        let headings = [
            "rank",
            "cost",
            "holds [%]",
            "best [%]",
            "too hot [%]",
            "fails most by",
            "fails by that [%]",
            "nearest where it never fails",
            "input that decides",
            "rank correlation",
            "name",
        ];
        sheet.line(headings.into_iter().map(str::to_owned))?;
        for (verdict, rank) in self.verdicts.iter().zip(1..) {
            let number = |measure: Measure, value: f64| measure.number(value, self.study.system);
            let of = |text: Option<String>| text.unwrap_or_default();
            let percent = |count: usize| number(Measure::Percent, self.share(count));
            let cells = [
                rank.to_string(),
                number(Measure::Money, verdict.cost),
                percent(verdict.holds),
                percent(verdict.best),
                percent(verdict.too_hot),
                of(verdict.fails.map(|(reason, _)| reason.words())),
                of(verdict.fails.map(|(_, count)| percent(count))),
                of(verdict.nearest.map(Reason::words)),
                of(verdict.decides.as_ref().map(|(words, _)| words.clone())),
                of(verdict.decides.as_ref().map(|(_, r)| fixed(*r, 4))),
                verdict.name.clone(),
            ];
            sheet.line(cells.into_iter())?;
        }
        sheet.bytes()
    }

    /// Everything as JSON.
    pub fn json(&self, files: &[File]) -> Json {
        let text = |text: Option<String>| text.map_or(Json::Null, Json::Text);
        let picks = self.verdicts.iter().map(|verdict| {
            Json::object([
                ("name", verdict.name.as_str().into()),
                ("cost", verdict.cost.into()),
                ("holds", self.share(verdict.holds).into()),
                ("best", self.share(verdict.best).into()),
                ("too_hot", self.share(verdict.too_hot).into()),
                ("fails_most_by", text(verdict.fails.map(|(reason, _)| reason.words()))),
                ("fails_by_that", verdict.fails.map_or(Json::Null, |(_, count)| self.share(count).into())),
                ("nearest", text(verdict.nearest.map(Reason::words))),
                ("decides", text(verdict.decides.as_ref().map(|(words, _)| words.clone()))),
                ("rank_correlation", verdict.decides.as_ref().map_or(Json::Null, |(_, r)| (*r).into())),
            ])
        });
        let (cheapest, firmest) = self.named();
        let mut entries: Vec<(&str, Json)> = vec![("kind", "doubted".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.study.title.as_str().into()),
            ("samples", self.samples.into()),
            ("best_of", self.best_of.map_or(Json::Null, |by| by.words().into())),
            ("series", Json::text(self.series.to_string())),
            (
                "tolerances",
                Json::object(TOLERANCES.iter().map(|line| (line.key, self.doubt.of(line.input).into()))),
            ),
            ("inputs_drawn", Json::list(self.sources.iter().map(String::as_str))),
            ("picks", Json::list(picks)),
            ("cheapest_rank", (cheapest + 1).into()),
            ("holds_most_often_rank", (firmest + 1).into()),
        ]);
        Json::object(entries)
    }
}

/// What binds most often in some trials, and how often; the first of equals.
fn most(trials: &[&Trial]) -> Option<(Reason, usize)> {
    let mut counts: BTreeMap<Reason, usize> = BTreeMap::new();
    for reason in trials.iter().filter_map(|trial| trial.binds) {
        *counts.entry(reason).or_default() += 1;
    }
    counts.into_iter().min_by_key(|(reason, count)| (std::cmp::Reverse(*count), *reason))
}

/// The input whose ranks go most with those of a margin (of a rule: with being excluded), and the correlation.
fn decides(reason: Reason, trials: &[&Trial], sources: &[&Source]) -> Option<(String, f64)> {
    let margin = |trial: &Trial| match reason {
        Reason::Rule(_) => f64::from(u8::from(trial.score.is_some())),
        Reason::Check(check) => {
            Check::ALL.iter().position(|c| *c == check).map_or(f64::NAN, |place| trial.margins[place])
        }
    };
    let margins: Vec<f64> = trials.iter().map(|trial| margin(trial)).collect();
    let known = |i: &usize| !margins[*i].is_nan();
    let places: Vec<usize> = (0..margins.len()).filter(known).collect();
    let of = |values: &[f64]| places.iter().map(|i| values[*i]).collect::<Vec<f64>>();
    let figures = of(&margins);
    sources
        .iter()
        .filter_map(|source| Some((source.words(), rank_correlation(&of(&source.off), &figures)?)))
        .max_by(|(a, one), (b, other)| one.abs().total_cmp(&other.abs()).then_with(|| b.cmp(a)))
}
