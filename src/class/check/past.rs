//! The classes before this one, as far as rules need them. The caller passes them in: no rule reads a journal or a
//! clock.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use crate::movement::{Movement, Muscle};
use crate::schedule::{Schedule, SpanPurpose};
use crate::session::{Session, Station};
use crate::time::Tick;
use crate::training_volume::{shares, span_work_between};

/// How many nights loaded muscles rest when the coach has set nothing. An estimate from common practice.
pub const NIGHTS: u8 = 2;

/// The classes before this one.
#[derive(Clone, Debug, PartialEq)]
pub struct PastClasses {
    /// The day on which the checked class will be led.
    pub today: Date,
    /// How many nights loaded muscles rest.
    pub nights: u8,
    /// In order of time, including classes led earlier today.
    pub classes: Vec<PastClass>,
}

/// A class that was led.
#[derive(Clone, Debug, PartialEq)]
pub struct PastClass {
    pub title: String,
    /// The day on which it began, in local time.
    pub day: Date,
    pub work: Vec<PastWork>,
    /// The session, with the changes made while it was led.
    pub session: Arc<Session>,
}

/// How long each person worked at a movement.
#[derive(Clone, Debug, PartialEq)]
pub struct PastWork {
    /// The movement that was shown: after a swap, the new one.
    pub movement: Arc<Movement>,
    /// Work time of both sides together, without settle and switches.
    pub time: Tick,
}

/// How long each person has worked in a class until a tick, by movement, in order of first work.
///
/// When people do different stations in one span, or work at their own pace, each station gets an equal share of the
/// span. This is exact once all turns are over, and an estimate before that.
pub fn work_until(schedule: &Schedule, until: Tick) -> Vec<PastWork> {
    work_between(schedule, Tick::ZERO, until)
}

/// The same for the spans that start at or after a tick, for a class that was begun part-way through.
pub fn work_between(schedule: &Schedule, from: Tick, until: Tick) -> Vec<PastWork> {
    let mut work: Vec<PastWork> = Vec::new();
    let mut add = |station: &Station, time: Tick| match work
        .iter_mut()
        .find(|worked| Arc::ptr_eq(&worked.movement, &station.movement) || worked.movement == station.movement)
    {
        Some(worked) => worked.time += time,
        None => work.push(PastWork { movement: Arc::clone(&station.movement), time }),
    };
    let from_there = schedule.spans.iter().filter(|span| span.start >= from);
    for span in from_there.filter(|span| span.purpose == SpanPurpose::Work) {
        let time = span_work_between(span, from, until);
        shares(schedule.block_of(span), span.activity, time).into_iter().for_each(|(station, time)| add(station, time));
    }
    work.retain(|worked| worked.time > Tick::ZERO);
    work
}

/// How long each muscle was a prime mover under load.
pub fn loaded_muscles(work: &[PastWork]) -> BTreeMap<Muscle, Tick> {
    let mut times: BTreeMap<Muscle, Tick> = BTreeMap::new();
    for worked in work.iter().filter(|worked| worked.movement.loaded) {
        for &muscle in &worked.movement.prime {
            *times.entry(muscle).or_insert(Tick::ZERO) += worked.time;
        }
    }
    times
}
