//! A room with sound: plays a class's events as tones and speech on the sound engine.
//!
//! Speech is made ahead of time, and nothing waits for it. Speech that is ready only after it was asked for joins in as
//! soon as nothing sounds. A cue whose speech is not ready when it is due is printed.

use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::runtime::{AudioNews, AudioOutput, UpcomingSounds as Part};
use class::cue::tone_length;
use class::schedule::{EventContent, ScheduleEvent};
use class::words::{WORDS, fill};
use sound::voice::{Speech, SpeechProgress};
use sound::{
    DeviceState, PlaybackRun, SoundBus, SoundContent, SoundEngine, SoundPlan, ToneSignal, sound_that_fits, words_of,
};

/// To replace the plan fades what sounds. So the plan is replaced only when nothing is due within this time, before or
/// after.
const QUIET: Duration = Duration::from_millis(2_500);

/// How long a device may still play what it was given.
const LATENCY: Duration = Duration::from_millis(300);
/// The longest wait for the last tone of a class.
const LONGEST_RING: Duration = Duration::from_secs(3);

/// What is playing, kept so that late speech can join in.
struct PlayingSounds {
    sounds: Part,
    at: Instant,
    /// The texts in it whose speech was not ready when it was last handed to the engine.
    missing: Vec<String>,
}

/// The sound engine, with a voice if there is one.
pub struct EngineAudio {
    engine: SoundEngine,
    voice: Option<Speech>,
    playing: Option<PlayingSounds>,
    /// How many times faster than real time.
    speed: u32,
    /// Whether unspoken cues are shown on the screen. The plain lines tell every cue anyway.
    prints: bool,
    /// For each block, the index of the engine's music list that plays under it.
    music: Vec<Option<usize>>,
    /// Cues that are not spoken, each with the time it is due: the coach may read them out.
    unspoken: Vec<(Instant, String)>,
    /// The state of every part when it was last told.
    last_status: Vec<(String, String)>,
}

impl EngineAudio {
    /// The highest speed at which anything is said. At a higher speed one cue would run into the next.
    pub const FASTEST_SPEECH: u32 = 8;

    /// A room on an engine. Tones and speech keep their own pitch and length at any speed; a cue that then has no room
    /// is not spoken. `prints`: cues that are not spoken are shown to the coach when they are due.
    pub fn new(engine: SoundEngine, voice: Option<Speech>, speed: u32, prints: bool) -> EngineAudio {
        let voice = voice.filter(|_| speed <= EngineAudio::FASTEST_SPEECH);
        let (speed, music) = (speed.max(1), Vec::new());
        EngineAudio {
            engine,
            voice,
            playing: None,
            speed,
            prints,
            music,
            unspoken: Vec::new(),
            last_status: Vec::new(),
        }
    }

    /// Adds music: for each block, the index of the engine's music list that plays under it.
    pub fn with_music(self, music: Vec<Option<usize>>) -> EngineAudio {
        EngineAudio { music, ..self }
    }

    fn status(&self) -> Vec<(String, String)> {
        let words = &WORDS.lead.system;
        let devices = self.engine.status().into_iter().map(|status| {
            let how = match status.state {
                DeviceState::Opening => words.opening.clone(),
                DeviceState::Playing => status.device,
                DeviceState::Lost => fill(&words.lost, &[("device", &status.device)]),
                DeviceState::Missing(why) => fill(&words.missing, &[("why", &why)]),
            };
            (status.label.to_owned(), how)
        });
        let voice = self.voice.as_ref().map(|voice| (words.voice.clone(), voice_status(voice.ready())));
        devices.chain(voice).collect()
    }

    /// Hands a part to the engine with all the speech that is ready, and notes the cues that are not spoken.
    fn send_to_engine(&mut self, part: Part, at: Instant) {
        self.unspoken.clear();
        let (mut sounds, mut missing) = (Vec::new(), Vec::new());
        let say = |text: &str| self.voice.as_ref().and_then(|voice| voice.get(text));
        for (index, event) in part.events.iter().enumerate() {
            let sound = sound_that_fits(event, &part.events[index + 1..], &say, self.speed);
            if let Some(text) = words_of(event)
                && !matches!(sound.as_ref().map(|sound| &sound.what), Some(SoundContent::Speech(_)))
            {
                if self.voice.as_ref().is_none_or(|voice| voice.get(text).is_none()) {
                    missing.push(text.to_owned());
                }
                if self.prints && event.at >= part.from && matches!(event.what, EventContent::Cue(_)) {
                    let after = (event.at - part.from).duration() / self.speed;
                    self.unspoken.push((at + after, text.to_owned()));
                }
            }
            sounds.extend(sound);
        }
        let plan: SoundPlan = sounds.into_iter().collect();
        let run = PlaybackRun {
            speed: self.speed * 1000,
            count_in: !part.after.is_zero(),
            keeps_sounding: true,
            ..PlaybackRun::from(part.from)
        };
        self.engine.play(&Arc::new(plan), run, at);
        if let Some(voice) = &self.voice {
            voice.prepare(missing.iter().map(String::as_str));
        }
        self.playing = Some(PlayingSounds { sounds: part, at, missing });
    }

    /// Hands the part over again if missing speech has become ready and nothing sounds now.
    fn let_late_speech_join(&mut self) {
        let (Some(playing), Some(voice)) = (&self.playing, &self.voice) else { return };
        if !playing.missing.iter().any(|text| voice.get(text).is_some()) {
            return;
        }
        let now = Instant::now();
        let due =
            |event: &ScheduleEvent| playing.at + event.at.saturating_sub(playing.sounds.from).duration() / self.speed;
        let near = |at: Instant| at < now + QUIET && now < at + QUIET;
        if playing.sounds.events.iter().any(|event| near(due(event))) || near(playing.at) {
            return;
        }
        if let Some(playing) = self.playing.take() {
            self.send_to_engine(playing.sounds, playing.at);
        }
    }
}

/// A volume in percent as a factor. The percentage is squared, so that equal steps sound equal: 50 % is a factor of
/// 0.25, or 12 dB down.
fn volume_factor(percent: u8) -> f32 {
    (f32::from(percent) / 100.0).powi(2)
}

/// The state of a voice, for the ready screen.
fn voice_status(ready: SpeechProgress) -> String {
    let words = &WORDS.lead.system;
    match ready {
        SpeechProgress { of: 0, .. } => words.nothing_to_say.clone(),
        SpeechProgress { done, failed: 0, of } if done == of => words.voice_ready.clone(),
        SpeechProgress { done: 0, failed, of } if failed == of => words.no_voice.clone(),
        SpeechProgress { done, of, .. } => {
            fill(&words.voice_getting_ready, &[("done", &done.to_string()), ("total", &of.to_string())])
        }
    }
}

impl AudioOutput for EngineAudio {
    fn play(&mut self, part: &Part, at: Instant) {
        self.send_to_engine(part.clone(), at);
    }

    fn hush(&mut self) {
        self.unspoken.clear();
        self.playing = None;
        self.engine.silence();
    }

    fn signal(&mut self, signal: ToneSignal) {
        self.engine.tick(signal);
    }

    fn volume(&mut self, bus: SoundBus, percent: u8) {
        self.engine.volume(bus, volume_factor(percent));
    }

    fn music(&mut self, block: Option<usize>) {
        let list = block.and_then(|block| self.music.get(block).copied().flatten());
        self.engine.music(list);
    }

    fn ring_out(&mut self) {
        let Some(PlayingSounds { sounds: part, at, .. }) = &self.playing else { return };
        let last = part.events.iter().rfind(|event| matches!(event.what, EventContent::Tone(_)));
        if let Some(ScheduleEvent { at: tick, what: EventContent::Tone(tone), .. }) = last {
            let until = tick.saturating_sub(part.from).duration() / self.speed;
            let over = *at + until + tone_length(*tone).duration() + LATENCY;
            std::thread::sleep(over.saturating_duration_since(Instant::now()).min(LONGEST_RING));
        }
    }

    fn news(&mut self) -> Vec<AudioNews> {
        let mut news: Vec<AudioNews> =
            self.engine.reports().into_iter().map(|report| AudioNews::Say(report.0)).collect();
        if let Some(voice) = &self.voice {
            news.extend(voice.reports().into_iter().map(AudioNews::Say));
            let lengths = voice.lengths();
            news.extend((!lengths.is_empty()).then_some(AudioNews::Lengths(lengths)));
        }
        self.let_late_speech_join();
        let due = self.unspoken.partition_point(|(at, _)| *at <= Instant::now());
        news.extend(self.unspoken.drain(..due).map(|(_, text)| AudioNews::Say(text)));
        let stands = self.status();
        if stands != self.last_status {
            self.last_status.clone_from(&stands);
            news.push(AudioNews::Machine(stands));
        }
        news
    }
}
