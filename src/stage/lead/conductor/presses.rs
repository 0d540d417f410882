//! What each key does in each phase.

use super::{Conductor, Effect, State};
use crate::lead::keys::Press;
use crate::lead::moment::View;
use crate::runtime::ClockTime;
use crate::runtime::Ending;
use class::words::WORDS;
use journal::Happening;

/// A second press of the same skip within this many milliseconds was not meant.
const SKIP_TWICE: u64 = 1_500;
/// A second start or pause within this many milliseconds was not meant. A terminal that does not report repeats sends
/// the first repeat of a key later than this.
const GO_TWICE: u64 = 700;
/// A second press to take an offer within this many milliseconds was not meant. It is shorter because several stretches
/// may follow each other.
const TAKE_TWICE: u64 = 300;
/// The key that pauses leaves a finished class only this many milliseconds after its end.
const LEAVE: u64 = 3_000;
/// The repeats of a key held down are less than this many milliseconds apart.
const REPEATS: u64 = 120;

/// The last key that counts only once: the key, when it was taken, and when it was last seen.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Last(Option<(Press, ClockTime, ClockTime)>);

impl Last {
    /// Whether a press is one too many. `takes`: the press takes an offer.
    fn too_soon(&mut self, press: Press, takes: bool, now: ClockTime) -> bool {
        let apart = match press {
            Press::Go if takes => TAKE_TWICE,
            Press::Go => GO_TWICE,
            Press::Next | Press::Back | Press::Again => SKIP_TWICE,
            _ => return false,
        };
        match &mut self.0 {
            Some((last, taken, seen)) if *last == press => {
                let too_soon = now.since(*taken) < apart || now.since(*seen) < REPEATS;
                *seen = now;
                if !too_soon {
                    *taken = now;
                }
                too_soon
            }
            other => {
                *other = Some((press, now, now));
                false
            }
        }
    }
}

impl Conductor {
    pub(super) fn press(&mut self, press: Press) {
        if self.view == View::Quit {
            return self.answer(press);
        }
        if self.pressed.too_soon(press, self.open.is_some(), self.clock()) {
            if press != Press::Go {
                self.say(WORDS.lead.messages.twice.clone());
            }
            return;
        }
        match press {
            Press::Go if self.open.is_some() => self.take_offer(),
            Press::Go => self.go(),
            Press::Offer | Press::OfferUndo => self.offer(press == Press::OfferUndo),
            Press::Close => self.close(),
            Press::Next | Press::Back | Press::Again => self.skip(press),
            Press::Longer => self.stretch(true),
            Press::Shorter => self.stretch(false),
            Press::Undo => self.undo(),
            Press::Redo => self.redo(),
            Press::Mute => self.mute(),
            Press::Less => self.set_level(false),
            Press::More => self.set_level(true),
            Press::NotNow => self.say_no_more(),
            Press::SayAgain => self.say_again(),
            Press::Softer(bus) => self.set_volume(bus, false),
            Press::Louder(bus) => self.set_volume(bus, true),
            Press::Flag => self.flag(),
            Press::AllReady => self.all_ready(),
            Press::Stop => self.stop(),
            Press::Far => self.turn_to(View::Far),
            Press::Help => self.turn_to(View::Help),
            Press::Quit if self.state == State::Done => self.quit(),
            Press::Quit | Press::Interrupt => self.turn_to(View::Quit),
            Press::Suspend => self.suspend(),
            Press::No => {
                self.open = None;
                if self.view == View::Help {
                    self.view = self.under;
                }
            }
            Press::Yes => {}
        }
    }

    fn go(&mut self) {
        match self.state {
            State::Ready { .. } => {
                // The coach's key starts the first block as well.
                self.opened = Some(self.begun);
                self.open_class(self.clock().after(self.first_count_in()));
            }
            State::CountIn { .. } => {
                self.run(self.clock());
                self.play();
            }
            State::Running => self.hold(self.clock(), false),
            State::Gate => self.open(self.clock()),
            State::Held { .. } if self.now() >= self.schedule().total() => {
                self.state = State::Done;
                self.tell(Happening::Done);
                self.effects.push(Effect::Over);
            }
            State::Held { .. } => self.count_in(self.clock().after(class::cue::COUNT_IN)),
            // The press came too late to pause the class. A coach who wants to leave presses again.
            State::Done if self.standing_ms() < LEAVE => {}
            State::Done => self.quit(),
        }
    }

    fn stop(&mut self) {
        self.view = View::Coach;
        match self.state {
            State::Held { since, .. } => {
                self.state = State::Held { since, stopped: true };
                self.tell(Happening::Held { stopped: true });
                self.effects.push(Effect::Hush);
            }
            _ => self.hold(self.clock(), true),
        }
    }

    fn flag(&mut self) {
        self.flags += 1;
        self.tell(Happening::Flagged);
        self.say(WORDS.lead.messages.flagged.clone());
    }

    fn mute(&mut self) {
        self.muted = !self.muted;
        self.tell(Happening::Muted(self.muted));
        if self.muted {
            self.effects.push(Effect::Hush);
        } else {
            self.play();
        }
    }

    fn turn_to(&mut self, view: View) {
        if self.view == view {
            self.view = if view == View::Far { View::Coach } else { self.under };
            return;
        }
        if matches!(self.view, View::Coach | View::Far) {
            self.under = self.view;
        }
        self.view = view;
    }

    /// A key while the question whether to quit is open. Any key but yes, quit, stop and suspend closes the question.
    fn answer(&mut self, press: Press) {
        match press {
            Press::Yes | Press::Quit | Press::Interrupt => self.quit(),
            Press::Stop => self.stop(),
            Press::Suspend => self.suspend(),
            _ => self.view = self.under,
        }
    }

    fn suspend(&mut self) {
        if matches!(self.state, State::Running | State::CountIn { .. }) {
            self.hold(self.clock(), false);
        }
        self.effects.push(Effect::Hush);
        self.effects.push(Effect::Suspend);
    }

    fn quit(&mut self) {
        let ending = if self.state == State::Done { Ending::Done } else { Ending::Quit };
        if ending == Ending::Quit {
            self.tell(Happening::Quit);
        }
        self.effects.push(Effect::Hush);
        self.effects.push(Effect::End(ending));
    }
}
