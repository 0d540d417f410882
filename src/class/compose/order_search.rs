//! The search for one main block: the best movements in the best order. Exact, by branch and bound.
//!
//! The cost of the rest of a block depends only on the places filled, the last station, the first station and the kit
//! used so far. A table over these gives the least cost of any continuation (Held and Karp's dynamic programme, with a
//! choice of movement at each stop). The table may choose one movement twice, so it is a lower bound. The search over
//! real movements then takes the cheapest continuation first, and turns back where the bound shows that nothing better
//! can follow. Its result is the optimum, unless it was stopped after [`MOST_STEPS`]. Then the bound tells how far from
//! the optimum the result may be.

use std::collections::HashMap;

use super::objective::Cost;

/// The number of steps after which the search is stopped.
pub const MOST_STEPS: u64 = 400_000;

/// What matters of a movement for its place in a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationCandidate {
    /// The cost that does not depend on its place.
    pub own: Cost,
    /// The muscles that it loads, one bit each.
    pub prime: u32,
    /// The kit it takes in hand, as a number: equal numbers mean equal kit.
    pub kit: usize,
    /// Its position, as a number.
    pub position: usize,
    pub floor: bool,
    /// The kinds of kit in the room that it uses, one bit each.
    pub uses: u16,
}

/// A station to be filled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenPlace {
    /// The candidates that may fill it.
    pub pool: Vec<usize>,
    /// Its place in the block, from 0. None for any place.
    pub at: Option<usize>,
}

/// A block to be filled.
pub struct BlockProblem<'a> {
    pub items: &'a [StationCandidate],
    pub slots: Vec<OpenPlace>,
    /// Whether the block has several rounds, so that its first station follows its last.
    pub again: bool,
    /// Whether the kit stays where it is and people walk to it: a rotation.
    pub walking: bool,
    /// The kinds of kit that the blocks before it use, one bit each.
    pub used: u16,
    /// The number of kinds of kit that should be in use by the end of this block.
    pub kinds: u32,
    /// Whether two candidates must not be in the same block.
    pub apart: &'a dyn Fn(usize, usize) -> bool,
    /// A rank for each candidate: the order in which equally good candidates are tried.
    pub rank: &'a [u64],
}

/// The verdict on an order that was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OrderVerdict {
    Taken,
    Refused,
    /// Refused, and the search ends.
    Stop,
}

/// The best order that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BestOrder {
    /// The candidates in order of place.
    pub order: Vec<usize>,
    pub cost: Cost,
    /// A lower bound: no accepted order costs less.
    pub bound: Cost,
}

/// The cheapest order that `accept` takes. Of equally cheap orders, the first by rank. None when there is none.
pub fn best(circuit: &BlockProblem, accept: &mut dyn FnMut(&[usize]) -> OrderVerdict) -> Option<BestOrder> {
    let mut walk = OrderSearch {
        table: LowerBoundTable::new(circuit),
        circuit,
        accept,
        order: Vec::new(),
        found: None,
        steps: 0,
        open: Cost::MOST,
        stopped: false,
    };
    walk.extend(0, None, Cost::NOTHING, circuit.used);
    let (found, open) = (walk.found, walk.open);
    found.map(|(order, cost)| BestOrder { order, cost, bound: cost.min(open) })
}

struct OrderSearch<'a, 'c> {
    circuit: &'a BlockProblem<'c>,
    table: LowerBoundTable<'a, 'c>,
    accept: &'a mut dyn FnMut(&[usize]) -> OrderVerdict,
    order: Vec<usize>,
    found: Option<(Vec<usize>, Cost)>,
    steps: u64,
    /// The least cost that an order not looked at could have.
    open: Cost,
    stopped: bool,
}

impl OrderSearch<'_, '_> {
    fn best(&self) -> Cost {
        self.found.as_ref().map_or(Cost::MOST, |(_, cost)| *cost)
    }

    fn extend(&mut self, filled: usize, first: Option<usize>, cost: Cost, used: u16) {
        let circuit = self.circuit;
        if self.order.len() == circuit.slots.len() {
            let cost = cost + circuit.closing_cost(first, self.order.last().copied(), used);
            if cost < self.best() {
                match (self.accept)(&self.order) {
                    OrderVerdict::Taken => self.found = Some((self.order.clone(), cost)),
                    OrderVerdict::Refused => {}
                    OrderVerdict::Stop => self.stopped = true,
                }
            }
            return;
        }
        let mut ways: Vec<(Cost, u64, usize, usize, Cost)> = Vec::new();
        for slot in circuit.next_slots(filled) {
            for &item in &circuit.slots[slot].pool {
                if self.order.iter().any(|&before| before == item || (circuit.apart)(before, item)) {
                    continue;
                }
                let step = circuit.step_cost(self.order.last().copied(), item);
                let (used, first) = (used | circuit.items[item].uses, first.unwrap_or(item));
                let rest = self.table.least_rest(filled | 1 << slot, first, item, used);
                if let Some(rest) = rest {
                    ways.push((cost + step + rest, circuit.rank[item], slot, item, cost + step));
                }
            }
        }
        ways.sort_unstable();
        for (least, _, slot, item, cost) in ways {
            if least >= self.best() {
                break;
            }
            self.steps += 1;
            if self.stopped || self.steps > MOST_STEPS {
                self.open = self.open.min(least);
                break;
            }
            self.order.push(item);
            self.extend(filled | 1 << slot, Some(first.unwrap_or(item)), cost, used | circuit.items[item].uses);
            self.order.pop();
        }
    }
}

impl BlockProblem<'_> {
    /// The open places that may be filled next. In a block with several rounds and no place tied to a position,
    /// any station may count as the first one; the first open place is taken for it.
    fn next_slots(&self, filled: usize) -> impl Iterator<Item = usize> {
        let place = filled.count_ones() as usize;
        let tied = self.slots.iter().any(|slot| slot.at.is_some());
        let fixed = self.slots.iter().any(|slot| slot.at == Some(place));
        let free = |slot: &usize| {
            let own = &self.slots[*slot];
            // Of equal places, the first is filled first.
            let twin = (0..*slot).any(|before| filled & 1 << before == 0 && self.slots[before] == *own);
            filled & 1 << slot == 0
                && !twin
                && if fixed { own.at == Some(place) } else { own.at.is_none() }
                && !(place == 0 && self.again && !tied && *slot > 0)
        };
        (0..self.slots.len()).filter(free).collect::<Vec<_>>().into_iter()
    }

    /// The cost of a candidate that comes after another.
    pub fn step_cost(&self, before: Option<usize>, item: usize) -> Cost {
        self.items[item].own + before.map_or(Cost::NOTHING, |before| self.between(before, item))
    }

    /// The cost of the changes between two candidates that follow each other.
    pub fn between(&self, before: usize, after: usize) -> Cost {
        let (a, b) = (&self.items[before], &self.items[after]);
        let crowded = Cost::crowded(u64::from(a.prime & b.prime != 0));
        let kit = Cost::kit_changes(u64::from(!self.walking && a.kit != b.kit));
        let moves = match (a.position == b.position, a.floor == b.floor) {
            (true, _) => 0,
            (false, true) => 1,
            (false, false) => 2,
        };
        crowded + kit + Cost::moves(moves)
    }

    /// The cost of a whole order.
    pub fn cost(&self, order: &[usize]) -> Cost {
        let steps = order.iter().enumerate().map(|(at, &item)| self.step_cost((at > 0).then(|| order[at - 1]), item));
        let used = order.iter().fold(self.used, |used, &item| used | self.items[item].uses);
        steps.fold(Cost::NOTHING, |sum, step| sum + step)
            + self.closing_cost(order.first().copied(), order.last().copied(), used)
    }

    /// The cost at the end of the block: the way back to the first candidate, and the kinds of kit that should have
    /// been used.
    pub fn closing_cost(&self, first: Option<usize>, last: Option<usize>, used: u16) -> Cost {
        let back = match (first, last) {
            (Some(first), Some(last)) if self.again && first != last => self.between(last, first),
            _ => Cost::NOTHING,
        };
        back + Cost::kit_left(u64::from(self.kinds.saturating_sub(used.count_ones())))
    }
}

/// A table of the least cost of the rest of a block. Candidates that cost the same everywhere form one class.
struct LowerBoundTable<'a, 'c> {
    circuit: &'a BlockProblem<'c>,
    /// The class of each candidate.
    class: Vec<usize>,
    sample: Vec<usize>,
    /// The classes of each open place.
    pools: Vec<Vec<usize>>,
    known: HashMap<(usize, usize, usize, u16), Option<Cost>, QuickHasherBuilder>,
}

impl<'a, 'c> LowerBoundTable<'a, 'c> {
    fn new(circuit: &'a BlockProblem<'c>) -> LowerBoundTable<'a, 'c> {
        let mut sample: Vec<usize> = Vec::new();
        let mut class = Vec::new();
        let pooled: Vec<bool> =
            (0..circuit.items.len()).map(|item| circuit.slots.iter().any(|slot| slot.pool.contains(&item))).collect();
        for (index, item) in circuit.items.iter().enumerate() {
            let known = sample.iter().position(|&other| circuit.items[other] == *item);
            class.push(known.unwrap_or_else(|| {
                if pooled[index] {
                    sample.push(index);
                }
                sample.len().saturating_sub(1)
            }));
        }
        let pools = circuit.slots.iter().map(|slot| {
            let mut classes: Vec<usize> = slot.pool.iter().map(|&item| class[item]).collect();
            classes.sort_unstable();
            classes.dedup();
            classes
        });
        LowerBoundTable { pools: pools.collect(), circuit, class, sample, known: HashMap::default() }
    }

    /// The least cost from here on. None when the block cannot be completed.
    fn least_rest(&mut self, filled: usize, first: usize, last: usize, used: u16) -> Option<Cost> {
        self.compute_rest(filled, self.class[first], self.class[last], used)
    }

    fn compute_rest(&mut self, filled: usize, first: usize, last: usize, used: u16) -> Option<Cost> {
        let circuit = self.circuit;
        if filled.count_ones() as usize == circuit.slots.len() {
            let (first, last) = (self.sample[first], self.sample[last]);
            // First and last may be two candidates of one class, which are then neighbours.
            let back =
                if circuit.again && circuit.slots.len() > 1 { circuit.between(last, first) } else { Cost::NOTHING };
            return Some(back + circuit.closing_cost(None, None, used));
        }
        // With one round, the first station does not matter any more.
        let key = (filled, if circuit.again { first } else { 0 }, last, used);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let mut least: Option<Cost> = None;
        for slot in circuit.next_slots(filled) {
            for at in 0..self.pools[slot].len() {
                let class = self.pools[slot][at];
                let item = self.sample[class];
                let step = circuit.step_cost(Some(self.sample[last]), item);
                let rest = self.compute_rest(filled | 1 << slot, first, class, used | circuit.items[item].uses);
                if let Some(cost) = rest.map(|rest| step + rest) {
                    least = Some(least.map_or(cost, |least| least.min(cost)));
                }
            }
        }
        self.known.insert(key, least);
        least
    }
}

type QuickHasherBuilder = std::hash::BuildHasherDefault<QuickHasher>;

/// A fast hash of a few small numbers, because the table is read millions of times.
#[derive(Default)]
struct QuickHasher(u64);

impl std::hash::Hasher for QuickHasher {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|&byte| self.write_usize(byte.into()));
    }

    fn write_u16(&mut self, number: u16) {
        self.write_usize(number.into());
    }

    fn write_usize(&mut self, number: usize) {
        self.0 = (self.0.rotate_left(5) ^ number as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }
}
