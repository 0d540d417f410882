//! The pages of a sound check, and what is played on them.

use strum::{EnumIter, IntoEnumIterator};

use sound::Signal;

/// One page after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, EnumIter)]
pub enum Page {
    /// Where sound comes out.
    Devices,
    /// Each tone, a sentence, and one side at a time.
    Sounds,
    /// Blink and click, until they meet.
    Timing,
    /// Whether the far end of a call hears the tones.
    Call,
    /// Whether the back row can read it.
    Sight,
    /// What the keys send.
    Keys,
    /// Whether the machine lasts.
    Power,
    /// Ready, or what is not.
    Verdict,
}

impl Page {
    /// The page after this; itself for the last.
    pub fn next(self) -> Page {
        Page::iter().find(|page| *page > self).unwrap_or(self)
    }

    /// The page before this; itself for the first.
    pub fn back(self) -> Page {
        Page::iter().take_while(|page| *page < self).last().unwrap_or(self)
    }
}

/// Something that can be played on the page of sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Heard {
    Tone(Signal),
    /// A sentence by the voice of the class.
    Sentence,
    /// The start tone on one channel alone.
    Left,
    Right,
}

/// All that can be played, in order.
pub fn heard() -> Vec<Heard> {
    Signal::iter().map(Heard::Tone).chain([Heard::Sentence, Heard::Left, Heard::Right]).collect()
}
