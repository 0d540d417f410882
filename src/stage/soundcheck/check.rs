//! The state of the sound check, and what each key does to it.

use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::page::{SoundCheckPage, TestSound, test_sounds};
use super::verdict::{CoachAnswer, SoundCheckVerdict, SystemStatus, verdict};
use crate::runtime::{Application, ClockReading, ClockTime, DisplayKind, RunEnding, StepEffect, StepInput};
use class::check::sight::ViewingConditions;
use class::schedule::Audience;
use class::words::{WORDS, fill};
use sound::{DeviceLatencies, DeviceState, DeviceStatus, ToneSignal};

/// An order of the sound check to its caller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SoundCheckOrder {
    /// Play a tone; on one channel alone if one is given: 0 is left, 1 is right.
    Tone(ToneSignal, Option<u8>),
    /// Speak the test sentence.
    Sentence,
    /// Play the count-in: three pips and the start tone.
    CountIn,
    /// Play a click every [`SoundCheck::BEAT`] on the device for this audience, the first so that it is heard at
    /// `first`. Send each click `earlier` milliseconds earlier than the engine's latency setting does; later if
    /// negative.
    Clicks {
        first: ClockTime,
        ears: Audience,
        earlier: i64,
    },
    /// Stop all sound.
    Hush,
    /// Keep loudspeakers awake, or stop doing so.
    KeepAwake(bool),
    /// Save the device latencies.
    Keep(DeviceLatencies),
    /// Hand the terminal to the shell for a while.
    Suspend,
    Quit,
}

/// The state of the sound check.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundCheck {
    page: SoundCheckPage,
    machine: SystemStatus,
    /// The index in [`test_sounds`] of the sound that space plays next.
    marked: usize,
    heard: CoachAnswer,
    far_end: CoachAnswer,
    awake: bool,
    /// The device latencies that the engine was started with, those last saved, and those set now.
    started: DeviceLatencies,
    kept: DeviceLatencies,
    dials: DeviceLatencies,
    /// The audience whose device is adjusted.
    ears: Audience,
    /// The time of the first blink.
    beats_from: ClockTime,
    key: Option<KeyEvent>,
    now: ClockTime,
    message: Option<String>,
    effects: Vec<SoundCheckOrder>,
}

impl SoundCheck {
    /// The time between two blinks. It is longer than any device latency, so that a click belongs to one blink.
    pub const BEAT: Duration = Duration::from_millis(2_500);
    /// How long a blink is seen.
    pub const BLINK: Duration = Duration::from_millis(200);
    /// How much one press changes a device latency, in milliseconds.
    const STEP: i64 = 10;
    /// How much one press changes the distance, in millimetres.
    const PACE: u32 = 500;

    /// A sound check on its first page.
    pub fn new(dials: DeviceLatencies, awake: bool, machine: SystemStatus) -> SoundCheck {
        SoundCheck {
            page: SoundCheckPage::Devices,
            machine,
            marked: 0,
            heard: CoachAnswer::None,
            far_end: CoachAnswer::None,
            awake,
            started: dials.clone(),
            kept: dials.clone(),
            dials,
            ears: Audience::Class,
            beats_from: ClockTime::default(),
            key: None,
            now: ClockTime::default(),
            message: None,
            effects: Vec::new(),
        }
    }

    /// Takes in the time, the state of the computer and the keys that were pressed. Returns what the caller has to
    /// do.
    pub fn step(&mut self, now: ClockTime, machine: SystemStatus, keys: &[KeyEvent]) -> Vec<SoundCheckOrder> {
        self.now = now;
        // The coach sets the distance here, so it stays.
        let distance = self.machine.sight.map(|sight| sight.distance);
        self.machine = machine;
        if let (Some(sight), Some(distance)) = (&mut self.machine.sight, distance) {
            sight.distance = distance;
        }
        for key in keys {
            self.press(*key);
        }
        std::mem::take(&mut self.effects)
    }

    /// How long it takes until the picture changes without a key; None if it does not.
    pub fn changes_in(&self) -> Option<Duration> {
        let into = self.since_blink();
        let to = if into < SoundCheck::BLINK { SoundCheck::BLINK - into } else { SoundCheck::BEAT - into };
        (self.page == SoundCheckPage::Timing && self.device_adjusted().is_some()).then_some(to)
    }

    pub fn page(&self) -> SoundCheckPage {
        self.page
    }

    pub fn machine(&self) -> &SystemStatus {
        &self.machine
    }

    /// The index in [`test_sounds`] of the marked sound.
    pub fn marked(&self) -> usize {
        self.marked
    }

    /// The coach's answers about the sounds and about the far end of a call.
    pub fn answers(&self) -> (CoachAnswer, CoachAnswer) {
        (self.heard, self.far_end)
    }

    /// Whether loudspeakers are kept awake.
    pub fn awake(&self) -> bool {
        self.awake
    }

    /// Whether the mark of the timing page is lit.
    pub fn blinks(&self) -> bool {
        self.since_blink() < SoundCheck::BLINK
    }

    /// How many blinks have begun, without the first, and how long ago the last one began.
    fn beats(&self) -> (u32, Duration) {
        let passed = self.now.since(self.beats_from);
        let beats = u32::try_from(passed.as_millis() / SoundCheck::BEAT.as_millis()).unwrap_or(u32::MAX);
        (beats, passed.saturating_sub(SoundCheck::BEAT.saturating_mul(beats)))
    }

    fn since_blink(&self) -> Duration {
        self.beats().1
    }

    /// The device that is adjusted, and its latency in milliseconds; None if nothing plays for that audience.
    pub fn device_adjusted(&self) -> Option<(&DeviceStatus, u64)> {
        let status = self.machine.devices.get(usize::from(self.ears == Audience::Coach))?;
        (status.state == DeviceState::Playing).then(|| (status, millis(self.dials.of(&status.device))))
    }

    /// The latency of a device as it is set now, in milliseconds.
    pub fn latency_of(&self, device: &str) -> u64 {
        millis(self.dials.of(device))
    }

    /// The last key that was pressed on the page of keys.
    pub fn key(&self) -> Option<KeyEvent> {
        self.key
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// The verdict so far.
    pub fn verdict(&self) -> SoundCheckVerdict {
        verdict(&self.machine, self.heard, self.far_end)
    }

    fn press(&mut self, key: KeyEvent) {
        if key.kind != KeyEventKind::Press {
            return;
        }
        self.message = None;
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        match key.code {
            KeyCode::Char('c') if control => {
                self.keep();
                self.effects.extend([SoundCheckOrder::Hush, SoundCheckOrder::Quit]);
            }
            KeyCode::Char('z') if control => self.effects.extend([SoundCheckOrder::Hush, SoundCheckOrder::Suspend]),
            KeyCode::Tab => self.turn_to(self.page.next()),
            KeyCode::BackTab => self.turn_to(self.page.back()),
            _ if self.page == SoundCheckPage::Keys => self.key = Some(key),
            KeyCode::Enter | KeyCode::Right if self.page != SoundCheckPage::Verdict => self.turn_to(self.page.next()),
            KeyCode::Left => self.turn_to(self.page.back()),
            KeyCode::Char('q') | KeyCode::Esc if self.page != SoundCheckPage::Verdict => {
                self.turn_to(SoundCheckPage::Verdict)
            }
            KeyCode::Char('q' | ' ') | KeyCode::Esc | KeyCode::Enter if self.page == SoundCheckPage::Verdict => {
                self.effects.push(SoundCheckOrder::Quit);
            }
            code => self.on_page(code),
        }
    }

    fn on_page(&mut self, code: KeyCode) {
        let all = test_sounds();
        match (self.page, code) {
            (SoundCheckPage::Devices, KeyCode::Char('k')) => {
                self.awake = !self.awake;
                self.effects.push(SoundCheckOrder::KeepAwake(self.awake));
            }
            (SoundCheckPage::Sounds, KeyCode::Up) => self.marked = self.marked.saturating_sub(1),
            (SoundCheckPage::Sounds, KeyCode::Down) => self.marked = (self.marked + 1).min(all.len() - 1),
            (SoundCheckPage::Sounds, KeyCode::Char(' ')) => {
                self.effects.push(match all[self.marked] {
                    TestSound::Tone(signal) => SoundCheckOrder::Tone(signal, None),
                    TestSound::Sentence => SoundCheckOrder::Sentence,
                    TestSound::Left => SoundCheckOrder::Tone(ToneSignal::Start, Some(0)),
                    TestSound::Right => SoundCheckOrder::Tone(ToneSignal::Start, Some(1)),
                });
                self.marked = (self.marked + 1) % all.len();
            }
            (SoundCheckPage::Sounds, KeyCode::Char('y')) => self.heard = CoachAnswer::Yes,
            (SoundCheckPage::Sounds, KeyCode::Char('n')) => self.heard = CoachAnswer::No,
            (SoundCheckPage::Timing, KeyCode::Char('+' | '=')) => self.adjust_latency(SoundCheck::STEP),
            (SoundCheckPage::Timing, KeyCode::Char('-')) => self.adjust_latency(-SoundCheck::STEP),
            (SoundCheckPage::Timing, KeyCode::Char('e')) if self.machine.devices.len() > 1 => {
                self.ears = if self.ears == Audience::Class { Audience::Coach } else { Audience::Class };
                self.click();
            }
            (SoundCheckPage::Call, KeyCode::Char(' ')) => self.effects.push(SoundCheckOrder::CountIn),
            (SoundCheckPage::Call, KeyCode::Char('y')) => self.far_end = CoachAnswer::Yes,
            (SoundCheckPage::Call, KeyCode::Char('n')) => self.far_end = CoachAnswer::No,
            (SoundCheckPage::Sight, KeyCode::Char('+' | '=')) => self.move_distance(SoundCheck::PACE, true),
            (SoundCheckPage::Sight, KeyCode::Char('-')) => self.move_distance(SoundCheck::PACE, false),
            _ => {}
        }
    }

    fn turn_to(&mut self, page: SoundCheckPage) {
        if page == self.page {
            return;
        }
        if self.page == SoundCheckPage::Timing {
            self.keep();
        }
        self.effects.push(SoundCheckOrder::Hush);
        self.page = page;
        if page == SoundCheckPage::Timing {
            self.beats_from = self.now;
            self.click();
        }
    }

    /// Restarts the clicks with the latency as it is now.
    fn click(&mut self) {
        let Some((status, dial)) = self.device_adjusted() else { return self.effects.push(SoundCheckOrder::Hush) };
        let started = millis(self.started.of(&status.device));
        let earlier = dial as i64 - started as i64;
        // The first click is for the next blink.
        let first = self.beats_from.after(SoundCheck::BEAT.saturating_mul(self.beats().0.saturating_add(1)));
        self.effects.push(SoundCheckOrder::Clicks { first, ears: self.ears, earlier });
    }

    fn adjust_latency(&mut self, by: i64) {
        let Some((status, dial)) = self.device_adjusted() else { return };
        let device = status.device.clone();
        let most = millis(DeviceLatencies::LONGEST) as i64;
        let dial = (dial as i64 + by).clamp(0, most) as u64;
        self.dials.set(&device, Duration::from_millis(dial));
        self.click();
    }

    /// Orders the device latencies to be saved if they differ from those last saved.
    fn keep(&mut self) {
        if self.dials == self.kept {
            return;
        }
        self.kept = self.dials.clone();
        self.effects.push(SoundCheckOrder::Keep(self.dials.clone()));
        if let Some((status, dial)) = self.device_adjusted() {
            let fillings = [("device", status.device.as_str()), ("dial", &dial.to_string())];
            self.message = Some(fill(&WORDS.soundcheck.kept, &fillings));
        }
    }

    fn move_distance(&mut self, by: u32, away: bool) {
        let Some(sight) = &mut self.machine.sight else { return };
        let distance = if away { sight.distance.saturating_add(by) } else { sight.distance.saturating_sub(by) };
        sight.distance = distance.clamp(*ViewingConditions::DISTANCES.start(), *ViewingConditions::DISTANCES.end());
    }
}

/// An input of the sound check.
#[derive(Clone, Debug, PartialEq)]
pub enum SoundCheckInput {
    Key(KeyEvent),
    /// The state of the computer now.
    Machine(SystemStatus),
    /// The device latencies could not be saved, so the check ends.
    NotKept,
}

impl Application for SoundCheck {
    type Press = SoundCheckInput;
    type Event = SoundCheckOrder;

    fn step(
        &mut self,
        reading: ClockReading,
        inputs: &[StepInput<SoundCheckInput>],
    ) -> Vec<StepEffect<SoundCheckOrder>> {
        let mut machine = self.machine.clone();
        let (mut keys, mut ends) = (Vec::new(), false);
        for input in inputs {
            match input {
                StepInput::Press(SoundCheckInput::Key(key)) => keys.push(*key),
                StepInput::Press(SoundCheckInput::Machine(now)) => machine = now.clone(),
                StepInput::Press(SoundCheckInput::NotKept) => ends = true,
                StepInput::Say(_) | StepInput::Lengths(_) | StepInput::Machine(_) => {}
            }
        }
        let orders = SoundCheck::step(self, reading.at, machine, &keys).into_iter().map(|order| match order {
            SoundCheckOrder::Hush => StepEffect::Hush,
            SoundCheckOrder::Suspend => StepEffect::Suspend,
            SoundCheckOrder::Quit => StepEffect::End(RunEnding::Done),
            order => StepEffect::Tell(order),
        });
        orders.chain(ends.then_some(StepEffect::End(RunEnding::Done))).collect()
    }

    fn changes_in(&self, _: DisplayKind) -> Option<Duration> {
        SoundCheck::changes_in(self)
    }
}

fn millis(length: Duration) -> u64 {
    u64::try_from(length.as_millis()).unwrap_or(u64::MAX)
}
