//! The schedule as JSON, in its own versioned format.

use serde::Serialize;

use class::cue;
use class::recording::ExportClock;
use class::schedule::{Activity, EventContent, Schedule, ScheduleEvent, Span, SpanPurpose, WorkingSide};
use class::session::{BlockKind, block_letter};
use class::time::Tick;

/// The version of the format. Raised when a field is removed or changes its meaning.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct ScheduleJson<'a> {
    version: u32,
    title: &'a str,
    total_ms: u64,
    slot_ms: Option<u64>,
    blocks: Vec<BlockJson<'a>>,
    spans: Vec<SpanJson<'a>>,
    events: Vec<EventJson>,
}

#[derive(Serialize)]
struct BlockJson<'a> {
    letter: String,
    name: &'a str,
    kind: BlockKind,
    rounds: u32,
    stations: Vec<&'a str>,
    start_ms: u64,
    end_ms: u64,
}

#[derive(Serialize)]
struct SpanJson<'a> {
    start_ms: u64,
    end_ms: u64,
    purpose: SpanPurpose,
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
struct EventJson {
    at_ms: u64,
    kind: &'static str,
    text: String,
}

/// A schedule as one JSON document, with the times of a clock. Spans and events before 0 on the clock are left out.
///
/// # Errors
/// None in practice: the data is valid JSON, and writing to a string does not fail.
pub fn json(schedule: &Schedule, clock: &ExportClock) -> serde_json::Result<String> {
    let spans_of = |block: usize| schedule.spans.iter().filter(move |span| span.block == block);
    let session = &schedule.session;
    serde_json::to_string_pretty(&ScheduleJson {
        version: VERSION,
        title: &session.title,
        total_ms: ms(clock.ends(schedule.total())),
        slot_ms: session.slot.map(|slot| slot.0),
        blocks: session
            .blocks
            .iter()
            .enumerate()
            .map(|(index, block)| BlockJson {
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

fn shown_span<'a>(schedule: &'a Schedule, span: &'a Span, clock: &ExportClock) -> Option<SpanJson<'a>> {
    let (start, end) = clock.stretch(span.start, span.end)?;
    let work = span.purpose == SpanPurpose::Work;
    let (station, turn) = match span.activity {
        Activity::Station(index) if work => (Some(index), None),
        Activity::Turn(turn) if work => (None, Some(turn)),
        _ => (None, None),
    };
    Some(SpanJson {
        start_ms: start.0,
        end_ms: end.0,
        purpose: span.purpose,
        block: span.block,
        round: span.round,
        station,
        turn,
        movement: station.and(schedule.station_of(span)).map(|station| station.movement.id.as_str()),
        side: match span.side {
            WorkingSide::Both => "both",
            WorkingSide::Alternating => "alternating",
            WorkingSide::Left => "left",
            WorkingSide::Right => "right",
            WorkingSide::LeftThenRight { .. } => "left_then_right",
        },
        settle_ms: span.settle.0,
        switch_ms: span.switch_start().and_then(|at| clock.ends(at)).map(|at| at.0),
        right_ms: span.right_start().and_then(|at| clock.begins(at)).map(|at| at.0),
        reps: span.reps,
        change: cue::changeover_words(&span.change),
        gate: span.gate,
    })
}

fn shown_event(event: &ScheduleEvent, clock: &ExportClock) -> Option<EventJson> {
    let (kind, text) = match &event.what {
        EventContent::Tone(tone) => ("tone", tone.to_string()),
        EventContent::Call(call) => ("call", cue::call_words(*call).to_owned()),
        EventContent::Cue(_) => return None,
    };
    Some(EventJson { at_ms: clock.begins(event.at)?.0, kind, text })
}
