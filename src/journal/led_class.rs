//! What ran of a class, when class time was paused, and what sounded.

use std::ops::Range;
use std::time::Duration;

use jiff::ZonedDateTime;

use super::read::JournalContents;
use super::record::JournalEvent;
use super::replay::ReplayedClass;
use class::schedule::{Schedule, WorkingSide};
use class::session::SpeechLevel;
use class::time::Tick;

/// A class as it was led.
#[derive(Clone, Debug)]
pub struct LedClass {
    /// What ran and what was still to come, without cues.
    pub course: Schedule,
    /// The class time at which the class started.
    pub from: Tick,
    /// The class time that the class reached.
    pub until: Tick,
    /// The time of day at which class time started to run.
    pub began: ZonedDateTime,
    /// The ticks at which class time stopped, and for how long, in order.
    pub halts: Vec<(Tick, Duration)>,
    /// How much is said from a tick on. None: each block's own level.
    pub levels: Vec<(Tick, Option<SpeechLevel>)>,
    /// When the sound was muted.
    pub muted: Vec<Range<Tick>>,
}

impl LedClass {
    /// What ran, from a replayed journal. None if class time never ran.
    pub fn of(kept: &JournalContents, left: &ReplayedClass) -> Option<LedClass> {
        let from = Tick(kept.header.opening.from_ms);
        let first =
            kept.records.iter().find(|record| matches!(record.what, JournalEvent::Span(_) | JournalEvent::Beat))?;
        let began = first.wall.to_zoned_datetime(kept.header.wall.time_zone().clone());
        let mut ran = LedClass {
            course: left.course.schedule().clone(),
            from,
            until: left.now,
            began,
            halts: Vec::new(),
            levels: vec![(Tick::ZERO, kept.header.opening.level)],
            muted: Vec::new(),
        };
        let mut muted_since = kept.header.opening.muted.then_some(Tick::ZERO);
        for record in &kept.records {
            let at = Tick(record.at);
            match record.what {
                JournalEvent::Opened { waited_ms: ms }
                | JournalEvent::Resumed { after_ms: ms }
                | JournalEvent::ResumedAfterBreak { lost_ms: ms } => {
                    ran.halts.push((at, Duration::from_millis(ms)));
                }
                JournalEvent::Level(level) => ran.levels.push((at, Some(level))),
                JournalEvent::Muted(true) => muted_since = muted_since.or(Some(at)),
                JournalEvent::Muted(false) => ran.muted.extend(muted_since.take().map(|since| since..at)),
                _ => {}
            }
        }
        ran.muted.extend(muted_since.map(|since| since..Tick(u64::MAX)));
        (ran.until > from).then_some(ran)
    }

    /// Cuts a course, with or without cues, to what ran: no spans and events before or after that, and no events while
    /// the class was muted.
    pub fn trim_to_run(&self, mut course: Schedule) -> Schedule {
        let first = course.spans.partition_point(|span| span.end <= self.from);
        course.spans.retain(|span| span.end > self.from && span.start < self.until);
        for span in &mut course.spans {
            let (start, end) = (span.start.max(self.from), span.end.min(self.until));
            if (start, end) == (span.start, span.end) {
                continue;
            }
            // The planned repetitions do not apply to a part of the span.
            span.reps = None;
            let (works, switch, right) = (span.work_start(), span.switch_start(), span.right_start());
            span.settle = works.min(end).saturating_sub(start);
            span.side = match (switch, right) {
                (Some(switch), _) if switch >= end => WorkingSide::Left,
                (_, Some(right)) if right <= start => WorkingSide::Right,
                (Some(switch), Some(right)) => {
                    let begins = switch.max(start);
                    WorkingSide::LeftThenRight {
                        each: begins.saturating_sub(start + span.settle),
                        switch: right - begins,
                    }
                }
                _ => span.side,
            };
            (span.start, span.end) = (start, end);
        }
        let sounded =
            |at: Tick| (self.from..=self.until).contains(&at) && !self.muted.iter().any(|muted| muted.contains(&at));
        let spans = course.spans.len();
        course.events.retain_mut(|event| {
            event.span = event.span.saturating_sub(first);
            sounded(event.at) && event.span < spans
        });
        course
    }
}
