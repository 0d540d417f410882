//! The frame of a class: its blocks, the number of their stations and all lengths, worked out from the slot and the
//! aim.
//!
//! All lengths are our estimates of common practice, within the ranges of these sources: 5 to 10 min each for a warm-up
//! and a cool-down (ACSM's Guidelines, from memory; sources differ); rests of 1 to 2 min between sets of one lift in
//! strength work (ACSM position stand 2009; in a circuit, the other stations count as rest).

use super::ClassAim;
use crate::time::Tick;

/// The shortest and the longest class that can be composed.
pub(super) const SHORTEST: Tick = Tick::seconds(10 * 60);
pub(super) const LONGEST: Tick = Tick::seconds(120 * 60);

/// The briefing before each main block, in which the coach shows its stations.
pub(super) const BRIEFING: Tick = Tick::seconds(30);
/// The rest after each block, to drink and put kit away.
pub(super) const AFTER: Tick = Tick::seconds(60);
/// The rest between two rounds.
pub(super) const ROUND_REST: Tick = Tick::seconds(60);

/// The parts of a class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ClassFrame {
    pub warm_up: EndBlockFrame,
    pub main: MainBlocksFrame,
    pub cool_down: EndBlockFrame,
}

/// A warm-up or a cool-down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct EndBlockFrame {
    pub stations: usize,
    pub work: Tick,
}

/// The main blocks. All have the same frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct MainBlocksFrame {
    pub blocks: usize,
    /// The number of stations in each block.
    pub stations: usize,
    pub rounds: u32,
    pub work: Tick,
    /// The rest between two stations.
    pub rest: Tick,
}

impl ClassFrame {
    /// How long the class takes.
    pub(super) fn total(&self) -> Tick {
        let end = |end: &EndBlockFrame| Tick(end.work.0 * end.stations as u64);
        let (stations, rounds) = (self.main.stations as u64, u64::from(self.main.rounds));
        let round = stations * self.main.work.0 + (stations - 1) * self.main.rest.0;
        let block = BRIEFING.0 + rounds * round + (rounds - 1) * ROUND_REST.0 + AFTER.0;
        end(&self.warm_up) + AFTER + Tick(self.main.blocks as u64 * block) + end(&self.cool_down)
    }
}

/// The frames that fit a slot, the best first. Best are those that leave the least of the slot unused, to the minute.
/// Among these, three rounds come before two, then four, then one; five stations come before four and six.
pub(super) fn frames(slot: Tick, aim: ClassAim) -> Vec<ClassFrame> {
    // A reserve, because something always takes longer than planned.
    let reserve = Tick((slot.0 / 50).max(Tick::seconds(30).0));
    let room = slot.saturating_sub(reserve);
    let (warm_up, cool_down) = (end(slot, 14, 40, 6, 10), end(slot, 12, 45, 3, 8));
    let (work, rest) = match aim {
        ClassAim::Strength => (Tick::seconds(40), Tick::seconds(60)),
        ClassAim::Conditioning => (Tick::seconds(40), Tick::seconds(20)),
    };
    let mut frames = Vec::new();
    for blocks in 1..=4 {
        for stations in 4..=6 {
            for rounds in 1..=4 {
                let main = MainBlocksFrame { blocks, stations, rounds, work, rest };
                frames.push(ClassFrame { warm_up, main, cool_down });
            }
        }
    }
    frames.retain(|frame| frame.total() <= room);
    frames.sort_by_key(|frame| {
        let MainBlocksFrame { blocks, stations, rounds, .. } = frame.main;
        (
            room.saturating_sub(frame.total()).0 / Tick::MINUTE.0,
            rounds.abs_diff(3),
            rounds > 3,
            stations.abs_diff(5),
            blocks,
        )
    });
    frames
}

/// A warm-up or cool-down that takes `percent` % of the slot, in stations of about `seconds` seconds.
fn end(slot: Tick, percent: u64, seconds: u64, fewest: usize, most: usize) -> EndBlockFrame {
    let whole = (slot.0 * percent / 100).min(Tick::seconds(10 * 60).0) / 1000;
    let stations = ((whole / seconds) as usize).clamp(fewest, most);
    let work = (whole / stations as u64 / 5 * 5).clamp(20, 60);
    EndBlockFrame { stations, work: Tick::seconds(work) }
}

impl EndBlockFrame {
    /// The number of warm-up stations that raise, mobilise and potentiate.
    pub(super) fn phases(&self) -> [usize; 3] {
        let raise = if self.stations < 6 { 1 } else { 2 };
        let potentiate = if self.stations < 8 { 1 } else { 2 };
        [raise, self.stations - raise - potentiate, potentiate]
    }
}
