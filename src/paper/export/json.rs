//! The schedule as JSON, in its own versioned format.

use serde::Serialize;

use class::cue;
use class::recording::Clock;
use class::schedule::{Doing, Event, Purpose, Schedule, Side, Span, What};
use class::session::{Kind, block_letter};
use class::time::Tick;

/// The version of the format. Raised when a field is removed or changes its meaning.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct ShownSchedule<'a> {
    version: u32,
    title: &'a str,
    total_ms: u64,
    slot_ms: Option<u64>,
    blocks: Vec<ShownBlock<'a>>,
    spans: Vec<ShownSpan<'a>>,
    events: Vec<ShownEvent>,
}

#[derive(Serialize)]
struct ShownBlock<'a> {
    letter: String,
    name: &'a str,
    kind: Kind,
    rounds: u32,
    stations: Vec<&'a str>,
    start_ms: u64,
    end_ms: u64,
}

#[derive(Serialize)]
struct ShownSpan<'a> {
    start_ms: u64,
    end_ms: u64,
    purpose: Purpose,
    /// Index into `blocks`.
    block: usize,
    /// From 0.
    round: u32,
    /// Index into the block's stations; null if people are at different ones.
    station: Option<usize>,
    /// The turn of a rotation. With n stations, group g (from 0) is at station (g + turn) mod n.
    turn: Option<usize>,
    movement: Option<&'a str>,
    side: &'static str,
    settle_ms: u64,
    switch_ms: Option<u64>,
    right_ms: Option<u64>,
    reps: Option<u64>,
    change: String,
    gate: bool,
}

#[derive(Serialize)]
struct ShownEvent {
    at_ms: u64,
    kind: &'static str,
    text: String,
}

/// A schedule as one JSON document, with the times of a clock. Spans and events before 0 on the clock are left out.
///
/// # Errors
/// None in practice: the data is valid JSON, and writing to a string does not fail.
pub fn json(schedule: &Schedule, clock: &Clock) -> serde_json::Result<String> {
    let spans_of = |block: usize| schedule.spans.iter().filter(move |span| span.block == block);
    let session = &schedule.session;
    serde_json::to_string_pretty(&ShownSchedule {
        version: VERSION,
        title: &session.title,
        total_ms: ms(clock.ends(schedule.total())),
        slot_ms: session.slot.map(|slot| slot.0),
        blocks: session
            .blocks
            .iter()
            .enumerate()
            .map(|(index, block)| ShownBlock {
                letter: block_letter(index),
                name: &block.name,
                kind: block.kind,
                rounds: block.rounds,
                stations: block.stations.iter().map(|station| station.movement.id.as_str()).collect(),
                start_ms: ms(spans_of(index).next().and_then(|span| clock.begins(span.start))),
                end_ms: ms(spans_of(index).next_back().and_then(|span| clock.ends(span.end))),
            })
            .collect(),
        spans: schedule.spans.iter().filter_map(|span| shown_span(schedule, span, clock)).collect(),
        events: schedule.events.iter().filter_map(|event| shown_event(event, clock)).collect(),
    })
}

fn ms(at: Option<Tick>) -> u64 {
    at.map_or(0, |at| at.0)
}

fn shown_span<'a>(schedule: &'a Schedule, span: &'a Span, clock: &Clock) -> Option<ShownSpan<'a>> {
    let (start, end) = clock.stretch(span.start, span.end)?;
    let work = span.purpose == Purpose::Work;
    let (station, turn) = match span.doing {
        Doing::Station(index) if work => (Some(index), None),
        Doing::Turn(turn) if work => (None, Some(turn)),
        _ => (None, None),
    };
    Some(ShownSpan {
        start_ms: start.0,
        end_ms: end.0,
        purpose: span.purpose,
        block: span.block,
        round: span.round,
        station,
        turn,
        movement: station.and(schedule.station_of(span)).map(|station| station.movement.id.as_str()),
        side: match span.side {
            Side::Both => "both",
            Side::Alternating => "alternating",
            Side::Left => "left",
            Side::Right => "right",
            Side::LeftThenRight { .. } => "left_then_right",
        },
        settle_ms: span.settle.0,
        switch_ms: span.switch_at().and_then(|at| clock.ends(at)).map(|at| at.0),
        right_ms: span.right_at().and_then(|at| clock.begins(at)).map(|at| at.0),
        reps: span.reps,
        change: cue::changeover_words(&span.change),
        gate: span.gate,
    })
}

fn shown_event(event: &Event, clock: &Clock) -> Option<ShownEvent> {
    let (kind, text) = match &event.what {
        What::Tone(tone) => ("tone", tone.to_string()),
        What::Call(call) => ("call", cue::call_words(*call).to_owned()),
        What::Cue(_) => return None,
    };
    Some(ShownEvent { at_ms: clock.begins(event.at)?.0, kind, text })
}
