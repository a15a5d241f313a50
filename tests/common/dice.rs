#![allow(dead_code)] // no test rolls every way

/// Numbers that are the same every time.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 16
    }
    pub fn below(&mut self, n: usize) -> usize {
        (self.roll() % n.max(1) as u64) as usize
    }
    /// From `lo` to `hi`, both included.
    pub fn between(&mut self, lo: i64, hi: i64) -> i64 {
        lo + (self.roll() % (hi - lo + 1) as u64) as i64
    }
    pub fn one_in(&mut self, n: u64) -> bool {
        self.roll().is_multiple_of(n)
    }
}
