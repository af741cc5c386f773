//! Where a function that changes in steps does so.

/// Places with equal distances, the ends included, each but the ends rounded to a multiple of `step` (a power of ten).
pub fn spread(from: f64, to: f64, count: usize, step: f64) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "counts of places are small")]
    let inner = (1..count.saturating_sub(1))
        .map(|i| rounded(from + (to - from) * (i as f64 / (count - 1) as f64), step))
        .filter(|place| from < *place && *place < to);
    let mut places = vec![from];
    places.extend(inner);
    places.push(to);
    places.dedup();
    places
}

/// A number rounded to a multiple of a power of ten, as its shortest decimal.
pub fn rounded(number: f64, step: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some digits")]
    let digits = (-step.log10()).round().clamp(0.0, 300.0) as usize;
    let whole = (number / step).round() * step;
    format!("{whole:.digits$}").parse().unwrap_or(whole)
}

/// The largest power of ten that is not above a number.
pub fn power_of_ten(number: f64) -> f64 {
    // 1e-3 is exact as text, not as a power
    format!("1e{}", (number * (1.0 + 1e-12)).log10().floor()).parse().unwrap_or(number)
}

/// The function in some rising places and, between two where it is not the same, in the middle, again and again until
/// they are no further apart than `precision` or no multiple of `step` lies between.
///
/// Each change between two neighbours of the result is bracketed to the precision. What comes and goes between two of
/// the given places, with the same before and after, stays unseen.
pub fn changes<T>(
    places: &[f64],
    (precision, step): (f64, f64),
    same: impl Fn(&T, &T) -> bool,
    mut find: impl FnMut(f64) -> T,
) -> Vec<(f64, T)> {
    let mut done: Vec<(f64, T)> = Vec::new();
    for &place in places {
        // what is still to be reached, the nearest last
        let mut ahead = vec![(place, find(place))];
        while let Some((to, found)) = ahead.pop() {
            let middle = done.last().filter(|(_, before)| !same(before, &found)).and_then(|(from, _)| {
                let middle = rounded(f64::midpoint(*from, to), step);
                // a difference of two decimals is not exact
                (to - from > precision * (1.0 + 1e-9) && *from < middle && middle < to).then_some(middle)
            });
            match middle {
                Some(middle) => {
                    ahead.push((to, found));
                    ahead.push((middle, find(middle)));
                }
                None => done.push((to, found)),
            }
        }
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_equal_and_plain() {
        assert_eq!(spread(100.0, 118.0, 9, 0.01)[1..3], [102.25, 104.5]);
        assert_eq!(spread(0.0, 1.0, 4, 0.001), [0.0, 0.333, 0.667, 1.0]);
        assert_eq!(spread(0.0, 2.0, 9, 1.0), [0.0, 1.0, 2.0]);
        assert_eq!((power_of_ten(0.036), power_of_ten(1000.0), power_of_ten(0.001)), (0.01, 1000.0, 0.001));
        assert_eq!((rounded(0.1 + 0.2, 0.01), rounded(1234.5, 10.0)), (0.3, 1230.0));
    }

    #[test]
    fn each_change_is_bracketed_to_the_precision() {
        // floors of x: changes at 1, 2, 3; two of them between the first two places
        let mut calls = 0;
        let find = |x: f64| {
            calls += 1;
            x.floor()
        };
        let found = changes(&[0.5, 2.5, 3.5], (0.01, 0.001), |a, b| a == b, find);
        let breaks: Vec<(f64, f64)> =
            found.windows(2).filter(|w| w[0].1 != w[1].1).map(|w| (w[0].0, w[1].0)).collect();
        assert_eq!(breaks.len(), 3);
        for ((before, after), place) in breaks.iter().zip([1.0, 2.0, 3.0]) {
            assert!(*before < place && place <= *after && after - before <= 0.01 + 1e-9, "{breaks:?}");
        }
        assert!(found.windows(2).all(|w| w[0].0 < w[1].0) && calls == found.len());
    }
}
