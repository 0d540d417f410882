//! The plan: the sounds of a class by class time, before any device is known.

use class::schedule::Audience;
use class::time::Tick;

use super::{Pcm, Score, Signal};

/// All sounds of a class, in order of tick.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    sounds: Vec<Sound>,
}

/// One sound at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sound {
    pub at: Tick,
    pub audience: Audience,
    pub what: Sounding,
}

/// What sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sounding {
    Tone(Signal),
    Speech(Pcm),
}

impl FromIterator<Sound> for Plan {
    /// Sorts the sounds by tick. On the same tick, closing tones come first, then other tones, then speech. Otherwise
    /// the given order stays.
    fn from_iter<I: IntoIterator<Item = Sound>>(sounds: I) -> Plan {
        let mut sounds: Vec<Sound> = sounds.into_iter().collect();
        sounds.sort_by_key(|sound| match sound.what {
            Sounding::Tone(signal) if signal.is_closing() => (sound.at, 0),
            Sounding::Tone(_) => (sound.at, 1),
            Sounding::Speech(_) => (sound.at, 2),
        });
        Plan { sounds }
    }
}

impl Plan {
    /// The sounds in order.
    pub fn sounds(&self) -> &[Sound] {
        &self.sounds
    }
}

/// From where a plan runs, and how fast. What a gate or a pause holds back is not in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// The tick at which class time starts to run.
    pub from: Tick,
    /// Milliseconds of class time in a second of the clock: 1000 in a class, more in a rehearsal.
    pub speed: u32,
    /// Starts with three pips, 1 s of class time apart, and a start tone on `from`.
    pub count_in: bool,
    /// Continues sounds that started up to [`Score::LEAD`](super::Score::LEAD) before `from` and still sound.
    pub goes_on: bool,
}

impl Run {
    /// From a tick to the end, at normal speed, without a count-in.
    pub const fn from(from: Tick) -> Run {
        Run { from, speed: 1000, count_in: false, goes_on: false }
    }

    /// Whether a sound of the plan belongs to this part.
    pub(super) fn holds(&self, sound: &Sound) -> bool {
        sound.at >= self.from || (self.goes_on && sound.at + Score::LEAD > self.from)
    }
}
