//! Values of inputs, as text.

use crate::input::CellValue;
use crate::units::{System, Unit, fixed};

/// Two values of these quantities as text, with as many digits as it takes to tell them apart.
pub(super) fn both(
    previous: &CellValue,
    current: &CellValue,
    of: &[&[Unit]],
    system: System,
) -> (String, String) {
    let pair = |digits| (one(previous, of, system, digits), one(current, of, system, digits));
    (5..17).map(pair).find(|(previous, current)| previous != current).unwrap_or_else(|| pair(17))
}

/// "100 -> 108 °F": the unit once where both have the same, one value where both read the same.
pub(super) fn arrow(previous: &str, current: &str) -> String {
    // of a list and of points each number keeps its unit
    let parts = |text: &str| -> Option<(String, String)> {
        let (number, unit) = text.split_once(' ')?;
        let single = number.parse::<f64>().is_ok() && !unit.contains([',', ':']);
        single.then(|| (number.to_owned(), unit.to_owned()))
    };
    match (parts(previous), parts(current)) {
        _ if previous == current => current.to_owned(),
        (Some((number, unit)), Some((_, other))) if unit == other => format!("{number} -> {current}"),
        _ => format!("{previous} -> {current}"),
    }
}

fn one(value: &CellValue, of: &[&[Unit]], system: System, digits: usize) -> String {
    match value {
        CellValue::Nothing => "not stated".to_owned(),
        CellValue::Text(text) => text.clone(),
        CellValue::Number(number) => quantity(*number, of.first(), system, digits),
        CellValue::Money(amount) => fixed(amount.to_units(), 2),
        CellValue::Count(count) => count.to_string(),
        CellValue::Points(points) if points.is_empty() => "none".to_owned(),
        CellValue::Points(points) => {
            let number = |(si, of): (&f64, &&[Unit])| quantity(*si, Some(of), system, digits);
            let point = |point: &Vec<f64>| point.iter().zip(of).map(number).collect::<Vec<_>>().join(" : ");
            points.iter().map(point).collect::<Vec<_>>().join(", ")
        }
    }
}

fn quantity(si: f64, of: Option<&&[Unit]>, system: System, digits: usize) -> String {
    let units = of.copied().unwrap_or_default();
    let Some(unit) = system.among(units).or(units.first()) else { return short(si, digits) };
    format!("{} {}", short((si - unit.offset) / unit.factor, digits), unit.symbol.replace("deg", "°"))
        .trim_end()
        .to_owned()
}

/// So many significant digits, without zeros at the end.
fn short(value: f64, digits: usize) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "the exponent of a double")]
    let exponent = if value == 0.0 { 0 } else { value.abs().log10().floor() as i32 };
    let after = usize::try_from(i32::try_from(digits).unwrap_or(17) - 1 - exponent).unwrap_or(0);
    let text = fixed(value, after);
    if after == 0 { text } else { text.trim_end_matches('0').trim_end_matches('.').to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Money, QuantityKind};

    #[test]
    fn values_stand_in_the_units_of_the_study_with_digits_enough() {
        let temperature = [QuantityKind::Temperature.units()];
        let (a, b) = (CellValue::Number(310.95), CellValue::Number(316.15));
        assert_eq!(both(&a, &b, &temperature, System::Metric), ("37.8 °C".to_owned(), "43 °C".to_owned()));
        assert_eq!(both(&a, &b, &temperature, System::Us).1, "109.4 °F");
        let pressure = [QuantityKind::Pressure.units()];
        let near = both(&CellValue::Number(2e7), &CellValue::Number(2e7 + 1.0), &pressure, System::Metric);
        assert_eq!(near, ("200 bar".to_owned(), "200.00001 bar".to_owned()));
        let price = CellValue::Money(Money(24422));
        let (then, now) = both(&price, &CellValue::Nothing, &[], System::Metric);
        assert_eq!((then.as_str(), now.as_str()), ("244.22", "not stated"));
        let points = CellValue::Points(vec![vec![1e5], vec![2e5]]);
        let (then, now) = both(&points, &CellValue::Points(Vec::new()), &pressure, System::Metric);
        assert_eq!((then.as_str(), now.as_str()), ("1 bar, 2 bar", "none"));
        for (previous, current, said) in [
            ("100 °F", "108 °F", "100 -> 108 °F"),
            ("1.6 per L", "1.9 per L", "1.6 -> 1.9 per L"),
            ("1 bar, 2 bar", "3 bar, 2 bar", "1 bar, 2 bar -> 3 bar, 2 bar"),
            ("1 s", "not stated", "1 s -> not stated"),
            ("0", "1", "0 -> 1"),
            ("my study", "your study", "my study -> your study"),
            ("7.3 %", "7.3 %", "7.3 %"),
        ] {
            assert_eq!(arrow(previous, current), said);
        }
    }
}
