//! The schedule as JSON, in a versioned shape of its own.

use serde::Serialize;

use crate::cue;
use crate::schedule::{Doing, Purpose, Schedule, Side, Span, What};
use crate::session::{Kind, block_letter};

/// Counted up when a field changes its meaning or goes.
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
    /// Index into the block's stations; null where people do different ones.
    station: Option<usize>,
    /// The turn of a rotation: of n stations, group g (from 0) is at station (g + turn) mod n.
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

/// A schedule as one JSON document.
///
/// # Errors
/// None that the shape can cause; writing to a string does not fail.
pub fn json(schedule: &Schedule) -> serde_json::Result<String> {
    let spans_of = |block: usize| schedule.spans.iter().filter(move |span| span.block == block);
    let session = &schedule.session;
    serde_json::to_string_pretty(&ShownSchedule {
        version: VERSION,
        title: &session.title,
        total_ms: schedule.total().0,
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
                start_ms: spans_of(index).next().map_or(0, |span| span.start.0),
                end_ms: spans_of(index).next_back().map_or(0, |span| span.end.0),
            })
            .collect(),
        spans: schedule.spans.iter().map(|span| shown_span(schedule, span)).collect(),
        events: schedule.events.iter().filter_map(shown_event).collect(),
    })
}

fn shown_span<'a>(schedule: &'a Schedule, span: &'a Span) -> ShownSpan<'a> {
    let work = span.purpose == Purpose::Work;
    let (station, turn) = match span.doing {
        Doing::Station(index) if work => (Some(index), None),
        Doing::Turn(turn) if work => (None, Some(turn)),
        _ => (None, None),
    };
    ShownSpan {
        start_ms: span.start.0,
        end_ms: span.end.0,
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
        switch_ms: span.switch_at().map(|at| at.0),
        right_ms: span.right_at().map(|at| at.0),
        reps: span.reps,
        change: cue::changeover_words(&span.change),
        gate: span.gate,
    }
}

fn shown_event(event: &crate::schedule::Event) -> Option<ShownEvent> {
    let (kind, text) = match &event.what {
        What::Tone(tone) => ("tone", tone.to_string()),
        What::Call(call) => ("call", cue::call_words(*call).to_owned()),
        What::Cue(_) => return None,
    };
    Some(ShownEvent { at_ms: event.at.0, kind, text })
}
