//! Where what happens in a class is written down.

use super::conductor::Conductor;
use super::happening::Told;

/// Class time is written down at least this often while it runs, in milliseconds of it: a class that breaks off is then
/// taken up less than a second behind.
pub const BEAT: u64 = 500;

/// Writes down a class while it is led.
pub trait Keeper<L = Conductor> {
    /// Takes what happened, before anybody is told.
    fn keep(&mut self, told: &Told, led: &L);

    /// What happened in this step is about to be shown. Gives back in how many milliseconds of the clock it wants to
    /// be asked again; None where nothing is due by itself.
    fn stepped(&mut self, led: &L) -> Option<u64>;
}

/// Nothing is written down.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unkept;

impl<L> Keeper<L> for Unkept {
    fn keep(&mut self, _: &Told, _: &L) {}

    fn stepped(&mut self, _: &L) -> Option<u64> {
        None
    }
}

/// Written down where that can be done.
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
