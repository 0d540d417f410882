//! The choice of movements for the warm-up and the cool-down: a fixed number from each pool that together move the
//! wanted muscles. The result is the exact optimum. The search goes through all choices and turns back where no better
//! one can follow.

/// What matters of a movement for a warm-up or a cool-down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PoolMovement {
    /// The muscles that it moves, one bit each.
    pub moves: u64,
    /// Its own cost, independent of the other choices. Lower is better.
    pub own: u32,
    /// Its position, as one bit.
    pub position: u32,
}

/// A pool for a part of a warm-up or cool-down: `count` movements out of a pool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MovementPool {
    /// In the order in which equal choices are taken.
    pub pool: Vec<PoolMovement>,
    pub count: usize,
    /// The movements that must be chosen, by index into the pool.
    pub fixed: Vec<usize>,
}

/// What a choice costs, in order of weight: the summed worth of the bits that are not moved, the sum of the movements'
/// own costs, and the number of different positions.
pub type SelectionCost = (u32, u32, u32);

/// The best choice and its cost: for each pool, the indices into it in rising order. Of equally good choices,
/// the first. None when a pool is too small. `worth` gives the weight of each bit.
pub fn choose(parts: &[MovementPool], worth: &[u32; 64]) -> Option<(Vec<Vec<usize>>, SelectionCost)> {
    let mut search = SelectionSearch { parts, worth, wanted: 0, chosen: vec![Vec::new(); parts.len()], best: None };
    search.wanted = (0..64).filter(|&bit| worth[bit] > 0).fold(0, |bits, bit| bits | 1u64 << bit);
    search.search_pool(0, 0, 0, 0);
    search.best
}

struct SelectionSearch<'a> {
    parts: &'a [MovementPool],
    worth: &'a [u32; 64],
    wanted: u64,
    chosen: Vec<Vec<usize>>,
    best: Option<(Vec<Vec<usize>>, SelectionCost)>,
}

impl SelectionSearch<'_> {
    fn missing(&self, moved: u64) -> u32 {
        let left = self.wanted & !moved;
        (0..64).filter(|bit| left & 1u64 << bit != 0).map(|bit| self.worth[bit]).sum()
    }

    fn search_pool(&mut self, part: usize, moved: u64, own: u32, positions: u32) {
        if part == self.parts.len() {
            let price = (self.missing(moved), own, positions.count_ones());
            if self.best.as_ref().is_none_or(|(_, best)| price < *best) {
                self.best = Some((self.chosen.clone(), price));
            }
            return;
        }
        self.choose_from(part, 0, moved, own, positions);
    }

    fn choose_from(&mut self, part: usize, from: usize, moved: u64, own: u32, positions: u32) {
        let MovementPool { pool, count, fixed } = &self.parts[part];
        let open = count - self.chosen[part].len();
        if open == 0 {
            if fixed.iter().all(|index| self.chosen[part].contains(index)) {
                self.search_pool(part + 1, moved, own, positions);
            }
            return;
        }
        if pool.len() - from < open {
            return;
        }
        let later = self.parts[part + 1..].iter().flat_map(|part| &part.pool);
        let reach = pool[from..].iter().chain(later).fold(moved, |moved, choice| moved | choice.moves);
        let least = (self.missing(reach), own, positions.count_ones());
        if self.best.as_ref().is_some_and(|(_, best)| *best <= least) {
            return;
        }
        let choice = &pool[from];
        self.chosen[part].push(from);
        self.choose_from(part, from + 1, moved | choice.moves, own + choice.own, positions | choice.position);
        self.chosen[part].pop();
        if !fixed.contains(&from) {
            self.choose_from(part, from + 1, moved, own, positions);
        }
    }
}
