//! Which block's music plays now.

use super::{Conductor, ConductorState, Effect};

impl Conductor {
    /// Asks for the music of the current block whenever that is another one than before. While class time stands still
    /// there is no music, unless the session wants it to play on. While the class is stopped or muted there is never
    /// any.
    pub(super) fn update_music(&mut self) {
        let plays_on = self.schedule().session.music_in_pause && self.state.has_begun();
        let plays = match self.state {
            ConductorState::Running => true,
            ConductorState::CountIn { .. }
            | ConductorState::Gate { .. }
            | ConductorState::Paused { stopped: false, .. } => plays_on,
            ConductorState::Ready { .. }
            | ConductorState::Paused { stopped: true, .. }
            | ConductorState::Done { .. } => false,
        };
        // While a block waits, the music of the block before it plays on.
        let span = if self.state.is_gate() { self.spans_begun.checked_sub(1) } else { self.current() };
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
