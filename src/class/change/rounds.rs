//! One round fewer, one round more.

use super::course::{Course, LengthSource, SpanOrigin, UpcomingSpan};
use crate::schedule::{Activity, Span, SpanPurpose, WorkingSide};
use crate::session::{Block, BlockFormat};
use crate::time::Tick;

impl Course {
    /// Leaves out the last round of this block. In straight sets, leaves out the last set of every station that has
    /// another set done or still to come. None when no round or set is left after the running one.
    pub fn drop_round(&self, now: Tick) -> Option<Course> {
        let owed: Vec<UpcomingSpan> = self.upcoming_from(self.schedule().span_at(now)?).collect();
        let running = &owed[0].span;
        let mut going = vec![false; owed.len()];
        for group in self.round_groups(&owed) {
            let rounds = || (0..owed.len()).filter(|&index| self.belongs_to(&owed[index], running.block, group));
            let Some(last) = rounds().map(|index| owed[index].span.round).max() else { continue };
            // A running set stays, and so does a station's only set.
            let first =
                if self.belongs_to(&owed[0], running.block, group) || group.is_none() { running.round } else { 0 };
            for index in rounds().filter(|&index| owed[index].span.round == last && last > first) {
                going[index] = true;
            }
        }
        going.contains(&true).then(|| self.continue_span_then(now, self.leave_out(&owed, |index| going[index])))
    }

    /// Adds one round to this block, a copy of the plan's last round. In straight sets, adds one set of each station
    /// that is running or still to come; in intervals, one more pass through the stations. None when none of the
    /// block's work is running or still to come.
    pub fn add_round(&self, now: Tick) -> Option<Course> {
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(self.schedule().span_at(now)?).collect();
        let block = owed[0].span.block;
        let mut added = false;
        for group in self.round_groups(&owed) {
            let Some(last) = owed.iter().rposition(|item| self.belongs_to(item, block, group)) else { continue };
            let more = self.planned_round(block, group, owed[last].span.round);
            // In an EMOM, the rest of the last minute comes before the added round.
            let rest = owed.get(last + 1).is_some_and(|item| {
                item.span.purpose == SpanPurpose::Rest && item.span.block == block && more.is_minute
            });
            let at = last + 1 + usize::from(rest);
            added |= !more.spans.is_empty();
            owed.splice(at..at, more.between(&owed[last].origin).into_iter().chain(more.spans));
        }
        added.then(|| self.continue_span_then(now, self.with_changeovers_rejoined(owed)))
    }

    /// The groups that count rounds of their own in the running block. In straight sets, each station that is running
    /// or still to come, as in the plan. In other formats one group, the whole block, written None.
    fn round_groups(&self, owed: &[UpcomingSpan]) -> Vec<Option<Activity>> {
        let block = owed[0].span.block;
        if !matches!(self.schedule().session.blocks[block].format, BlockFormat::Sets) {
            return vec![None];
        }
        let mut doings: Vec<Option<Activity>> = Vec::new();
        for item in owed
            .iter()
            .filter(|item| self.belongs_to(item, block, None) && item.origin.length != LengthSource::Inserted)
        {
            let doing = Some(self.planned_activity(block, item.span.activity));
            if !doings.contains(&doing) {
                doings.push(doing);
            }
        }
        doings
    }

    /// Whether a span is work of this block and this group.
    fn belongs_to(&self, item: &UpcomingSpan, block: usize, group: Option<Activity>) -> bool {
        item.span.block == block
            && item.span.purpose == SpanPurpose::Work
            && group.is_none_or(|doing| self.planned_activity(block, item.span.activity) == doing)
    }

    /// A copy of the plan's last round of a block, or of one station's last set, numbered to follow the round `after`.
    fn planned_round(&self, block: usize, group: Option<Activity>, after: u32) -> ExtraRound {
        let session = &self.plan().session.blocks[block];
        let spans = &self.plan().spans;
        let is_minute = matches!(session.format, BlockFormat::Emom { .. });
        let is_work = |span: &Span| span.block == block && span.purpose == SpanPurpose::Work;
        let in_group = |span: &Span| group.is_none_or(|doing| span.activity == doing);
        // The turns, the last first. Both sides of a station are one turn.
        let mut turns: Vec<(u32, Activity)> = Vec::new();
        for span in spans.iter().rev().filter(|span| is_work(span) && in_group(span)) {
            if turns.last() != Some(&(span.round, span.activity)) {
                turns.push((span.round, span.activity));
            }
        }
        let Some(&(last, ends_with)) = turns.first() else { return ExtraRound::default() };
        match session.format {
            BlockFormat::Intervals { count, .. } => turns.truncate(session.stations.len().min(count as usize)),
            _ => turns.retain(|(round, _)| *round == last),
        }
        let mut found: Vec<UpcomingSpan> = Vec::new();
        for (plan, span) in spans.iter().enumerate().filter(|(_, span)| span.block == block) {
            let of_turn = turns.contains(&(span.round, span.activity));
            let inner = match span.purpose {
                SpanPurpose::Work | SpanPurpose::Transition => of_turn,
                SpanPurpose::Rest => {
                    is_minute && span.round == last || !found.is_empty() && (of_turn || group.is_none())
                }
                _ => false,
            };
            if inner {
                // Intervals that end in the middle of the stations continue from there.
                let mut item = self.planned_span(plan);
                item.span.round = (after + 1 + span.round).saturating_sub(last);
                item.span.gate = false;
                found.push(item);
            }
        }
        // A rest after the last work does not belong to the round.
        while !is_minute && found.last().is_some_and(|item| item.span.purpose != SpanPurpose::Work) {
            found.pop();
        }
        let (purpose, rest) = match session.format {
            _ if is_minute => (SpanPurpose::Rest, Tick::ZERO),
            BlockFormat::Intervals { .. } => (SpanPurpose::Rest, rest_of(session, ends_with)),
            _ => (SpanPurpose::RoundRest, session.round_rest),
        };
        let between = found.first().filter(|_| rest > Tick::ZERO).map(|first| Span {
            start: Tick::ZERO,
            end: rest,
            purpose,
            activity: first.span.activity,
            round: after,
            side: WorkingSide::Both,
            settle: Tick::ZERO,
            reps: None,
            change: Default::default(),
            gate: false,
            ..first.span.clone()
        });
        ExtraRound { spans: found, between, is_minute }
    }
}

/// The rest after a station's work.
fn rest_of(block: &Block, doing: Activity) -> Tick {
    match doing {
        Activity::Station(station) => block.stations.get(station).map_or(Tick::ZERO, |station| station.rest),
        _ => Tick::ZERO,
    }
}

/// An added round, with the rest before it.
#[derive(Default)]
struct ExtraRound {
    spans: Vec<UpcomingSpan>,
    between: Option<Span>,
    is_minute: bool,
}

impl ExtraRound {
    fn between(&self, after: &SpanOrigin) -> Option<UpcomingSpan> {
        let origin = SpanOrigin { plan: after.plan, length: LengthSource::Inserted };
        self.between.clone().map(|span| UpcomingSpan { span, origin })
    }
}
