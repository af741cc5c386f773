//! Which steps are shown: all, or of a long log the worst.

use crate::analysis::Judged;
use crate::simulation::PowerUnit;

/// Most steps that are shown.
const MOST: usize = 40;

/// Some steps of the load profile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShownSteps {
    /// Places of the steps, rising.
    pub steps: Vec<usize>,
    /// Steps that there are.
    pub all: usize,
}

impl ShownSteps {
    /// All steps, or where there are more than 40 as many of the worst: those with the largest share of their volume
    /// missing, then with the most heat, at the oil limit; the worst step of any oil temperature is among them.
    pub fn of(judged: Judged<'_>) -> Self {
        let case = judged.case;
        let all = case.steps.len();
        if all <= MOST {
            return Self { steps: (0..all).collect(), all };
        }
        let periodic = &judged.assessment.hydraulic.duty.nodes[case.limit_node].periodic;
        let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, case, case.limit_node);
        let mut figures = vec![(0.0_f64, 0.0_f64); all];
        power_unit.at_node().each_ledger(periodic, |step, ledger| {
            let figure: &mut (f64, f64) = &mut figures[step];
            *figure = (figure.0.max(ledger.shortfall()), figure.1.max(ledger.rates().heat.total()));
        });
        if let Some(step) = judged.assessment.hydraulic.duty.worst_step() {
            figures[step].0 = f64::INFINITY;
        }
        let mut steps: Vec<usize> = (0..all).collect();
        let order = |a: &usize, b: &usize| {
            let (a_figures, b_figures) = (figures[*a], figures[*b]);
            b_figures.0.total_cmp(&a_figures.0).then(b_figures.1.total_cmp(&a_figures.1)).then(a.cmp(b))
        };
        steps.select_nth_unstable_by(MOST - 1, order);
        steps.truncate(MOST);
        steps.sort_unstable();
        Self { steps, all }
    }

    /// Steps that are not shown.
    pub fn left_out(&self) -> usize {
        self.all - self.steps.len()
    }
}
