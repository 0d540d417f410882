//! The engine: plays the sound of a class. Its methods never block and never fail. Without a device it is silent.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::desk::{Desk, Message, Setup};
use super::device::System;
use super::music::Music;
use super::outlet::Outlet;
use super::{Bus, Dials, Levels, Plan, Run, Signal};
use class::schedule::Audience;
use class::words::WORDS;

/// How an engine is set up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// The device for the class, by name or part of it. None: the system's default.
    pub device: Option<String>,
    /// The device for the coach's own cues and ticks. None: the ticks sound quietly on the class's device, and the
    /// coach's cues do not sound.
    pub ear: Option<String>,
    /// The extra latency of devices beyond what they report, for example of a wireless speaker.
    pub dials: Dials,
    /// Whether an inaudible tone keeps speakers from going to sleep.
    pub keep_awake: bool,
    /// The lists of the coach's own music, none of them empty.
    pub music: Vec<Arc<[PathBuf]>>,
}

/// One line for the coach: a device is missing, lost or back, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report(pub String);

/// The status of a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Status {
    /// A word for the class's device or the coach's.
    pub label: &'static str,
    /// The name of the device; empty when there is none.
    pub device: String,
    pub state: State,
    /// The format of its stream, while it plays.
    pub format: Option<Format>,
}

/// The format of a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Format {
    /// Frames a second.
    pub rate: u32,
    pub channels: u16,
    /// Frames that the device asks for at a time, if it reports that.
    pub buffer: Option<u32>,
}

/// What a device is doing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    /// The engine is looking for it.
    Opening,
    Playing,
    Lost,
    /// No device opened, for this reason.
    Missing(String),
}

/// Plays plans on one or two devices. Dropping it ends all sound.
pub struct Engine {
    epoch: Instant,
    desks: Vec<Sender<Message>>,
    has_ear: bool,
    music: Option<Music>,
    levels: Arc<Levels>,
    reports: Receiver<Report>,
    statuses: Vec<Arc<Mutex<Status>>>,
}

impl Engine {
    /// Starts an engine on the system's devices. Returns at once; the devices are opened on other threads.
    pub fn start(settings: &Settings) -> Engine {
        let class = Box::new(System::new(settings.device.clone()));
        let ear = settings.ear.clone().map(|ear| Box::new(System::new(Some(ear))) as Box<dyn Outlet>);
        Engine::on(class, ear, settings)
    }

    /// Starts an engine on these outlets.
    pub fn on(class: Box<dyn Outlet>, ear: Option<Box<dyn Outlet>>, settings: &Settings) -> Engine {
        let (tell, reports) = channel();
        let levels = Arc::new(Levels::default());
        levels.keep_awake(settings.keep_awake);
        let has_ear = ear.is_some();
        let lists = settings.music.clone();
        let music = (!lists.is_empty()).then(|| Music::start(lists, tell.clone()));
        let mut engine =
            Engine { epoch: Instant::now(), desks: Vec::new(), has_ear, music, levels, reports, statuses: Vec::new() };
        let music = engine.music.clone();
        engine.add(class, vec![Audience::Class], &WORDS.sound.class, settings.dials.clone(), music, tell.clone());
        if let Some(ear) = ear {
            engine.add(ear, vec![Audience::Coach], &WORDS.sound.ear, settings.dials.clone(), None, tell);
        }
        engine
    }

    fn add(
        &mut self,
        outlet: Box<dyn Outlet>,
        ears: Vec<Audience>,
        label: &'static str,
        dials: Dials,
        music: Option<Music>,
        reports: Sender<Report>,
    ) {
        let status = Arc::new(Mutex::new(Status { label, device: String::new(), state: State::Opening, format: None }));
        let (sender, inbox) = channel();
        let (epoch, levels) = (self.epoch, self.levels.clone());
        let setup = Setup { outlet, ears, label, dials, epoch, levels, music, reports, status: status.clone() };
        let desk = Desk::new(setup, inbox, sender.clone());
        // If the thread cannot start, there is no sound, and orders are ignored.
        let _ = std::thread::Builder::new().name(label.into()).spawn(move || desk.run());
        self.desks.push(sender);
        self.statuses.push(status);
    }

    /// Plays a part of a plan in place of whatever plays. `at`: when the tick `run.from` is to be heard. Sounds that
    /// were due before now are skipped. What sounds now fades out, unless the new part has it too.
    pub fn play(&self, plan: &Arc<Plan>, run: Run, at: Instant) {
        let nanos = |span: Duration| i64::try_from(span.as_nanos()).unwrap_or(i64::MAX);
        let at = match at.checked_duration_since(self.epoch) {
            Some(after) => nanos(after),
            None => -nanos(self.epoch.duration_since(at)),
        };
        for desk in &self.desks {
            let _ = desk.send(Message::Play(plan.clone(), run, at));
        }
    }

    /// Stops all sound within one buffer of each device, and plays nothing more.
    pub fn silence(&self) {
        if let Some(music) = &self.music {
            music.hush();
        }
        for desk in &self.desks {
            let _ = desk.send(Message::Silence);
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
    pub fn tick(&self, signal: Signal) {
        let desk = if signal.is_coachs() && self.has_ear { self.desks.last() } else { self.desks.first() };
        if let Some(desk) = desk {
            let _ = desk.send(Message::Tick(signal));
        }
    }

    /// Sets the volume of one kind of sound, a factor from 0 to 1.
    pub fn volume(&self, bus: Bus, volume: f32) {
        self.levels.set(bus, volume);
    }

    /// Turns all sound off, or on again. The class and its score keep running.
    pub fn mute(&self, muted: bool) {
        self.levels.mute(muted);
    }

    /// Plays tones and speech on one channel only, counted from 0. None: on all channels. A mono device plays them
    /// whatever the channel.
    pub fn only(&self, channel: Option<u8>) {
        self.levels.set_only(channel);
    }

    /// Turns the inaudible tone that keeps speakers from going to sleep on or off.
    pub fn keep_awake(&self, awake: bool) {
        self.levels.keep_awake(awake);
    }

    /// The reports for the coach since the last call.
    pub fn reports(&self) -> Vec<Report> {
        self.reports.try_iter().collect()
    }

    /// The status of the devices: the class's, then the coach's if there is one.
    pub fn status(&self) -> Vec<Status> {
        self.statuses.iter().filter_map(|status| status.lock().ok().map(|status| status.clone())).collect()
    }
}

impl Drop for Engine {
    fn drop(&mut self) {
        if let Some(music) = &self.music {
            music.quit();
        }
        for desk in &self.desks {
            let _ = desk.send(Message::Quit);
        }
    }
}
