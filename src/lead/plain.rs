//! The class in lines: one an event, for logs and for screen readers.

use std::io::{self, Write};

use super::conductor::{Conductor, Watcher};
use super::happening::{Happening, Told};
use super::keys::{KEYS, Press};
use super::moment::View;
use super::run::Front;
use super::terminal;
use crate::cue::{call_words, changeover_words, purpose_words};
use crate::schedule::{Audience, Doing, Purpose, Schedule, Side, Span, What};
use crate::session::block_letter;
use crate::time::{Tick, clock};

/// Writes lines of class time and what happens, each at once.
#[derive(Debug)]
pub struct Lines<W: Write> {
    to: W,
    /// In a raw terminal a line ends with a return as well.
    end: &'static str,
    /// The view that was told last.
    view: View,
}

impl<W: Write> Lines<W> {
    /// Lines to a writer. `raw`: it is a terminal whose keys are taken as they are pressed.
    pub fn new(to: W, raw: bool) -> Lines<W> {
        Lines { to, end: if raw { "\r\n" } else { "\n" }, view: View::Coach }
    }

    /// Writes a line that belongs to no class time.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn line(&mut self, line: &str) -> io::Result<()> {
        write!(self.to, "{line}{}", self.end)?;
        self.to.flush()
    }
}

impl<W: Write> Front for Lines<W> {
    fn watcher(&self) -> Watcher {
        Watcher::Lines
    }

    fn stays(&self) -> bool {
        false
    }

    fn tell(&mut self, told: &Told, conductor: &Conductor) -> io::Result<()> {
        match words(&told.what, conductor) {
            Some(words) => {
                let at = clock(Tick::seconds(told.at.0 / 1000));
                self.line(&format!("{at:>5}  {words}"))
            }
            None => Ok(()),
        }
    }

    fn show(&mut self, conductor: &Conductor) -> io::Result<()> {
        let view = conductor.moment().view;
        if std::mem::replace(&mut self.view, view) == view {
            return Ok(());
        }
        match view {
            View::Help => KEYS.iter().try_for_each(|key| self.line(&format!("{}: {}.", key.spoken(), key.long()))),
            View::Quit => self.line("End the class for good? y ends it, any other key goes on."),
            View::Coach | View::Far => Ok(()),
        }
    }

    fn forget(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn suspend(&mut self) -> io::Result<()> {
        terminal::restore();
        terminal::stop_for_the_shell()?;
        terminal::take_keys()
    }
}

/// A happening in words. None for what is only heard.
fn words(what: &Happening, conductor: &Conductor) -> Option<String> {
    let schedule = conductor.schedule();
    Some(match what {
        Happening::CountIn { ms } => format!("Starts in {}.", seconds(Tick(*ms))),
        Happening::Span(span) => begins(schedule, *span),
        Happening::Due(event) => match &schedule.events.get(*event)?.what {
            What::Tone(_) => return None,
            What::Call(call) => sentence(call_words(*call)),
            What::Cue(cue) if cue.audience == Audience::Coach => format!("Coach: {}", cue.text),
            What::Cue(cue) => cue.text.clone(),
        },
        Happening::Gate => "Waiting for the coach: space starts this block.".to_owned(),
        Happening::Opened { waited_ms: 0 } => return None,
        Happening::Opened { waited_ms } => format!("Started after waiting {}.", seconds(Tick(*waited_ms))),
        Happening::Held { stopped: false } => "Held.".to_owned(),
        Happening::Held { stopped: true } => match &schedule.session.emergency {
            Some(emergency) => format!("STOPPED. {emergency}"),
            None => "STOPPED. Call the local emergency number if anybody is hurt.".to_owned(),
        },
        Happening::Resumed { after_ms } => format!("Goes on after {}.", seconds(Tick(*after_ms))),
        Happening::Changed(Press::Next) => "Next.".to_owned(),
        Happening::Changed(Press::Back) => "Back.".to_owned(),
        Happening::Changed(_) => "Again.".to_owned(),
        // The line that the coach is shown says it.
        Happening::Slept { .. } | Happening::Level(_) => return None,
        Happening::Muted(true) => "Muted.".to_owned(),
        Happening::Muted(false) => "Sound on.".to_owned(),
        Happening::Said(line) if line.ends_with('.') => line.clone(),
        Happening::Said(line) => format!("{line}."),
        Happening::Done => "The class is over.".to_owned(),
        Happening::Quit => "Ended by the coach.".to_owned(),
    })
}

/// What begins, in a sentence or two.
fn begins(schedule: &Schedule, index: usize) -> String {
    let span = &schedule.spans[index];
    let block = schedule.block_of(span);
    let opens = |same: fn(&Span, &Span) -> bool| index == 0 || !same(&schedule.spans[index - 1], span);
    let mut line = String::new();
    if opens(|before, span| before.block == span.block) {
        line += &format!("Block {}, {}. ", block_letter(span.block), block.name);
    }
    if block.rounds > 1
        && span.purpose == Purpose::Work
        && opens(|before, span| (before.block, before.round) == (span.block, span.round))
    {
        line += &format!("Round {} of {}. ", span.round + 1, block.rounds);
    }
    line += &sentence(&format!("{}, {}", purpose_words(span.purpose), seconds(span.length())));
    if span.purpose != Purpose::Work {
        if let Some(next) = schedule.work_from(index) {
            line += &format!(" Next: {}.{}", who_does_what(schedule, &schedule.spans[next]), changes(schedule, next));
        }
        return line;
    }
    line += &format!(" {}", sentence(&who_does_what(schedule, span)));
    let told = index > 0 && schedule.spans[index - 1].purpose != Purpose::Work;
    if !told {
        line += &changes(schedule, index);
    }
    if let Some(reps) = span.reps {
        let turns = matches!(span.side, Side::Alternating | Side::LeftThenRight { .. });
        line += &format!(" Up to {reps} repetitions{}.", if turns { " on each side" } else { "" });
    }
    line
}

/// What has to be changed for a span, in a sentence of its own.
fn changes(schedule: &Schedule, span: usize) -> String {
    match changeover_words(&schedule.spans[span].change) {
        words if words.is_empty() => words,
        words => format!(" {}", sentence(&words)),
    }
}

/// With a capital and a full stop.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

fn who_does_what(schedule: &Schedule, span: &Span) -> String {
    let stations = &schedule.block_of(span).stations;
    let name = |station: usize| stations.get(station).map_or("", |station| station.movement.name.as_str());
    let what = match span.doing {
        Doing::Station(station) => name(station).to_owned(),
        Doing::AllAtOwnPace => {
            let names: Vec<&str> = (0..stations.len()).map(name).collect();
            format!("as many rounds as possible of {}", names.join(", "))
        }
        Doing::Turn(turn) => {
            let groups: Vec<String> = (0..stations.len())
                .map(|group| format!("group {} {}", group + 1, name((group + turn) % stations.len())))
                .collect();
            groups.join(", ")
        }
        Doing::Nothing => "the end of the block".to_owned(),
    };
    match span.side {
        Side::Both => what,
        Side::Alternating => format!("{what}, sides by turns"),
        Side::Left => format!("{what}, left side"),
        Side::Right => format!("{what}, right side"),
        Side::LeftThenRight { .. } => format!("{what}, left then right"),
    }
}

/// A length as a person says it.
fn seconds(length: Tick) -> String {
    let seconds = length.digits();
    let plural = |n: u64, unit: &str| format!("{n} {unit}{}", if n == 1 { "" } else { "s" });
    match (seconds / 60, seconds % 60) {
        (0, s) => plural(s, "second"),
        (m, 0) => plural(m, "minute"),
        (m, s) => format!("{} {}", plural(m, "minute"), plural(s, "second")),
    }
}
