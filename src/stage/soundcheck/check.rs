//! The sound check, step by step.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::page::{Heard, Page, heard};
use super::verdict::{Answer, Machine, Verdict, verdict};
use crate::runtime::{Application, ClockTime, Effect, Ending, Input, Reading, Watcher};
use class::check::sight::Sight;
use class::schedule::Audience;
use class::words::{WORDS, fill};
use sound::{Dials, Signal, State, Status};

/// Something that the sound check wants done outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Order {
    /// Play a tone, out of one channel alone where one is named.
    Tone(Signal, Option<u8>),
    /// Say the sentence.
    Sentence,
    /// The count-in: three pips and the mark.
    CountIn,
    /// From now on a click every [`SoundCheck::BEAT`] on the device for these ears, the first to be heard at this time,
    /// each so many milliseconds earlier than the device's kept dial has it (later where it is below zero).
    Clicks {
        first: ClockTime,
        ears: Audience,
        earlier: i64,
    },
    /// Silence.
    Hush,
    /// Keep loudspeakers awake, or no more.
    KeepAwake(bool),
    /// Keep the dials.
    Keep(Dials),
    /// Hand the terminal to the shell for a while.
    Suspend,
    Quit,
}

/// The sound check as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundCheck {
    page: Page,
    machine: Machine,
    /// The sound that the next press plays.
    marked: usize,
    heard: Answer,
    far_end: Answer,
    awake: bool,
    /// The dials that the engine was started with, those kept, and those set now.
    started: Dials,
    kept: Dials,
    dials: Dials,
    /// Which device is dialled.
    ears: Audience,
    /// When the first blink was.
    beats_from: ClockTime,
    key: Option<KeyEvent>,
    now: ClockTime,
    message: Option<String>,
    effects: Vec<Order>,
}

impl SoundCheck {
    /// Between two blinks, in milliseconds: longer than any dial takes, so that a click belongs to one blink.
    pub const BEAT: u64 = 2_500;
    /// So long a blink is seen.
    pub const BLINK: u64 = 200;
    /// What one press changes a dial by, in milliseconds.
    const STEP: i64 = 10;
    /// What one press changes the distance by, in millimetres.
    const PACE: u32 = 500;

    /// A sound check on its first page.
    pub fn new(dials: Dials, awake: bool, machine: Machine) -> SoundCheck {
        SoundCheck {
            page: Page::Devices,
            machine,
            marked: 0,
            heard: Answer::None,
            far_end: Answer::None,
            awake,
            started: dials.clone(),
            kept: dials.clone(),
            dials,
            ears: Audience::Class,
            beats_from: ClockTime(0),
            key: None,
            now: ClockTime(0),
            message: None,
            effects: Vec::new(),
        }
    }

    /// Takes in the time, how the machine stands and the keys that were pressed.
    pub fn step(&mut self, now: ClockTime, machine: Machine, keys: &[KeyEvent]) -> Vec<Order> {
        self.now = now;
        // The distance is the coach's to choose here.
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

    /// Milliseconds until it looks different by itself, if it does.
    pub fn changes_in(&self) -> Option<u64> {
        let into = self.now.since(self.beats_from) % SoundCheck::BEAT;
        let to = if into < SoundCheck::BLINK { SoundCheck::BLINK - into } else { SoundCheck::BEAT - into };
        (self.page == Page::Timing && self.dialled().is_some()).then_some(to)
    }

    pub fn page(&self) -> Page {
        self.page
    }

    pub fn machine(&self) -> &Machine {
        &self.machine
    }

    /// The sound that is marked, by its place in [`heard`].
    pub fn marked(&self) -> usize {
        self.marked
    }

    /// What the coach says of the sounds, and of the far end of a call.
    pub fn answers(&self) -> (Answer, Answer) {
        (self.heard, self.far_end)
    }

    /// Whether loudspeakers are kept awake.
    pub fn awake(&self) -> bool {
        self.awake
    }

    /// Whether the mark of the timing page is lit.
    pub fn blinks(&self) -> bool {
        self.now.since(self.beats_from) % SoundCheck::BEAT < SoundCheck::BLINK
    }

    /// The device that is dialled, and its dial in milliseconds; None where nothing plays for those ears.
    pub fn dialled(&self) -> Option<(&Status, u64)> {
        let status = self.machine.devices.get(usize::from(self.ears == Audience::Coach))?;
        (status.state == State::Playing).then(|| (status, millis(self.dials.of(&status.device))))
    }

    /// The dial of a device as it is set now, in milliseconds.
    pub fn dial_of(&self, device: &str) -> u64 {
        millis(self.dials.of(device))
    }

    /// The last key on the page of keys.
    pub fn key(&self) -> Option<KeyEvent> {
        self.key
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// What it comes to.
    pub fn verdict(&self) -> Verdict {
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
                self.effects.extend([Order::Hush, Order::Quit]);
            }
            KeyCode::Char('z') if control => self.effects.extend([Order::Hush, Order::Suspend]),
            KeyCode::Tab => self.turn_to(self.page.next()),
            KeyCode::BackTab => self.turn_to(self.page.back()),
            _ if self.page == Page::Keys => self.key = Some(key),
            KeyCode::Enter | KeyCode::Right if self.page != Page::Verdict => self.turn_to(self.page.next()),
            KeyCode::Left => self.turn_to(self.page.back()),
            KeyCode::Char('q') | KeyCode::Esc if self.page != Page::Verdict => self.turn_to(Page::Verdict),
            KeyCode::Char('q' | ' ') | KeyCode::Esc | KeyCode::Enter if self.page == Page::Verdict => {
                self.effects.push(Order::Quit);
            }
            code => self.on_page(code),
        }
    }

    fn on_page(&mut self, code: KeyCode) {
        let all = heard();
        match (self.page, code) {
            (Page::Devices, KeyCode::Char('k')) => {
                self.awake = !self.awake;
                self.effects.push(Order::KeepAwake(self.awake));
            }
            (Page::Sounds, KeyCode::Up) => self.marked = self.marked.saturating_sub(1),
            (Page::Sounds, KeyCode::Down) => self.marked = (self.marked + 1).min(all.len() - 1),
            (Page::Sounds, KeyCode::Char(' ')) => {
                self.effects.push(match all[self.marked] {
                    Heard::Tone(signal) => Order::Tone(signal, None),
                    Heard::Sentence => Order::Sentence,
                    Heard::Left => Order::Tone(Signal::Start, Some(0)),
                    Heard::Right => Order::Tone(Signal::Start, Some(1)),
                });
                self.marked = (self.marked + 1) % all.len();
            }
            (Page::Sounds, KeyCode::Char('y')) => self.heard = Answer::Yes,
            (Page::Sounds, KeyCode::Char('n')) => self.heard = Answer::No,
            (Page::Timing, KeyCode::Char('+' | '=')) => self.dial(SoundCheck::STEP),
            (Page::Timing, KeyCode::Char('-')) => self.dial(-SoundCheck::STEP),
            (Page::Timing, KeyCode::Char('e')) if self.machine.devices.len() > 1 => {
                self.ears = if self.ears == Audience::Class { Audience::Coach } else { Audience::Class };
                self.click();
            }
            (Page::Call, KeyCode::Char(' ')) => self.effects.push(Order::CountIn),
            (Page::Call, KeyCode::Char('y')) => self.far_end = Answer::Yes,
            (Page::Call, KeyCode::Char('n')) => self.far_end = Answer::No,
            (Page::Sight, KeyCode::Char('+' | '=')) => self.walk(SoundCheck::PACE, true),
            (Page::Sight, KeyCode::Char('-')) => self.walk(SoundCheck::PACE, false),
            _ => {}
        }
    }

    fn turn_to(&mut self, page: Page) {
        if page == self.page {
            return;
        }
        if self.page == Page::Timing {
            self.keep();
        }
        self.effects.push(Order::Hush);
        self.page = page;
        if page == Page::Timing {
            self.beats_from = self.now;
            self.click();
        }
    }

    /// Sets the clicks going anew, by the dial as it is now.
    fn click(&mut self) {
        let Some((status, dial)) = self.dialled() else { return self.effects.push(Order::Hush) };
        let started = millis(self.started.of(&status.device));
        let earlier = dial as i64 - started as i64;
        // The next blink that even the longest dial can reach.
        let beats = self.now.since(self.beats_from) / SoundCheck::BEAT + 1;
        let first = self.beats_from.after(beats * SoundCheck::BEAT);
        self.effects.push(Order::Clicks { first, ears: self.ears, earlier });
    }

    fn dial(&mut self, by: i64) {
        let Some((status, dial)) = self.dialled() else { return };
        let device = status.device.clone();
        let most = millis(Dials::LONGEST) as i64;
        let dial = (dial as i64 + by).clamp(0, most) as u64;
        self.dials.set(&device, std::time::Duration::from_millis(dial));
        self.click();
    }

    /// Has the dials kept, when they are others than those kept.
    fn keep(&mut self) {
        if self.dials == self.kept {
            return;
        }
        self.kept = self.dials.clone();
        self.effects.push(Order::Keep(self.dials.clone()));
        if let Some((status, dial)) = self.dialled() {
            let fillings = [("device", status.device.as_str()), ("dial", &dial.to_string())];
            self.message = Some(fill(&WORDS.soundcheck.kept, &fillings));
        }
    }

    fn walk(&mut self, by: u32, away: bool) {
        let Some(sight) = &mut self.machine.sight else { return };
        let distance = if away { sight.distance.saturating_add(by) } else { sight.distance.saturating_sub(by) };
        sight.distance = distance.clamp(*Sight::DISTANCES.start(), *Sight::DISTANCES.end());
    }
}

/// What reaches the sound check from outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    Key(KeyEvent),
    /// The state of the computer now.
    Machine(Machine),
    /// The dials could not be kept, so the check ends.
    NotKept,
}

impl Application for SoundCheck {
    type Press = Event;
    type Event = Order;

    fn step(&mut self, reading: Reading, inputs: &[Input<Event>]) -> Vec<Effect<Order>> {
        let mut machine = self.machine.clone();
        let (mut keys, mut ends) = (Vec::new(), false);
        for input in inputs {
            match input {
                Input::Press(Event::Key(key)) => keys.push(*key),
                Input::Press(Event::Machine(now)) => machine = now.clone(),
                Input::Press(Event::NotKept) => ends = true,
                Input::Say(_) | Input::Lengths(_) | Input::Machine(_) => {}
            }
        }
        let orders = SoundCheck::step(self, reading.at, machine, &keys).into_iter().map(|order| match order {
            Order::Hush => Effect::Hush,
            Order::Suspend => Effect::Suspend,
            Order::Quit => Effect::End(Ending::Done),
            order => Effect::Tell(order),
        });
        orders.chain(ends.then_some(Effect::End(Ending::Done))).collect()
    }

    fn changes_in(&self, _: Watcher) -> Option<u64> {
        SoundCheck::changes_in(self)
    }
}

fn millis(length: std::time::Duration) -> u64 {
    u64::try_from(length.as_millis()).unwrap_or(u64::MAX)
}
