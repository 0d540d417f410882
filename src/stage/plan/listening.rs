//! Playing the cues of a station.

use super::planning::Planning;
use crate::runtime::{Effect, Sounding};
use class::cue::cue_up;
use class::schedule::{Cue, CueKind, Event, Purpose, What};
use class::time::Tick;
use class::words::WORDS;

impl Planning<'_> {
    /// Plays the cues of the station one after the other, and shows them; if muted, only shows them.
    pub(super) fn listen(&mut self) -> Option<Effect> {
        let mut schedule = self.schedule().clone();
        cue_up(&mut schedule, Tick::ZERO, &self.voicing);
        let row = self.row();
        let first = row.spans(&schedule).next()?.start;
        let span = schedule.span_at(first)?;
        // The cues for what comes next are spoken during the work before.
        let before = schedule.spans[..span].iter().rposition(|span| span.purpose == Purpose::Work).unwrap_or(span);
        let of_it = |event: &'_ Event| -> Option<Cue> {
            let What::Cue(cue) = &event.what else { return None };
            let comes = matches!(cue.kind, CueKind::Next | CueKind::Side);
            let is_of_it = if comes { (before..span).contains(&event.span) } else { event.span == span };
            is_of_it.then(|| cue.clone())
        };
        let cues: Vec<Cue> = schedule.events.iter().filter_map(of_it).collect();
        let said: Vec<String> = cues.iter().map(|cue| format!("“{}”", cue.text)).collect();
        let words = &WORDS.plan.messages;
        self.message = Some(if said.is_empty() { words.nothing_said.clone() } else { said.join("  ") });
        Some(if self.muted { Effect::Hush } else { Effect::Play(Sounding::of_cues(cues.iter(), span)) })
    }
}
