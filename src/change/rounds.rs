//! A round less, a round more.

use super::course::{Course, Length, Origin, Owed};
use crate::schedule::{Doing, Purpose, Span};
use crate::session::Format;
use crate::time::Tick;

impl Course {
    /// Leaves out the last round of this block. None where none is left after this one.
    pub fn drop_round(&self, now: Tick) -> Option<Course> {
        let owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let block = owed[0].span.block;
        let last = last_round(&owed, block)?;
        let going = |index: usize| (owed[index].span.block, owed[index].span.round) == (block, last);
        (last > owed[0].span.round).then(|| self.go_on(now, self.leave_out(&owed, going)))
    }

    /// One more round of this block, as the plan has its last; in straight sets, one more set of what is still to come
    /// or runs. None where nothing of the block is left.
    pub fn add_round(&self, now: Tick) -> Option<Course> {
        let mut owed: Vec<Owed> = self.from(self.schedule().span_at(now)?).collect();
        let block = owed[0].span.block;
        let is_work = |item: &Owed| item.span.block == block && item.span.purpose == Purpose::Work;
        let sets = matches!(self.schedule().session.blocks[block].format, Format::Sets);
        let groups: Vec<Option<Doing>> = if sets {
            let mut doings: Vec<Option<Doing>> = Vec::new();
            for item in owed.iter().filter(|item| is_work(item) && item.origin.length != Length::PutIn) {
                let doing = Some(self.first_doing(block, item.span.doing));
                if !doings.contains(&doing) {
                    doings.push(doing);
                }
            }
            doings
        } else {
            vec![None]
        };
        let mut added = false;
        for group in groups {
            let of_group = |item: &Owed| {
                is_work(item) && group.is_none_or(|doing| self.first_doing(block, item.span.doing) == doing)
            };
            let Some(last) = owed.iter().rposition(of_group) else { continue };
            let round = owed[last].span.round + 1;
            let more = self.planned_round(block, group, round);
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

    /// The plan's last round of a block, or last set of one station, as another round.
    fn planned_round(&self, block: usize, group: Option<Doing>, round: u32) -> Round {
        let format = &self.plan().session.blocks[block].format;
        let spans = &self.plan().spans;
        let in_group = |span: &Span| span.block == block && group.is_none_or(|doing| span.doing == doing);
        let last =
            spans.iter().filter(|span| in_group(span) && span.purpose == Purpose::Work).map(|span| span.round).max();
        let is_minute = matches!(format, Format::Emom { .. });
        let mut found: Vec<Owed> = Vec::new();
        for (plan, span) in spans.iter().enumerate() {
            let inner = matches!(span.purpose, Purpose::Work | Purpose::Transition | Purpose::Rest);
            if span.block == block && in_group(span) | (is_minute && inner) && inner && Some(span.round) == last {
                let mut item = self.whole(plan);
                item.span.round = round;
                item.span.gate = false;
                found.push(item);
            }
        }
        // A rest after the last work leads out of the round.
        while !is_minute && found.last().is_some_and(|item| item.span.purpose != Purpose::Work) {
            found.pop();
        }
        let rest = self.plan().session.blocks[block].round_rest;
        let between = found.first().filter(|_| rest > Tick::ZERO && !is_minute).map(|first| Span {
            start: Tick::ZERO,
            end: rest,
            purpose: Purpose::RoundRest,
            doing: first.span.doing,
            side: crate::schedule::Side::Both,
            settle: Tick::ZERO,
            reps: None,
            change: Default::default(),
            gate: false,
            ..first.span.clone()
        });
        Round { spans: found, between, is_minute }
    }
}

/// One more round, with the rest before it.
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

fn last_round(owed: &[Owed], block: usize) -> Option<u32> {
    let work = owed.iter().filter(|item| item.span.block == block && item.span.purpose == Purpose::Work);
    work.map(|item| item.span.round).max()
}
