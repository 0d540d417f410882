//! The warm-up and the cool-down: so many movements of each pool that together move the muscles they are for. Exact,
//! by going through all choices and turning back where nothing better can come.

/// A movement as far as a warm-up or a cool-down goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What it moves, a bit each.
    pub moves: u64,
    /// How little it suits, whatever else is chosen.
    pub own: u32,
    /// Its position, a bit each.
    pub position: u32,
}

/// A part of it: so many of these.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// In the order in which equal ones are taken.
    pub pool: Vec<Choice>,
    pub count: usize,
    /// These are among them, by index into the pool.
    pub fixed: Vec<usize>,
}

/// What a choice costs, weightiest first: what is not moved (each as often as it is worth), how little the chosen suit,
/// and how many positions they need.
pub type Price = (u32, u32, u32);

/// The best choice: for each part the indices into its pool, in rising order; and its price. Of equally good ones, the
/// first. None where a pool is too small. `worth` gives the weight of each bit.
pub fn choose(parts: &[Part], worth: &[u32; 64]) -> Option<(Vec<Vec<usize>>, Price)> {
    let mut search = Search { parts, worth, wanted: 0, chosen: vec![Vec::new(); parts.len()], best: None };
    search.wanted = (0..64).filter(|&bit| worth[bit] > 0).fold(0, |bits, bit| bits | 1u64 << bit);
    search.part(0, 0, 0, 0);
    search.best
}

struct Search<'a> {
    parts: &'a [Part],
    worth: &'a [u32; 64],
    wanted: u64,
    chosen: Vec<Vec<usize>>,
    best: Option<(Vec<Vec<usize>>, Price)>,
}

impl Search<'_> {
    fn missing(&self, moved: u64) -> u32 {
        let left = self.wanted & !moved;
        (0..64).filter(|bit| left & 1u64 << bit != 0).map(|bit| self.worth[bit]).sum()
    }

    fn part(&mut self, part: usize, moved: u64, own: u32, positions: u32) {
        if part == self.parts.len() {
            let price = (self.missing(moved), own, positions.count_ones());
            if self.best.as_ref().is_none_or(|(_, best)| price < *best) {
                self.best = Some((self.chosen.clone(), price));
            }
            return;
        }
        self.from(part, 0, moved, own, positions);
    }

    fn from(&mut self, part: usize, from: usize, moved: u64, own: u32, positions: u32) {
        let Part { pool, count, fixed } = &self.parts[part];
        let open = count - self.chosen[part].len();
        if open == 0 {
            if fixed.iter().all(|index| self.chosen[part].contains(index)) {
                self.part(part + 1, moved, own, positions);
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
        self.from(part, from + 1, moved | choice.moves, own + choice.own, positions | choice.position);
        self.chosen[part].pop();
        if !fixed.contains(&from) {
            self.from(part, from + 1, moved, own, positions);
        }
    }
}
