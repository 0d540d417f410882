//! What is said of a station, heard.

use super::planning::Planning;
use crate::cue::{Voicing, cue_up};
use crate::lead::{Effect, Sounding};
use crate::schedule::{Cue, CueKind, Event as Scheduled, Purpose, What};
use crate::time::Tick;
use crate::words::WORDS;

/// Between two cues that are listened to.
const PAUSE: Tick = Tick(700);

impl Planning<'_> {
    /// Says what is said of the station, one cue after the other.
    pub(super) fn listen(&mut self) -> Option<Effect> {
        let mut schedule = self.schedule().clone();
        cue_up(&mut schedule, Tick::ZERO, &Voicing::default());
        let row = self.row();
        let first = row.spans(&schedule).next()?.start;
        let span = schedule.span_at(first)?;
        // What comes is said while the work before it goes on.
        let before = schedule.spans[..span].iter().rposition(|span| span.purpose == Purpose::Work).unwrap_or(span);
        let is_of_it = |event: &Scheduled, cue: &Cue| {
            let comes = matches!(cue.kind, CueKind::Next | CueKind::Side);
            if comes { (before..span).contains(&event.span) } else { event.span == span }
        };
        let mut at = Tick::ZERO;
        let mut said = Vec::new();
        let events: Vec<Scheduled> = schedule
            .events
            .iter()
            .filter_map(|event| {
                let What::Cue(cue) = &event.what else { return None };
                if !is_of_it(event, cue) {
                    return None;
                }
                let event = Scheduled { at, span, what: What::Cue(cue.clone()) };
                at += cue.length + PAUSE;
                said.push(format!("“{}”", cue.text));
                Some(event)
            })
            .collect();
        let words = &WORDS.plan.messages;
        self.message = Some(if said.is_empty() { words.nothing_said.clone() } else { said.join("  ") });
        Some(Effect::Play(Sounding { from: Tick::ZERO, after_ms: 0, events }))
    }
}
