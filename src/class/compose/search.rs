//! The best order of the best movements for one main block: exact, by branch and bound.
//!
//! What is left of a block costs the same however one came to it, so a table over (places filled, last station, first
//! station, kit used so far) gives the least that any way on can cost: Held and Karp's walk with a choice of movement at
//! each stop. The table lets one movement be chosen twice, so it is a lower bound; the walk over real movements that
//! follows takes the cheapest way first and turns back where the bound says that nothing better can come. What it
//! ends with is the optimum, unless it was stopped after [`MOST_STEPS`]; then the bound tells how far off it can be.

use std::collections::HashMap;

use super::objective::Cost;

/// Steps after which the walk is stopped.
pub const MOST_STEPS: u64 = 400_000;

/// A movement as far as its place in a block goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What it costs wherever it stands.
    pub own: Cost,
    /// The muscles that it loads, a bit each.
    pub prime: u32,
    /// Which handful of kit it takes; equal numbers are equal kit.
    pub kit: usize,
    /// Its position, a number each, and whether that is on the floor.
    pub position: usize,
    pub floor: bool,
    /// The kinds of kit in the room that it uses, a bit each.
    pub uses: u16,
}

/// A station of a block that is to be filled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slot {
    /// The items that may stand there.
    pub pool: Vec<usize>,
    /// Where in the block it has to be, from 0; None for anywhere.
    pub at: Option<usize>,
}

/// A block that is to be filled.
pub struct Circuit<'a> {
    pub items: &'a [Item],
    pub slots: Vec<Slot>,
    /// It is gone through more than once: the last station leads to the first.
    pub again: bool,
    /// The kit stays where it is and people walk: a rotation.
    pub walking: bool,
    /// The kinds of kit that the blocks before it used.
    pub used: u16,
    /// So many kinds should have been used when it is over.
    pub kinds: u32,
    /// Which items do not go together.
    pub apart: &'a dyn Fn(usize, usize) -> bool,
    /// The order in which equal ways are tried: a rank for each item.
    pub rank: &'a [u64],
}

/// What becomes of an order that was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    Taken,
    Refused,
    /// Looking further is of no use.
    Stop,
}

/// The best that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The items by place.
    pub order: Vec<usize>,
    pub cost: Cost,
    /// Nothing that is accepted costs less.
    pub bound: Cost,
}

/// The cheapest order that `accept` takes; of equally cheap ones the first by rank. None where there is none.
pub fn best(circuit: &Circuit, accept: &mut dyn FnMut(&[usize]) -> Verdict) -> Option<Found> {
    let mut walk = Walk {
        table: Table::new(circuit),
        circuit,
        accept,
        order: Vec::new(),
        found: None,
        steps: 0,
        open: Cost::MOST,
        stopped: false,
    };
    walk.on(0, None, Cost::NOTHING, circuit.used);
    let (found, open) = (walk.found, walk.open);
    found.map(|(order, cost)| Found { order, cost, bound: cost.min(open) })
}

struct Walk<'a, 'c> {
    circuit: &'a Circuit<'c>,
    table: Table<'a, 'c>,
    accept: &'a mut dyn FnMut(&[usize]) -> Verdict,
    order: Vec<usize>,
    found: Option<(Vec<usize>, Cost)>,
    steps: u64,
    /// The least that something left unlooked at could cost.
    open: Cost,
    stopped: bool,
}

impl Walk<'_, '_> {
    fn best(&self) -> Cost {
        self.found.as_ref().map_or(Cost::MOST, |(_, cost)| *cost)
    }

    fn on(&mut self, filled: usize, first: Option<usize>, cost: Cost, used: u16) {
        let circuit = self.circuit;
        if self.order.len() == circuit.slots.len() {
            let cost = cost + circuit.closing(first, self.order.last().copied(), used);
            if cost < self.best() {
                match (self.accept)(&self.order) {
                    Verdict::Taken => self.found = Some((self.order.clone(), cost)),
                    Verdict::Refused => {}
                    Verdict::Stop => self.stopped = true,
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
                let step = circuit.step(self.order.last().copied(), item);
                let (used, first) = (used | circuit.items[item].uses, first.unwrap_or(item));
                let rest = self.table.rest(filled | 1 << slot, first, item, used);
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
            self.on(filled | 1 << slot, Some(first.unwrap_or(item)), cost, used | circuit.items[item].uses);
            self.order.pop();
        }
    }
}

impl Circuit<'_> {
    /// The slots that may be filled next. Where the block goes round and nothing is tied to a place, any station may be
    /// called its first: the first slot is.
    fn next_slots(&self, filled: usize) -> impl Iterator<Item = usize> {
        let place = filled.count_ones() as usize;
        let tied = self.slots.iter().any(|slot| slot.at.is_some());
        let fixed = self.slots.iter().any(|slot| slot.at == Some(place));
        let free = |slot: &usize| {
            let own = &self.slots[*slot];
            // Of equal slots the first is filled first.
            let twin = (0..*slot).any(|before| filled & 1 << before == 0 && self.slots[before] == *own);
            filled & 1 << slot == 0
                && !twin
                && if fixed { own.at == Some(place) } else { own.at.is_none() }
                && !(place == 0 && self.again && !tied && *slot > 0)
        };
        (0..self.slots.len()).filter(free).collect::<Vec<_>>().into_iter()
    }

    /// What an item costs after another.
    pub fn step(&self, before: Option<usize>, item: usize) -> Cost {
        self.items[item].own + before.map_or(Cost::NOTHING, |before| self.between(before, item))
    }

    /// What changes between two items that follow each other.
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

    /// What a whole order costs.
    pub fn cost(&self, order: &[usize]) -> Cost {
        let steps = order.iter().enumerate().map(|(at, &item)| self.step((at > 0).then(|| order[at - 1]), item));
        let used = order.iter().fold(self.used, |used, &item| used | self.items[item].uses);
        steps.fold(Cost::NOTHING, |sum, step| sum + step)
            + self.closing(order.first().copied(), order.last().copied(), used)
    }

    /// What the end of the block costs: the way back, and kit that should have been used and was not.
    pub fn closing(&self, first: Option<usize>, last: Option<usize>, used: u16) -> Cost {
        let back = match (first, last) {
            (Some(first), Some(last)) if self.again && first != last => self.between(last, first),
            _ => Cost::NOTHING,
        };
        back + Cost::kit_left(u64::from(self.kinds.saturating_sub(used.count_ones())))
    }
}

/// The least that the rest of a block can cost, by class of item: items that cost the same everywhere are one class.
struct Table<'a, 'c> {
    circuit: &'a Circuit<'c>,
    /// The class of each item, and an item of each class.
    class: Vec<usize>,
    sample: Vec<usize>,
    /// The classes of each slot.
    pools: Vec<Vec<usize>>,
    known: HashMap<(usize, usize, usize, u16), Option<Cost>, Mixer>,
}

impl<'a, 'c> Table<'a, 'c> {
    fn new(circuit: &'a Circuit<'c>) -> Table<'a, 'c> {
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
        Table { pools: pools.collect(), circuit, class, sample, known: HashMap::default() }
    }

    /// The least cost from here on; None where there is no way on.
    fn rest(&mut self, filled: usize, first: usize, last: usize, used: u16) -> Option<Cost> {
        self.of(filled, self.class[first], self.class[last], used)
    }

    fn of(&mut self, filled: usize, first: usize, last: usize, used: u16) -> Option<Cost> {
        let circuit = self.circuit;
        if filled.count_ones() as usize == circuit.slots.len() {
            let (first, last) = (self.sample[first], self.sample[last]);
            // A class may stand for two items here, which then are next to each other.
            let back =
                if circuit.again && circuit.slots.len() > 1 { circuit.between(last, first) } else { Cost::NOTHING };
            return Some(back + circuit.closing(None, None, used));
        }
        // Where nothing leads back, the first station does not matter any more.
        let key = (filled, if circuit.again { first } else { 0 }, last, used);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let mut least: Option<Cost> = None;
        for slot in circuit.next_slots(filled) {
            for at in 0..self.pools[slot].len() {
                let class = self.pools[slot][at];
                let item = self.sample[class];
                let step = circuit.step(Some(self.sample[last]), item);
                let rest = self.of(filled | 1 << slot, first, class, used | circuit.items[item].uses);
                if let Some(cost) = rest.map(|rest| step + rest) {
                    least = Some(least.map_or(cost, |least| least.min(cost)));
                }
            }
        }
        self.known.insert(key, least);
        least
    }
}

type Mixer = std::hash::BuildHasherDefault<Mix>;

/// A quick hash of a few small numbers; the table is asked millions of times.
#[derive(Default)]
struct Mix(u64);

impl std::hash::Hasher for Mix {
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
