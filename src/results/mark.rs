//! By what first bytes a file of this program is known.

use super::columns::columns;

/// Returns true for the beginning of what a search keeps, as [`super::kept`] writes it.
pub fn is_state(first: &[u8]) -> bool {
    is_json_of_kind(first, "search")
}

/// Returns true for the beginning of a ranking, as CSV or JSON.
pub fn is_result(first: &[u8]) -> bool {
    let heading: Vec<&str> = columns().take(3).map(|column| column.heading).collect();
    first.starts_with(heading.join(",").as_bytes()) || is_json_of_kind(first, "ranking")
}

/// Returns true for a JSON object whose first key says this kind, whatever the white space.
fn is_json_of_kind(first: &[u8], kind: &str) -> bool {
    let beginning = format!("{{\"kind\":\"{kind}\"");
    first.iter().filter(|byte| !byte.is_ascii_whitespace()).take(beginning.len()).eq(beginning.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_known_by_how_they_begin() {
        assert!(is_state(b"{\n  \"kind\": \"search\",\n  \"program\""));
        assert!(is_state(b"{\"kind\":\"search\"}"));
        assert!(is_result(b"{\n  \"kind\": \"ranking\",") && is_result(b"rank,adequate,binds,objective [1]"));
        for other in
            [&b""[..], b"{", b"title = \"kind\"", b"{\"sort\":\"search\"", b"rank,name", b"[\"kind\":"]
        {
            assert!(!is_state(other) && !is_result(other), "{other:?}");
        }
        assert!(!is_state(b"{\"kind\": \"ranking\"") && !is_result(b"{\"kind\": \"search\""));
    }
}
