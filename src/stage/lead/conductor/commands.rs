//! What each key does in each phase.

use std::time::Duration;

use super::view::{OpenView, ViewCover};
use super::{Conductor, ConductorState, Effect};
use crate::lead::commands::LeadCommand;
use crate::lead::moment::ScreenView;
use crate::runtime::ClockTime;
use crate::runtime::RunEnding;
use class::words::WORDS;
use journal::Happening;

/// A second press of the same skip within this time was not meant.
const SKIP_TWICE: Duration = Duration::from_millis(1_500);
/// A second start or pause within this time was not meant. A terminal that does not report repeats sends the first
/// repeat of a key later than this.
const GO_TWICE: Duration = Duration::from_millis(700);
/// A second press to take an offer within this time was not meant. It is shorter because several stretches may follow
/// each other.
const TAKE_TWICE: Duration = Duration::from_millis(300);
/// The key that pauses leaves a finished class only from this time after its end on.
const LEAVE: Duration = Duration::from_secs(3);
/// The repeats of a key held down are less than this far apart.
const REPEATS: Duration = Duration::from_millis(120);

/// The last key that counts only once: the key, when it was taken, and when it was last seen.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct RepeatGuard(Option<(LeadCommand, ClockTime, ClockTime)>);

impl RepeatGuard {
    /// Whether a press is one too many. `takes`: the press takes an offer.
    fn is_repeat(&mut self, press: LeadCommand, takes: bool, now: ClockTime) -> bool {
        let apart = match press {
            LeadCommand::Go if takes => TAKE_TWICE,
            LeadCommand::Go => GO_TWICE,
            LeadCommand::Next | LeadCommand::Back | LeadCommand::Again => SKIP_TWICE,
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
    pub(super) fn press(&mut self, press: LeadCommand) {
        if self.view.shown() == ScreenView::Quit {
            return self.answer_quit(press);
        }
        if self.repeat_guard.is_repeat(press, self.open_offers.is_some(), self.clock()) {
            if press != LeadCommand::Go {
                self.show_message(WORDS.lead.messages.twice.clone());
            }
            return;
        }
        match press {
            LeadCommand::Go if self.open_offers.is_some() => self.take_offer(),
            LeadCommand::Go => self.start_or_pause(),
            LeadCommand::Offer | LeadCommand::OfferUndo => self.offer(press == LeadCommand::OfferUndo),
            LeadCommand::Close => self.close(),
            LeadCommand::Next | LeadCommand::Back | LeadCommand::Again => self.skip(press),
            LeadCommand::Longer => self.adjust_length(true),
            LeadCommand::Shorter => self.adjust_length(false),
            LeadCommand::Undo => self.undo(),
            LeadCommand::Redo => self.redo(),
            LeadCommand::Mute => self.mute(),
            LeadCommand::Less => self.set_level(false),
            LeadCommand::More => self.set_level(true),
            LeadCommand::NotNow => self.silence_span(),
            LeadCommand::SayAgain => self.repeat_cue(),
            LeadCommand::Softer(bus) => self.set_volume(bus, false),
            LeadCommand::Louder(bus) => self.set_volume(bus, true),
            LeadCommand::Mark => self.mark(),
            LeadCommand::AllReady => self.all_ready(),
            LeadCommand::Stop => self.stop(),
            LeadCommand::Far => self.view.toggle_far(),
            LeadCommand::Help => self.view.toggle(ViewCover::Help),
            LeadCommand::Quit if self.state.is_done() => self.quit(),
            LeadCommand::Quit | LeadCommand::Interrupt => self.view.toggle(ViewCover::Quit),
            LeadCommand::Suspend => self.suspend(),
            LeadCommand::No => {
                self.open_offers = None;
                self.view.close(ViewCover::Help);
            }
            LeadCommand::Yes => {}
        }
    }

    fn start_or_pause(&mut self) {
        match self.state {
            ConductorState::Ready { .. } => {
                // The coach's key starts the first block as well.
                self.next_is_opened = true;
                self.begin_class(self.clock().after(self.first_count_in()));
            }
            ConductorState::CountIn { .. } => {
                self.run(self.clock());
                self.play();
            }
            ConductorState::Running => self.pause(self.clock(), false),
            ConductorState::Gate { .. } => self.open_gate(self.clock()),
            ConductorState::Paused { since, halted_since, .. } if self.now() >= self.schedule().total() => {
                self.finish(halted_since.unwrap_or(since));
            }
            ConductorState::Paused { .. } => self.count_in(self.clock().after(class::cue::COUNT_IN)),
            // The press came too late to pause the class. A coach who wants to leave presses again.
            ConductorState::Done { halted_since } if self.clock().since(halted_since) < LEAVE => {}
            ConductorState::Done { .. } => self.quit(),
        }
    }

    fn stop(&mut self) {
        self.view = OpenView::default();
        match self.state {
            ConductorState::Paused { since, halted_since, .. } => {
                self.state = ConductorState::Paused { since, halted_since, stopped: true };
                self.tell(Happening::Paused { stopped: true });
                self.effects.push(Effect::Hush);
            }
            _ => self.pause(self.clock(), true),
        }
    }

    fn mark(&mut self) {
        self.marks += 1;
        self.tell(Happening::Marked);
        self.show_message(WORDS.lead.messages.marked.clone());
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

    /// A key while the question whether to quit is open. Any key but yes, quit, stop and suspend closes the question.
    fn answer_quit(&mut self, press: LeadCommand) {
        match press {
            LeadCommand::Yes | LeadCommand::Quit | LeadCommand::Interrupt => self.quit(),
            LeadCommand::Stop => self.stop(),
            LeadCommand::Suspend => self.suspend(),
            _ => self.view.close(ViewCover::Quit),
        }
    }

    fn suspend(&mut self) {
        if matches!(self.state, ConductorState::Running | ConductorState::CountIn { .. }) {
            self.pause(self.clock(), false);
        }
        self.effects.push(Effect::Hush);
        self.effects.push(Effect::Suspend);
    }

    fn quit(&mut self) {
        let ending = if self.state.is_done() { RunEnding::Done } else { RunEnding::Quit };
        if ending == RunEnding::Quit {
            self.tell(Happening::Quit);
        }
        self.effects.push(Effect::Hush);
        self.effects.push(Effect::End(ending));
    }
}
