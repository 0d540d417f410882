//! `--voice` and `--audience`: what of a class is heard outside of leading it, and in whose ears.

use super::notes::note;
use super::sounds;
use super::voice::VoiceName;
use class::cue::{Lengths, Voicing, cue_up, texts};
use class::schedule::{self, Schedule};
use class::session::Level;
use class::time::Tick;
use sound::Pcm;
use sound::voice::Speech;

/// Who speaks, and to whom.
#[derive(Debug, clap::Args)]
pub struct Spoken {
    /// The voice: own, espeak-ng, flite, command:PROGRAM ...; none for nobody
    #[arg(long, value_name = "VOICE")]
    voice: Option<VoiceName>,
    /// For whose ears
    #[arg(long, value_name = "WHO", default_value = "class")]
    pub audience: Audience,
}

/// For whose ears.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Audience {
    /// What the room hears
    Class,
    /// What a coach with an earpiece hears
    Coach,
}

impl Audience {
    /// Whether what is for these ears is heard.
    pub fn ears(self) -> impl Fn(schedule::Audience) -> bool + Copy {
        move |audience| match self {
            Audience::Class => audience == schedule::Audience::Class,
            Audience::Coach => audience == schedule::Audience::Coach,
        }
    }
}

/// A class with all that is said in it.
pub struct Said {
    /// With the cues for these ears, planned by the lengths that the voice takes, and without what is not heard at its
    /// level.
    pub schedule: Schedule,
    pub voicing: Voicing,
    speech: Option<Speech>,
}

impl Said {
    /// The speech of a text, where there is any.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        self.speech.as_ref().and_then(|speech| speech.get(text))
    }

    /// Whether a voice was to speak and has said nothing of all that there was to say.
    pub fn is_mute(&self) -> bool {
        let ready = self.speech.as_ref().map(Speech::ready).unwrap_or_default();
        ready.of > 0 && ready.done == 0
    }

    /// Prints on standard error what the coach should know of the voice.
    pub fn tell(&self) {
        self.speech.iter().flat_map(Speech::reports).for_each(|line| note(&line));
    }
}

impl Spoken {
    /// Has a class said, and waits for it: what is led once its voice is ready. What the coach should know of the voice is
    /// printed on standard error.
    pub fn say(&self, schedule: Schedule) -> Said {
        self.say_at(schedule, &[(Tick::ZERO, None)])
    }

    /// The same, with how much is said from which tick on; None for each block's own.
    pub fn say_at(&self, schedule: Schedule, levels: &[(Tick, Option<Level>)]) -> Said {
        let speech = self.speech(&schedule);
        speech.iter().for_each(Speech::settle);
        let said = self.said(schedule, levels, speech);
        said.tell();
        said
    }

    /// The same at one level and without a word, for as long as `goes_on`, which is told how many texts of how many are
    /// said. None when it was left before the end.
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

    /// The voice, which has begun to say what the class may say.
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
