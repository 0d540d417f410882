//! A round less, a round more.

use super::course::{Course, Length, Origin, Owed};
use crate::schedule::{Doing, Purpose, Side, Span};
use crate::session::{Block, Format};
use crate::time::Tick;

impl Course {
    /// Leaves out the last round of this block; in straight sets, the last set of every station that has another to
    /// come or done. None where none is left after what runs.
    pub fn drop_round(&self, now: Tick) -> Option<Course> {
        let owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let running = &owed[0].span;
        let mut going = vec![false; owed.len()];
        for group in self.groups(&owed) {
            let rounds = || (0..owed.len()).filter(|&index| self.is_of(&owed[index], running.block, group));
            let Some(last) = rounds().map(|index| owed[index].span.round).max() else { continue };
            // Of a set that runs, and of a station's only one, nothing goes.
            let first = if self.is_of(&owed[0], running.block, group) || group.is_none() { running.round } else { 0 };
            for index in rounds().filter(|&index| owed[index].span.round == last && last > first) {
                going[index] = true;
            }
        }
        going.contains(&true).then(|| self.go_on(now, self.leave_out(&owed, |index| going[index])))
    }

    /// One more round of this block, as the plan has its last; in straight sets, one more set of what is still to come
    /// or runs; in intervals, once more through the stations. None where nothing of the block is left.
    pub fn add_round(&self, now: Tick) -> Option<Course> {
        let mut owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let block = owed[0].span.block;
        let mut added = false;
        for group in self.groups(&owed) {
            let Some(last) = owed.iter().rposition(|item| self.is_of(item, block, group)) else { continue };
            let more = self.planned_round(block, group, owed[last].span.round);
            // In an EMOM the last minute has its rest first.
            let rest = owed
                .get(last + 1)
                .is_some_and(|item| item.span.purpose == Purpose::Rest && item.span.block == block && more.is_minute);
            let at = last + 1 + usize::from(rest);
            added |= !more.spans.is_empty();
            owed.splice(at..at, more.between(&owed[last].origin).into_iter().chain(more.spans));
        }
        added.then(|| self.go_on(now, self.joined(owed)))
    }

    /// What has rounds of its own in the block that runs: in straight sets each station that is still to come or runs,
    /// as the plan has it; else the block, None.
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

    /// Whether it is work of the block, and of the group.
    fn is_of(&self, item: &Owed, block: usize, group: Option<Doing>) -> bool {
        item.span.block == block
            && item.span.purpose == Purpose::Work
            && group.is_none_or(|doing| self.first_doing(block, item.span.doing) == doing)
    }

    /// The plan's last round of a block, or last set of one station, as the one after the round `after`.
    fn planned_round(&self, block: usize, group: Option<Doing>, after: u32) -> Round {
        let session = &self.plan().session.blocks[block];
        let spans = &self.plan().spans;
        let is_minute = matches!(session.format, Format::Emom { .. });
        let is_work = |span: &Span| span.block == block && span.purpose == Purpose::Work;
        let in_group = |span: &Span| group.is_none_or(|doing| span.doing == doing);
        // What is done in turn, the last first; both sides of a station are one turn.
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
                // Intervals that end amid the stations go on there.
                let mut item = self.whole(plan);
                item.span.round = (after + 1 + span.round).saturating_sub(last);
                item.span.gate = false;
                found.push(item);
            }
        }
        // A rest after the last work leads out of the round.
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

/// One more round, with the rest before it.
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
