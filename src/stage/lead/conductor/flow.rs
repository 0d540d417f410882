//! How class time runs, stands still, and comes to gates and to the end.

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
                ConductorState::CountIn { until } if until <= self.clock() => {
                    self.run(until);
                    if self.pips_from.is_some() {
                        self.play();
                    }
                }
                ConductorState::CountIn { .. } if self.pips_from.is_some_and(|from| from <= self.clock()) => {
                    self.play()
                }
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
        let ms = until.since(self.clock());
        self.state = ConductorState::CountIn { until };
        self.tell(Happening::CountIn { ms });
        self.play();
    }

    /// Lets class time run, since a time on the clock that may be a little in the past.
    pub(super) fn run(&mut self, since: ClockTime) {
        self.state = ConductorState::Running;
        if let Some(stood) = self.halted_since.take() {
            let ms = since.since(stood);
            self.lost_ms += ms;
            self.tell(Happening::Resumed { after_ms: ms });
        }
        self.began = true;
        self.class.run(since);
    }

    /// Class time reaches the place where it stands still: a gate or the end.
    fn reach_halt(&mut self, at: ClockTime) {
        self.halt(at);
        if self.now() >= self.schedule().total() {
            self.state = ConductorState::Done;
            self.tell(Happening::Done);
            self.effects.push(Effect::Over);
        } else {
            self.state = ConductorState::Gate;
            if self.unattended {
                self.open_gate(at);
            } else {
                self.tell(Happening::Gate);
            }
        }
    }

    /// Starts the waiting block.
    pub(super) fn open_gate(&mut self, at: ClockTime) {
        let waited_ms = self.halted_since.take().map_or(0, |since| at.since(since));
        self.lost_ms += waited_ms;
        self.tell(Happening::Opened { waited_ms });
        self.opened_span = Some(self.spans_begun);
        self.state = ConductorState::Running;
        self.class.run(at);
        self.play();
    }

    /// Pauses the class from a time on the clock on.
    pub(super) fn pause(&mut self, at: ClockTime, stopped: bool) {
        self.halt(at);
        self.state = ConductorState::Paused { since: at, stopped };
        self.tell(Happening::Paused { stopped });
        self.effects.push(Effect::Hush);
        self.pips_from = None;
        // A cue that was cut off is said when the class resumes.
        let from = self.now() + Tick(1);
        self.replan_cues(ReplanPoint { from, breaks_off: true });
    }

    fn halt(&mut self, at: ClockTime) {
        self.class.halt(at);
        self.measurements.halted_at = Some(self.now());
        if self.began {
            self.halted_since.get_or_insert(at);
        }
    }

    /// The computer slept since a reading. Class time stands still where it was then, and what was due during sleep
    /// does not happen all at once.
    pub(super) fn after_sleep(&mut self, since: ClockTime, ms: u64) {
        let asleep = class::time::clock(Tick::seconds(ms / 1000));
        match self.state {
            ConductorState::Running | ConductorState::CountIn { .. } => {
                self.pause(since, false);
                self.tell(Happening::Slept { ms });
                self.show_message(fill(&WORDS.lead.messages.slept, &[("length", &asleep)]));
            }
            ConductorState::Ready { since, begins: Some(begins) } if begins <= self.clock() => {
                self.state = ConductorState::Ready { since, begins: None };
                self.tell(Happening::Slept { ms });
                self.show_message(fill(&WORDS.lead.messages.slept_past_start, &[("length", &asleep)]));
            }
            _ => self.tell(Happening::Slept { ms }),
        }
    }
}
