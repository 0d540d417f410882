//! What a good class is: the objective that composing searches by, written down here and nowhere else.
//!
//! **Hard.** A class that breaks one of these is no draft:
//! - it fits the slot (`check`);
//! - the kit is there for everybody who needs it at once (`check`);
//! - whoever minds a region has something else to do, with kit that is there too (usual cautions; no medical advice);
//! - it begins with a warm-up in the order raise, mobilise, potentiate (Jeffreys 2007) and ends with a cool-down;
//! - mobilisation before load: what a main block loads was moved in the warm-up, where any movement that can stand there
//!   moves it (common practice);
//! - no movement comes twice, and no two main stations are a tier of each other (our estimate of variety);
//! - every station has an easier tier, and no rule of `check`, advice among it, is broken at warning level.
//!
//! **Then, in this order**, each weighed only where all before it are equal:
//! 1. *pattern balance*: the stations of the main blocks are spread over knee (squat, lunge), push, hinge, pull, trunk
//!    (brace, rotate) and travel (carry, locomotion) as evenly as the pools allow; an odd one goes where it can work what
//!    was asked for (common practice; the six families are our estimate). Neighbours that load the same prime muscle are fewest;
//! 2. *muscles asked for*: a station that has one as a prime muscle counts in full, one in which it helps by half;
//! 3. *the aim* (our estimate): for strength, stations with a weight or a band; for conditioning, no still holds. And stations
//!    for which somebody who minds a region needs another movement are fewest;
//! 4. *the kit in the room is used*, spread over the blocks;
//! 5. *fewest changes*: first of kit, then of position, down to the floor and up counting double, in one pass with the
//!    way back. What they cost in seconds the rests pay for, so that they are counted, not timed;
//! 6. *few repeats* of the last class;
//! 7. *variety*: the seed orders the movements, and of equal classes the first in that order is taken.
//!
//! The spread over the families is chosen first. Main blocks are then composed one after the other, each the best that there
//! is beside those before it; then the warm-up that prepares for them, then the cool-down that eases what they loaded.
//! Within each of these the search is exact, unless it is stopped after its most steps: the draft then says by how much it can be
//! off. A class that a rule refuses is left for the next best.

use std::ops::Add;

/// A cost by the objective: its parts side by side in one number, the weightier higher, so that comparing numbers compares
/// part after part. A block has at most a dozen stations: no part reaches 256.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Cost(u64);

impl Cost {
    pub const NOTHING: Cost = Cost(0);
    /// More than any block costs.
    pub const MOST: Cost = Cost(u64::MAX);

    /// Neighbours that load the same prime muscle.
    pub fn crowded(count: u64) -> Cost {
        Cost(count << 56)
    }

    /// Half stations short of the muscles asked for.
    pub fn off_focus(halves: u64) -> Cost {
        Cost(halves << 48)
    }

    /// Stations that do little for the aim.
    pub fn off_aim(count: u64) -> Cost {
        Cost(count << 40)
    }

    /// Stations for which somebody needs another movement.
    pub fn care(count: u64) -> Cost {
        Cost(count << 32)
    }

    /// Kinds of kit that should have been used by now.
    pub fn kit_left(count: u64) -> Cost {
        Cost(count << 24)
    }

    /// Changes of kit.
    pub fn kit_changes(count: u64) -> Cost {
        Cost(count << 16)
    }

    /// Changes of position, to and from the floor counting double.
    pub fn moves(count: u64) -> Cost {
        Cost(count << 8)
    }

    /// Stations of the last class.
    pub fn repeats(count: u64) -> Cost {
        Cost(count)
    }

    /// Each part with its name, in order of weight: for tests and for whoever wants to know.
    pub fn parts(self) -> [(&'static str, u64); 8] {
        let part = |shift: u32| self.0 >> shift & 0xff;
        [
            ("neighbours that load the same", part(56)),
            ("halves short of the muscles asked for", part(48)),
            ("stations off the aim", part(40)),
            ("stations that want care", part(32)),
            ("kit left lying", part(24)),
            ("changes of kit", part(16)),
            ("changes of position", part(8)),
            ("repeats of the last class", part(0)),
        ]
    }
}

impl Add for Cost {
    type Output = Cost;

    fn add(self, other: Cost) -> Cost {
        Cost(self.0.saturating_add(other.0))
    }
}
