//! The state of the sound check, and what each key does to it.

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
    /// Play a tone; on one channel alone if one is given: 0 is left, 1 is right.
    Tone(Signal, Option<u8>),
    /// Speak the test sentence.
    Sentence,
    /// Play the count-in: three pips and the start tone.
    CountIn,
    /// Play a click every [`SoundCheck::BEAT`] milliseconds on the device for these ears, the first so that it is heard
    /// at `first`. Send each click `earlier` milliseconds earlier than the dial of the engine does; later if negative.
    Clicks {
        first: ClockTime,
        ears: Audience,
        earlier: i64,
    },
    /// Stop all sound.
    Hush,
    /// Keep loudspeakers awake, or stop doing so.
    KeepAwake(bool),
    /// Save the dials.
    Keep(Dials),
    /// Hand the terminal to the shell for a while.
    Suspend,
    Quit,
}

/// The state of the sound check.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundCheck {
    page: Page,
    machine: Machine,
    /// The index in [`heard`] of the sound that space plays next.
    marked: usize,
    heard: Answer,
    far_end: Answer,
    awake: bool,
    /// The dials that the engine was started with, those last saved, and those set now.
    started: Dials,
    kept: Dials,
    dials: Dials,
    /// The audience whose device is adjusted.
    ears: Audience,
    /// The time of the first blink.
    beats_from: ClockTime,
    key: Option<KeyEvent>,
    now: ClockTime,
    message: Option<String>,
    effects: Vec<Order>,
}

impl SoundCheck {
    /// The time between two blinks, in milliseconds. It is longer than any dial, so that a click belongs to one blink.
    pub const BEAT: u64 = 2_500;
    /// How long a blink is seen, in milliseconds.
    pub const BLINK: u64 = 200;
    /// How much one press changes a dial, in milliseconds.
    const STEP: i64 = 10;
    /// How much one press changes the distance, in millimetres.
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

    /// Takes in the time, the state of the computer and the keys that were pressed. Gives back what the caller has to
    /// do.
    pub fn step(&mut self, now: ClockTime, machine: Machine, keys: &[KeyEvent]) -> Vec<Order> {
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

    /// The milliseconds until the picture changes without a key; None if it does not.
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

    /// The index in [`heard`] of the marked sound.
    pub fn marked(&self) -> usize {
        self.marked
    }

    /// The coach's answers about the sounds and about the far end of a call.
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

    /// The device that is adjusted, and its dial in milliseconds; None if nothing plays for those ears.
    pub fn dialled(&self) -> Option<(&Status, u64)> {
        let status = self.machine.devices.get(usize::from(self.ears == Audience::Coach))?;
        (status.state == State::Playing).then(|| (status, millis(self.dials.of(&status.device))))
    }

    /// The dial of a device as it is set now, in milliseconds.
    pub fn dial_of(&self, device: &str) -> u64 {
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

    /// Restarts the clicks with the dial as it is now.
    fn click(&mut self) {
        let Some((status, dial)) = self.dialled() else { return self.effects.push(Order::Hush) };
        let started = millis(self.started.of(&status.device));
        let earlier = dial as i64 - started as i64;
        // The first click is for the next blink.
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

    /// Has the dials saved if they differ from those last saved.
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
