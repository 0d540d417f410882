//! The engine: what a class asks for sound. It never blocks and never fails; without a device it is silent.

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
    /// The device for the coach's own cues and ticks. None: ticks sound quietly for all, the coach's cues do not.
    pub ear: Option<String>,
    /// How much longer sound takes on its way than a device reports, such as through a loudspeaker without a wire.
    pub dials: Dials,
    /// Whether loudspeakers are kept from falling asleep, by a tone that nobody hears.
    pub keep_awake: bool,
    /// The lists of the coach's own music, none of them empty.
    pub music: Vec<Arc<[PathBuf]>>,
}

/// One line for the coach: a device missing, lost or back, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report(pub String);

/// How a device stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Status {
    /// Which it is, in a word: the class's or the coach's.
    pub label: &'static str,
    /// Its name; empty when there is none.
    pub device: String,
    pub state: State,
    /// What is played there, while it plays.
    pub format: Option<Format>,
}

/// What a device is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Format {
    /// Frames a second.
    pub rate: u32,
    pub channels: u16,
    /// Frames that it asks for at a time, where it tells.
    pub buffer: Option<u32>,
}

/// What a device does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    /// It is being looked for.
    Opening,
    Playing,
    Lost,
    /// There is none, for this reason.
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
    /// An engine on the system's devices. It returns at once; the devices open on threads of their own.
    pub fn start(settings: &Settings) -> Engine {
        let class = Box::new(System::new(settings.device.clone()));
        let ear = settings.ear.clone().map(|ear| Box::new(System::new(Some(ear))) as Box<dyn Outlet>);
        Engine::on(class, ear, settings)
    }

    /// An engine on these outlets.
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
        // Without a thread there is no sound, and orders go nowhere.
        let _ = std::thread::Builder::new().name(label.into()).spawn(move || desk.run());
        self.desks.push(sender);
        self.statuses.push(status);
    }

    /// Plays a part of a plan instead of whatever plays; `at`: when its tick `run.from` is to be heard. What should
    /// have sounded before now does not sound; what sounds now fades.
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

    /// Breaks off whatever sounds, within one buffer of each device, and plays nothing more.
    pub fn silence(&self) {
        if let Some(music) = &self.music {
            music.hush();
        }
        for desk in &self.desks {
            let _ = desk.send(Message::Silence);
        }
    }

    /// Plays a list of the coach's own music, by its place in the settings, from where it was left; or none, which then
    /// goes softly.
    pub fn music(&self, list: Option<usize>) {
        if let Some(music) = &self.music {
            music.play(list);
        }
    }

    /// Plays a tone now: one of the coach's on the coach's device where there is one, any other for the class.
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

    /// Turns all sound off or on again; the class and its score run on.
    pub fn mute(&self, muted: bool) {
        self.levels.mute(muted);
    }

    /// Lets the class's sounds come out of one channel alone, counted from 0; of all, for None. A device with one
    /// channel plays them all the same.
    pub fn only(&self, channel: Option<u8>) {
        self.levels.set_only(channel);
    }

    /// Keeps loudspeakers from falling asleep between sounds, by a tone that nobody hears.
    pub fn keep_awake(&self, awake: bool) {
        self.levels.keep_awake(awake);
    }

    /// What there is to tell the coach since the last time.
    pub fn reports(&self) -> Vec<Report> {
        self.reports.try_iter().collect()
    }

    /// How the devices stand: the class's, then the coach's where there is one.
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
