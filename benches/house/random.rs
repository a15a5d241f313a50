/// Numbers that look random and are the same every time: SplitMix64 (Steele, Lea and Flood 2014,
/// from memory).
pub struct Random(u64);

impl Random {
    /// Begun with a number.
    pub fn of(seed: u64) -> Random {
        Random(seed)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// From `low` to `high`, both possible.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        let width = u64::try_from(high - low + 1).unwrap_or(1).max(1);
        low + i64::try_from(self.next() % width).unwrap_or(0)
    }
    /// True this often in a hundred.
    pub fn percent(&mut self, often: i64) -> bool {
        self.between(1, 100) <= often
    }
    /// One of these.
    pub fn one_of<T: Copy>(&mut self, choices: &[T]) -> Option<T> {
        let last = i64::try_from(choices.len()).ok()? - 1;
        choices.get(usize::try_from(self.between(0, last)).ok()?).copied()
    }
}
