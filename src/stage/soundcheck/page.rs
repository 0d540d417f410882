//! The pages of a sound check, and what is played on them.

use strum::{EnumIter, IntoEnumIterator};

use sound::ToneSignal;

/// A page of the sound check, in the order in which the pages are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, EnumIter)]
pub enum SoundCheckPage {
    /// The sound devices.
    Devices,
    /// Each tone, a sentence, and one side at a time.
    Sounds,
    /// A blink and a click, for the coach to bring together.
    Timing,
    /// Whether the far end of a call hears the tones.
    Call,
    /// Whether the back row can read the screen.
    Sight,
    /// What each key sends.
    Keys,
    /// Whether the battery lasts and the computer stays awake.
    Power,
    /// Ready, or what is not ready.
    Verdict,
}

impl SoundCheckPage {
    /// The next page; on the last page, the same page.
    pub fn next(self) -> SoundCheckPage {
        SoundCheckPage::iter().find(|page| *page > self).unwrap_or(self)
    }

    /// The previous page; on the first page, the same page.
    pub fn back(self) -> SoundCheckPage {
        SoundCheckPage::iter().take_while(|page| *page < self).last().unwrap_or(self)
    }
}

/// Something that can be played on the page of sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TestSound {
    Tone(ToneSignal),
    /// A sentence by the voice of the class.
    Sentence,
    /// The start tone on one channel alone.
    Left,
    Right,
}

/// Everything that can be played, in order.
pub fn test_sounds() -> Vec<TestSound> {
    ToneSignal::iter().map(TestSound::Tone).chain([TestSound::Sentence, TestSound::Left, TestSound::Right]).collect()
}
