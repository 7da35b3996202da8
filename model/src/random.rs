//! Numbers that look random and are the same for the same seed.

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014); the field is
/// its state, at first the seed. Any seed is good. For starts and samples, not for secrets.
#[derive(Clone, Debug)]
pub struct SplitMix64(pub u64);

impl SplitMix64 {
    /// The next 64 bits.
    pub fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// The next number in 0..1, with 53 bits.
    pub fn fraction(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // First outputs for seed 1234567, as commonly listed for SplitMix64 (from memory).
    #[test]
    fn the_generator_is_splitmix64() {
        let mut random = SplitMix64(1_234_567);
        let expected = [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423];
        assert_eq!(expected, [random.next_u64(), random.next_u64(), random.next_u64()]);
    }
}
