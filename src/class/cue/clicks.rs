//! Tempo clicks: placed between the other sounds of a class, never at the same time.

use std::ops::Range;

use super::plan_cues::{SpeechSettings, tone_length};
use super::words::call_words;
use crate::schedule::{EventContent, Schedule, ScheduleEvent, Span, SpanPurpose, Tone, WorkingSide};
use crate::session::SpeechLevel;
use crate::time::Tick;

/// The least time between a click and any other sound, before and after (est.).
pub const CLEAR: Tick = Tick(100);

/// The clicks of a class from a tick on, in order. There is one at the start of each phase of the tempo with a length
/// above zero, for as many whole repetitions as fit. With left then right, each side begins its own count; with
/// alternating sides, the count continues.
///
/// Only stations that ask for clicks have them. A click that would meet a cue, a call or a tone is left out.
pub fn clicks(schedule: &Schedule, from: Tick, voicing: &SpeechSettings) -> Vec<ScheduleEvent> {
    let mut clicks = Vec::new();
    let first = schedule.spans.partition_point(|span| span.end <= from);
    for (index, span) in schedule.spans.iter().enumerate().skip(first) {
        let Some(station) = schedule.station_of(span).filter(|station| station.click) else { continue };
        let (Some(tempo), Some(guide)) = (station.tempo, &station.movement.guide) else { continue };
        if span.purpose != SpanPurpose::Work {
            continue;
        }
        let sounds = sounds(schedule, span, voicing);
        for part in parts(span) {
            let reps = tempo.reps_in(part.end - part.start);
            for rep in 0..reps {
                let begins = part.start + Tick(rep * tempo.rep().0);
                let lasting = tempo.phases(guide.starts).into_iter().filter(|(_, _, length)| *length > Tick::ZERO);
                for (place, (_, after, _)) in lasting.enumerate() {
                    let at = begins + after;
                    let tone = if place == 0 { Tone::Rep } else { Tone::Phase };
                    if at >= from && is_silent(&sounds, at, tone_length(tone)) {
                        clicks.push(ScheduleEvent { at, span: index, what: EventContent::Tone(tone) });
                    }
                }
            }
        }
    }
    clicks
}

/// The parts of a work span, each with a tempo count of its own.
fn parts(span: &Span) -> Vec<Range<Tick>> {
    match (span.side, span.switch_start(), span.right_start()) {
        (WorkingSide::LeftThenRight { .. }, Some(switch), Some(right)) => {
            vec![span.work_start()..switch.min(span.end), right.min(span.end)..span.end]
        }
        _ => vec![span.work_start()..span.end],
    }
}

/// The times at which something sounds in a span or near it, in order of start.
fn sounds(schedule: &Schedule, span: &Span, voicing: &SpeechSettings) -> Vec<Range<Tick>> {
    // Nothing that is said takes as long as 60 s.
    let before = schedule.events.partition_point(|event| event.at + Tick::seconds(60) < span.start);
    let near = schedule.events[before..].iter().take_while(|event| event.at <= span.end + CLEAR);
    let length = |event: &ScheduleEvent| {
        let level = voicing.level_in(schedule, &schedule.spans[event.span]);
        match &event.what {
            EventContent::Tone(tone) if level >= SpeechLevel::Tones => Some(tone_length(*tone)),
            EventContent::Call(call) if level >= SpeechLevel::Calls => Some(voicing.lengths.of(call_words(*call))),
            EventContent::Cue(cue) if level >= SpeechLevel::Changes => Some(cue.length),
            _ => None,
        }
    };
    near.filter_map(|event| Some(event.at..event.at + length(event)?)).collect()
}

fn is_silent(sounds: &[Range<Tick>], at: Tick, length: Tick) -> bool {
    let (from, until) = (at.saturating_sub(CLEAR), at + length + CLEAR);
    sounds.iter().all(|sound| sound.end <= from || until <= sound.start)
}
