use super::Doubt;
use super::budget::Budget;
use super::knapsack::{Kind, Knapsack};
use super::walk::Room;

/// Most cells of the table; beyond, lengths count in a coarser measure, rounded down.
const CELLS: usize = 8_000_000;

/// Cells that are filled while one way to go on is looked at.
const CELLS_OF_A_STEP: u64 = 8;

/// Of more than this the table takes as many as fit: more than there are does a bound no harm.
const MANY: u64 = 8;

/// Less than any worth: what leaves more than the waste.
const NEVER: i64 = i64::MIN / 2;

/// By row and room, the most that kinds from the row on are worth there within the waste, apart
/// and charges left out.
pub struct Table {
    cells: Vec<i64>,
    width: usize,
    measure: i64,
}

impl Table {
    pub fn new(
        knapsack: &Knapsack,
        kinds: &[(u32, Kind)],
        room: Room,
        budget: &Budget<'_>,
    ) -> Result<Table, Doubt> {
        let rows = kinds.len();
        let widest = i64::try_from((CELLS / (rows + 1)).max(16)).unwrap_or(16);
        let measure = room.length / widest + 1;
        let width = usize::try_from(room.length / measure).unwrap_or(0) + 1;
        budget.spend((width * (rows + 1)) as u64 / CELLS_OF_A_STEP)?;
        let mut cells: Vec<i64> = vec![0; width * (rows + 1)];
        // Behind the last kind all that is left is waste. Lengths that were rounded down leave up
        // to one measure more for each piece.
        let shortest = kinds.last().map_or(1, |(_, kind)| kind.length);
        let slack = if measure == 1 { 0 } else { room.length / shortest };
        let allowed = (room.waste / measure).saturating_add(slack).saturating_add(1);
        let allowed = usize::try_from(allowed.max(0)).unwrap_or(usize::MAX);
        for cell in cells.iter_mut().skip(width * rows).skip(allowed) {
            *cell = NEVER;
        }
        for (row, &(number, kind)) in kinds.iter().enumerate().rev() {
            let (upper, lower) = cells.split_at_mut((row + 1) * width);
            let (Some(now), Some(next)) = (upper.get_mut(row * width..), lower.get(..width)) else {
                break;
            };
            let weight = usize::try_from(kind.length / measure).unwrap_or(width);
            let most = knapsack.allows(number, room.length);
            budget.spend(width as u64 * most.min(MANY) / CELLS_OF_A_STEP)?;
            fill(now, next, weight, kind.value, most);
        }
        Ok(Table { cells, width, measure })
    }

    /// What this row and those below may still add.
    pub fn promise(&self, row: usize, room: i64) -> i64 {
        let room = usize::try_from(room / self.measure).unwrap_or(0);
        self.cells.get(row * self.width + room).copied().unwrap_or(NEVER)
    }
}

/// A row from the next: up to `most` more of this weight and value.
fn fill(now: &mut [i64], next: &[i64], weight: usize, value: i64, most: u64) {
    now.copy_from_slice(next);
    if weight == 0 {
        // Less than a measure: all of them, wherever.
        let all = value.saturating_mul(i64::try_from(most).unwrap_or(i64::MAX));
        for cell in now {
            *cell = cell.saturating_add(all);
        }
    } else if most > MANY {
        for room in weight..now.len() {
            let with = now.get(room - weight).copied().unwrap_or(NEVER).saturating_add(value);
            if let Some(cell) = now.get_mut(room) {
                *cell = with.max(*cell);
            }
        }
    } else {
        let mut all = 0_i64;
        for times in 1..=usize::try_from(most).unwrap_or(0) {
            all = all.saturating_add(value);
            for (cell, below) in now.iter_mut().skip(weight.saturating_mul(times)).zip(next) {
                *cell = below.saturating_add(all).max(*cell);
            }
        }
    }
}
