//! A small repeatable generator: SplitMix64 (S. Vigna, public domain; constants from memory), so that a failing sequence
//! can be named by its seed.

/// The generator; the field is its seed.
#[derive(Clone, Debug)]
pub struct Numbers(pub u64);

impl Numbers {
    /// The next 64 bits.
    #[expect(clippy::should_implement_trait, reason = "a generator without an end is no iterator worth having")]
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number below `limit`.
    pub fn below(&mut self, limit: u32) -> u32 {
        (self.next() % u64::from(limit)) as u32
    }

    /// A number from `low` to `high`.
    pub fn range(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * (self.next() >> 40) as f32 / (1 << 24) as f32
    }
}
