//! `--voice` and `--audience`: what of a class is heard outside of leading it, and in whose ears.

use super::voice::VoiceName;
use crate::cue::{Lengths, Voicing, cue_up, texts};
use crate::schedule::{self, Schedule};
use crate::session::Level;
use crate::sound::Pcm;
use crate::time::Tick;
use crate::voice::Speech;

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

/// How much earlier than the class the coach hears what must be said (est.).
const EARLY: Tick = Tick::seconds(2);

/// A class with all that is said in it.
pub struct Said {
    /// With the cues for these ears, planned by the lengths that the voice takes.
    pub schedule: Schedule,
    speech: Option<Speech>,
}

impl Said {
    /// The speech of a text, where there is any.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        self.speech.as_ref().and_then(|speech| speech.get(text))
    }
}

impl Spoken {
    /// Has a class said, and waits for it: what is led once its voice is ready. What the coach should know of the voice is
    /// printed on standard error.
    pub fn say(&self, schedule: Schedule) -> Said {
        self.say_at(schedule, &[(Tick::ZERO, None)])
    }

    /// The same, with how much is said from which tick on; None for each block's own.
    pub fn say_at(&self, mut schedule: Schedule, levels: &[(Tick, Option<Level>)]) -> Said {
        let voice = VoiceName::or_set(self.voice.as_ref());
        let mut lengths = Lengths::at(voice.pace());
        let speech = voice.speech();
        if let Some(speech) = &speech {
            speech.prepare(texts(&schedule));
            speech.settle();
            lengths.learn(speech.lengths());
            speech.reports().iter().for_each(|line| eprintln!("{line}"));
        }
        let ear = (self.audience == Audience::Coach).then_some(EARLY);
        for &(from, level) in levels {
            cue_up(&mut schedule, from, &Voicing { level, ear, lengths: lengths.clone() });
        }
        Said { schedule, speech }
    }
}
