//! The 128-bit hash FNV-1a. Its code is short, and its result is the same on every computer and in every version.

/// The FNV-1a hash of `bytes`. It detects accidental changes, not forgery.
pub fn fnv(bytes: &[u8]) -> u128 {
    const OFFSET: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    bytes.iter().fold(OFFSET, |hash, byte| (hash ^ u128::from(*byte)).wrapping_mul(PRIME))
}
