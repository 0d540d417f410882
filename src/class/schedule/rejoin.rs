//! Changeovers after a live change, which puts other spans next to each other than were planned.

use super::changeover::Stance;
use super::unroll::{shared_stance, stance};
use super::{Activity, Changeover, ChangeoverCosts, Span, WorkingSide};
use crate::movement::Movement;
use crate::session::{BlockFormat, Session, Station, WorkAmount};
use crate::time::Tick;

/// The changeover from one work span to another. From turn to turn of a rotation, the planned one is kept.
pub fn change_between(session: &Session, before: Option<&Span>, after: &Span, costs: &ChangeoverCosts) -> Changeover {
    let same_block = before.is_some_and(|before| before.block == after.block);
    match stance_of(session, after) {
        Some(stands) if !(same_block && matches!(after.activity, Activity::Turn(_))) => {
            let before = before.and_then(|before| stance_of(session, before));
            Changeover::between(before.as_ref(), &stands, costs)
        }
        _ => after.change.clone(),
    }
}

/// The changeover from a work span to a movement with the kit and position of the catalogue.
pub fn change_to(session: &Session, before: Option<&Span>, movement: &Movement, costs: &ChangeoverCosts) -> Changeover {
    let stands = Stance {
        movement: movement.id.clone(),
        kit: movement.kit.clone(),
        position: movement.position,
        place: None,
        side: WorkingSide::Both,
    };
    let before = before.and_then(|before| stance_of(session, before));
    Changeover::between(before.as_ref(), &stands, costs)
}

/// The stance of everybody in a work span. None when nobody works.
fn stance_of(session: &Session, span: &Span) -> Option<Stance> {
    let block = session.blocks.get(span.block)?;
    match span.activity {
        Activity::Station(index) => {
            let side = match span.side {
                WorkingSide::Left | WorkingSide::Right => span.side,
                _ => WorkingSide::Both,
            };
            Some(stance(block.stations.get(index)?, side))
        }
        Activity::AllAtOwnPace | Activity::Turn(_) => Some(shared_stance(block)),
        Activity::Nothing => None,
    }
}

/// Whether the length of a work span is its settle plus the time that its repetitions take.
pub fn in_reps(session: &Session, span: &Span) -> bool {
    !matches!(session.blocks[span.block].format, BlockFormat::Ladder { .. } | BlockFormat::Emom { .. })
        && station(session, span).is_some_and(|station| matches!(station.work, WorkAmount::Reps(_)))
}

fn station<'a>(session: &'a Session, span: &Span) -> Option<&'a Station> {
    match span.activity {
        Activity::Station(index) => session.blocks[span.block].stations.get(index),
        _ => None,
    }
}

/// The work span with another settle. Timed work keeps its length; work in repetitions keeps the repetitions.
pub fn with_settle(session: &Session, span: &Span, settle: Tick) -> Span {
    let in_reps = in_reps(session, span);
    let length = if in_reps { span.length().saturating_sub(span.settle) + settle } else { span.length() };
    let settled = Span { settle, ..span.clone() };
    settled.with_length(length, station(session, span).and_then(|station| station.tempo))
}
