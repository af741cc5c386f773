//! The score and the total order of the ranking.

use std::cmp::Ordering;

use crate::study::Objective;
use crate::units::Money;

/// Heat margin and shortfall are rounded to this before they decide a tie or a place on the front.
const STEPS: f64 = 1e9;

/// What decides the place of a candidate, all but its name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Score {
    /// All checks are met.
    pub adequate: bool,
    /// The objective: the least is best.
    pub objective: f64,
    /// Cost.
    pub cost: Money,
    /// Heat margin in steps of 1e-9.
    pub heat_margin: i64,
    /// Shortfall in steps of 1e-9.
    pub shortfall: i64,
}

impl Score {
    /// Scores figures.
    #[expect(clippy::cast_possible_truncation, reason = "a saturating cast is what is wanted")]
    pub fn new(adequate: bool, cost: Money, heat_margin: f64, shortfall: f64, objective: &Objective) -> Self {
        let steps = |value: f64| (value * STEPS).round() as i64;
        // a weight of 0 takes no part, even against an endless margin
        let weigh = |weight: f64, figure: f64| if weight == 0.0 { 0.0 } else { weight * figure };
        let weighted = weigh(objective.cost, cost.to_units()) - weigh(objective.heat_margin, heat_margin)
            + weigh(objective.shortfall, shortfall);
        Self {
            adequate,
            objective: weighted,
            cost,
            heat_margin: steps(heat_margin),
            shortfall: steps(shortfall),
        }
    }

    /// Adequate first, then the least objective, the larger heat margin, the smaller shortfall. What is equal here is
    /// ordered by the ids of the parts.
    pub fn order(&self, other: &Self) -> Ordering {
        other
            .adequate
            .cmp(&self.adequate)
            .then(self.objective.total_cmp(&other.objective))
            .then(other.heat_margin.cmp(&self.heat_margin))
            .then(self.shortfall.cmp(&other.shortfall))
    }

    /// No worse in cost, heat margin and shortfall, and better in one.
    pub fn dominates(&self, other: &Self) -> bool {
        let no_worse = self.cost <= other.cost
            && self.heat_margin >= other.heat_margin
            && self.shortfall <= other.shortfall;
        no_worse && !self.equals(other)
    }

    fn equals(&self, other: &Self) -> bool {
        self.cost == other.cost && self.heat_margin == other.heat_margin && self.shortfall == other.shortfall
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn score(adequate: bool, cost: i64, margin: f64, shortfall: f64) -> Score {
        Score::new(adequate, Money(cost), margin, shortfall, &Objective::default())
    }

    #[test]
    fn the_order_is_adequate_cost_margin_shortfall() {
        let best = score(true, 100, 0.2, 0.0);
        for worse in [
            score(false, 50, 0.9, 0.0),
            score(true, 101, 0.9, 0.0),
            score(true, 100, 0.1, 0.0),
            score(true, 100, 0.2, 0.01),
        ] {
            assert_eq!(best.order(&worse), Ordering::Less);
        }
        assert_eq!(best.order(&score(true, 100, 0.2 + 1e-12, 0.0)), Ordering::Equal);
    }

    #[test]
    fn equal_rows_do_not_dominate_each_other() {
        let row = score(true, 100, 0.2, 0.0);
        assert!(!row.dominates(&row));
        assert!(row.dominates(&score(true, 100, 0.19, 0.0)));
        assert!(!row.dominates(&score(true, 99, 0.1, 0.0)));
    }
}
