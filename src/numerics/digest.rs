//! A short number for many bytes.

/// FNV-1a with 64 bits: tells bytes apart that differ by mistake; it is no proof against intent.
///
/// # Source
/// IETF draft-eastlake-fnv, *The FNV Non-Cryptographic Hash Algorithm* (constants from memory).
pub fn digest(bytes: impl IntoIterator<Item = u8>) -> u64 {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    bytes.into_iter().fold(OFFSET, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(PRIME))
}

#[cfg(test)]
mod tests {
    use super::digest;

    #[test]
    fn digests_are_those_of_fnv_1a() {
        // published test values: "" and "a"
        assert_eq!(digest([]), 0xcbf2_9ce4_8422_2325);
        assert_eq!(digest(*b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}
