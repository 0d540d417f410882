//! Playing the cues of a station.

use super::editor::PlanEditor;
use crate::runtime::{StepEffect, UpcomingSounds};
use class::cue::plan_and_insert_cues;
use class::schedule::{Cue, CueKind, EventContent, ScheduleEvent, SpanPurpose};
use class::time::Tick;
use class::words::WORDS;

impl PlanEditor<'_> {
    /// Plays the cues of the station one after the other, and shows them; if muted, only shows them.
    pub(super) fn listen(&mut self) -> Option<StepEffect> {
        let mut schedule = self.schedule().clone();
        plan_and_insert_cues(&mut schedule, Tick::ZERO, &self.voicing);
        let row = self.row();
        let first = row.spans(&schedule).next()?.start;
        let span = schedule.span_at(first)?;
        // The cues for what comes next are spoken during the work before.
        let before = schedule.spans[..span].iter().rposition(|span| span.purpose == SpanPurpose::Work).unwrap_or(span);
        let of_it = |event: &'_ ScheduleEvent| -> Option<Cue> {
            let EventContent::Cue(cue) = &event.what else { return None };
            let comes = matches!(cue.kind, CueKind::Next | CueKind::Side);
            let is_of_it = if comes { (before..span).contains(&event.span) } else { event.span == span };
            is_of_it.then(|| cue.clone())
        };
        let cues: Vec<Cue> = schedule.events.iter().filter_map(of_it).collect();
        let said: Vec<String> = cues.iter().map(|cue| format!("“{}”", cue.text)).collect();
        let words = &WORDS.plan.messages;
        self.message = Some(if said.is_empty() { words.nothing_said.clone() } else { said.join("  ") });
        Some(if self.muted { StepEffect::Hush } else { StepEffect::Play(UpcomingSounds::of_cues(cues.iter(), span)) })
    }
}
