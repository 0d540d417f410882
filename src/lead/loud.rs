//! A room that sounds: the class's events as tones and speech on the sound engine.

use std::sync::Arc;
use std::time::{Duration, Instant};

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
    /// The screen has room for what is not spoken; lines tell everything anyway.
    prints: bool,
    /// Cues that nobody speaks, each with when it is due: the coach may read them out.
    unspoken: Vec<(Instant, String)>,
    /// How everything stood when it was last told.
    stood: Vec<(String, String)>,
}

impl Loud {
    /// A room on an engine. At more than the speed of life only tones sound: speech would run into itself.
    /// `prints`: cues that are not spoken are shown to the coach when they are due.
    pub fn new(engine: Engine, voice: Option<Box<dyn Speaking>>, speed: u32, prints: bool) -> Loud {
        Loud { engine, voice, speed: speed.max(1), prints, unspoken: Vec::new(), stood: Vec::new() }
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
        self.unspoken.clear();
        let mut sounds = Vec::new();
        for event in &part.events {
            match (self.sound(event), &event.what) {
                (Some(sound), _) => sounds.push(sound),
                (None, What::Cue(cue)) if self.prints => {
                    let after = Duration::from_millis((event.at - part.from).0 / u64::from(self.speed));
                    self.unspoken.push((at + after, cue.text.clone()));
                }
                (None, _) => {}
            }
        }
        let plan: Plan = sounds.into_iter().collect();
        let run = Run { speed: self.speed * 1000, count_in: part.after_ms > 0, ..Run::from(part.from) };
        self.engine.play(&Arc::new(plan), run, at);
    }

    fn hush(&mut self) {
        self.unspoken.clear();
        self.engine.silence();
    }

    fn news(&mut self) -> Vec<Input> {
        let mut news: Vec<Input> = self.engine.reports().into_iter().map(|report| Input::Say(report.0)).collect();
        if let Some(voice) = &mut self.voice {
            news.extend(voice.news().into_iter().map(Input::Say));
        }
        let due = self.unspoken.partition_point(|(at, _)| *at <= Instant::now());
        news.extend(self.unspoken.drain(..due).map(|(_, text)| Input::Say(text)));
        let stands = self.stands();
        if stands != self.stood {
            self.stood.clone_from(&stands);
            news.push(Input::Machine(stands));
        }
        news
    }
}
