//! A cache of placements: after a live change, most of the spans still to come only move.

use std::cell::RefCell;
use std::collections::HashMap;

use super::planner::{UnitPlacement, plan};
use super::planning_unit::{PlacedCue, PlanningUnit};

/// The most placements that are kept: more than a class of three hours needs.
const MOST: usize = 4_096;

thread_local! {
    /// Placements by unit, with each unit moved to the beginning of the class.
    static KNOWN: RefCell<HashMap<PlanningUnit, UnitPlacement>> = RefCell::default();
}

/// The result of [`plan`] for a unit. The result does not depend on where in the class the unit is, so it is computed
/// once.
pub(super) fn cached_placement(unit: &PlanningUnit) -> UnitPlacement {
    let by = unit.first();
    let first = unit.earlier(by);
    let known = KNOWN.with_borrow(|known| known.get(&first).cloned());
    let mut placement = known.unwrap_or_else(|| {
        let found = plan(&first);
        KNOWN.with_borrow_mut(|known| {
            if known.len() >= MOST {
                known.clear();
            }
            known.insert(first, found.clone());
        });
        found
    });
    for placed in placement.placed.iter_mut().flatten() {
        *placed = PlacedCue { at: placed.at + by, ..*placed };
    }
    placement
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::planning_unit::{FixedSound, GRID, WantedCue};
    use super::*;
    use crate::time::Tick;

    fn any_unit() -> impl Strategy<Value = PlanningUnit> {
        let tick = |most: u64| (0..most).prop_map(Tick);
        let wish = (0u8..4, tick(30_000), tick(30_000), 500u64..4_000, prop::option::of(300u64..2_000));
        let wish = wish.prop_map(|(rank, from, ideal, full, terse)| WantedCue {
            rank,
            window: Tick(5_000) + from..Tick(45_000),
            ideal: Tick(5_000) + ideal,
            full: Tick(full),
            terse: terse.map(Tick),
        });
        let fixed = (tick(45_000), 80u64..1_500, any::<bool>());
        let fixed = fixed.prop_map(|(at, length, speech)| FixedSound { sounds: at..at + Tick(length), speech });
        (prop::collection::vec(wish, 0..4), prop::collection::vec(fixed, 0..4), 0u8..=100).prop_map(
            |(wishes, fixed, talk_room)| PlanningUnit {
                within: Tick(5_000)..Tick(45_000),
                work: Tick(5_000)..Tick(37_000),
                fixed,
                talk_room,
                step: GRID,
                wanted: wishes,
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

        /// The cache gives the same placement as the planner, the first time and later, at any place of the unit in the
        /// class.
        #[test]
        fn a_cached_placement_is_the_planned_one(unit in any_unit(), later in 0u64..5_400_000) {
            prop_assert_eq!(cached_placement(&unit), plan(&unit));
            let range = |range: &std::ops::Range<Tick>| range.start + Tick(later)..range.end + Tick(later);
            let moved = PlanningUnit {
                within: range(&unit.within),
                work: range(&unit.work),
                fixed: unit.fixed.iter().map(|it| FixedSound { sounds: range(&it.sounds), ..it.clone() }).collect(),
                wanted: (unit.wanted.iter())
                    .map(|it| WantedCue { window: range(&it.window), ideal: it.ideal + Tick(later), ..it.clone() })
                    .collect(),
                ..unit
            };
            prop_assert_eq!(cached_placement(&moved), plan(&moved));
        }
    }
}
