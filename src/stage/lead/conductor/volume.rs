//! How loud each kind of sound is.

use super::{Conductor, Effect};
use crate::lead::commands::LeadCommand;
use class::words::{WORDS, fill};
use sound::SoundBus;

/// What one press changes, and the lowest volume, in percent. Only the mute key silences, so that one press too many
/// does not.
const STEP: u8 = 10;
const FULL: u8 = 100;

/// The volumes of the class, in percent. They stay the same through pauses, changes and lost devices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct BusVolumes {
    tones: u8,
    speech: u8,
    music: u8,
}

impl Default for BusVolumes {
    fn default() -> BusVolumes {
        BusVolumes { tones: FULL, speech: FULL, music: FULL }
    }
}

impl Conductor {
    /// Changes a volume by one step up or down, and says so in a line.
    pub(super) fn set_volume(&mut self, bus: SoundBus, louder: bool) {
        let volume = match bus {
            SoundBus::Tones => &mut self.volumes.tones,
            SoundBus::Speech => &mut self.volumes.speech,
            SoundBus::Music => &mut self.volumes.music,
        };
        let next = if louder { *volume + STEP } else { *volume - STEP };
        let bounded = next.clamp(STEP, FULL);
        *volume = bounded;
        let mute = self.keymap.label(LeadCommand::Mute).to_owned();
        let words = &WORDS.lead.messages;
        let more = match () {
            () if self.muted => fill(&words.volume_muted, &[("key", &mute)]),
            () if next > FULL => words.loudest.clone(),
            () if next < STEP => fill(&words.softest, &[("key", &mute)]),
            () => String::new(),
        };
        let fillings = [("bus", bus.to_string()), ("percent", bounded.to_string()), ("more", more)];
        self.show_message(fill(&words.volume, &fillings.each_ref().map(|(name, value)| (*name, value.as_str()))));
        if next == bounded {
            self.effects.push(Effect::Volume(bus, bounded));
        }
    }
}
