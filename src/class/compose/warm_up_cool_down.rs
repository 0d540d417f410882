//! The blocks around the main blocks: the warm-up that prepares for them, and the cool-down after them.

use super::StationPlace;
use super::candidate_pool::{MovementRole, PatternFamily, bits, is_held_stretch, wants_care};
use super::composer::Composer;
use super::pool_selection::{MovementPool, PoolMovement, choose};
use crate::movement::{Movement, Position};

impl Composer<'_> {
    /// The candidates chosen for the warm-up and for the cool-down. None when no warm-up prepares for the main blocks.
    pub(super) fn ends(&self) -> Option<(Vec<usize>, Vec<usize>)> {
        let main: Vec<usize> = self.chosen.concat();
        let [raise, mobilise, potentiate] = self.frame.warm_up.phases();
        let mut taken = main.clone();
        let free = |ties: &[(StationPlace, usize)], taken: &[usize], item: usize| {
            !taken.contains(&item) && self.pool.for_all[item] && !ties.iter().any(|(_, tied)| *tied == item)
        };
        let pool = |role: MovementRole, taken: &[usize], tied: &[(StationPlace, usize)]| -> Vec<usize> {
            let mut pool: Vec<usize> = tied.iter().map(|(_, item)| *item).collect();
            let open = (0..self.items.len()).filter(|&item| {
                free(&self.end_ties, taken, item)
                    && self.may_serve_as(item, role)
                    && !self.barred.contains(&self.pool.movements[item].id)
            });
            let mut open: Vec<usize> = open.collect();
            open.sort_by_key(|&item| self.rank[item]);
            pool.extend(open);
            pool
        };
        let at = |block: usize, from: usize, count: usize| -> Vec<(StationPlace, usize)> {
            let here = |place: &StationPlace| place.block == block && (from..from + count).contains(&place.station);
            self.end_ties.iter().filter(|(place, _)| here(place)).copied().collect()
        };
        let part = |pool: &[usize], tied: &[(StationPlace, usize)], count: usize, own: &dyn Fn(&Movement) -> u32| {
            MovementPool {
                pool: pool.iter().map(|&item| self.choice(item, own)).collect(),
                count,
                fixed: (0..tied.len()).collect(),
            }
        };

        // First, movements that rehearse the patterns of the main blocks.
        let tied = at(0, raise + mobilise, potentiate);
        let ready = pool(MovementRole::Potentiate, &taken, &tied);
        let families: Vec<PatternFamily> =
            main.iter().filter_map(|&item| PatternFamily::of(&self.pool.movements[item])).collect();
        let pattern =
            |movement: &Movement| u32::from(PatternFamily::of(movement).is_none_or(|own| !families.contains(&own)));
        let mut worth = [0; 64];
        for &item in &main {
            each_bit(u64::from(self.items[item].prime), |bit| worth[bit] = 1);
        }
        let (chosen, _) = choose(&[part(&ready, &tied, potentiate, &pattern)], &worth)?;
        let ready = in_order_with_ties(&self.items_chosen(&ready, &chosen[0]), &tied, raise + mobilise, |item| {
            std::cmp::Reverse(lowness(self.pool.movements[item].position))
        });
        taken.extend(&ready);

        let (tied_raise, tied_mobilise) = (at(0, 0, raise), at(0, raise, mobilise));
        let raising = pool(MovementRole::Raise, &taken, &tied_raise);
        let mobilising = pool(MovementRole::Mobilise, &taken, &tied_mobilise);
        let parts = [
            part(&raising, &tied_raise, raise, &|_| 0),
            part(&mobilising, &tied_mobilise, mobilise, &|movement| u32::from(is_held_stretch(movement))),
        ];
        // The muscles that some movement not yet in the class could move.
        let roles = [MovementRole::Raise, MovementRole::Mobilise];
        let could = |item: &usize| !taken.contains(item) && roles.iter().any(|&role| self.may_serve_as(*item, role));
        let could = (0..self.items.len()).filter(|&item| self.pool.for_all[item]).filter(could);
        let can = could.fold(0, |can, item| can | self.choice(item, &|_| 0).moves);
        let mut worth = [0; 64];
        let loaded = main.iter().chain(&ready).fold(0, |bits, &item| bits | self.items[item].prime);
        each_bit(u64::from(loaded), |bit| {
            // A movement with the muscle as a helper is enough; one with the muscle as a prime mover is better.
            worth[bit] = 100;
            worth[bit + HELPS] = 1;
        });
        (0..64).filter(|bit| can & 1 << bit == 0).for_each(|bit| worth[bit] = 0);
        let (chosen, (missing, ..)) = choose(&parts, &worth)?;
        if missing >= 100 {
            return None;
        }
        let by_position = |item: usize| lowness(self.pool.movements[item].position);
        let mut warm_up = in_order_with_ties(&self.items_chosen(&raising, &chosen[0]), &tied_raise, 0, by_position);
        warm_up.extend(in_order_with_ties(
            &self.items_chosen(&mobilising, &chosen[1]),
            &tied_mobilise,
            raise,
            by_position,
        ));
        warm_up.extend(ready);
        taken.extend(&warm_up);

        let count = self.frame.cool_down.stations;
        let tied = at(self.frame.main.blocks + 1, 0, count);
        let easing = pool(MovementRole::CoolDown, &taken, &tied);
        let mut worth = [0; 64];
        for &item in main.iter().filter(|&&item| self.pool.movements[item].loaded) {
            each_bit(u64::from(self.items[item].prime), |bit| worth[bit + HELPS] += 1);
        }
        let still =
            |movement: &Movement| u32::from(!is_held_stretch(movement) && movement.position == Position::Standing);
        let (chosen, _) = choose(&[part(&easing, &tied, count, &still)], &worth)?;
        let cool_down = in_order_with_ties(&self.items_chosen(&easing, &chosen[0]), &tied, 0, by_position);
        Some((warm_up, cool_down))
    }

    fn items_chosen(&self, pool: &[usize], chosen: &[usize]) -> Vec<usize> {
        let mut picked: Vec<usize> = chosen.iter().map(|&index| pool[index]).collect();
        picked.sort_by_key(|&item| self.rank[item]);
        picked
    }

    /// A candidate as a pool movement for the warm-up or cool-down. `own` gives an extra cost.
    fn choice(&self, item: usize, own: &dyn Fn(&Movement) -> u32) -> PoolMovement {
        let movement = &self.pool.movements[item];
        let prime = u64::from(bits(&movement.prime));
        let moves = prime | u64::from(bits(&movement.helping)) | prime << HELPS;
        let takes = u32::from(movement.kit.iter().any(|need| need.item.0 != "mat"));
        let repeat = u32::from(self.request.last.contains(&movement.id));
        let own = 2 * own(movement) + 2 * u32::from(wants_care(movement, self.request)) + 2 * takes + repeat;
        PoolMovement { moves, own, position: 1 << movement.position as u32 }
    }
}

/// The first of the bits that only a prime muscle sets.
const HELPS: usize = 32;

fn each_bit(bits: u64, mut of: impl FnMut(usize)) {
    (0..64).filter(|bit| bits & 1 << bit != 0).for_each(&mut of);
}

/// The order of positions from standing to lying, so that people go down only once.
fn lowness(position: Position) -> u8 {
    match position {
        Position::Standing => 0,
        Position::Seated => 1,
        Position::HalfKneeling => 2,
        Position::Kneeling => 3,
        Position::Quadruped => 4,
        Position::Prone => 5,
        Position::SideLying => 6,
        Position::Supine => 7,
    }
}

/// Stations in order of a key, except those tied to a place. Places are counted from `from`.
fn in_order_with_ties<K: Ord>(
    items: &[usize],
    tied: &[(StationPlace, usize)],
    from: usize,
    key: impl Fn(usize) -> K,
) -> Vec<usize> {
    let mut free: Vec<usize> =
        items.iter().copied().filter(|item| !tied.iter().any(|(_, tied)| tied == item)).collect();
    free.sort_by_key(|&item| key(item));
    let mut free = free.into_iter();
    let at = |index: usize| tied.iter().find(|(place, _)| place.station == from + index).map(|(_, item)| *item);
    (0..items.len()).filter_map(|index| at(index).or_else(|| free.next())).collect()
}
