/// Numbers that look like chance and are the same in every run.
#[derive(Clone, Debug)]
pub struct Spread(u64);

impl Spread {
    /// A sequence of its own for each seed.
    pub fn new(seed: u64) -> Spread {
        Spread(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(1))
    }
    /// A number below `count`; 0 where that is 0.
    pub fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 11).unwrap_or(0).checked_rem(count).unwrap_or(0)
    }
}
