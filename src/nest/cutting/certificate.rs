/// Why no plan can cost less: at each end of a tree of cases a value for each length, so that no
/// stock can hold more value than it costs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Certificate {
    /// Pieces are worth `value` a unit of length, against `unit` a unit of cost: what a stock
    /// holds follows from its length alone.
    ByLength {
        /// Worth of a unit of length.
        value: i64,
        /// Worth of a unit of cost.
        unit: i64,
    },
    /// Whichever stocks are used are long enough together, and each costs something beside what is
    /// cut from it. Where stock is kept.
    Covering,
    /// An end of the tree.
    Leaf(Leaf),
    /// From here on only patterns count that a plan within the bound may hold, by these worths.
    Sieve {
        /// Worths without charges.
        leaf: Leaf,
        /// What follows.
        then: Box<Certificate>,
    },
    /// Two cases, one of which every plan is in. Pieces are named by their number in the problem;
    /// each joined pair gets the next number on its way from the root.
    Split {
        /// Which two pieces; twice the same: two of that length.
        pair: (u32, u32),
        /// Some stock holds both: one of each is joined to a new piece.
        together: Box<Certificate>,
        /// No stock holds both.
        apart: Box<Certificate>,
    },
}

/// Worths that bound what every plan of one case costs.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Leaf {
    /// Worth of a unit of cost (a unit is the greatest common divisor of all costs).
    pub unit: i64,
    /// Worth of pieces by number, ascending; those not listed are worth nothing.
    pub values: Vec<(u32, i64)>,
    /// For three pieces, what a stock that holds two or three of them is charged.
    pub threes: Vec<([u32; 3], i64)>,
}
