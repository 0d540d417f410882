//! Unrolls a session into spans with lengths.

use super::changeover::Stance;
use super::work_shape::{WorkShape, shape};
use super::{Activity, Changeover, ChangeoverCosts, Span, SpanPurpose, WorkingSide};
use crate::movement::{NeededKit, Position, Sides};
use crate::session::{Block, BlockFormat, BlockStart, Session, Station, TransitionMode, WorkAmount};
use crate::time::Tick;

/// One turn of work in a block, and the rest after it.
struct BlockTurn {
    round: u32,
    doing: Activity,
    work: WorkAmount,
    rest: Option<(SpanPurpose, Tick)>,
}

/// Unrolls a session. Each span starts at 0 and ends at its length; the spans are laid end to end afterwards.
pub(super) fn unroll(session: &Session, costs: &ChangeoverCosts) -> Vec<Span> {
    let mut unrolling = Unroller { costs, spans: Vec::new(), before: None, paid: Tick::ZERO };
    let last = session.blocks.len().saturating_sub(1);
    for (index, block) in session.blocks.iter().enumerate() {
        unrolling.block(index, block);
        if index < last {
            unrolling.rest(
                index,
                SpanPurpose::BlockRest,
                block.rest_after,
                block.passes().saturating_sub(1),
                Activity::Nothing,
            );
        }
    }
    unrolling.spans
}

struct Unroller<'a> {
    costs: &'a ChangeoverCosts,
    spans: Vec<Span>,
    /// The stance of everybody in the last work span.
    before: Option<Stance>,
    /// The rest since then. The next changeover uses this time before it needs more.
    paid: Tick,
}

impl Unroller<'_> {
    fn block(&mut self, index: usize, block: &Block) {
        let turns = turns(block);
        if let Some(first) = turns.first() {
            self.rest(index, SpanPurpose::Briefing, block.briefing, 0, first.doing);
        }
        let gate = block.start == BlockStart::OnKey;
        if gate {
            // The coach presses the key when everybody is in place, so the first changeover needs no time.
            self.paid = Tick(u64::MAX / 2);
        }
        let first_turn = self.spans.len();
        for (place, turn) in turns.iter().enumerate() {
            let leads_to = turns.get(place + 1).map_or(Activity::Nothing, |next| next.doing);
            self.turn(index, block, turn, leads_to);
        }
        if gate && let Some(span) = self.spans.get_mut(first_turn) {
            span.gate = true;
        }
    }

    fn turn(&mut self, index: usize, block: &Block, turn: &BlockTurn, leads_to: Activity) {
        let stations = block.stations.as_slice();
        let work_from = self.spans.len();
        match turn.doing {
            Activity::Station(station) if stations[station].sides == Sides::EachSide => {
                self.each_side(index, block, turn, &stations[station]);
            }
            Activity::Station(station) => {
                let station = &stations[station];
                let after = stance(station, WorkingSide::Both);
                self.work(index, block, turn, station.sides, station, after);
            }
            Activity::AllAtOwnPace | Activity::Turn(_) => self.together(index, block, turn),
            Activity::Nothing => {}
        }
        let spent: Tick = self.spans[work_from..].iter().map(Span::length).sum();
        match (&block.format, turn.rest) {
            (BlockFormat::Emom { every }, _) => {
                // When each side has its own span, `each_side` has already filled the minute of the left side.
                let minutes = Tick(spent.0.div_ceil(every.0.max(1)) * every.0);
                self.rest(index, SpanPurpose::Rest, minutes - spent, turn.round, leads_to);
            }
            (_, Some((purpose, length))) => self.rest(index, purpose, length, turn.round, leads_to),
            (_, None) => {}
        }
    }

    /// A span for each side, with equal work. Both spans get the longer of the two settles.
    fn each_side(&mut self, index: usize, block: &Block, turn: &BlockTurn, station: &Station) {
        let fill = match block.format {
            BlockFormat::Emom { every } => Some(every),
            _ => None,
        };
        let left = stance(station, WorkingSide::Left);
        let right = stance(station, WorkingSide::Right);
        let to_left = Changeover::between(self.before.as_ref(), &left, self.costs);
        let to_right = Changeover::between(Some(&left), &right, self.costs);
        let left_open = self.beyond_rest(block, &to_left);
        let between =
            fill.map_or(station.rest, |every| every.saturating_sub(work_length(turn.work, station, Tick::ZERO)));
        let right_open = to_right.needs.saturating_sub(between);
        let (put_in, settle) = match (block.transitions, fill) {
            (TransitionMode::Inside, _) | (_, Some(_)) => (None, left_open.max(right_open)),
            (TransitionMode::Added, None) => (Some((left_open, right_open)), Tick::ZERO),
            (TransitionMode::Fixed(_), None) => (Some((left_open, Tick::ZERO)), right_open),
        };
        for (side, after, change, pay) in [
            (WorkingSide::Left, left, to_left, put_in.map(|(left, _)| left)),
            (WorkingSide::Right, right, to_right, put_in.map(|(_, right)| right)),
        ] {
            self.transition(index, turn, pay.unwrap_or(Tick::ZERO), &change);
            let shape = shape(turn.work, Sides::EachSide, station.tempo, settle, self.costs.side, Some(side));
            self.push_work(index, turn, shape, change);
            self.before = Some(after);
            if side == WorkingSide::Left {
                let between = fill.map_or(station.rest, |every| every.saturating_sub(shape.length));
                self.rest(index, SpanPurpose::Rest, between, turn.round, turn.doing);
            }
        }
    }

    /// One span in which everybody does one station.
    fn work(&mut self, index: usize, block: &Block, turn: &BlockTurn, sides: Sides, station: &Station, after: Stance) {
        let change = Changeover::between(self.before.as_ref(), &after, self.costs);
        let settle = self.settle(index, block, turn, &change);
        let shape = shape(turn.work, sides, station.tempo, settle, self.costs.side, None);
        self.push_work(index, turn, shape, change);
        self.before = Some(after);
    }

    /// One span in which different people do different stations: a turn of a rotation, or everybody at their own
    /// pace. The changeover is the one of the whole block; in a rotation it needs as long as the slowest group.
    fn together(&mut self, index: usize, block: &Block, turn: &BlockTurn) {
        let mut after = shared_stance(block);
        let mut change = Changeover::between(self.before.as_ref(), &after, self.costs);
        let mut sides = Sides::Together;
        if let Activity::Turn(turn_in_round) = turn.doing {
            if block.stations.iter().any(|station| station.sides == Sides::LeftThenRight) {
                sides = Sides::LeftThenRight;
            }
            // Each turn has its own name, so that moving on counts as a changeover.
            after.movement = format!("{} {turn_in_round}", block.name);
            if self.before.as_ref().is_some_and(|before| before.movement.starts_with(&block.name)) {
                let needs = self.costs.place.max(self.dearest_move(block));
                change = Changeover { movement: true, needs, ..Changeover::default() };
            }
        }
        let settle = self.settle(index, block, turn, &change);
        let mut shape = shape(turn.work, sides, None, settle, self.costs.side, None);
        shape.reps = None;
        self.push_work(index, turn, shape, change);
        self.before = Some(after);
    }

    /// The time that the longest move from one station of a rotation to the next needs.
    fn dearest_move(&self, block: &Block) -> Tick {
        let stations = &block.stations;
        let moves = (0..stations.len()).map(|from| (&stations[from], &stations[(from + 1) % stations.len()]));
        moves
            .map(|(from, to)| {
                // The kit stays at its station.
                let from = Stance { kit: Vec::new(), ..stance(from, WorkingSide::Both) };
                let to = Stance { kit: Vec::new(), ..stance(to, WorkingSide::Both) };
                Changeover::between(Some(&from), &to, self.costs).needs
            })
            .max()
            .unwrap_or(Tick::ZERO)
    }

    /// The time that a changeover needs beyond the rest before it.
    fn beyond_rest(&self, block: &Block, change: &Changeover) -> Tick {
        match block.transitions {
            _ if self.before.is_none() => Tick::ZERO,
            TransitionMode::Fixed(length) if !matches!(block.format, BlockFormat::Emom { .. }) => {
                length.saturating_sub(self.paid)
            }
            _ => change.needs.saturating_sub(self.paid),
        }
    }

    /// Adds a transition if the block has transitions, and returns the settle that is left for the span.
    fn settle(&mut self, index: usize, block: &Block, turn: &BlockTurn, change: &Changeover) -> Tick {
        let open = self.beyond_rest(block, change);
        if block.transitions == TransitionMode::Inside || matches!(block.format, BlockFormat::Emom { .. }) {
            return open;
        }
        self.transition(index, turn, open, change);
        Tick::ZERO
    }

    fn transition(&mut self, index: usize, turn: &BlockTurn, length: Tick, change: &Changeover) {
        if length > Tick::ZERO {
            self.spans.push(Span {
                change: change.clone(),
                ..plain_span(index, SpanPurpose::Transition, length, turn.round, turn.doing)
            });
        }
    }

    fn push_work(&mut self, index: usize, turn: &BlockTurn, shape: WorkShape, change: Changeover) {
        self.spans.push(Span {
            side: shape.side,
            settle: shape.settle,
            reps: shape.reps,
            change,
            ..plain_span(index, SpanPurpose::Work, shape.length, turn.round, turn.doing)
        });
        self.paid = Tick::ZERO;
    }

    fn rest(&mut self, index: usize, purpose: SpanPurpose, length: Tick, round: u32, leads_to: Activity) {
        if length > Tick::ZERO {
            self.spans.push(plain_span(index, purpose, length, round, leads_to));
            self.paid += length;
        }
    }
}

/// The turns of a block, in order.
fn turns(block: &Block) -> Vec<BlockTurn> {
    let stations = 0..block.stations.len();
    let rounds = 0..block.rounds;
    let each = |round: u32, station: usize| BlockTurn {
        round,
        doing: Activity::Station(station),
        work: block.stations[station].work,
        rest: Some((SpanPurpose::Rest, block.stations[station].rest)),
    };
    let round_rest = Some((SpanPurpose::RoundRest, block.round_rest));
    let mut turns: Vec<BlockTurn> = Vec::new();
    match &block.format {
        BlockFormat::Circuit => {
            for round in rounds {
                turns.extend(stations.clone().map(|station| each(round, station)));
                ends_round(&mut turns, round_rest);
            }
        }
        BlockFormat::Sets => {
            for station in stations {
                turns.extend(rounds.clone().map(|round| BlockTurn { rest: round_rest, ..each(round, station) }));
                ends_round(&mut turns, Some((SpanPurpose::Rest, block.stations[station].rest)));
            }
        }
        BlockFormat::Emom { .. } => {
            for round in rounds {
                turns.extend(stations.clone().map(|station| each(round, station)));
            }
            return turns;
        }
        BlockFormat::Amrap { time } => {
            let work = WorkAmount::Time(*time);
            turns.extend(rounds.map(|round| BlockTurn {
                round,
                doing: Activity::AllAtOwnPace,
                work,
                rest: round_rest,
            }));
        }
        BlockFormat::Ladder { rungs } => {
            let rungs = rounds.flat_map(|_| rungs);
            for (round, &rung) in (0..).zip(rungs) {
                turns.extend(
                    stations.clone().map(|station| BlockTurn { work: WorkAmount::Time(rung), ..each(round, station) }),
                );
                ends_round(&mut turns, round_rest);
            }
        }
        BlockFormat::Intervals { count, last_rest } => {
            let stations = block.stations.len().max(1) as u32;
            for round in rounds {
                let first_pass = round * count.div_ceil(stations);
                let in_turn = |turn: u32| each(first_pass + turn / stations, (turn % stations) as usize);
                turns.extend((0..*count).map(in_turn));
                if !*last_rest {
                    ends_round(&mut turns, round_rest);
                }
            }
            if *last_rest {
                return turns;
            }
        }
        BlockFormat::Rotation => {
            let longest = block.stations.iter().map(|station| work_length(station.work, station, Tick::ZERO)).max();
            let work = WorkAmount::Time(longest.unwrap_or(Tick::ZERO));
            let rest = block.stations.iter().map(|station| station.rest).max().unwrap_or(Tick::ZERO);
            for round in rounds {
                turns.extend(stations.clone().map(|turn| BlockTurn {
                    round,
                    doing: Activity::Turn(turn),
                    work,
                    rest: Some((SpanPurpose::Rest, rest)),
                }));
                ends_round(&mut turns, round_rest);
            }
        }
    }
    if let Some(last) = turns.last_mut() {
        last.rest = None;
    }
    turns
}

/// Gives the last turn so far the rest at the end of a round.
fn ends_round(turns: &mut [BlockTurn], rest: Option<(SpanPurpose, Tick)>) {
    if let Some(last) = turns.last_mut() {
        last.rest = rest;
    }
}

/// The length of a station's work. Work in repetitions includes the settle.
fn work_length(work: WorkAmount, station: &Station, settle: Tick) -> Tick {
    shape(work, station.sides, station.tempo, settle, ChangeoverCosts::ESTIMATED.side, None).length
}

pub(super) fn stance(station: &Station, side: WorkingSide) -> Stance {
    Stance {
        movement: station.movement.id.clone(),
        kit: station.kit.clone(),
        position: station.movement.position,
        place: station.place.clone(),
        side,
    }
}

/// The stance of a block in which different people do different stations: they have no common position. At their own
/// pace all people need all of the kit; in a rotation the kit stays at its station.
pub(super) fn shared_stance(block: &Block) -> Stance {
    let mut kit: Vec<NeededKit> = Vec::new();
    if block.format != BlockFormat::Rotation {
        for need in block.stations.iter().flat_map(|station| &station.kit) {
            if !kit.contains(need) {
                kit.push(need.clone());
            }
        }
    }
    Stance { movement: block.name.clone(), kit, position: Position::Standing, place: None, side: WorkingSide::Both }
}

fn plain_span(block: usize, purpose: SpanPurpose, length: Tick, round: u32, doing: Activity) -> Span {
    Span {
        start: Tick::ZERO,
        end: length,
        purpose,
        block,
        round,
        activity: doing,
        side: WorkingSide::Both,
        settle: Tick::ZERO,
        reps: None,
        change: Changeover::default(),
        gate: false,
    }
}
