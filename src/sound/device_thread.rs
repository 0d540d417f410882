//! The device thread: owns one audio device, keeps a stream open on the device and feeds the stream's renderer.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::audio_device::{AudioDevice, DeviceError, LossNotifier, StreamCallback};
use super::engine::{DeviceState, DeviceStatus, SoundReport, StreamFormat};
use super::music::MusicControl;
use super::renderer::{RenderOrder, Renderer, RendererControl};
use super::{
    BufferRequest, DeviceLatencies, EngineVolumes, FrameClock, PlaybackRun, Score, SoundPlan, ToneSamples, ToneSignal,
};
use class::schedule::Audience;
use class::words::{WORDS, fill};

/// An order to a device thread.
pub(crate) enum DeviceMessage {
    /// Plays a part of a plan. Its first tick is heard at this moment, in nanoseconds of the engine's clock.
    Play(Arc<SoundPlan>, PlaybackRun, i64),
    /// Stops all sound. Nothing plays until the next order.
    Silence,
    /// Plays a tone now.
    Tick(ToneSignal),
    /// The stream with this number is lost.
    Lost(u64),
    Quit,
}

/// The wait between two attempts to open a device: short, so that sound is back within 1 s after the device is back.
const RETRY: Duration = Duration::from_millis(500);
/// The same wait while there has never been a device.
const RETRY_LATER: Duration = Duration::from_millis(900);
/// How often a playing stream is checked.
const LOOK: Duration = Duration::from_millis(500);
/// A stream that has asked for no frame for this long is lost.
const STALLED: Duration = Duration::from_secs(3);
/// The same for a stream that has not asked for its first frame yet: some devices start slowly.
const NEVER_BEGAN: Duration = Duration::from_secs(6);
/// After this many checks of the stream, the system is asked whether its default device has changed.
const LOOKS_A_MOVE: u32 = 4;

/// The setup of a device thread.
pub(super) struct DeviceSetup {
    pub outlet: Box<dyn AudioDevice>,
    pub ears: Vec<Audience>,
    /// The name of this thread's device in reports.
    pub label: &'static str,
    pub dials: DeviceLatencies,
    pub epoch: Instant,
    pub levels: Arc<EngineVolumes>,
    /// The coach's own music. None for a device that plays no music.
    pub music: Option<MusicControl>,
    pub reports: Sender<SoundReport>,
    pub status: Arc<Mutex<DeviceStatus>>,
}

/// An open stream and the means to control it.
struct PlayingStream {
    number: u64,
    name: String,
    stream: Box<dyn Send>,
    control: RendererControl,
    rate: u32,
    tones: ToneSamples,
    /// How many frames the device has asked for so far.
    frames: Arc<AtomicU64>,
    /// The value of `frames` when it last changed, and when that was.
    last_frames: (u64, Instant),
    checks: u32,
}

pub(super) struct DeviceThread {
    setup: DeviceSetup,
    inbox: Receiver<DeviceMessage>,
    to_self: Sender<DeviceMessage>,
    current: Option<(Arc<SoundPlan>, PlaybackRun, i64)>,
    streams: u64,
    /// Whether there has ever been a device.
    had_sound: bool,
    /// Whether the coach has been told that there is no device.
    coach_told: bool,
    /// How many cues of the current score were dropped.
    dropped: usize,
}

impl DeviceThread {
    pub(super) fn new(
        setup: DeviceSetup,
        inbox: Receiver<DeviceMessage>,
        to_self: Sender<DeviceMessage>,
    ) -> DeviceThread {
        DeviceThread {
            setup,
            inbox,
            to_self,
            current: None,
            streams: 0,
            had_sound: false,
            coach_told: false,
            dropped: 0,
        }
    }

    /// Runs until the engine is dropped.
    pub(super) fn run(mut self) {
        let mut playing: Option<PlayingStream> = None;
        loop {
            if playing.is_none() {
                playing = self.open();
            }
            let wait = match &playing {
                Some(_) => LOOK,
                None if self.had_sound => RETRY,
                None => RETRY_LATER,
            };
            let deadline = Instant::now() + wait;
            // Orders that arrive meanwhile must not shorten the wait for the next attempt to open a device.
            loop {
                let left = deadline.saturating_duration_since(Instant::now());
                match self.inbox.recv_timeout(left) {
                    Ok(DeviceMessage::Quit) | Err(RecvTimeoutError::Disconnected) => {
                        if let Some(playing) = playing {
                            drop_in_background(playing);
                        }
                        return;
                    }
                    Ok(DeviceMessage::Lost(number)) => {
                        if playing.as_ref().is_some_and(|playing| playing.number == number) {
                            self.lose(&mut playing);
                            break;
                        }
                    }
                    Ok(message) => {
                        if !self.order(message, playing.as_mut()) {
                            self.lose(&mut playing);
                            break;
                        }
                    }
                    Err(RecvTimeoutError::Timeout) => break,
                }
            }
            if playing.as_mut().is_some_and(|playing| !self.is_alive(playing)) {
                self.lose(&mut playing);
            }
        }
    }

    /// Opens the audio device and starts what should be playing.
    fn open(&mut self) -> Option<PlayingStream> {
        self.streams += 1;
        let lost = LossNotifier::new(self.streams, self.to_self.clone());
        let frames = Arc::new(AtomicU64::new(0));
        let mut made = None;
        let (levels, epoch) = (self.setup.levels.clone(), self.setup.epoch);
        // The device, and so its extra latency, is known only once it is open. The first buffers are not measured
        // anyway.
        let dial = Arc::new(AtomicU64::new(0));
        let music = self.setup.music.clone();
        let mut source = |rate: u32, channels: u16| -> StreamCallback {
            let (mut renderer, conduct) = Renderer::new(rate, channels, levels.clone(), FrameClock::new(rate));
            if let Some(music) = &music {
                renderer.add_music(music.tape(rate));
            }
            made = Some((conduct, rate, channels));
            let (frames, dial) = (frames.clone(), dial.clone());
            Box::new(move |out, latency| {
                let dial = Duration::from_millis(dial.load(Ordering::Relaxed));
                let nanos = |length: Duration| i64::try_from(length.as_nanos()).unwrap_or(i64::MAX / 4);
                let asked =
                    latency.map(|delay| BufferRequest { at: nanos(epoch.elapsed()), delay: nanos(delay + dial) });
                renderer.pull(out, asked);
                frames.store(renderer.frame(), Ordering::Relaxed);
            })
        };
        let opened = self.setup.outlet.open(&mut source, lost);
        match (opened, made) {
            (Ok(opened), Some((conduct, rate, channels))) => {
                let format = StreamFormat { rate, channels, buffer: opened.buffer };
                let tones = ToneSamples::at(rate);
                let (name, stream) = (opened.name, opened.stream);
                let ms = self.setup.dials.of(&name).as_millis();
                dial.store(u64::try_from(ms).unwrap_or(0), Ordering::Relaxed);
                let seen = (0, Instant::now());
                let number = self.streams;
                let mut playing = PlayingStream {
                    number,
                    name,
                    stream,
                    control: conduct,
                    rate,
                    tones,
                    frames,
                    last_frames: seen,
                    checks: 0,
                };
                self.send_score(&mut playing);
                self.set_status(&playing.name, DeviceState::Playing, Some(format));
                if self.coach_told {
                    self.report(self.line(&WORDS.sound.back, &playing.name));
                }
                (self.had_sound, self.coach_told) = (true, false);
                Some(playing)
            }
            (Ok(_), None) => None,
            (Err(why), _) => {
                self.set_status("", DeviceState::Missing(why.to_string()), None);
                if !self.coach_told {
                    self.report(missing(self.setup.label, &why));
                    self.coach_told = true;
                }
                None
            }
        }
    }

    /// Carries out an order. False when the stream no longer takes orders.
    fn order(&mut self, message: DeviceMessage, playing: Option<&mut PlayingStream>) -> bool {
        match message {
            DeviceMessage::Play(plan, run, at) => self.current = Some((plan, run, at)),
            DeviceMessage::Silence => self.current = None,
            DeviceMessage::Tick(signal) => {
                return playing.is_none_or(|playing| playing.control.send(RenderOrder::Tick(signal)));
            }
            DeviceMessage::Lost(_) | DeviceMessage::Quit => return true,
        }
        playing.is_none_or(|playing| self.send_score(playing))
    }

    /// Sends what should be playing to the stream, as a score at the stream's rate. False when the stream has not taken
    /// the earlier orders, which means that it does not play.
    fn send_score(&mut self, playing: &mut PlayingStream) -> bool {
        let (score, zero) = match &self.current {
            Some((plan, run, at)) => {
                let ears = &self.setup.ears;
                let score = Score::new(plan, run, playing.rate, &playing.tones, |ear| ears.contains(&ear));
                let lead = i128::from(Score::LEAD.0) * 1_000_000_000 / i128::from(run.speed.max(1));
                (score, at.saturating_sub(i64::try_from(lead).unwrap_or(i64::MAX)))
            }
            None => (Score::silent(playing.rate), 0),
        };
        self.tell_dropped(score.dropped);
        playing.control.send(RenderOrder::Play { score: Arc::new(score), zero, on: 0 })
    }

    /// Reports dropped cues, when there are more of them than the coach has been told of.
    fn tell_dropped(&mut self, dropped: usize) {
        if dropped > self.dropped {
            let words = &WORDS.sound;
            let wording = if dropped == 1 { &words.dropped } else { &words.dropped_more };
            self.report(fill(wording, &[("number", &dropped.to_string())]));
        }
        self.dropped = dropped;
    }

    /// Whether a stream still asks for frames, and is on the right device.
    fn is_alive(&mut self, playing: &mut PlayingStream) -> bool {
        playing.control.free_returned();
        let (frames, now) = (playing.frames.load(Ordering::Relaxed), Instant::now());
        if frames != playing.last_frames.0 {
            playing.last_frames = (frames, now);
            playing.checks += 1;
            return !(playing.checks.is_multiple_of(LOOKS_A_MOVE) && self.setup.outlet.has_moved());
        }
        let patience = if frames == 0 { NEVER_BEGAN } else { STALLED };
        now.duration_since(playing.last_frames.1) < patience
    }

    fn lose(&mut self, playing: &mut Option<PlayingStream>) {
        let Some(lost) = playing.take() else { return };
        self.set_status(&lost.name, DeviceState::Lost, None);
        if !self.coach_told {
            self.report(self.line(&WORDS.sound.lost, &lost.name));
            self.coach_told = true;
        }
        drop_in_background(lost);
    }

    fn set_status(&self, name: &str, state: DeviceState, format: Option<StreamFormat>) {
        if let Ok(mut status) = self.setup.status.lock() {
            *status = DeviceStatus { label: self.setup.label, device: name.to_owned(), state, format };
        }
    }

    /// A message with the label of this thread and the name of a device filled in.
    fn line(&self, wording: &str, device: &str) -> String {
        let label = self.setup.label;
        fill(wording, &[("label", label), ("Label", &capital(label)), ("device", device)])
    }

    fn report(&self, text: String) {
        let _ = self.setup.reports.send(SoundReport(text));
    }
}

/// Drops a stream on another thread, because a device that hangs may block the drop forever.
fn drop_in_background(playing: PlayingStream) {
    let stream = playing.stream;
    let _ = std::thread::Builder::new().name("sound-close".into()).spawn(move || drop(stream));
}

fn missing(label: &str, why: &DeviceError) -> String {
    let words = &WORDS.sound;
    let help = match why {
        DeviceError::NoDevice => &words.plug_in,
        DeviceError::NotFound(_) => &words.when_it_comes,
        DeviceError::Refused(_) => &words.tried_again,
    };
    fill(&words.missing, &[("label", label), ("why", &why.to_string()), ("help", help)])
}

fn capital(label: &str) -> String {
    let mut letters = label.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
