//! Where a class is recorded.

use super::conductor::Conductor;
use super::happening::Told;

/// While class time runs, it is recorded at least this often, in milliseconds of class time. So a class that is cut off
/// resumes less than a second behind.
pub const BEAT: u64 = 500;

/// Records a class while it is led.
pub trait Keeper<L = Conductor> {
    /// Records what happened, before anybody is told.
    fn keep(&mut self, told: &Told, led: &L);

    /// Called before the result of a step is shown. Returns after how many milliseconds of the clock it wants to be
    /// called again. None if nothing is due by itself.
    fn stepped(&mut self, led: &L) -> Option<u64>;
}

/// Records nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unkept;

impl<L> Keeper<L> for Unkept {
    fn keep(&mut self, _: &Told, _: &L) {}

    fn stepped(&mut self, _: &L) -> Option<u64> {
        None
    }
}

/// Records if there is a keeper.
impl<L, K: Keeper<L>> Keeper<L> for Option<K> {
    fn keep(&mut self, told: &Told, led: &L) {
        if let Some(keeper) = self {
            keeper.keep(told, led);
        }
    }

    fn stepped(&mut self, led: &L) -> Option<u64> {
        self.as_mut()?.stepped(led)
    }
}
