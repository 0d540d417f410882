//! A room that sounds: the class's events as tones and speech on the sound engine.

use std::sync::Arc;
use std::time::Instant;

use super::conductor::{Input, Sounding as Part};
use super::run::Room;
use crate::cue::call_words;
use crate::schedule::{Audience, Call, Event, What};
use crate::sound::{Engine, Pcm, Plan, Run, Signal, Sound, Sounding, State};

/// Where recordings of spoken texts come from. It never makes the class wait: what is not ready is not there.
pub trait Speaking {
    /// A text, spoken, if that is ready.
    fn spoken(&mut self, text: &str) -> Option<Pcm>;

    /// How it stands, for the ready screen: `48 of 52 texts ready`.
    fn stands(&self) -> String;

    /// What the coach has to know since it was last asked.
    fn news(&mut self) -> Vec<String>;
}

/// The sound engine with, perhaps, a voice.
pub struct Loud {
    engine: Engine,
    voice: Option<Box<dyn Speaking>>,
    /// How many times as fast as life.
    speed: u32,
    /// How everything stood when it was last told.
    stood: Vec<(String, String)>,
}

impl Loud {
    /// A room on an engine. At more than the speed of life only tones sound: speech would run into itself.
    pub fn new(engine: Engine, voice: Option<Box<dyn Speaking>>, speed: u32) -> Loud {
        Loud { engine, voice, speed: speed.max(1), stood: Vec::new() }
    }

    fn sound(&mut self, event: &Event) -> Option<Sound> {
        let (audience, text, tone) = match &event.what {
            What::Tone(tone) => {
                return Some(Sound { at: event.at, audience: Audience::Class, what: Sounding::Tone((*tone).into()) });
            }
            What::Call(call) => (Audience::Class, call_words(*call), (*call == Call::Ten).then_some(Signal::Ten)),
            What::Cue(cue) => (cue.audience, cue.text.as_str(), None),
        };
        let spoken = self.voice.as_mut().filter(|_| self.speed == 1).and_then(|voice| voice.spoken(text));
        let what = spoken.map(Sounding::Speech).or(tone.map(Sounding::Tone))?;
        Some(Sound { at: event.at, audience, what })
    }

    fn stands(&self) -> Vec<(String, String)> {
        let devices = self.engine.status().into_iter().map(|status| {
            let how = match status.state {
                State::Opening => "opening".to_owned(),
                State::Playing => status.device,
                State::Lost => format!("{} lost", status.device),
                State::Missing(why) => format!("none: {why}"),
            };
            (status.label.to_owned(), how)
        });
        let voice = self.voice.as_ref().map(|voice| ("voice".to_owned(), voice.stands()));
        devices.chain(voice).collect()
    }
}

impl Room for Loud {
    fn play(&mut self, part: &Part, at: Instant) {
        let plan: Plan = part.events.iter().filter_map(|event| self.sound(event)).collect();
        let run = Run { speed: self.speed * 1000, count_in: part.after_ms > 0, ..Run::from(part.from) };
        self.engine.play(&Arc::new(plan), run, at);
    }

    fn hush(&mut self) {
        self.engine.silence();
    }

    fn news(&mut self) -> Vec<Input> {
        let mut news: Vec<Input> = self.engine.reports().into_iter().map(|report| Input::Say(report.0)).collect();
        if let Some(voice) = &mut self.voice {
            news.extend(voice.news().into_iter().map(Input::Say));
        }
        let stands = self.stands();
        if stands != self.stood {
            self.stood.clone_from(&stands);
            news.push(Input::Machine(stands));
        }
        news
    }
}
