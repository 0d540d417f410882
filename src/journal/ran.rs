//! What ran of a class, when class time was paused, and what sounded.

use std::ops::Range;

use jiff::ZonedDateTime;

use super::read::Kept;
use super::record::What;
use super::replay::Left;
use class::schedule::{Schedule, Side};
use class::session::Level;
use class::time::Tick;

/// A class as it was led.
#[derive(Clone, Debug)]
pub struct Ran {
    /// What ran and what was still to come, without cues.
    pub course: Schedule,
    /// The class time at which the class started.
    pub from: Tick,
    /// The class time that the class reached.
    pub until: Tick,
    /// The time of day at which class time started to run.
    pub began: ZonedDateTime,
    /// The ticks at which class time stopped, and for how many milliseconds, in order.
    pub stood: Vec<(Tick, u64)>,
    /// How much is said from a tick on. None: each block's own level.
    pub levels: Vec<(Tick, Option<Level>)>,
    /// When the sound was muted.
    pub muted: Vec<Range<Tick>>,
}

impl Ran {
    /// What ran, from a replayed journal. None if class time never ran.
    pub fn of(kept: &Kept, left: &Left) -> Option<Ran> {
        let from = Tick(kept.header.opening.from_ms);
        let first = kept.records.iter().find(|record| matches!(record.what, What::Span(_) | What::Beat))?;
        let began = first.wall.to_zoned_datetime(kept.header.wall.time_zone().clone());
        let mut ran = Ran {
            course: left.course.schedule().clone(),
            from,
            until: left.now,
            began,
            stood: Vec::new(),
            levels: vec![(Tick::ZERO, kept.header.opening.level)],
            muted: Vec::new(),
        };
        let mut muted_since = kept.header.opening.muted.then_some(Tick::ZERO);
        for record in &kept.records {
            let at = Tick(record.at);
            match record.what {
                What::Opened { waited_ms: ms } | What::Resumed { after_ms: ms } | What::TakenUp { lost_ms: ms } => {
                    ran.stood.push((at, ms));
                }
                What::Level(level) => ran.levels.push((at, Some(level))),
                What::Muted(true) => muted_since = muted_since.or(Some(at)),
                What::Muted(false) => ran.muted.extend(muted_since.take().map(|since| since..at)),
                _ => {}
            }
        }
        ran.muted.extend(muted_since.map(|since| since..Tick(u64::MAX)));
        (ran.until > from).then_some(ran)
    }

    /// Cuts a course, with or without cues, to what ran: no spans and events before or after that, and no events while
    /// the class was muted.
    pub fn cut(&self, mut course: Schedule) -> Schedule {
        let first = course.spans.partition_point(|span| span.end <= self.from);
        course.spans.retain(|span| span.end > self.from && span.start < self.until);
        for span in &mut course.spans {
            let (start, end) = (span.start.max(self.from), span.end.min(self.until));
            if (start, end) == (span.start, span.end) {
                continue;
            }
            // The planned repetitions do not apply to a part of the span.
            span.reps = None;
            let (works, switch, right) = (span.working_from(), span.switch_at(), span.right_at());
            span.settle = works.min(end).less(start);
            span.side = match (switch, right) {
                (Some(switch), _) if switch >= end => Side::Left,
                (_, Some(right)) if right <= start => Side::Right,
                (Some(switch), Some(right)) => {
                    let begins = switch.max(start);
                    Side::LeftThenRight { each: begins.less(start + span.settle), switch: right - begins }
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
