//! The class in lines, one per event, for logs and for screen readers.

use std::io::{self, Write};
use std::time::Duration;

use super::conductor::Conductor;
use super::moment::ScreenView;
use crate::runtime::{DisplayKind, DisplayOutput, terminal};
use class::change::change_words;
use class::cue::{call_words, changeover_words, purpose_words};
use class::schedule::{Activity, Audience, EventContent, Schedule, Span, SpanPurpose, WorkingSide};
use class::session::block_letter;
use class::time::{Tick, clock};
use class::words::{CountedWord, WORDS, fill};
use journal::{Happening, TimedHappening};

/// Writes each happening at once, as a line with its class time.
#[derive(Debug)]
pub struct PlainDisplay<W: Write> {
    to: W,
    /// In raw mode a line needs a carriage return as well.
    end: &'static str,
    /// The view that was told last.
    view: ScreenView,
}

impl<W: Write> PlainDisplay<W> {
    /// Lines to a writer. `raw`: the writer is a terminal in raw mode.
    pub fn new(to: W, raw: bool) -> PlainDisplay<W> {
        PlainDisplay { to, end: if raw { "\r\n" } else { "\n" }, view: ScreenView::Coach }
    }

    /// Writes a line without a class time.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn line(&mut self, line: &str) -> io::Result<()> {
        write!(self.to, "{line}{}", self.end)?;
        self.to.flush()
    }
}

impl<W: Write> DisplayOutput<Conductor> for PlainDisplay<W> {
    fn watcher(&self) -> DisplayKind {
        DisplayKind::Lines
    }

    fn stays_after_class(&self) -> bool {
        false
    }

    fn tell(&mut self, told: &TimedHappening, conductor: &Conductor) -> io::Result<()> {
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
            ScreenView::Help => {
                let keys = conductor.moment().keymap.spoken();
                keys.iter().try_for_each(|(key, does)| self.line(&format!("{key}: {does}.")))
            }
            ScreenView::Quit => self.line(&WORDS.lead.plain.whether_to_quit),
            ScreenView::Coach | ScreenView::Far => Ok(()),
        }
    }

    fn redraw_all(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn suspend(&mut self) -> io::Result<()> {
        terminal::restore();
        terminal::stop_for_the_shell()?;
        terminal::take_keys()
    }
}

/// A happening in words. None if another line tells it, or if it is only heard.
fn words(what: &Happening, conductor: &Conductor) -> Option<String> {
    let schedule = conductor.schedule();
    let words = &WORDS.lead.plain;
    Some(match what {
        Happening::CountIn { length: takes } => length(&words.count_in, Tick::of(*takes)),
        Happening::Span(span) => begins(schedule, *span),
        Happening::Due(event) => match &schedule.events.get(*event)?.what {
            EventContent::Tone(_) => return None,
            EventContent::Call(call) => sentence(call_words(*call)),
            EventContent::Cue(cue) if cue.audience == Audience::Coach => {
                fill(&words.for_the_coach, &[("cue", &cue.text)])
            }
            EventContent::Cue(cue) => cue.text.clone(),
        },
        Happening::Gate => words.gate.clone(),
        Happening::Opened { waited: Duration::ZERO } => return None,
        Happening::Opened { waited } => length(&words.opened, Tick::of(*waited)),
        Happening::Paused { stopped: false } => words.paused.clone(),
        Happening::Paused { stopped: true } => {
            let emergency = schedule.session.emergency.as_ref().unwrap_or(&words.no_emergency_text);
            fill(&words.stopped, &[("emergency", emergency)])
        }
        Happening::Resumed { after } => length(&words.resumed, Tick::of(*after)),
        Happening::Changed(change) => fill(&words.changed, &[("change", &change_words(change, &schedule.session))]),
        Happening::Undone | Happening::Redone => return None,
        // The line that is shown to the coach tells this.
        Happening::Slept { .. } | Happening::Level(_) | Happening::Marked => return None,
        Happening::Muted(true) => words.muted.clone(),
        Happening::Muted(false) => words.sounding.clone(),
        Happening::Said(line) if line.ends_with('.') => line.clone(),
        Happening::Said(line) => format!("{line}."),
        Happening::Done => words.done.clone(),
        Happening::Quit => words.quit.clone(),
    })
}

/// What begins, in a few sentences.
fn begins(schedule: &Schedule, index: usize) -> String {
    let words = &WORDS.lead.plain;
    let span = &schedule.spans[index];
    let block = schedule.block_of(span);
    let opens = |same: fn(&Span, &Span) -> bool| index == 0 || !same(&schedule.spans[index - 1], span);
    let mut sentences = Vec::new();
    if opens(|before, span| before.block == span.block) {
        let letter = block_letter(span.block).to_string();
        sentences.push(fill(&words.block, &[("letter", &letter), ("name", &block.name)]));
    }
    let rounds = schedule.passes(span);
    if rounds > 1
        && block.format.counts_rounds()
        && span.purpose == SpanPurpose::Work
        && opens(|before, span| (before.block, before.round) == (span.block, span.round))
    {
        let (number, total) = ((span.round + 1).to_string(), rounds.to_string());
        sentences.push(fill(&words.round, &[("number", &number), ("total", &total)]));
    }
    sentences.push(sentence(&format!("{}, {}", purpose_words(span.purpose), length_words(span.length()))));
    if span.purpose != SpanPurpose::Work {
        if let Some(next) = schedule.work_from(index) {
            sentences.push(fill(&words.coming, &[("what", &who_does_what(schedule, &schedule.spans[next]))]));
            sentences.extend(changes(schedule, next));
        }
        return sentences.join(" ");
    }
    sentences.push(sentence(&who_does_what(schedule, span)));
    let told = index > 0 && schedule.spans[index - 1].purpose != SpanPurpose::Work;
    if !told {
        sentences.extend(changes(schedule, index));
    }
    if let Some(reps) = span.reps {
        let turns = matches!(span.side, WorkingSide::Alternating | WorkingSide::LeftThenRight { .. });
        let wording = if turns { &words.reps_a_side } else { &words.reps };
        sentences.push(fill(wording, &[("number", &reps.to_string())]));
    }
    sentences.join(" ")
}

/// What has to change for a span, as a sentence.
fn changes(schedule: &Schedule, span: usize) -> Option<String> {
    let words = changeover_words(&schedule.spans[span].change);
    (!words.is_empty()).then(|| sentence(&words))
}

/// Makes a sentence: adds a capital letter and a full stop.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

fn who_does_what(schedule: &Schedule, span: &Span) -> String {
    let words = &WORDS.lead.plain;
    let stations = &schedule.block_of(span).stations;
    let name = |station: usize| stations.get(station).map_or("", |station| station.movement.name.as_str());
    let what = match span.activity {
        Activity::Station(station) => name(station).to_owned(),
        Activity::AllAtOwnPace => {
            let names: Vec<&str> = (0..stations.len()).map(name).collect();
            fill(&words.own_pace, &[("movements", &names.join(", "))])
        }
        Activity::Turn(turn) => {
            let group = |group: usize| {
                let number = (group + 1).to_string();
                fill(&words.group, &[("number", &number), ("what", name((group + turn) % stations.len()))])
            };
            (0..stations.len()).map(group).collect::<Vec<_>>().join(", ")
        }
        Activity::Nothing => words.block_end.clone(),
    };
    let wording = match span.side {
        WorkingSide::Both => return what,
        WorkingSide::Alternating => &words.by_turns,
        WorkingSide::Left => &words.left,
        WorkingSide::Right => &words.right,
        WorkingSide::LeftThenRight { .. } => &words.left_then_right,
    };
    fill(wording, &[("what", &what)])
}

/// Fills a length into a text, as a person writes it: `1 minute 30 seconds`.
fn length(wording: &str, length: Tick) -> String {
    fill(wording, &[("length", &length_words(length))])
}

fn length_words(length: Tick) -> String {
    let (minutes, seconds) = (length.countdown_seconds() / 60, length.countdown_seconds() % 60);
    let units = &WORDS.cue.lengths;
    let counted = |number: u64, unit: &CountedWord| format!("{number} {}", if number == 1 { &unit.0 } else { &unit.1 });
    match (minutes, seconds) {
        (0, seconds) => counted(seconds, &units.second),
        (minutes, 0) => counted(minutes, &units.minute),
        (minutes, seconds) => format!("{} {}", counted(minutes, &units.minute), counted(seconds, &units.second)),
    }
}
