//! The run loop: takes inputs from outside, steps the conductor, and carries out its effects.

use std::io;
use std::time::{Duration, Instant};

use super::clock::{Clock, Reading};
use super::conductor::{Conductor, Effect, Input, News, Sounding, Watcher};
use super::happening::{Happening, Told};
use super::keep::Keeper;
use super::keys::Press;
use crate::sound::{Bus, Signal};

/// What reaches a class from outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outside<P = Press> {
    Input(Input<P>),
    /// The terminal has another size, or another program has used it: draw everything.
    Redraw,
    /// The program is asked to end, by the signal of this number.
    End(i32),
}

/// Where inputs come from.
pub trait Inputs<P = Press> {
    /// Waits for an input, at most `at_most`, and returns all that have come.
    fn wait(&mut self, at_most: Duration) -> Vec<Outside<P>>;
}

/// What the loop leads: a class, or a rehearsal of one.
pub trait Led {
    /// What the coach can ask for.
    type Press;

    /// Takes the time and the inputs from outside, and returns what has to be done about them.
    fn step(&mut self, reading: Reading, inputs: &[Input<Self::Press>]) -> Vec<Effect>;

    /// Milliseconds of the clock until the class looks or sounds different. None while nothing changes by itself.
    fn changes_in(&self, watcher: Watcher) -> Option<u64>;
}

impl Led for Conductor {
    type Press = Press;

    fn step(&mut self, reading: Reading, inputs: &[Input]) -> Vec<Effect> {
        Conductor::step(self, reading, inputs)
    }

    fn changes_in(&self, watcher: Watcher) -> Option<u64> {
        Conductor::changes_in(self, watcher)
    }
}

/// Where a class is shown: a screen or lines.
pub trait Front<L = Conductor> {
    /// Which changes it wants to be woken for.
    fn watcher(&self) -> Watcher;

    /// Whether it stays open after the class until the coach leaves.
    fn stays(&self) -> bool;

    /// Tells one happening.
    ///
    /// # Errors
    /// When it cannot be written.
    fn tell(&mut self, told: &Told, led: &L) -> io::Result<()>;

    /// Shows the class as it is now.
    ///
    /// # Errors
    /// When it cannot be written.
    fn show(&mut self, led: &L) -> io::Result<()>;

    /// Forgets what is on the screen, so that everything is drawn again.
    ///
    /// # Errors
    /// When it cannot be written.
    fn forget(&mut self) -> io::Result<()>;

    /// Hands the terminal to the shell, and returns when the shell gives it back.
    ///
    /// # Errors
    /// When the terminal cannot be handed over or taken back.
    fn suspend(&mut self) -> io::Result<()>;
}

/// Where a class sounds.
pub trait Room {
    /// Plays this from now on, and nothing else. `at`: when the tick that it begins from is heard.
    fn play(&mut self, sounding: &Sounding, at: Instant);

    /// Stops all sound at once.
    fn hush(&mut self);

    /// Plays a quiet signal for the coach now.
    fn signal(&mut self, signal: Signal);

    /// Sets the volume of one kind of sound, in percent.
    fn volume(&mut self, bus: Bus, percent: u8);

    /// Plays the music of a block from now on, or none if the block has none. [`Room::hush`] stops the music too.
    fn music(&mut self, block: Option<usize>);

    /// Waits until the last tone of a finished class has sounded.
    fn ring_out(&mut self);

    /// What the coach has to know since the last call.
    fn news(&mut self) -> Vec<News>;
}

/// How leading ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// The class is over.
    Done,
    /// The coach ended it.
    Quit,
    /// A signal ended it.
    Signal(i32),
}

/// The longest time between two readings of the clock, so that sleep of the computer is noticed.
const OFTEN: Duration = Duration::from_secs(1);

/// The shortest time between two steps that only record how far the class is.
const SELDOM: Duration = Duration::from_millis(20);

/// Leads a class to its end.
///
/// # Errors
/// When the class cannot be shown any more.
pub fn run<L: Led>(
    led: &mut L,
    clock: &mut impl Clock,
    inputs: &mut impl Inputs<L::Press>,
    front: &mut impl Front<L>,
    room: &mut (impl Room + ?Sized),
    keeper: &mut (impl Keeper<L> + ?Sized),
) -> io::Result<Ending> {
    let mut taken: Vec<Input<L::Press>> = room.news().into_iter().map(Input::from).collect();
    loop {
        let reading = clock.read();
        let at = reading.at;
        let mut ending = None;
        let effects = led.step(reading, &taken);
        // Sound comes first. What is told and shown is recorded before it is told.
        for effect in &effects {
            match effect {
                Effect::Play(sounding) => room.play(sounding, clock.instant(at.after(sounding.after_ms))),
                Effect::Hush => room.hush(),
                Effect::Signal(signal) => room.signal(*signal),
                Effect::Volume(bus, percent) => room.volume(*bus, *percent),
                Effect::Music(block) => room.music(*block),
                Effect::Tell(told) => keeper.keep(told, led),
                Effect::Suspend | Effect::Quit => {}
            }
        }
        let kept = keeper.stepped(led);
        for effect in effects {
            match effect {
                Effect::Play(_) | Effect::Hush | Effect::Signal(_) | Effect::Volume(..) | Effect::Music(_) => {}
                Effect::Tell(told) => {
                    front.tell(&told, led)?;
                    match told.what {
                        Happening::Done if !front.stays() => ending = Some(Ending::Done),
                        Happening::Quit => ending = Some(Ending::Quit),
                        _ => {}
                    }
                }
                Effect::Suspend => front.suspend()?,
                Effect::Quit => ending = ending.or(Some(Ending::Done)),
            }
        }
        if let Some(ending) = ending {
            if ending == Ending::Done {
                room.ring_out();
            }
            return Ok(ending);
        }
        front.show(led)?;
        let sleep = led.changes_in(front.watcher()).map_or(OFTEN, |ms| clock.until(at.after(ms)));
        // On a scaled clock there would be more beats than a disk needs.
        let beat = kept.map_or(OFTEN, |ms| clock.until(at.after(ms)).max(SELDOM));
        taken = Vec::new();
        for outside in inputs.wait(sleep.min(beat).min(OFTEN)) {
            match outside {
                Outside::Input(input) => taken.push(input),
                Outside::Redraw => front.forget()?,
                Outside::End(signal) => {
                    room.hush();
                    return Ok(Ending::Signal(signal));
                }
            }
        }
        taken.extend(room.news().into_iter().map(Input::from));
    }
}

/// A room without sound.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Room for Silent {
    fn play(&mut self, _: &Sounding, _: Instant) {}

    fn hush(&mut self) {}

    fn signal(&mut self, _: Signal) {}

    fn volume(&mut self, _: Bus, _: u8) {}

    fn music(&mut self, _: Option<usize>) {}

    fn ring_out(&mut self) {}

    fn news(&mut self) -> Vec<News> {
        Vec::new()
    }
}
