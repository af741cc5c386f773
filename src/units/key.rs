//! Words as the keys of results.

/// Returns words as a key: lower case, underscores between words, nothing but letters and digits else.
pub fn snake_case(words: &str) -> String {
    let parts = words.split(|sign: char| !sign.is_ascii_alphanumeric()).filter(|part| !part.is_empty());
    parts.map(str::to_ascii_lowercase).collect::<Vec<_>>().join("_")
}

#[cfg(test)]
mod tests {
    use super::snake_case;

    #[test]
    fn words_become_keys() {
        assert_eq!(snake_case("pump inlet pressure, hot"), "pump_inlet_pressure_hot");
        assert_eq!(snake_case("cut-in"), "cut_in");
        assert_eq!(snake_case("CO2 (gas), 20 % low"), "co2_gas_20_low");
    }
}
