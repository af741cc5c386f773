//! Everything as JSON.

use super::{excess, why};
use crate::analysis::sensitivity::{Sensitivity, cost_jump, stretches};
use crate::report::json::Json;
use crate::report::stamp::{self, InputFile};

impl Sensitivity<'_> {
    /// Everything as JSON: each value that was searched, the stretches, the breaks.
    pub fn json(&self, files: &[InputFile]) -> Json {
        let (winners, stretches) = (self.winners(), stretches(&self.found));
        let at = |i: usize| Json::Number(self.found[i].0);
        let mut entries: Vec<(&str, Json)> = vec![("kind", "varied".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.study.title.as_str().into()),
            ("requirement", self.parameter.name.as_str().into()),
            ("unit_of_values", self.unit.symbol.into()),
            ("points", self.sampling.points.into()),
            ("precision", self.sampling.precision.into()),
            (
                "searched",
                Json::list(self.found.iter().map(|(value, point)| {
                    let value =
                        [("value", Json::Number(*value)), ("value_si", self.value(*value).si().into())];
                    Json::object(value.into_iter().chain(winners.json(point)))
                })),
            ),
            (
                "stretches",
                Json::list(stretches.iter().map(|(first, last)| {
                    let point = &self.found[*first].1;
                    let winner = winners.letter(point.outcome()).map_or(Json::Null, Json::Text);
                    let refused = Json::Bool(point.refused().is_some());
                    Json::object([
                        ("from", at(*first)),
                        ("to", at(*last)),
                        ("winner", winner),
                        ("refused", refused),
                    ])
                })),
            ),
            (
                "breaks",
                Json::list(self.changes().into_iter().zip(&self.reasons).map(|(sides, reason)| {
                    Json::object([
                        ("last", Json::Number(sides[0].0)),
                        ("first", Json::Number(sides[1].0)),
                        ("cost_jump", cost_jump(sides).map_or(Json::Null, |jump| Json::Whole(jump.0))),
                        ("why", Json::Text(why(reason, sides, &winners, self.system()))),
                        (
                            "surplus",
                            reason
                                .excess_flow()
                                .map_or(Json::Null, |flow| Json::Text(excess(flow, self.system()))),
                        ),
                    ])
                })),
            ),
        ]);
        Json::object(entries)
    }
}
