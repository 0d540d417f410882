//! The plan: the sounds of a class by class time, before any device is known.

use class::schedule::Audience;
use class::time::Tick;

use super::{Pcm, Score, ToneSignal};

/// All sounds of a class, in order of tick.
#[derive(Clone, Debug, Default)]
pub struct SoundPlan {
    sounds: Vec<PlannedSound>,
}

/// One sound at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedSound {
    pub at: Tick,
    pub audience: Audience,
    pub what: SoundContent,
}

/// What sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SoundContent {
    Tone(ToneSignal),
    Speech(Pcm),
}

impl FromIterator<PlannedSound> for SoundPlan {
    /// Sorts the sounds by tick. On the same tick, closing tones come first, then other tones, then speech. Otherwise
    /// the given order stays.
    fn from_iter<I: IntoIterator<Item = PlannedSound>>(sounds: I) -> SoundPlan {
        let mut sounds: Vec<PlannedSound> = sounds.into_iter().collect();
        sounds.sort_by_key(|sound| match sound.what {
            SoundContent::Tone(signal) if signal.is_closing() => (sound.at, 0),
            SoundContent::Tone(_) => (sound.at, 1),
            SoundContent::Speech(_) => (sound.at, 2),
        });
        SoundPlan { sounds }
    }
}

impl SoundPlan {
    /// The sounds in order.
    pub fn sounds(&self) -> &[PlannedSound] {
        &self.sounds
    }
}

/// From where a plan runs, and how fast. Sounds after a gate or a pause are not in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlaybackRun {
    /// The tick at which class time starts to run.
    pub from: Tick,
    /// Milliseconds of class time in a second of the clock: 1000 in a class, more in a rehearsal.
    pub speed: u32,
    /// Starts with three pips, 1 s of class time apart, and a start tone on `from`.
    pub count_in: bool,
    /// Continues sounds that started up to [`Score::LEAD`](super::Score::LEAD) before `from` and still sound.
    pub keeps_sounding: bool,
}

impl PlaybackRun {
    /// From a tick to the end, at normal speed, without a count-in.
    pub const fn from(from: Tick) -> PlaybackRun {
        PlaybackRun { from, speed: 1000, count_in: false, keeps_sounding: false }
    }

    /// Whether a sound of the plan belongs to this part.
    pub(super) fn contains(&self, sound: &PlannedSound) -> bool {
        sound.at >= self.from || (self.keeps_sounding && sound.at + Score::LEAD > self.from)
    }
}
