//! The run loop: waits, steps the application and carries out its effects.

use std::io;
use std::time::{Duration, Instant};

use sound::{Bus, Signal};

use super::application::{Application, Effect, Ending, Input, News, Sounding};
use super::clock::Clock;
use super::console::{Incoming, Inputs};
use super::display::Display;
use super::recorder::Recorder;

/// Where an application sounds.
pub trait AudioOutput {
    /// Plays this from now on, and nothing else. `at`: when its first tick is to be heard.
    fn play(&mut self, sounding: &Sounding, at: Instant);

    /// Is silent at once.
    fn hush(&mut self);

    /// Lets the coach hear this signal now, quietly.
    fn signal(&mut self, signal: Signal);

    /// Sets the volume of one kind of sound, in percent.
    fn volume(&mut self, bus: Bus, percent: u8);

    /// Plays the music of this block from now on, if the block has music; else none. [`AudioOutput::hush`] stops music too.
    fn music(&mut self, block: Option<usize>);

    /// Waits until the last tone has sounded.
    fn ring_out(&mut self);

    /// What happened since this was last asked.
    fn news(&mut self) -> Vec<News>;
}

/// The longest time between two readings of the clock, so that the clock notices when the computer slept.
const OFTEN: Duration = Duration::from_secs(1);

/// The shortest time between two steps that only the recorder asked for.
const SELDOM: Duration = Duration::from_millis(20);

/// Runs an application to its end.
///
/// # Errors
/// When the application cannot be shown any more.
pub fn run<A: Application>(
    application: &mut A,
    clock: &mut impl Clock,
    inputs: &mut impl Inputs<A::Press>,
    display: &mut impl Display<A>,
    audio: &mut (impl AudioOutput + ?Sized),
    recorder: &mut (impl Recorder<A> + ?Sized),
) -> io::Result<Ending> {
    let mut taken: Vec<Input<A::Press>> = audio.news().into_iter().map(Input::from).collect();
    loop {
        let reading = clock.read();
        let at = reading.at;
        let mut ending = None;
        let effects = application.step(reading, &taken);
        // Sound waits for nothing. What is shown and told is recorded first.
        for effect in &effects {
            match effect {
                Effect::Play(sounding) => audio.play(sounding, clock.instant(at.after(sounding.after_ms))),
                Effect::Hush => audio.hush(),
                Effect::Signal(signal) => audio.signal(*signal),
                Effect::Volume(bus, percent) => audio.volume(*bus, *percent),
                Effect::Music(block) => audio.music(*block),
                Effect::Tell(event) => recorder.keep(event, application),
                Effect::Suspend | Effect::Over | Effect::End(_) => {}
            }
        }
        let recorded = recorder.stepped(application);
        for effect in effects {
            match effect {
                Effect::Play(_) | Effect::Hush | Effect::Signal(_) | Effect::Volume(..) | Effect::Music(_) => {}
                Effect::Tell(event) => display.tell(&event, application)?,
                Effect::Suspend => display.suspend()?,
                Effect::Over if display.stays() => {}
                Effect::Over => ending = ending.or(Some(Ending::Done)),
                Effect::End(how) => ending = ending.or(Some(how)),
            }
        }
        if let Some(ending) = ending {
            if ending == Ending::Done {
                audio.ring_out();
            }
            return Ok(ending);
        }
        display.show(application)?;
        let sleep = application.changes_in(display.watcher()).map_or(OFTEN, |ms| clock.until(at.after(ms)));
        // A scaled clock asks for more records than a disk has use for.
        let next_record = recorded.map_or(OFTEN, |ms| clock.until(at.after(ms)).max(SELDOM));
        taken = Vec::new();
        for incoming in inputs.wait(sleep.min(next_record).min(OFTEN)) {
            match incoming {
                Incoming::Input(input) => taken.push(input),
                Incoming::Redraw => display.forget()?,
                Incoming::End(signal) => {
                    audio.hush();
                    return Ok(Ending::Signal(signal));
                }
            }
        }
        taken.extend(audio.news().into_iter().map(Input::from));
    }
}

/// Plays nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoAudio;

impl AudioOutput for NoAudio {
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
