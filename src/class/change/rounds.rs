//! One round fewer, one round more.

use super::course::{Course, Length, Origin, Owed};
use crate::schedule::{Doing, Purpose, Side, Span};
use crate::session::{Block, Format};
use crate::time::Tick;

impl Course {
    /// Leaves out the last round of this block. In straight sets, leaves out the last set of every station that has
    /// another set done or still to come. None when no round or set is left after the running one.
    pub fn drop_round(&self, now: Tick) -> Option<Course> {
        let owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let running = &owed[0].span;
        let mut going = vec![false; owed.len()];
        for group in self.groups(&owed) {
            let rounds = || (0..owed.len()).filter(|&index| self.is_of(&owed[index], running.block, group));
            let Some(last) = rounds().map(|index| owed[index].span.round).max() else { continue };
            // A running set stays, and so does a station's only set.
            let first = if self.is_of(&owed[0], running.block, group) || group.is_none() { running.round } else { 0 };
            for index in rounds().filter(|&index| owed[index].span.round == last && last > first) {
                going[index] = true;
            }
        }
        going.contains(&true).then(|| self.go_on(now, self.leave_out(&owed, |index| going[index])))
    }

    /// Adds one round to this block, a copy of the plan's last round. In straight sets, adds one set of each station
    /// that is running or still to come; in intervals, one more pass through the stations. None when none of the
    /// block's work is running or still to come.
    pub fn add_round(&self, now: Tick) -> Option<Course> {
        let mut owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let block = owed[0].span.block;
        let mut added = false;
        for group in self.groups(&owed) {
            let Some(last) = owed.iter().rposition(|item| self.is_of(item, block, group)) else { continue };
            let more = self.planned_round(block, group, owed[last].span.round);
            // In an EMOM, the rest of the last minute comes before the added round.
            let rest = owed
                .get(last + 1)
                .is_some_and(|item| item.span.purpose == Purpose::Rest && item.span.block == block && more.is_minute);
            let at = last + 1 + usize::from(rest);
            added |= !more.spans.is_empty();
            owed.splice(at..at, more.between(&owed[last].origin).into_iter().chain(more.spans));
        }
        added.then(|| self.go_on(now, self.joined(owed)))
    }

    /// The groups that count rounds of their own in the running block. In straight sets, each station that is running
    /// or still to come, as in the plan. In other formats one group, the whole block, written None.
    fn groups(&self, owed: &[Owed]) -> Vec<Option<Doing>> {
        let block = owed[0].span.block;
        if !matches!(self.schedule().session.blocks[block].format, Format::Sets) {
            return vec![None];
        }
        let mut doings: Vec<Option<Doing>> = Vec::new();
        for item in owed.iter().filter(|item| self.is_of(item, block, None) && item.origin.length != Length::PutIn) {
            let doing = Some(self.first_doing(block, item.span.doing));
            if !doings.contains(&doing) {
                doings.push(doing);
            }
        }
        doings
    }

    /// Whether a span is work of this block and this group.
    fn is_of(&self, item: &Owed, block: usize, group: Option<Doing>) -> bool {
        item.span.block == block
            && item.span.purpose == Purpose::Work
            && group.is_none_or(|doing| self.first_doing(block, item.span.doing) == doing)
    }

    /// A copy of the plan's last round of a block, or of one station's last set, numbered to follow the round `after`.
    fn planned_round(&self, block: usize, group: Option<Doing>, after: u32) -> Round {
        let session = &self.plan().session.blocks[block];
        let spans = &self.plan().spans;
        let is_minute = matches!(session.format, Format::Emom { .. });
        let is_work = |span: &Span| span.block == block && span.purpose == Purpose::Work;
        let in_group = |span: &Span| group.is_none_or(|doing| span.doing == doing);
        // The turns, the last first. Both sides of a station are one turn.
        let mut turns: Vec<(u32, Doing)> = Vec::new();
        for span in spans.iter().rev().filter(|span| is_work(span) && in_group(span)) {
            if turns.last() != Some(&(span.round, span.doing)) {
                turns.push((span.round, span.doing));
            }
        }
        let Some(&(last, ends_with)) = turns.first() else { return Round::default() };
        match session.format {
            Format::Intervals { count, .. } => turns.truncate(session.stations.len().min(count as usize)),
            _ => turns.retain(|(round, _)| *round == last),
        }
        let mut found: Vec<Owed> = Vec::new();
        for (plan, span) in spans.iter().enumerate().filter(|(_, span)| span.block == block) {
            let of_turn = turns.contains(&(span.round, span.doing));
            let inner = match span.purpose {
                Purpose::Work | Purpose::Transition => of_turn,
                Purpose::Rest => is_minute && span.round == last || !found.is_empty() && (of_turn || group.is_none()),
                _ => false,
            };
            if inner {
                // Intervals that end in the middle of the stations continue from there.
                let mut item = self.whole(plan);
                item.span.round = (after + 1 + span.round).saturating_sub(last);
                item.span.gate = false;
                found.push(item);
            }
        }
        // A rest after the last work does not belong to the round.
        while !is_minute && found.last().is_some_and(|item| item.span.purpose != Purpose::Work) {
            found.pop();
        }
        let (purpose, rest) = match session.format {
            _ if is_minute => (Purpose::Rest, Tick::ZERO),
            Format::Intervals { .. } => (Purpose::Rest, rest_of(session, ends_with)),
            _ => (Purpose::RoundRest, session.round_rest),
        };
        let between = found.first().filter(|_| rest > Tick::ZERO).map(|first| Span {
            start: Tick::ZERO,
            end: rest,
            purpose,
            doing: first.span.doing,
            round: after,
            side: Side::Both,
            settle: Tick::ZERO,
            reps: None,
            change: Default::default(),
            gate: false,
            ..first.span.clone()
        });
        Round { spans: found, between, is_minute }
    }
}

/// The rest after a station's work.
fn rest_of(block: &Block, doing: Doing) -> Tick {
    match doing {
        Doing::Station(station) => block.stations.get(station).map_or(Tick::ZERO, |station| station.rest),
        _ => Tick::ZERO,
    }
}

/// An added round, with the rest before it.
#[derive(Default)]
struct Round {
    spans: Vec<Owed>,
    between: Option<Span>,
    is_minute: bool,
}

impl Round {
    fn between(&self, after: &Origin) -> Option<Owed> {
        let origin = Origin { plan: after.plan, length: Length::PutIn };
        self.between.clone().map(|span| Owed { span, origin })
    }
}
