//! What became of every combination.

use super::BigCount;
use super::number::Closed;
use crate::candidate::Exclusion;
use crate::search::{Account, Bound, SearchStatistics, Space};
use crate::units::snake_case;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

/// What became of every combination; counts as texts, as they may exceed what readers of JSON hold exactly.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct AccountView {
    /// How many choices each slot has.
    slots: Counts,
    /// All combinations: the product.
    combinations: BigCount,
    /// Those that were simulated.
    simulated: BigCount,
    /// Those of them that pass every check.
    adequate: BigCount,
    /// Those that make no sense, by rule.
    ruled_out_by_rule: Counts,
    /// Those that were proved unable to be listed, by bound.
    ruled_out_by_bound: Counts,
    /// All that are accounted for.
    accounted_for: BigCount,
    /// Whether these are all combinations.
    complete: bool,
}

impl AccountView {
    pub(super) fn new(space: &Space, account: &Account) -> Self {
        let slots = space.slots().into_iter().map(|(slot, count)| (snake_case(slot).into(), count));
        Self {
            slots: Counts(slots.collect()),
            combinations: BigCount(space.total()),
            simulated: BigCount(account.evaluated),
            adequate: BigCount(account.adequate),
            ruled_out_by_rule: Counts::of::<Exclusion>(&account.excluded),
            ruled_out_by_bound: Counts::of::<Bound>(&account.pruned),
            accounted_for: BigCount(account.total()),
            complete: account.total() == space.total(),
        }
    }
}

/// Counts by key.
#[derive(Debug)]
pub(super) struct Counts(Vec<(Cow<'static, str>, u128)>);

impl Counts {
    fn of<T: Closed>(counts: &[u128]) -> Self {
        Self(T::ALL.iter().map(|member| member.key()).zip(counts.iter().copied()).collect())
    }
}

impl Serialize for Counts {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|(key, count)| (key, BigCount(*count))))
    }
}

impl JsonSchema for Counts {
    fn schema_name() -> Cow<'static, str> {
        "Counts".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let count = generator.subschema_for::<BigCount>();
        schemars::json_schema!({ "type": "object", "additionalProperties": count })
    }
}

/// What a search by bounds took.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct WorkView {
    /// Branches of pump set, engine speed, relief setting, scheme and accumulators that were bounded one by one.
    branches: BigCount,
    /// Those of them that were simulated at the oil limit alone.
    simulated_at_oil_limit: BigCount,
    /// Those that were simulated at all oil temperatures.
    simulated: BigCount,
    /// Oil temperatures computed for a cooler and a reservoir.
    oil_temperatures: BigCount,
}

impl From<&SearchStatistics> for WorkView {
    fn from(work: &SearchStatistics) -> Self {
        let [branches, simulated_at_oil_limit, simulated, oil_temperatures] =
            work.counts().map(|count| BigCount(count.into()));
        Self { branches, simulated_at_oil_limit, simulated, oil_temperatures }
    }
}
