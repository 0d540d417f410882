//! The engine: plays the sound of a class. Its methods never block and never fail. Without a device it is silent.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::audio_device::AudioDevice;
use super::device::SystemDevice;
use super::device_thread::{DeviceMessage, DeviceSetup, DeviceThread};
use super::music::MusicControl;
use super::{DeviceLatencies, EngineVolumes, PlaybackRun, SoundBus, SoundPlan, ToneSignal};
use class::schedule::Audience;
use class::words::WORDS;

/// How an engine is set up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EngineSettings {
    /// The device for the class, by name or part of it. None: the system's default.
    pub device: Option<String>,
    /// The device for the coach's own cues and ticks. None: the ticks sound quietly on the class's device, and the
    /// coach's cues do not sound.
    pub ear: Option<String>,
    /// The extra latency of devices beyond what they report, for example of a wireless speaker.
    pub dials: DeviceLatencies,
    /// Whether an inaudible tone keeps speakers from going to sleep.
    pub keep_awake: bool,
    /// The playlists of the coach's own music. Each has at least one file.
    pub music: Vec<Arc<[PathBuf]>>,
}

/// One line for the coach: a device is missing, lost or back, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoundReport(pub String);

/// The status of a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviceStatus {
    /// A word for the class's device or the coach's.
    pub label: &'static str,
    /// The name of the device; empty when there is none.
    pub device: String,
    pub state: DeviceState,
    /// The format of its stream, while it plays.
    pub format: Option<StreamFormat>,
}

/// The format of a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StreamFormat {
    /// Frames a second.
    pub rate: u32,
    pub channels: u16,
    /// Frames that the device asks for at a time, if it reports that.
    pub buffer: Option<u32>,
}

/// What a device is doing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DeviceState {
    /// The engine is looking for it.
    Opening,
    Playing,
    Lost,
    /// No device opened, for this reason.
    Missing(String),
}

/// Plays plans on one or two devices. Dropping it ends all sound.
pub struct SoundEngine {
    epoch: Instant,
    desks: Vec<Sender<DeviceMessage>>,
    has_ear: bool,
    music: Option<MusicControl>,
    levels: Arc<EngineVolumes>,
    reports: Receiver<SoundReport>,
    statuses: Vec<Arc<Mutex<DeviceStatus>>>,
}

impl SoundEngine {
    /// Starts an engine on the system's devices. Returns at once; the devices are opened on other threads.
    pub fn start(settings: &EngineSettings) -> SoundEngine {
        let class = Box::new(SystemDevice::new(settings.device.clone()));
        let ear = settings.ear.clone().map(|ear| Box::new(SystemDevice::new(Some(ear))) as Box<dyn AudioDevice>);
        SoundEngine::on(class, ear, settings)
    }

    /// Starts an engine on these audio devices.
    pub fn on(
        class: Box<dyn AudioDevice>,
        ear: Option<Box<dyn AudioDevice>>,
        settings: &EngineSettings,
    ) -> SoundEngine {
        let (tell, reports) = channel();
        let levels = Arc::new(EngineVolumes::default());
        levels.keep_awake(settings.keep_awake);
        let has_ear = ear.is_some();
        let lists = settings.music.clone();
        let music = (!lists.is_empty()).then(|| MusicControl::start(lists, tell.clone()));
        let mut engine = SoundEngine {
            epoch: Instant::now(),
            desks: Vec::new(),
            has_ear,
            music,
            levels,
            reports,
            statuses: Vec::new(),
        };
        let music = engine.music.clone();
        engine.add(class, vec![Audience::Class], &WORDS.sound.class, settings.dials.clone(), music, tell.clone());
        if let Some(ear) = ear {
            engine.add(ear, vec![Audience::Coach], &WORDS.sound.ear, settings.dials.clone(), None, tell);
        }
        engine
    }

    fn add(
        &mut self,
        outlet: Box<dyn AudioDevice>,
        ears: Vec<Audience>,
        label: &'static str,
        dials: DeviceLatencies,
        music: Option<MusicControl>,
        reports: Sender<SoundReport>,
    ) {
        let status = Arc::new(Mutex::new(DeviceStatus {
            label,
            device: String::new(),
            state: DeviceState::Opening,
            format: None,
        }));
        let (sender, inbox) = channel();
        let (epoch, levels) = (self.epoch, self.levels.clone());
        let setup = DeviceSetup { outlet, ears, label, dials, epoch, levels, music, reports, status: status.clone() };
        let desk = DeviceThread::new(setup, inbox, sender.clone());
        // If the thread cannot start, there is no sound, and orders are ignored.
        let _ = std::thread::Builder::new().name(label.into()).spawn(move || desk.run());
        self.desks.push(sender);
        self.statuses.push(status);
    }

    /// Plays a part of a plan. It replaces the part that plays now. `at`: when the tick `run.from` is to be heard.
    /// Sounds that were due before now are skipped. What sounds now fades out, unless the new part has it too.
    pub fn play(&self, plan: &Arc<SoundPlan>, run: PlaybackRun, at: Instant) {
        let nanos = |span: Duration| i64::try_from(span.as_nanos()).unwrap_or(i64::MAX);
        let at = match at.checked_duration_since(self.epoch) {
            Some(after) => nanos(after),
            None => -nanos(self.epoch.duration_since(at)),
        };
        for desk in &self.desks {
            let _ = desk.send(DeviceMessage::Play(plan.clone(), run, at));
        }
    }

    /// Stops all sound within one buffer of each device. Nothing plays until the next call that starts sound.
    pub fn silence(&self) {
        if let Some(music) = &self.music {
            music.hush();
        }
        for desk in &self.desks {
            let _ = desk.send(DeviceMessage::Silence);
        }
    }

    /// Plays a list of the coach's own music, by its index in the settings, from where it last stopped. None: the music
    /// fades out.
    pub fn music(&self, list: Option<usize>) {
        if let Some(music) = &self.music {
            music.play(list);
        }
    }

    /// Plays a tone now. The coach's own tones play on the coach's device if there is one, all others on the class's.
    pub fn tick(&self, signal: ToneSignal) {
        let desk = if signal.is_for_coach() && self.has_ear { self.desks.last() } else { self.desks.first() };
        if let Some(desk) = desk {
            let _ = desk.send(DeviceMessage::Tick(signal));
        }
    }

    /// Sets the volume of one kind of sound, a factor from 0 to 1.
    pub fn volume(&self, bus: SoundBus, volume: f32) {
        self.levels.set(bus, volume);
    }

    /// Turns all sound off, or on again. The class and its score keep running.
    pub fn mute(&self, muted: bool) {
        self.levels.mute(muted);
    }

    /// Plays tones and speech on one channel only, counted from 0. None: on all channels. A mono device always plays
    /// them.
    pub fn only(&self, channel: Option<u8>) {
        self.levels.set_only(channel);
    }

    /// Turns the inaudible tone that keeps speakers from going to sleep on or off.
    pub fn keep_awake(&self, awake: bool) {
        self.levels.keep_awake(awake);
    }

    /// The reports for the coach since the last call.
    pub fn reports(&self) -> Vec<SoundReport> {
        self.reports.try_iter().collect()
    }

    /// The status of the devices: the class's, then the coach's if there is one.
    pub fn status(&self) -> Vec<DeviceStatus> {
        self.statuses.iter().filter_map(|status| status.lock().ok().map(|status| status.clone())).collect()
    }
}

impl Drop for SoundEngine {
    fn drop(&mut self) {
        if let Some(music) = &self.music {
            music.quit();
        }
        for desk in &self.desks {
            let _ = desk.send(DeviceMessage::Quit);
        }
    }
}
