//! Which block's music plays now.

use super::{Conductor, Effect, State};

impl Conductor {
    /// Asks for the music of the current block whenever that is another one than before. While class time stands still
    /// there is no music, unless the session wants it to play on. While the class is stopped or muted there is never
    /// any.
    pub(super) fn follow_with_music(&mut self) {
        let plays_on = self.schedule().session.music_in_hold && self.began;
        let plays = match self.state {
            State::Running => true,
            State::CountIn { .. } | State::Gate | State::Held { stopped: false, .. } => plays_on,
            State::Ready { .. } | State::Held { stopped: true, .. } | State::Done => false,
        };
        // While a block waits, the music of the block before it plays on.
        let span = if self.state == State::Gate { self.begun.checked_sub(1) } else { self.current() };
        let block = span.filter(|_| plays && !self.muted).map(|span| self.schedule().spans[span].block);
        // A hush silences the music as well.
        if self.effects.contains(&Effect::Hush) {
            self.music = None;
        }
        if self.music != block {
            self.music = block;
            self.effects.push(Effect::Music(block));
        }
    }
}
