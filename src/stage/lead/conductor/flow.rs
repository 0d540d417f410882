//! How class time runs, stands still, and comes to gates and to the end.

use super::{Conductor, Effect, State};
use crate::runtime::ClockTime;
use class::cue::Anew;
use class::time::Tick;
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Lets everything happen that was due by the last reading, each at its own time.
    pub(super) fn flow(&mut self) {
        if self.message.as_ref().is_some_and(|(_, until)| *until <= self.clock()) {
            self.message = None;
        }
        self.offers_flow();
        loop {
            match self.state {
                State::Ready { begins: Some(begins), .. } if begins <= self.clock() => {
                    self.run(begins);
                    self.play();
                }
                State::Ready { begins: Some(begins), .. } if begins <= self.clock().after(self.first_count_in()) => {
                    self.open_class(begins);
                }
                State::CountIn { until } if until <= self.clock() => {
                    self.run(until);
                    if self.pips_from.is_some() {
                        self.play();
                    }
                }
                State::CountIn { .. } if self.pips_from.is_some_and(|from| from <= self.clock()) => self.play(),
                State::Running => {
                    let stop = self.gate().map_or(self.schedule().total(), |gate| self.schedule().spans[gate].start);
                    let now = self.now();
                    self.tell_until(now.min(stop));
                    match self.class.reaches(stop) {
                        Some(at) if at <= self.clock() => self.arrive(at),
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
        self.state = State::CountIn { until };
        self.tell(Happening::CountIn { ms });
        self.play();
    }

    /// Lets class time run, since a time on the clock that may be a little in the past.
    pub(super) fn run(&mut self, since: ClockTime) {
        self.state = State::Running;
        if let Some(stood) = self.stood_since.take() {
            let ms = since.since(stood);
            self.lost += ms;
            self.tell(Happening::Resumed { after_ms: ms });
        }
        self.began = true;
        self.class.run(since);
    }

    /// Class time reaches the place where it stands still: a gate or the end.
    fn arrive(&mut self, at: ClockTime) {
        self.stand(at);
        if self.now() >= self.schedule().total() {
            self.state = State::Done;
            self.tell(Happening::Done);
            self.effects.push(Effect::Over);
        } else {
            self.state = State::Gate;
            if self.unattended {
                self.open(at);
            } else {
                self.tell(Happening::Gate);
            }
        }
    }

    /// Starts the waiting block.
    pub(super) fn open(&mut self, at: ClockTime) {
        let waited_ms = self.stood_since.take().map_or(0, |since| at.since(since));
        self.lost += waited_ms;
        self.tell(Happening::Opened { waited_ms });
        self.opened = Some(self.begun);
        self.state = State::Running;
        self.class.run(at);
        self.play();
    }

    /// Pauses the class from a time on the clock on.
    pub(super) fn hold(&mut self, at: ClockTime, stopped: bool) {
        self.stand(at);
        self.state = State::Held { since: at, stopped };
        self.tell(Happening::Held { stopped });
        self.effects.push(Effect::Hush);
        self.pips_from = None;
        // A cue that was cut off is said when the class resumes.
        let from = self.now() + Tick(1);
        self.cue_up(Anew { from, breaks_off: true });
    }

    fn stand(&mut self, at: ClockTime) {
        self.class.stand(at);
        self.measured.stood_at = Some(self.now());
        if self.began {
            self.stood_since.get_or_insert(at);
        }
    }

    /// The computer slept since a reading. Class time stands still where it was then, and what was due during sleep
    /// does not happen all at once.
    pub(super) fn woke(&mut self, since: ClockTime, ms: u64) {
        let asleep = class::time::clock(Tick::seconds(ms / 1000));
        match self.state {
            State::Running | State::CountIn { .. } => {
                self.hold(since, false);
                self.tell(Happening::Slept { ms });
                self.say(fill(&WORDS.lead.messages.slept, &[("length", &asleep)]));
            }
            State::Ready { since, begins: Some(begins) } if begins <= self.clock() => {
                self.state = State::Ready { since, begins: None };
                self.tell(Happening::Slept { ms });
                self.say(fill(&WORDS.lead.messages.slept_past_start, &[("length", &asleep)]));
            }
            _ => self.tell(Happening::Slept { ms }),
        }
    }
}
