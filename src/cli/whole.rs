//! `forecall rehearse --whole`: runs the whole class, as fast as the coach wants. Nothing is recorded.

use std::io::Write;

use super::music::Lists;
use super::sounds::Sounds;
use super::stop::OrCannot;
use super::{Exit, Stop, colour};
use class::cue::{Voicing, cue_up};
use class::schedule::{Schedule, What};
use class::time::Tick;
use stage::lead::screen;
use stage::lead::{Conductor, Opening, opening};
use stage::runtime::terminal;
use stage::runtime::{Clock, Console, Ending, NoRecorder, RealClock, press, run_on_screen};

/// Runs a class on the screen with the keys of a class, from its start or from a place in it, `speed` times as fast as
/// planned.
///
/// # Errors
/// When there is no terminal, or no such place.
pub fn run_whole(
    schedule: Schedule,
    sounds: &Sounds,
    from: Option<&str>,
    speed: u32,
    out: &mut impl Write,
) -> Result<Exit, Stop> {
    if !terminal::is_here() {
        let why = "--whole needs a terminal; `forecall lead --plain --speed 8` prints a class line by line";
        return Err(Stop::Cannot(why.to_owned()));
    }
    let from = from.map_or(Ok(Tick::ZERO), |place| opening::place(&schedule, place));
    let from = from.map_err(|why| Stop::Cannot(format!("--from: {why}")))?;
    let mut clock = RealClock::new(u64::from(speed));
    let mut console = Console::open(press).or_cannot("read the keyboard")?;
    let said_at = |speed: u32| {
        let mut cued = schedule.clone();
        cue_up(&mut cued, Tick::ZERO, &sounds.voicing(speed));
        cued
    };
    let in_life = said_at(1);
    let mut audio = sounds.audio(&in_life, speed, true, Lists::default());
    let voicing: Voicing = sounds.voicing(speed);
    let opening = Opening { from, muted: sounds.mute, voicing, ..Opening::default() };
    let mut conductor = Conductor::new(schedule.clone(), opening, clock.read());
    let look = colour::look();
    let face = |conductor: &Conductor| screen::face(&conductor.moment());
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
        Ending::Signal(signal) => Ok(Exit::Signal(signal)),
        Ending::Done | Ending::Quit => Ok(Exit::Well),
    }
}

/// How many cues are spoken in a class.
fn cues(schedule: &Schedule) -> usize {
    schedule.events.iter().filter(|event| matches!(event.what, What::Cue(_))).count()
}
