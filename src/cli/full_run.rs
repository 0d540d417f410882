//! `forecall rehearse --whole`: runs the whole class, as fast as the coach wants. Nothing is recorded.

use std::io::Write;

use super::error::OrCannot;
use super::music::MusicLists;
use super::sound_args::SoundArgs;
use super::{CommandError, Exit, colour};
use class::cue::{SpeechSettings, plan_and_insert_cues};
use class::schedule::{EventContent, Schedule};
use class::time::Tick;
use stage::lead::screen;
use stage::lead::{ClassOpening, Conductor, opening};
use stage::runtime::terminal;
use stage::runtime::{Clock, Console, NoRecorder, RealClock, RunEnding, command_of_key, run_on_screen};

/// Runs a class on the screen with the keys of a class, from its start or from a place in it, `speed` times as fast as
/// planned.
///
/// # Errors
/// When there is no terminal, or no such place.
pub(crate) fn run_full_class(
    schedule: Schedule,
    sounds: &SoundArgs,
    from: Option<&str>,
    speed: u32,
    out: &mut impl Write,
) -> Result<Exit, CommandError> {
    if !terminal::is_interactive() {
        let why = "--whole needs a terminal; `forecall lead --plain --speed 8` prints a class line by line";
        return Err(CommandError::refused(why));
    }
    let from = from.map_or(Ok(Tick::ZERO), |place| opening::start_tick(&schedule, place));
    let from = from.or_wrong("--from")?;
    let mut clock = RealClock::new(speed);
    let mut console = Console::open(command_of_key).or_cannot("read the keyboard")?;
    let said_at = |speed: u32| {
        let mut cued = schedule.clone();
        plan_and_insert_cues(&mut cued, Tick::ZERO, &sounds.speech_settings(speed));
        cued
    };
    let in_life = said_at(1);
    let mut audio = sounds.audio(&in_life, speed, true, MusicLists::default());
    let voicing: SpeechSettings = sounds.speech_settings(speed);
    let opening = ClassOpening { from, muted: sounds.mute, voicing, ..ClassOpening::default() };
    let mut conductor = Conductor::new(schedule.clone(), opening, clock.read());
    let look = colour::theme();
    let face = |conductor: &Conductor| screen::fingerprint(&conductor.moment());
    let draw = |frame: &mut ratatui::Frame, conductor: &Conductor| screen::draw(frame, &conductor.moment(), &look);
    let led = run_on_screen(&mut conductor, &mut clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    let (planned, said) = (cues(&in_life), cues(conductor.schedule()));
    if speed > 1 && said < planned {
        let left = planned - said;
        let were = if left == 1 { "cues was" } else { "cues were" };
        writeln!(
            out,
            "At {speed} times the speed, {left} of {planned} {were} not spoken for lack of time, and shown."
        )?;
    }
    match led.or_cannot("keep showing the class")? {
        RunEnding::Signal(signal) => Ok(Exit::Signal(signal)),
        RunEnding::Done | RunEnding::Quit => Ok(Exit::Well),
    }
}

/// How many cues are spoken in a class.
fn cues(schedule: &Schedule) -> usize {
    schedule.events.iter().filter(|event| matches!(event.what, EventContent::Cue(_))).count()
}
