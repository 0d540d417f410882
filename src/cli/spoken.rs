//! `--voice` and `--audience`: what of a class is heard outside of leading it, and in whose ears.

use std::thread;
use std::time::Duration;

use super::voice::{self, VoiceName};
use crate::cue::{Lengths, Voicing, call_words, cue_up};
use crate::schedule::{self, Schedule, What};
use crate::sound::Pcm;
use crate::time::Tick;
use crate::voice::{Ready, Speech};

/// Who speaks, and to whom.
#[derive(Debug, clap::Args)]
pub struct Spoken {
    /// The voice: own, espeak-ng, flite, command:PROGRAM ...; none for nobody
    #[arg(long, value_name = "VOICE", default_value = voice::OWN)]
    voice: VoiceName,
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

/// The speech of a class, all of it made; nothing where nobody speaks.
pub struct Said(Option<Speech>);

impl Said {
    /// The speech of a text, where there is any.
    pub fn get(&self, text: &str) -> Option<Pcm> {
        self.0.as_ref().and_then(|speech| speech.get(text))
    }
}

/// How much earlier than the class the coach hears what must be said (est.).
const EARLY: Tick = Tick::seconds(2);
/// How often the voice is asked whether it is done.
const LOOK: Duration = Duration::from_millis(5);

impl Spoken {
    /// The class with the cues for these ears, planned as leading it plans them.
    pub fn cue_up(&self, mut schedule: Schedule) -> Schedule {
        let ear = (self.audience == Audience::Coach).then_some(EARLY);
        cue_up(&mut schedule, Tick::ZERO, &Voicing { ear, lengths: Lengths::at(self.voice.pace()), level: None });
        schedule
    }

    /// Has all that is heard of the class said, and waits for it; `progress` is told how far it is. What the coach should
    /// know of the voice is printed on standard error.
    pub fn speech(&self, schedule: &Schedule, mut progress: impl FnMut(Ready)) -> Said {
        let Some(speech) = self.voice.speech() else { return Said(None) };
        let ears = self.audience.ears();
        speech.prepare(schedule.events.iter().filter_map(|event| match &event.what {
            What::Tone(_) => None,
            What::Call(call) => ears(schedule::Audience::Class).then(|| call_words(*call)),
            What::Cue(cue) => ears(cue.audience).then_some(cue.text.as_str()),
        }));
        loop {
            let ready = speech.ready();
            progress(ready);
            if ready.done + ready.failed >= ready.of {
                break;
            }
            thread::sleep(LOOK);
        }
        speech.reports().iter().for_each(|line| eprintln!("{line}"));
        Said(Some(speech))
    }
}
