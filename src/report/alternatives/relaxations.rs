//! Limits that would pass a check, in words, with the text that the study takes.

use crate::assessment::{LimitRelaxation, Relaxed};
use crate::report::digits::apart;
use crate::study::{Settings, Study};
use crate::units::{Mass, Money, Quantity, QuantityKind, System, Volume, fixed, parse};

/// A check that fails, and the limit with which it would pass, with all digits of a file.
pub(in crate::report) fn words(relaxation: &LimitRelaxation, study: &Study) -> String {
    let shown = relaxation.kind.show(relaxation.value, study.system);
    format!("{}: {}", relaxation.failed.check.words(), stated(relaxation, study, &shown))
}

/// The limit with which a check would pass: `heat_margin_limit = "4.123 %"`.
pub(super) fn limit(relaxation: &LimitRelaxation, study: &Study) -> String {
    let [shown, _] = apart(relaxation.kind, relaxation.value, Some(relaxation.failed.limit), study.system);
    stated(relaxation, study, &shown)
}

fn stated(relaxation: &LimitRelaxation, study: &Study, shown: &str) -> String {
    let bound = if relaxation.at_least { "at least" } else { "at most" };
    match (relaxation.limit, relaxation.value, entry(relaxation, study)) {
        (Relaxed::Setting(key) | Relaxed::SimulatedSetting(key), None, _) => {
            format!("no {key} is known to be enough, the oil keeps heating")
        }
        (Relaxed::Nothing, ..) | (_, None, _) => "no limit that could be changed".to_owned(),
        (Relaxed::Setting(_) | Relaxed::StudyLimit(_), _, Some(entry)) => entry,
        (Relaxed::SimulatedSetting(_), _, Some(entry)) => {
            format!("{entry}, by the present figures, which it moves: simulate again")
        }
        (Relaxed::Setting(key) | Relaxed::SimulatedSetting(key) | Relaxed::StudyLimit(key), _, None) => {
            format!("{key} {bound} {shown}, which is more than it takes")
        }
        (Relaxed::Rating(words), ..) => format!("{words} {bound} {shown}"),
    }
}

/// The line of the study with which the check passes: the shown figure nearest to the limit on its good side, proved by
/// the reader. `None` where no line does.
pub(in crate::report) fn entry(relaxation: &LimitRelaxation, study: &Study) -> Option<String> {
    let value = relaxation.value?;
    let (key, read): (_, fn(&str, &str) -> Option<f64>) = match (relaxation.limit, relaxation.kind) {
        (Relaxed::Setting(key) | Relaxed::SimulatedSetting(key), _) => (key, setting),
        (Relaxed::StudyLimit(key), QuantityKind::Mass) => {
            (key, |_, text| parse::<Mass>(text).ok().map(Quantity::si))
        }
        (Relaxed::StudyLimit(key), QuantityKind::Volume) => {
            (key, |_, text| parse::<Volume>(text).ok().map(Quantity::si))
        }
        (Relaxed::StudyLimit(key), _) => return Some(format!("{key} = {}", fixed(value / 100.0, 2))),
        (Relaxed::Rating(_) | Relaxed::Nothing, _) => return None,
    };
    let good = |read: f64| if relaxation.at_least { read >= value } else { read <= value };
    nearest(value, relaxation.kind, study.system, relaxation.at_least)
        .into_iter()
        .find(|text| read(key, text).is_some_and(good))
        .map(|text| format!("{key} = \"{text}\""))
}

/// What a setting becomes by a text.
fn setting(key: &str, text: &str) -> Option<f64> {
    let mut settings = Settings::default();
    settings.set(key, text).ok()?;
    settings.values().into_iter().find(|(known, _)| *known == key).map(|(_, value)| value)
}

/// The shown figure, and the next one upward or downward, with their unit.
fn nearest(value: f64, kind: QuantityKind, system: System, upward: bool) -> Vec<String> {
    let shown = kind.number(value, system);
    let digits = shown.split_once('.').map_or(0, |(_, part)| part.len());
    let Ok(number) = shown.parse::<f64>() else { return Vec::new() };
    let step = 0.1_f64.powi(i32::try_from(digits).unwrap_or(0)) * if upward { 1.0 } else { -1.0 };
    [number, number + step].iter().map(|n| format!("{} {}", fixed(*n, digits), kind.symbol(system))).collect()
}

/// Money as it stands in a study.
pub(super) fn money(cents: i64) -> String {
    fixed(Money(cents).to_units(), 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shown_figure_lies_on_the_good_side_or_the_next_one_does() {
        let nearest = |value, upward| nearest(value, QuantityKind::Percent, System::Metric, upward);
        assert_eq!(nearest(0.006_181, true), ["0.618 %", "0.619 %"]);
        assert_eq!(nearest(-0.041_236, false), ["-4.124 %", "-4.125 %"]);
        assert_eq!(setting("shortfall_limit", "0.619 %"), Some(0.006_19));
        assert_eq!(setting("shortfall_limit", "101 %"), None);
    }
}
