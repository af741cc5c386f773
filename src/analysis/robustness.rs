//! The first picks while inputs lie anywhere within their tolerances: how often each is adequate, how often it is the
//! best, what it fails by, and which input goes most with that.

use crate::assessment::{Assessment, CHECKS, Check, CheckSpec, HydraulicResult, Score, binding};
use crate::candidate::{Bill, Candidate, Exclusion, exclusion, name};
use crate::catalog::PartKind;
use crate::input::Diagnostics;
use crate::numerics::{draws, rank_correlation};
use crate::search::{Entry, Grouping, Progress};
use crate::simulation::{PreparedCase, Timed};
use crate::study::{Input, Study, StudyParameter, StudySource, TOLERANCES, Tolerances, WrittenValue};
use crate::units::{Money, Quantity, Unit};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// An input that deviates, of one row of the catalogs or of the study.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct DeviatingInput {
    /// Which input.
    pub input: Input,
    /// The row that it is of, where it is of one.
    pub part: Option<(PartKind, String)>,
}

/// An input that deviates, with a draw for each sample.
#[derive(Debug, Clone, PartialEq)]
pub struct UncertainInput {
    /// Which one.
    pub of: DeviatingInput,
    /// How far it is off in each sample: K, or a share of its value.
    pub deviation: Vec<f64>,
}

impl DeviatingInput {
    /// Returns its key: "flow", "price".
    pub fn key(&self) -> &'static str {
        TOLERANCES.iter().find(|line| line.input == self.input).map_or("", |line| line.key)
    }

    /// In words: "flow", "price of gear-12-b".
    pub fn words(&self) -> String {
        let key = self.key().replace('_', " ");
        self.part.as_ref().map_or_else(|| key.clone(), |(_, id)| [key.as_str(), " of ", id].concat())
    }
}

/// What may be off of some picks. Each source has numbers of its own, so that none depends on which others there are.
fn sources(
    picks: &[Entry],
    study: &Study,
    tolerances: &Tolerances,
    series: u64,
    samples: usize,
) -> Vec<UncertainInput> {
    let mut all: Vec<(Input, Option<(PartKind, String)>)> =
        [Input::AirTemperature, Input::Flow, Input::Pressure, Input::Idle]
            .map(|input| (input, None))
            .to_vec();
    for pick in picks {
        for (kind, id) in parts(&pick.candidate, study) {
            let inputs: &[Input] = match kind {
                PartKind::Pumps => &[Input::VolumetricEfficiency, Input::OverallEfficiency, Input::Price],
                PartKind::Coolers => &[Input::CoolerHeat, Input::Price],
                _ => &[Input::Price],
            };
            all.extend(inputs.iter().map(|input| (*input, Some((kind, id.clone())))));
        }
    }
    all.sort();
    all.dedup();
    all.into_iter()
        .filter(|(input, _)| tolerances.of(*input) > 0.0)
        .map(|(input, part)| {
            let of = DeviatingInput { input, part };
            let within = tolerances.of(input);
            let drawn = draws(&of.words(), series, samples).into_iter();
            UncertainInput { deviation: drawn.map(|x| within * (2.0 * x - 1.0)).collect(), of }
        })
        .collect()
}

/// The rows of the catalogs that a combination is made of.
fn parts(candidate: &Candidate, study: &Study) -> Vec<(PartKind, String)> {
    let items = Bill::of(candidate, study).items;
    items.into_iter().filter_map(|item| Some((item.kind()?, item.id))).collect()
}

/// What became of a pick in a sample.
#[derive(Debug, Clone, PartialEq)]
pub struct SampleResult {
    /// Score; `None` where a rule excludes the pick.
    score: Option<Score>,
    /// Whether its oil gets above the limit.
    too_hot: bool,
    /// What it fails by, or what binds.
    binds: Option<FailureReason>,
    /// Margins in the order of [`CHECKS`]; NaN where there is none.
    margins: Vec<f64>,
}

/// What a pick fails by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FailureReason {
    /// A check.
    Check(Check),
    /// A rule that excludes it.
    Rule(Exclusion),
}

impl SampleResult {
    fn adequate(&self) -> bool {
        self.score.is_some_and(|score| score.adequate)
    }
}

/// Judges picks in the case of one sample.
fn sample_results(picks: &[Entry], case: &PreparedCase<'_>) -> Vec<SampleResult> {
    let mut halves = BTreeMap::new();
    picks
        .iter()
        .map(|pick| {
            let candidate = &pick.candidate;
            if let Some(rule) = exclusion(candidate, case.study) {
                let margins = vec![f64::NAN; CHECKS.len()];
                return SampleResult {
                    score: None,
                    too_hot: false,
                    binds: Some(FailureReason::Rule(rule)),
                    margins,
                };
            }
            let hydraulic = halves
                .entry(&candidate.hydraulics)
                .or_insert_with(|| HydraulicResult::new(candidate.hydraulics.clone(), case));
            let judged = Assessment::with(hydraulic.clone(), Timed::NotRun, candidate.thermals, case);
            let margin =
                |spec: &CheckSpec| judged.check(spec.check).and_then(|c| c.margin).unwrap_or(f64::NAN);
            SampleResult {
                score: Some(judged.score),
                too_hot: judged.checks.iter().any(|c| c.check == Check::PeakTemperature && !c.met),
                binds: binding(&judged.checks).map(|check| FailureReason::Check(check.check)),
                margins: CHECKS.iter().map(margin).collect(),
            }
        })
        .collect()
}

/// What of a sample cannot be.
#[derive(Debug)]
pub enum SampleError {
    /// A part has no such rating.
    Part {
        /// Number of the sample, from 1.
        sample: usize,
        /// Input that was drawn.
        input: String,
        /// How far it deviates: a share of its value.
        deviation: f64,
        /// What the part accepts.
        accepted: String,
    },
    /// The study cannot be read with the values of the sample.
    Study(Diagnostics),
}

/// What may deviate, and how it is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Draws {
    /// The tolerances.
    pub tolerances: Tolerances,
    /// Seed.
    pub series: u64,
    /// Number of samples.
    pub samples: usize,
}

/// Judges picks in all samples, on all cores; `best_of` says of which groups they are the best.
///
/// # Errors
/// The first sample that cannot be.
pub fn robustness<'a>(
    source: &'a StudySource,
    picks: &[Entry],
    draws: Draws,
    best_of: Option<Grouping>,
    progress: &dyn Progress,
) -> Result<Robustness<'a>, SampleError> {
    let Draws { tolerances, series, samples } = draws;
    let uncertain = sources(picks, &source.study, &tolerances, series, samples);
    let sampled = (0..samples).into_par_iter().map(|number| {
        let results = sample(source, &uncertain, number, picks);
        progress.advance(1, None);
        results
    });
    let results = sampled.collect::<Result<Vec<_>, _>>()?;
    Ok(Robustness::new(&source.study, (tolerances, series), best_of, picks, &uncertain, &results))
}

/// The picks in one sample: the study is read again as if its files said what was drawn.
fn sample(
    source: &StudySource,
    uncertain: &[UncertainInput],
    number: usize,
    picks: &[Entry],
) -> Result<Vec<SampleResult>, SampleError> {
    let mut catalog = source.catalog.clone();
    let mut values: Vec<(StudyParameter, WrittenValue)> = Vec::new();
    let off_of = |input: Input, part: &str| {
        let is = |one: &&UncertainInput| {
            one.of.input == input && one.of.part.as_ref().is_some_and(|(_, id)| id == part)
        };
        uncertain.iter().find(is).map_or(0.0, |one| one.deviation[number])
    };
    let mut rated: Vec<&str> = Vec::new();
    for UncertainInput { of, deviation } in uncertain {
        let off = deviation[number];
        let rerated = match (&of.part, of.input) {
            (Some((kind, id)), Input::Price) => {
                catalog.reprice(*kind, id, 1.0 + off);
                Ok(())
            }
            (Some((_, id)), Input::CoolerHeat) => catalog.rerate_cooler(id, 1.0 + off),
            (Some((_, id)), _) if rated.contains(&id.as_str()) => Ok(()),
            (Some((_, id)), _) => {
                rated.push(id);
                let [volumetric, overall] = [Input::VolumetricEfficiency, Input::OverallEfficiency]
                    .map(|input| 1.0 + off_of(input, id));
                catalog.rerate_pump(id, volumetric, overall)
            }
            (None, input) => {
                values.extend(required(source, input, off));
                Ok(())
            }
        };
        rerated.map_err(|accepted| SampleError::Part {
            sample: number + 1,
            input: of.words(),
            deviation: off,
            accepted,
        })?;
    }
    let values: Vec<(&StudyParameter, WrittenValue)> =
        values.iter().map(|(of, value)| (of, *value)).collect();
    let study = source.with(&values, &catalog).map_err(SampleError::Study)?;
    Ok(sample_results(picks, &PreparedCase::new(&study)))
}

/// The requirement that an input is, with the value of a sample; `None` where the study has none of it.
fn required(source: &StudySource, input: Input, off: f64) -> Option<(StudyParameter, WrittenValue)> {
    let key = TOLERANCES.iter().find(|line| line.input == input)?.key;
    let parameter = StudyParameter::find(key, &source.study, &source.text).ok()?;
    let (symbol, number) = match input {
        Input::AirTemperature => ("K", source.study.site.air_temperature.si() + off),
        _ => ("", 1.0 + off),
    };
    Some((parameter, WrittenValue { number, unit: Unit { symbol, factor: 1.0, offset: 0.0 } }))
}

/// A pick over all samples.
#[derive(Debug, Clone, PartialEq)]
pub struct PickRobustness {
    /// Name of the pick.
    pub name: String,
    /// Cost of the pick.
    pub cost: Money,
    /// In how many samples it is adequate.
    pub holds: usize,
    /// In how many samples it is the first of the picks.
    pub best: usize,
    /// In how many samples its oil gets above the limit.
    pub too_hot: usize,
    /// What it fails by most, and how often.
    pub fails: Option<(FailureReason, usize)>,
    /// What binds most often where it never fails.
    pub nearest: Option<FailureReason>,
    /// The input whose ranks go most with those of that margin, and the correlation.
    pub decides: Option<(DeviatingInput, f64)>,
}

/// The first picks while inputs lie anywhere within their tolerances.
#[derive(Debug)]
pub struct Robustness<'a> {
    /// The study as it stands.
    pub study: &'a Study,
    /// The tolerances.
    pub tolerances: Tolerances,
    /// Seed of the draws.
    pub series: u64,
    /// Grouping of which the best are the picks; `None` for the first of the ranking.
    pub best_of: Option<Grouping>,
    /// Number of samples.
    pub samples: usize,
    /// The picks in their order.
    pub verdicts: Vec<PickRobustness>,
    /// Inputs that were drawn.
    pub sources: Vec<DeviatingInput>,
}

impl<'a> Robustness<'a> {
    /// Sums up trials: for each sample those of all picks.
    pub fn new(
        study: &'a Study,
        (tolerances, series): (Tolerances, u64),
        best_of: Option<Grouping>,
        picks: &[Entry],
        sources: &[UncertainInput],
        sample_results: &[Vec<SampleResult>],
    ) -> Self {
        let mut best = vec![0; picks.len()];
        for sample in sample_results {
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
            let own: Vec<&UncertainInput> = sources
                .iter()
                .filter(|s| s.of.part.as_ref().is_none_or(|part| parts.contains(part)))
                .collect();
            let mine: Vec<&SampleResult> = sample_results.iter().map(|sample| &sample[i]).collect();
            let (holds, fails): (Vec<&SampleResult>, Vec<&SampleResult>) =
                mine.iter().partition(|trial| trial.adequate());
            let failed = most(&fails);
            let nearest = if failed.is_some() { None } else { most(&holds).map(|(reason, _)| reason) };
            PickRobustness {
                name: name(&pick.candidate, study),
                cost: pick.score.cost,
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
            tolerances,
            series,
            best_of,
            samples: sample_results.len(),
            verdicts: verdicts.collect(),
            sources: sources.iter().map(|source| source.of.clone()).collect(),
        }
    }

    /// Returns the place of the cheapest, and of the one that holds most often; the earlier of equals.
    pub fn named(&self) -> (usize, usize) {
        let places = || 0..self.verdicts.len();
        let cheapest = places().min_by(|a, b| self.verdicts[*a].cost.0.cmp(&self.verdicts[*b].cost.0));
        let firmest = places().min_by_key(|i| std::cmp::Reverse(self.verdicts[*i].holds));
        (cheapest.unwrap_or(0), firmest.unwrap_or(0))
    }
}

/// What binds most often in some trials, and how often; the first of equals.
fn most(sample_results: &[&SampleResult]) -> Option<(FailureReason, usize)> {
    let mut counts: BTreeMap<FailureReason, usize> = BTreeMap::new();
    for reason in sample_results.iter().filter_map(|trial| trial.binds) {
        *counts.entry(reason).or_default() += 1;
    }
    counts.into_iter().min_by_key(|(reason, count)| (std::cmp::Reverse(*count), *reason))
}

/// The input whose ranks go most with those of a margin (of a rule: with being excluded), and the correlation.
fn decides(
    reason: FailureReason,
    sample_results: &[&SampleResult],
    sources: &[&UncertainInput],
) -> Option<(DeviatingInput, f64)> {
    let margin = |trial: &SampleResult| match reason {
        FailureReason::Rule(_) => f64::from(u8::from(trial.score.is_some())),
        FailureReason::Check(check) => trial.margins[check as usize],
    };
    let margins: Vec<f64> = sample_results.iter().map(|trial| margin(trial)).collect();
    let known = |i: &usize| !margins[*i].is_nan();
    let places: Vec<usize> = (0..margins.len()).filter(known).collect();
    let of = |values: &[f64]| places.iter().map(|i| values[*i]).collect::<Vec<f64>>();
    let figures = of(&margins);
    sources
        .iter()
        .filter_map(|source| Some((&source.of, rank_correlation(&of(&source.deviation), &figures)?)))
        .max_by(|(a, one), (b, other)| {
            one.abs().total_cmp(&other.abs()).then_with(|| b.words().cmp(&a.words()))
        })
        .map(|(input, correlation)| (input.clone(), correlation))
}
