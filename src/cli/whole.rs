//! `forecall rehearse --whole`: runs the whole class, as fast as the coach wants. Nothing is recorded.

use std::io::Write;
use std::process::ExitCode;

use super::music::Lists;
use super::sounds::Sounds;
use super::{Stop, colour};
use crate::cue::{Voicing, cue_up};
use crate::lead::terminal::{self, Sparing};
use crate::lead::{Channel, Clock, Conductor, Ending, Opening, Picture, Real, Unkept, opening, press, run};
use crate::schedule::{Schedule, What};
use crate::screen;
use crate::time::Tick;

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
) -> Result<ExitCode, Stop> {
    let cannot = |what: &str, error: std::io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
    if !terminal::is_here() {
        let why = "--whole needs a terminal; `forecall lead --plain --speed 8` prints a class line by line";
        return Err(Stop::Cannot(why.to_owned()));
    }
    let from = from.map_or(Ok(Tick::ZERO), |place| opening::place(&schedule, place));
    let from = from.map_err(|why| Stop::Cannot(format!("--from: {why}")))?;
    let mut clock = Real::new(u64::from(speed));
    let mut channel = Channel::new();
    channel.listen_to_signals().map_err(|error| cannot("listen to signals", error))?;
    let said_at = |speed: u32| {
        let mut cued = schedule.clone();
        cue_up(&mut cued, Tick::ZERO, &sounds.voicing(speed));
        cued
    };
    let in_life = said_at(1);
    let mut room = sounds.room(&in_life, speed, true, Lists::default());
    let voicing: Voicing = sounds.voicing(speed);
    let opening = Opening { from, muted: sounds.mute, voicing, ..Opening::default() };
    let mut conductor = Conductor::new(schedule.clone(), opening, clock.read());
    let look = colour::look();
    let mut show = || -> std::io::Result<Ending> {
        terminal::take_screen()?;
        channel.listen_to_keys(press)?;
        let face = |conductor: &Conductor| screen::face(&conductor.moment());
        let mut front = Picture::new(Sparing::stdout(), face, |frame: &mut ratatui::Frame, conductor: &Conductor| {
            screen::draw(frame, &conductor.moment(), &look);
        })?;
        run(&mut conductor, &mut clock, &mut channel, &mut front, room.as_mut(), &mut Unkept)
    };
    let led = show();
    terminal::restore();
    let (planned, said) = (cues(&in_life), cues(conductor.schedule()));
    if speed > 1 && said < planned {
        let left = planned - said;
        let were = if left == 1 { "cues was" } else { "cues were" };
        writeln!(
            out,
            "At {speed} times the speed, {left} of {planned} {were} not spoken for lack of time, and shown."
        )?;
    }
    match led.map_err(|error| cannot("keep showing the class", error))? {
        Ending::Signal(signal) => Ok(Stop::signalled(signal)),
        Ending::Done | Ending::Quit => Ok(ExitCode::SUCCESS),
    }
}

/// How many cues are spoken in a class.
fn cues(schedule: &Schedule) -> usize {
    schedule.events.iter().filter(|event| matches!(event.what, What::Cue(_))).count()
}
