//! `--voice` and `--audience`: what is spoken in a class when it is not led but written to a file, and for whom.

use super::notes::note;
use super::sounds;
use super::voice::VoiceName;
use class::cue::{Lengths, Voicing, cue_up, texts};
use class::schedule::{self, Schedule};
use class::session::Level;
use class::time::Tick;
use sound::Pcm;
use sound::voice::Speech;

/// The options for the voice and the audience.
#[derive(Debug, clap::Args)]
pub struct Spoken {
    /// Voice: own, espeak-ng, flite, command:PROGRAM ...; none: no speech [default: own]
    #[arg(long, value_name = "VOICE")]
    voice: Option<VoiceName>,
    /// Whose sound to write
    #[arg(long, value_name = "WHO", default_value = "class")]
    pub audience: Audience,
}

/// Whose sound is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Audience {
    /// What the class hears
    Class,
    /// What a coach with an earpiece hears
    Coach,
}

impl Audience {
    /// Whether this audience hears what is for a given audience.
    pub fn ears(self) -> impl Fn(schedule::Audience) -> bool + Copy {
        move |audience| match self {
            Audience::Class => audience == schedule::Audience::Class,
            Audience::Coach => audience == schedule::Audience::Coach,
        }
    }
}

/// A class with everything that is spoken in it.
pub struct Said {
    /// The class with the cues for this audience, planned by the lengths that the voice takes, without what is not
    /// heard at its level.
    pub schedule: Schedule,
    pub voicing: Voicing,
    speech: Option<Speech>,
}

impl Said {
    /// The speech of a text, if there is any.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        self.speech.as_ref().and_then(|speech| speech.get(text))
    }

    /// Whether a voice was to speak and has spoken none of the texts.
    pub fn is_mute(&self) -> bool {
        let ready = self.speech.as_ref().map(Speech::ready).unwrap_or_default();
        ready.of > 0 && ready.done == 0
    }

    /// Prints on standard error what the coach should know about the voice.
    pub fn tell(&self) {
        self.speech.iter().flat_map(Speech::reports).for_each(|line| note(&line));
    }
}

impl Spoken {
    /// Has a class spoken, and waits until it is: the same cues that `lead` plays once its voice is ready. Prints on
    /// standard error what the coach should know about the voice.
    pub fn say(&self, schedule: Schedule) -> Said {
        self.say_at(schedule, &[(Tick::ZERO, None)])
    }

    /// The same, with the level from each tick on; None for the levels of the blocks.
    pub fn say_at(&self, schedule: Schedule, levels: &[(Tick, Option<Level>)]) -> Said {
        let speech = self.speech(&schedule);
        speech.iter().for_each(Speech::settle);
        let said = self.said(schedule, levels, speech);
        said.tell();
        said
    }

    /// The same at one level and without printing, for as long as `goes_on` returns true. `goes_on` gets the number of
    /// texts done and of all texts. None if it was stopped before the end.
    pub fn say_while(
        &self,
        schedule: Schedule,
        level: Option<Level>,
        goes_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Option<Said> {
        let speech = self.speech(&schedule);
        let mut settles = |speech: &Speech| speech.settle_while(|ready| goes_on(ready.done + ready.failed, ready.of));
        speech.as_ref().is_none_or(&mut settles).then(|| self.said(schedule, &[(Tick::ZERO, level)], speech))
    }

    /// The voice, which has started to prepare the texts of the class.
    fn speech(&self, schedule: &Schedule) -> Option<Speech> {
        let speech = VoiceName::or_set(self.voice.as_ref()).speech();
        speech.inspect(|speech| speech.prepare(texts(schedule)))
    }

    fn said(&self, mut schedule: Schedule, levels: &[(Tick, Option<Level>)], speech: Option<Speech>) -> Said {
        let mut lengths = Lengths::at(VoiceName::or_set(self.voice.as_ref()).pace());
        lengths.learn(speech.iter().flat_map(Speech::lengths));
        let ear = (self.audience == Audience::Coach).then(|| sounds::ear_lead(None));
        let mut voicing = Voicing { level: None, ear, lengths };
        for &(from, level) in levels {
            voicing.level = level;
            cue_up(&mut schedule, from, &voicing);
        }
        let mut events = std::mem::take(&mut schedule.events);
        events.retain(|event| {
            voicing.level = levels.iter().rfind(|(from, _)| *from <= event.at).and_then(|it| it.1);
            voicing.sounds(&schedule, event)
        });
        schedule.events = events;
        voicing.level = levels.last().and_then(|it| it.1);
        Said { schedule, voicing, speech }
    }
}
