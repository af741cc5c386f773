//! Reading the reference tables in tests.

/// The rows of a table as numbers: comments and the heading left out, a cell that is no number is NaN.
pub(crate) fn rows(text: &str) -> Vec<Vec<f64>> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .records()
        .map(|row| row.unwrap().iter().map(|cell| cell.parse().unwrap_or(f64::NAN)).collect())
        .collect()
}

/// True where two numbers agree within a relative tolerance.
pub(crate) fn near(found: f64, require: f64, relative: f64) -> bool {
    (found - require).abs() <= relative * require.abs()
}
