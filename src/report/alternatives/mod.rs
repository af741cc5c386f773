//! Why not the cheaper one: what stands beside a candidate, all of it judged by the same simulation.

mod csv;
mod json;
mod relaxations;
mod text;

use super::columns::Row;
use crate::analysis::Judged;
use crate::analysis::alternatives::Alternatives;
use crate::assessment::{Assessment, Check, CheckResult};
use crate::units::QuantityKind;

/// Parts of a name, in its order.
const PLACES: [&str; 8] =
    ["pumps", "engine", "relief valve", "scheme", "accumulators", "coolers", "reservoir", "filters"];

impl Alternatives<'_> {
    /// Cost of another less that of the pick, cents.
    fn difference(&self, other: &Assessment) -> i64 {
        other.score.cost.0 - self.pick.assessment.score.cost.0
    }

    /// Another candidate as a row of results.
    fn row<'b>(&'b self, assessment: &'b Assessment) -> Row<'b> {
        Row::alone(Judged { assessment, case: self.pick.case })
    }
}

/// How much a failing check is off its limit, SI; `None` where it is met or says no figure.
fn missing(check: &CheckResult) -> Option<f64> {
    let figure = check.figure.filter(|_| !check.met && check.kind() != QuantityKind::YesNo)?;
    Some((figure - check.limit).abs())
}

/// The kind of what is missing: a difference.
fn missing_measure(kind: QuantityKind) -> QuantityKind {
    match kind {
        QuantityKind::Temperature => QuantityKind::TemperatureDifference,
        QuantityKind::AbsolutePressure => QuantityKind::Pressure,
        kind => kind,
    }
}

/// The checks that fail beside the one that binds.
fn others_failing(assessment: &Assessment) -> Vec<Check> {
    let binds = assessment.binds().map(|check| check.check);
    let failing = assessment.checks.iter().filter(|check| !check.met && Some(check.check) != binds);
    failing.map(|check| check.check).collect()
}

/// Where two names differ: part, what stands in the first, what in the second.
fn differences<'n>(name: &'n str, other: &'n str) -> Vec<(&'static str, &'n str, &'n str)> {
    let pairs = name.split('/').zip(other.split('/'));
    PLACES.into_iter().zip(pairs).filter(|(_, (a, b))| a != b).map(|(place, (a, b))| (place, a, b)).collect()
}
