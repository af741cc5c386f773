//! By what first bytes a file of this program is known.

use super::checkpoint::KIND;
use super::columns::{Column, columns};
use super::stamp::PROGRAM;

/// Within how many first bytes a file of this program says so.
pub const FIRST_BYTES: usize = 1024;

/// Returns true for the beginning of what a search keeps, as [`super::checkpoint`] writes it.
pub fn is_state(first: &[u8]) -> bool {
    is_json_of_kind(first, KIND)
}

/// Returns true for the beginning of a ranking, as CSV or JSON.
pub fn is_result(first: &[u8]) -> bool {
    let headed = |of: fn(&Column) -> &'static str| {
        let heading: Vec<&str> = columns().take(3).map(of).collect();
        first.starts_with(heading.join(",").as_bytes())
    };
    headed(|column| column.heading)
        || headed(|column| column.older.unwrap_or(column.heading))
        || is_json_of_kind(first, "ranking")
}

/// Returns true for a JSON object of this program whose first key says this kind, whatever the white space.
fn is_json_of_kind(first: &[u8], kind: &str) -> bool {
    let bare: Vec<u8> =
        first.iter().take(FIRST_BYTES).copied().filter(|byte| !byte.is_ascii_whitespace()).collect();
    let program = format!("\"program\":\"{PROGRAM}\"");
    bare.starts_with(format!("{{\"kind\":\"{kind}\",").as_bytes())
        && bare.windows(program.len()).any(|part| part == program.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_known_by_how_they_begin() {
        let own = |kind: &str| {
            format!("{{\n  \"kind\": \"{kind}\",\n  \"format\": 2,\n  \"program\": \"sumpwright\",\n")
        };
        let (state, ranking) = (own("search"), own("ranking"));
        assert!(is_state(state.as_bytes()) && !is_result(state.as_bytes()));
        assert!(is_result(ranking.as_bytes()) && !is_state(ranking.as_bytes()));
        assert!(is_state(b"{\"kind\":\"search\",\"program\":\"sumpwright\"}"));
        assert!(is_result(b"rank,adequate,limited by,headroom [%]"));
        assert!(is_result(b"rank,adequate,binds,binding margin [%]"));
        let late = format!(
            "{{\"kind\": \"search\", \"query\": \"{}\", \"program\": \"sumpwright\"}}",
            "x".repeat(1024)
        );
        for other in [
            "",
            "{",
            "title = \"kind\"",
            "{\"sort\":\"search\"",
            "rank,name",
            "[\"kind\":",
            // the search or the ranking of another program
            "{\"kind\": \"search\", \"query\": \"pumps\"}",
            "{\"kind\": \"ranking\", \"program\": \"another\"}",
            &state.replace("sumpwright", "sumpwright2"),
            &late,
        ] {
            assert!(!is_state(other.as_bytes()) && !is_result(other.as_bytes()), "{other:?}");
        }
    }
}
