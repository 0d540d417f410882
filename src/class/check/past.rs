//! What the classes before this one were, as far as a rule asks. It is handed in: no rule reads a journal or a clock.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use crate::movement::{Movement, Muscle};
use crate::schedule::{Purpose, Schedule};
use crate::session::{Session, Station};
use crate::time::Tick;
use crate::volume::{shares, worked_in};

/// So many nights the same muscles rest where the coach has set nothing; common practice, an estimate.
pub const NIGHTS: u8 = 2;

/// The classes before this one.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// The day on which the class at hand is to be led.
    pub today: Date,
    /// How many nights loaded muscles rest.
    pub nights: u8,
    /// In order of time. What was led today is among them.
    pub classes: Vec<PastClass>,
}

/// A class that was led.
#[derive(Clone, Debug, PartialEq)]
pub struct PastClass {
    pub title: String,
    /// The day on which it began, where it was led.
    pub day: Date,
    pub work: Vec<Worked>,
    /// With the changes that were made in it.
    pub session: Arc<Session>,
}

/// How long each person did a movement.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// As it was shown: what stood in for another, where something did.
    pub movement: Arc<Movement>,
    /// Without settle and switches, both sides together.
    pub time: Tick,
}

/// What each person has worked in a class until a tick, by movement in the order of first work.
///
/// Where people do different stations in one span, or each at their own pace, the stations share it alike: over all
/// turns that is what each person did, of a part of them an estimate.
pub fn worked(schedule: &Schedule, until: Tick) -> Vec<Worked> {
    worked_between(schedule, Tick::ZERO, until)
}

/// The same of the spans from a tick on: of a class that did not begin at its beginning.
pub fn worked_between(schedule: &Schedule, from: Tick, until: Tick) -> Vec<Worked> {
    let mut work: Vec<Worked> = Vec::new();
    let mut add = |station: &Station, time: Tick| match work
        .iter_mut()
        .find(|worked| Arc::ptr_eq(&worked.movement, &station.movement) || worked.movement == station.movement)
    {
        Some(worked) => worked.time += time,
        None => work.push(Worked { movement: Arc::clone(&station.movement), time }),
    };
    let from_there = schedule.spans.iter().filter(|span| span.start >= from);
    for span in from_there.filter(|span| span.purpose == Purpose::Work) {
        let time = worked_in(span, from, until);
        shares(schedule.block_of(span), span.doing, time).into_iter().for_each(|(station, time)| add(station, time));
    }
    work.retain(|worked| worked.time > Tick::ZERO);
    work
}

/// How long each prime muscle worked under load.
pub fn loaded(work: &[Worked]) -> BTreeMap<Muscle, Tick> {
    let mut times: BTreeMap<Muscle, Tick> = BTreeMap::new();
    for worked in work.iter().filter(|worked| worked.movement.loaded) {
        for &muscle in &worked.movement.prime {
            *times.entry(muscle).or_insert(Tick::ZERO) += worked.time;
        }
    }
    times
}
