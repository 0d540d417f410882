//! The run sheet: what a coach reads from the floor, block by block, as plain words. The writers (PDF, HTML, text)
//! decide how it looks.

use jiff::civil::Time;

use super::kit::kit_list;
use class::cue::{changeover_words, purpose_words};
use class::describe::{format_words, side_words, sides_words};
use class::movement::Sides;
use class::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use class::session::{Block, BlockFormat, BlockStart, Station, WorkAmount, block_letter};
use class::time::{Tick, clock};
use class::words::WORDS;

/// A class on a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunSheet {
    pub title: String,
    /// Start and end, length, time spare in the slot, people.
    pub facts: String,
    pub blocks: Vec<SheetBlock>,
    /// The spans of the class, for a bar that shows it to scale.
    pub strip: Vec<StripPiece>,
    /// The kit that is needed, one line for each kind.
    pub kit: Vec<String>,
    /// The emergency text of the session.
    pub emergency: Option<String>,
    pub cautions: Vec<String>,
    /// Leave room to write loads and notes.
    pub blank: bool,
    /// Print all prompts. Otherwise as many as fit on the fewest pages.
    pub all_prompts: bool,
}

/// A block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetBlock {
    pub begins: String,
    pub length: String,
    pub letter: String,
    pub name: String,
    /// What applies to the whole block: format, lengths that all stations share, rests, when its rounds start, a note.
    pub about: Vec<String>,
    pub lines: Vec<SheetLine>,
}

/// A station, or the same station several times in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetLine {
    /// When it starts first. Empty where that differs from person to person.
    pub begins: String,
    /// Its length. Empty where the block gives it for all its stations.
    pub length: String,
    pub movement: String,
    /// Side, tempo, repetitions, sets.
    pub details: String,
    /// When it starts again, where the block does not say that.
    pub again: Vec<String>,
    /// What has to be changed before it.
    pub change: String,
    pub prompts: Vec<String>,
}

/// A piece of the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StripPiece {
    pub length: Tick,
    pub purpose: SpanPurpose,
    /// The letter of the block that starts with it.
    pub letter: Option<String>,
}

/// The most prompts of a station on a sheet, if no other number is asked for.
pub const PROMPTS: usize = 2;
/// The most times that are all listed. Of more, the first ones and the last are listed.
const TIMES: usize = 12;

/// A class as a run sheet. `start`: the time of day at which it starts; without it, times count from the start of the
/// class. `prompts`: how many prompts of each station; None: as many as there is room for, at most [`PROMPTS`].
pub fn run_sheet(schedule: &Schedule, start: Option<Time>, blank: bool, prompts: Option<usize>) -> RunSheet {
    let session = &schedule.session;
    let times = TimeDisplay(start);
    let most = prompts.unwrap_or(PROMPTS);
    RunSheet {
        title: session.title.clone(),
        facts: facts(schedule, times),
        blocks: (0..session.blocks.len()).filter_map(|index| sheet_block(schedule, index, times, most)).collect(),
        strip: strip(schedule),
        kit: kit_list(session),
        emergency: session.emergency.clone(),
        cautions: WORDS.screen.lines.cautions.clone(),
        blank,
        all_prompts: prompts.is_some(),
    }
}

/// How ticks are written: as the time of day, or counted from the start of the class.
#[derive(Clone, Copy)]
struct TimeDisplay(Option<Time>);

impl TimeDisplay {
    fn at(self, tick: Tick) -> String {
        let after = jiff::SignedDuration::from_millis(i64::try_from(tick.0).unwrap_or(i64::MAX));
        self.0.map_or_else(
            || clock(whole_seconds(tick)),
            |start| start.wrapping_add(after).strftime("%H:%M:%S").to_string(),
        )
    }
}

fn whole_seconds(tick: Tick) -> Tick {
    Tick::seconds(tick.0 / 1000)
}

fn facts(schedule: &Schedule, times: TimeDisplay) -> String {
    let (session, total) = (&schedule.session, schedule.total());
    let mut facts = Vec::new();
    if times.0.is_some() {
        facts.push(format!("{} to {}", times.at(Tick::ZERO), times.at(total)));
    }
    facts.push(format!("{} in total", clock(whole_seconds(total))));
    if let Some(slot) = session.slot {
        facts.push(match slot.checked_sub(total) {
            Some(spare) => format!("{} spare", clock(whole_seconds(spare))),
            None => format!("{} over", clock(whole_seconds(total - slot))),
        });
    }
    facts.extend(session.people.map(|people| format!("{people} people")));
    facts.join(" · ")
}

fn strip(schedule: &Schedule) -> Vec<StripPiece> {
    let mut block = None;
    let stretch = |span: &Span| {
        let letter = (block.replace(span.block) != Some(span.block)).then(|| block_letter(span.block));
        StripPiece { length: span.length(), purpose: span.purpose, letter }
    };
    schedule.spans.iter().map(stretch).collect()
}

fn sheet_block(schedule: &Schedule, index: usize, times: TimeDisplay, prompts: usize) -> Option<SheetBlock> {
    let block = &schedule.session.blocks[index];
    let spans: Vec<&Span> =
        schedule.spans.iter().filter(|span| span.block == index && span.purpose != SpanPurpose::BlockRest).collect();
    let after = schedule.spans.iter().find(|span| span.block == index && span.purpose == SpanPurpose::BlockRest);
    let first = spans.first()?;
    let mut lines = lines(block, &spans, times, prompts);
    let each = common_length(block, &spans, &mut lines);
    Some(SheetBlock {
        begins: times.at(first.start),
        length: clock(whole_seconds(spans.iter().map(|span| span.length()).sum())),
        letter: block_letter(index),
        name: block.name.clone(),
        about: about(block, &spans, each, after, times),
        lines: merge_repeats(lines),
    })
}

/// The length that all stations of a block share, if they do. It is then removed from the lines.
fn common_length(block: &Block, spans: &[&Span], lines: &mut [SheetLine]) -> Option<String> {
    if matches!(block.format, BlockFormat::Rotation | BlockFormat::Amrap { .. }) {
        let work: Vec<&Span> = spans.iter().copied().filter(|span| span.purpose == SpanPurpose::Work).collect();
        return Some(lengths(&work)).filter(|_| block.format == BlockFormat::Rotation);
    }
    let first = lines.first()?.length.clone();
    if lines.iter().any(|line| line.length != first) {
        return None;
    }
    lines.iter_mut().for_each(|line| line.length.clear());
    Some(first)
}

/// What applies to the whole block, one line each.
fn about(
    block: &Block,
    spans: &[&Span],
    each: Option<String>,
    after: Option<&Span>,
    times: TimeDisplay,
) -> Vec<String> {
    let mut what = Vec::new();
    // A circuit of one station in one round needs no format.
    if block.format != BlockFormat::Circuit || block.stations.len() > 1 || block.rounds > 1 {
        what.push(format_words(block));
    }
    // The format of a ladder already lists its lengths.
    if !matches!(block.format, BlockFormat::Ladder { .. }) {
        what.extend(each.map(|each| format!("{each} work")));
    }
    let lengths_of = |purpose| {
        let these = spans.iter().filter(|span| span.purpose == purpose);
        Some(distinct(these.map(|span| clock(whole_seconds(span.length())))).join(", "))
            .filter(|words| !words.is_empty())
    };
    what.extend(lengths_of(SpanPurpose::Rest).map(|length| format!("{length} {}", purpose_words(SpanPurpose::Rest))));
    what.extend(lengths_of(SpanPurpose::Transition).map(|length| format!("{length} changeover")));
    if block.start == BlockStart::OnKey {
        what.push("starts when you say".to_owned());
    }
    what.extend(lengths_of(SpanPurpose::Briefing).map(|length| format!("{length} briefing")));
    what.extend(rounds(block, spans, times));
    what.extend(lengths_of(SpanPurpose::RoundRest).map(|length| format!("{length} between rounds")));
    what.extend(after.map(|rest| format!("{} rest after", clock(whole_seconds(rest.length())))));
    let about = [what.join(" · ")].into_iter().filter(|line| !line.is_empty());
    about.chain(block.note.clone()).collect()
}

/// When the rounds of a block start.
fn rounds(block: &Block, spans: &[&Span], times: TimeDisplay) -> Option<String> {
    let work = || spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
    let rounds = || {
        let mut last = None;
        let begins_round = move |span: &&&Span| last.replace(span.round) != Some(span.round);
        work().filter(begins_round).map(|span| times.at(span.start))
    };
    let begins: Vec<String> = match block.format {
        // The lines of sets have the times.
        BlockFormat::Sets => return None,
        // The lines of these have no times, so the first round is listed too.
        BlockFormat::Rotation | BlockFormat::Amrap { .. } => rounds().collect(),
        _ if block.stations.len() == 1 => return None,
        BlockFormat::Intervals { .. } if block.rounds == 1 => return None,
        _ => rounds().skip(1).collect(),
    };
    let words = match (&block.format, begins.len()) {
        (_, 0) => return None,
        (BlockFormat::Rotation | BlockFormat::Amrap { .. }, 1) => "starts at".to_owned(),
        (BlockFormat::Rotation | BlockFormat::Amrap { .. }, _) => "rounds at".to_owned(),
        (_, 1) => "round 2 at".to_owned(),
        (_, count) => format!("rounds 2 to {} at", count + 1),
    };
    Some(format!("{words} {}", times_words(&begins)))
}

/// A list of times: all of them, or the first ones and the last.
pub(super) fn times_words(times: &[String]) -> String {
    match times {
        [first @ .., last] if first.len() >= TIMES => {
            format!("{} and so on to {last}", first[..TIMES - 1].join(", "))
        }
        _ => times.join(", "),
    }
}

/// One line for each station, with its first start.
fn lines(block: &Block, spans: &[&Span], times: TimeDisplay, prompts: usize) -> Vec<SheetLine> {
    let work: Vec<&Span> = spans.iter().copied().filter(|span| span.purpose == SpanPurpose::Work).collect();
    let at_once = work.iter().any(|span| !matches!(span.activity, Activity::Station(_)));
    let mut of_station: Vec<Vec<&Span>> = vec![Vec::new(); block.stations.len()];
    for &span in &work {
        if let Activity::Station(index) = span.activity {
            of_station[index].push(span);
        }
    }
    let stations = block.stations.iter().zip(of_station).enumerate().filter_map(|(index, (station, mine))| {
        let first = mine.first();
        if first.is_none() && !at_once {
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
            again: if block.format == BlockFormat::Sets { sets(&mine, times) } else { Vec::new() },
            change: first.map(|span| changeover_words(&span.change)).unwrap_or_default(),
            prompts: (station.prompts.iter())
                .filter(|prompt| !prompt.trim().is_empty())
                .take(prompts)
                .cloned()
                .collect(),
        })
    });
    stations.collect()
}

/// When the sets after the first start.
fn sets(spans: &[&Span], times: TimeDisplay) -> Vec<String> {
    let mut starts: Vec<&&Span> = spans.iter().collect();
    starts.dedup_by_key(|span| span.round);
    starts.iter().skip(1).map(|span| times.at(span.start)).collect()
}

/// Makes one line of a station that comes several times in a row, with the times of the later ones.
fn merge_repeats(lines: Vec<SheetLine>) -> Vec<SheetLine> {
    let mut folded: Vec<SheetLine> = Vec::new();
    for line in lines {
        let same = |last: &&mut SheetLine| {
            let in_words = |line: &SheetLine| (line.length.clone(), line.movement.clone(), line.details.clone());
            !line.begins.is_empty()
                && line.change.is_empty()
                && in_words(last) == in_words(&line)
                && last.prompts == line.prompts
        };
        match folded.last_mut().filter(same) {
            Some(last) => last.again.extend([line.begins].into_iter().chain(line.again)),
            None => folded.push(line),
        }
    }
    folded
}

/// The lengths of the spans of one station, each once: `0:45`, `0:40, 0:30, 0:20`.
fn lengths(spans: &[&Span]) -> String {
    distinct(spans.iter().map(|span| clock(whole_seconds(span.length())))).join(", ")
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
        details.push("each side timed".to_owned());
    }
    details.extend(station.tempo.map(|tempo| format!("tempo {tempo}")));
    details.push(match (station.work, span) {
        (WorkAmount::Reps(reps), _) if block.format != BlockFormat::Rotation => format!("{reps} reps"),
        (_, Some(span)) => match (span.reps, span.side) {
            (Some(reps), WorkingSide::Both | WorkingSide::Left | WorkingSide::Right) => format!("about {reps}"),
            (Some(reps), _) => format!("about {reps} each side"),
            (None, _) => String::new(),
        },
        _ => String::new(),
    });
    let turns = if station.sides == Sides::EachSide { times / 2 } else { times };
    match block.format {
        BlockFormat::Sets if block.rounds > 1 => details.push(format!("{} sets", block.rounds)),
        BlockFormat::Intervals { .. } if turns > 1 => details.push(format!("{turns} times")),
        _ => {}
    }
    if span.is_none() {
        // Everybody is at another station, so no changeover lists the kit.
        details.extend(station.kit.iter().map(ToString::to_string));
    }
    details.extend(station.place.clone());
    details.retain(|detail| !detail.trim().is_empty());
    details.join(" · ")
}
