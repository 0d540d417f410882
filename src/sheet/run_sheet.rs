//! The run sheet: what a coach reads off the floor, block by block, in words alone. How it looks is the writers'.

use jiff::civil::Time;

use super::kit::kit_list;
use super::words::{format_words, side_words, sides_words};
use crate::cue::{changeover_words, purpose_words};
use crate::movement::Sides;
use crate::schedule::{Doing, Purpose, Schedule, Side, Span};
use crate::session::{Block, Format, Start, Station, Work, block_letter};
use crate::time::{Tick, clock};
use crate::words::WORDS;

/// A class on a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunSheet {
    pub title: String,
    /// Start and end, length, what is left of the slot, people.
    pub facts: String,
    pub blocks: Vec<SheetBlock>,
    /// The class to scale.
    pub strip: Vec<Stretch>,
    /// What has to be there, a line a kind.
    pub kit: Vec<String>,
    /// The room's own text for an emergency.
    pub emergency: Option<String>,
    pub cautions: Vec<String>,
    /// Leave room to write loads and notes.
    pub blank: bool,
}

/// A block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetBlock {
    pub begins: String,
    pub length: String,
    /// Letter and name.
    pub name: String,
    pub about: Vec<String>,
    pub lines: Vec<SheetLine>,
}

/// A station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetLine {
    /// When it is done first; empty where that differs from person to person.
    pub begins: String,
    pub length: String,
    pub movement: String,
    /// Side, tempo, repetitions.
    pub details: String,
    /// What changes for it.
    pub change: String,
    /// At most [`PROMPTS`].
    pub prompts: Vec<String>,
}

/// A piece of the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    pub length: Tick,
    pub purpose: Purpose,
    /// The letter of the block that begins with it.
    pub letter: Option<String>,
}

/// So many prompts of a station are on the sheet.
pub const PROMPTS: usize = 2;

/// A class as a sheet. `start`: when it begins, by the clock on the wall; without it times count from the beginning.
pub fn run_sheet(schedule: &Schedule, start: Option<Time>, blank: bool) -> RunSheet {
    let session = &schedule.session;
    let times = Times(start);
    RunSheet {
        title: session.title.clone(),
        facts: facts(schedule, times),
        blocks: (0..session.blocks.len()).filter_map(|index| sheet_block(schedule, index, times)).collect(),
        strip: strip(schedule),
        kit: kit_list(session),
        emergency: session.emergency.clone(),
        cautions: WORDS.screen.lines.cautions.clone(),
        blank,
    }
}

/// How ticks are told: by the clock on the wall, or from the beginning.
#[derive(Clone, Copy)]
struct Times(Option<Time>);

impl Times {
    fn at(self, tick: Tick) -> String {
        let after = jiff::SignedDuration::from_millis(i64::try_from(tick.0).unwrap_or(i64::MAX));
        self.0.map_or_else(|| clock(whole(tick)), |start| start.wrapping_add(after).strftime("%H:%M:%S").to_string())
    }
}

fn whole(tick: Tick) -> Tick {
    Tick::seconds(tick.0 / 1000)
}

fn facts(schedule: &Schedule, times: Times) -> String {
    let (session, total) = (&schedule.session, schedule.total());
    let mut facts = Vec::new();
    if times.0.is_some() {
        facts.push(format!("{} to {}", times.at(Tick::ZERO), times.at(total)));
    }
    facts.push(format!("{} in all", clock(whole(total))));
    if let Some(slot) = session.slot {
        facts.push(match slot.checked_sub(total) {
            Some(spare) => format!("{} to spare", clock(whole(spare))),
            None => format!("{} over the slot", clock(whole(total - slot))),
        });
    }
    facts.extend(session.people.map(|people| format!("{people} people")));
    facts.join(" · ")
}

fn strip(schedule: &Schedule) -> Vec<Stretch> {
    let mut block = None;
    let stretch = |span: &Span| {
        let letter = (block.replace(span.block) != Some(span.block)).then(|| block_letter(span.block));
        Stretch { length: span.length(), purpose: span.purpose, letter }
    };
    schedule.spans.iter().map(stretch).collect()
}

fn sheet_block(schedule: &Schedule, index: usize, times: Times) -> Option<SheetBlock> {
    let block = &schedule.session.blocks[index];
    let spans: Vec<&Span> =
        schedule.spans.iter().filter(|span| span.block == index && span.purpose != Purpose::BlockRest).collect();
    let after = schedule.spans.iter().find(|span| span.block == index && span.purpose == Purpose::BlockRest);
    let first = spans.first()?;
    Some(SheetBlock {
        begins: times.at(first.start),
        length: clock(whole(spans.iter().map(|span| span.length()).sum())),
        name: format!("{} {}", block_letter(index), block.name),
        about: about(block, &spans, after, times),
        lines: lines(block, &spans, times),
    })
}

/// What goes for the whole block, a line each.
fn about(block: &Block, spans: &[&Span], after: Option<&Span>, times: Times) -> Vec<String> {
    let mut what = vec![format_words(block)];
    if block.start == Start::OnKey {
        what.push("waits for your key".to_owned());
    }
    for purpose in [Purpose::Briefing, Purpose::Rest, Purpose::RoundRest, Purpose::Transition] {
        let lengths =
            distinct(spans.iter().filter(|span| span.purpose == purpose).map(|span| clock(whole(span.length()))));
        if !lengths.is_empty() {
            what.push(format!("{} {}", purpose_words(purpose), lengths.join(", ")));
        }
    }
    what.extend(after.map(|rest| format!("then {} rest", clock(whole(rest.length())))));
    let mut about = vec![what.join(" · ")];
    let work = || spans.iter().filter(|span| span.purpose == Purpose::Work);
    let again: Vec<String> = match block.format {
        Format::Rotation => work().skip(1).map(|span| times.at(span.start)).collect(),
        Format::Sets => Vec::new(),
        _ if block.stations.len() == 1 => Vec::new(),
        _ => {
            let begins = |round| work().find(|span| span.round == round).map(|span| times.at(span.start));
            (1..block.passes().min(u32::try_from(spans.len()).unwrap_or(u32::MAX))).filter_map(begins).collect()
        }
    };
    if !again.is_empty() {
        let what = if block.format == Format::Rotation { "move on at" } else { "again from the top at" };
        about.push(format!("{what} {}", again.join(", ")));
    }
    about.extend(block.note.clone());
    about
}

/// A line for each station, where it is done first. In a rotation and an AMRAP one before them says how long it all is.
fn lines(block: &Block, spans: &[&Span], times: Times) -> Vec<SheetLine> {
    let work: Vec<&Span> = spans.iter().copied().filter(|span| span.purpose == Purpose::Work).collect();
    let at_once = work.iter().find(|span| !matches!(span.doing, Doing::Station(_)));
    let all = at_once.map(|span| SheetLine {
        begins: times.at(span.start),
        length: lengths(&work),
        movement: if span.doing == Doing::AllAtOwnPace {
            "All, at their own pace"
        } else {
            "Each group at its station"
        }
        .into(),
        details: String::new(),
        change: String::new(),
        prompts: Vec::new(),
    });
    let stations = block.stations.iter().enumerate().filter_map(|(index, station)| {
        let mine: Vec<&Span> = work.iter().copied().filter(|span| span.doing == Doing::Station(index)).collect();
        let first = mine.first();
        if first.is_none() && at_once.is_none() {
            return None;
        }
        Some(SheetLine {
            begins: first.map(|span| times.at(span.start)).unwrap_or_default(),
            length: lengths(&mine),
            movement: match first {
                Some(_) => station.movement.name.clone(),
                None => format!("{} {}", index + 1, station.movement.name),
            },
            details: details(block, station, first.copied(), mine.len()),
            change: first.map(|span| changeover_words(&span.change)).unwrap_or_default(),
            prompts: station.prompts.iter().filter(|prompt| !prompt.trim().is_empty()).take(PROMPTS).cloned().collect(),
        })
    });
    all.into_iter().chain(stations).collect()
}

/// The lengths of the spans of one station, each once: `0:45`, `0:40, 0:30, 0:20`.
fn lengths(spans: &[&Span]) -> String {
    distinct(spans.iter().map(|span| clock(whole(span.length())))).join(", ")
}

fn distinct(texts: impl Iterator<Item = String>) -> Vec<String> {
    let mut distinct: Vec<String> = Vec::new();
    for text in texts {
        if !distinct.contains(&text) {
            distinct.push(text);
        }
    }
    distinct
}

fn details(block: &Block, station: &Station, span: Option<&Span>, times: usize) -> String {
    let mut details = Vec::new();
    details.push(match span {
        Some(span) if station.sides != Sides::EachSide => side_words(span).to_owned(),
        _ => sides_words(station.sides).to_owned(),
    });
    if station.sides == Sides::EachSide && span.is_some() {
        details.push("a span each".to_owned());
    }
    details.extend(station.tempo.map(|tempo| format!("tempo {tempo}")));
    details.push(match (station.work, span) {
        (Work::Reps(reps), _) if block.format != Format::Rotation => format!("{reps} times"),
        (_, Some(span)) => match (span.reps, span.side) {
            (Some(reps), Side::Both | Side::Left | Side::Right) => format!("up to {reps}"),
            (Some(reps), _) => format!("up to {reps} a side"),
            (None, _) => String::new(),
        },
        _ => String::new(),
    });
    let turns = if station.sides == Sides::EachSide { times / 2 } else { times };
    match block.format {
        Format::Sets if block.rounds > 1 => details.push(format!("{} sets", block.rounds)),
        Format::Intervals { .. } if turns > 1 => details.push(format!("{turns} times in all")),
        _ => {}
    }
    details.extend(station.place.clone());
    details.retain(|detail| !detail.trim().is_empty());
    details.join(" · ")
}
