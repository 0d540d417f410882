//! The run loop: waits, steps the application and carries out its effects.

use std::io;
use std::time::{Duration, Instant};

use sound::{SoundBus, ToneSignal};

use super::application::{Application, AudioNews, RunEnding, StepEffect, StepInput, UpcomingSounds};
use super::clock::Clock;
use super::console::{Incoming, InputSource};
use super::display::DisplayOutput;
use super::recorder::Recorder;

/// Where an application sounds.
pub trait AudioOutput {
    /// Plays this from now on, and nothing else. `at`: when its first tick is to be heard.
    fn play(&mut self, sounding: &UpcomingSounds, at: Instant);

    /// Is silent at once.
    fn hush(&mut self);

    /// Lets the coach hear this signal now, quietly.
    fn signal(&mut self, signal: ToneSignal);

    /// Sets the volume of one kind of sound, in percent.
    fn volume(&mut self, bus: SoundBus, percent: u8);

    /// Plays the music of this block from now on, if the block has music; else none. [`AudioOutput::hush`] stops music too.
    fn music(&mut self, block: Option<usize>);

    /// Waits until the last tone has sounded.
    fn ring_out(&mut self);

    /// What happened since this was last asked.
    fn news(&mut self) -> Vec<AudioNews>;
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
    inputs: &mut impl InputSource<A::Press>,
    display: &mut impl DisplayOutput<A>,
    audio: &mut (impl AudioOutput + ?Sized),
    recorder: &mut (impl Recorder<A> + ?Sized),
) -> io::Result<RunEnding> {
    let mut taken: Vec<StepInput<A::Press>> = audio.news().into_iter().map(StepInput::from).collect();
    loop {
        let reading = clock.read();
        let at = reading.at;
        let mut ending = None;
        let effects = application.step(reading, &taken);
        // Sound waits for nothing. What is shown and told is recorded first.
        for effect in &effects {
            match effect {
                StepEffect::Play(sounding) => audio.play(sounding, clock.instant(at.after(sounding.after))),
                StepEffect::Hush => audio.hush(),
                StepEffect::Signal(signal) => audio.signal(*signal),
                StepEffect::Volume(bus, percent) => audio.volume(*bus, *percent),
                StepEffect::Music(block) => audio.music(*block),
                StepEffect::Tell(event) => recorder.record(event, application),
                StepEffect::Suspend | StepEffect::Over | StepEffect::End(_) => {}
            }
        }
        let recorded = recorder.after_step(application);
        for effect in effects {
            match effect {
                StepEffect::Play(_)
                | StepEffect::Hush
                | StepEffect::Signal(_)
                | StepEffect::Volume(..)
                | StepEffect::Music(_) => {}
                StepEffect::Tell(event) => display.tell(&event, application)?,
                StepEffect::Suspend => display.suspend()?,
                StepEffect::Over if display.stays_after_class() => {}
                StepEffect::Over => ending = ending.or(Some(RunEnding::Done)),
                StepEffect::End(how) => ending = ending.or(Some(how)),
            }
        }
        if let Some(ending) = ending {
            if ending == RunEnding::Done {
                audio.ring_out();
            }
            return Ok(ending);
        }
        display.show(application)?;
        let sleep = application.changes_in(display.watcher()).map_or(OFTEN, |wait| clock.until(at.after(wait)));
        // A scaled clock asks for more records than a disk has use for.
        let next_record = recorded.map_or(OFTEN, |wait| clock.until(at.after(wait)).max(SELDOM));
        taken = Vec::new();
        for incoming in inputs.wait(sleep.min(next_record).min(OFTEN)) {
            match incoming {
                Incoming::Input(input) => taken.push(input),
                Incoming::Redraw => display.redraw_all()?,
                Incoming::End(signal) => {
                    audio.hush();
                    return Ok(RunEnding::Signal(signal));
                }
            }
        }
        taken.extend(audio.news().into_iter().map(StepInput::from));
    }
}

/// Plays nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoAudio;

impl AudioOutput for NoAudio {
    fn play(&mut self, _: &UpcomingSounds, _: Instant) {}

    fn hush(&mut self) {}

    fn signal(&mut self, _: ToneSignal) {}

    fn volume(&mut self, _: SoundBus, _: u8) {}

    fn music(&mut self, _: Option<usize>) {}

    fn ring_out(&mut self) {}

    fn news(&mut self) -> Vec<AudioNews> {
        Vec::new()
    }
}
