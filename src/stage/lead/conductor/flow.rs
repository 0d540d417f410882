//! How class time runs, stands still, and comes to gates and to the end.

use std::time::Duration;

use super::{Conductor, ConductorState, Effect};
use crate::runtime::ClockTime;
use class::cue::ReplanPoint;
use class::time::Tick;
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Lets everything happen that was due by the last reading, each at its own time.
    pub(super) fn catch_up(&mut self) {
        if self.message.as_ref().is_some_and(|(_, until)| *until <= self.clock()) {
            self.message = None;
        }
        self.expire_offers();
        loop {
            match self.state {
                ConductorState::Ready { begins: Some(begins), .. } if begins <= self.clock() => {
                    self.run(begins);
                    self.play();
                }
                ConductorState::Ready { begins: Some(begins), .. }
                    if begins <= self.clock().after(self.first_count_in()) =>
                {
                    self.begin_class(begins);
                }
                ConductorState::CountIn { until, pips_from, .. } if until <= self.clock() => {
                    self.run(until);
                    if pips_from.is_some() {
                        self.play();
                    }
                }
                ConductorState::CountIn { pips_from: Some(from), .. } if from <= self.clock() => self.play(),
                ConductorState::Running => {
                    let stop = self.gate().map_or(self.schedule().total(), |gate| self.schedule().spans[gate].start);
                    let now = self.now();
                    self.tell_until(now.min(stop));
                    match self.class.clock_time_of(stop) {
                        Some(at) if at <= self.clock() => self.reach_halt(at),
                        _ => return,
                    }
                }
                _ => return,
            }
        }
    }

    /// Starts a count-in: class time runs from `until` on.
    pub(super) fn count_in(&mut self, until: ClockTime) {
        let length = until.since(self.clock());
        let halted_since = self.state.halted_since();
        self.state = ConductorState::CountIn { until, pips_from: None, halted_since };
        self.tell(Happening::CountIn { length });
        self.play();
    }

    /// Lets class time run, since a time on the clock that may be a little in the past.
    pub(super) fn run(&mut self, since: ClockTime) {
        let halted_since = self.state.halted_since();
        self.state = ConductorState::Running;
        if let Some(halted_since) = halted_since {
            let after = since.since(halted_since);
            self.lost += after;
            self.tell(Happening::Resumed { after });
        }
        self.class.run(since);
    }

    /// Class time reaches the place where it stands still: a gate or the end.
    fn reach_halt(&mut self, at: ClockTime) {
        self.halt(at);
        if self.now() >= self.schedule().total() {
            self.finish(at);
        } else {
            self.state = ConductorState::Gate { halted_since: at };
            if self.unattended {
                self.open_gate(at);
            } else {
                self.tell(Happening::Gate);
            }
        }
    }

    /// The last span is over. `halted_since`: when class time reached the end.
    pub(super) fn finish(&mut self, halted_since: ClockTime) {
        self.state = ConductorState::Done { halted_since };
        self.tell(Happening::Done);
        self.effects.push(Effect::Over);
    }

    /// Starts the waiting block.
    pub(super) fn open_gate(&mut self, at: ClockTime) {
        let waited = self.state.halted_since().map_or(Duration::ZERO, |since| at.since(since));
        self.lost += waited;
        self.tell(Happening::Opened { waited });
        self.next_is_opened = true;
        self.state = ConductorState::Running;
        self.class.run(at);
        self.play();
    }

    /// Pauses the class from a time on the clock on.
    pub(super) fn pause(&mut self, at: ClockTime, stopped: bool) {
        self.halt(at);
        let halted_since = if self.state == ConductorState::Running { Some(at) } else { self.state.halted_since() };
        self.state = ConductorState::Paused { since: at, halted_since, stopped };
        self.tell(Happening::Paused { stopped });
        self.effects.push(Effect::Hush);
        // A cue that was cut off is said when the class resumes.
        let from = self.now() + Tick(1);
        self.replan_cues(ReplanPoint { from, breaks_off: true });
    }

    fn halt(&mut self, at: ClockTime) {
        self.class.halt(at);
        self.measurements.halted_at = Some(self.now());
    }

    /// The computer slept since a reading. Class time stands still where it was then, and what was due during sleep
    /// does not happen all at once.
    pub(super) fn after_sleep(&mut self, since: ClockTime, length: Duration) {
        let asleep = class::time::clock(Tick::seconds(length.as_secs()));
        match self.state {
            ConductorState::Running | ConductorState::CountIn { .. } => {
                self.pause(since, false);
                self.tell(Happening::Slept { length });
                self.show_message(fill(&WORDS.lead.messages.slept, &[("length", &asleep)]));
            }
            ConductorState::Ready { since, begins: Some(begins) } if begins <= self.clock() => {
                self.state = ConductorState::Ready { since, begins: None };
                self.tell(Happening::Slept { length });
                self.show_message(fill(&WORDS.lead.messages.slept_past_start, &[("length", &asleep)]));
            }
            _ => self.tell(Happening::Slept { length }),
        }
    }
}
