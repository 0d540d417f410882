//! Changeovers after a live change, which puts other spans next to each other than were planned.

use super::changeover::Stance;
use super::unroll::{shared_stance, stance};
use super::{Changeover, Costs, Doing, Side, Span};
use crate::movement::Movement;
use crate::session::{Format, Session, Station, Work};
use crate::time::Tick;

/// The changeover from one work span to another. From turn to turn of a rotation, the planned one is kept.
pub fn change_between(session: &Session, before: Option<&Span>, after: &Span, costs: &Costs) -> Changeover {
    let same_block = before.is_some_and(|before| before.block == after.block);
    match stands(session, after) {
        Some(stands) if !(same_block && matches!(after.doing, Doing::Turn(_))) => {
            let before = before.and_then(|before| self::stands(session, before));
            Changeover::between(before.as_ref(), &stands, costs)
        }
        _ => after.change.clone(),
    }
}

/// The changeover from a work span to a movement with the kit and position of the catalogue.
pub fn change_to(session: &Session, before: Option<&Span>, movement: &Movement, costs: &Costs) -> Changeover {
    let stands = Stance {
        movement: movement.id.clone(),
        kit: movement.kit.clone(),
        position: movement.position,
        place: None,
        side: Side::Both,
    };
    let before = before.and_then(|before| self::stands(session, before));
    Changeover::between(before.as_ref(), &stands, costs)
}

/// The stance of everybody in a work span. None when nobody works.
fn stands(session: &Session, span: &Span) -> Option<Stance> {
    let block = session.blocks.get(span.block)?;
    match span.doing {
        Doing::Station(index) => {
            let side = match span.side {
                Side::Left | Side::Right => span.side,
                _ => Side::Both,
            };
            Some(stance(block.stations.get(index)?, side))
        }
        Doing::AllAtOwnPace | Doing::Turn(_) => Some(shared_stance(block)),
        Doing::Nothing => None,
    }
}

/// Whether the length of a work span is its settle plus the time that its repetitions take.
pub fn in_reps(session: &Session, span: &Span) -> bool {
    !matches!(session.blocks[span.block].format, Format::Ladder { .. } | Format::Emom { .. })
        && station(session, span).is_some_and(|station| matches!(station.work, Work::Reps(_)))
}

fn station<'a>(session: &'a Session, span: &Span) -> Option<&'a Station> {
    match span.doing {
        Doing::Station(index) => session.blocks[span.block].stations.get(index),
        _ => None,
    }
}

/// The work span with another settle. Timed work keeps its length; work in repetitions keeps the repetitions.
pub fn resettled(session: &Session, span: &Span, settle: Tick) -> Span {
    let in_reps = in_reps(session, span);
    let length = if in_reps { span.length().less(span.settle) + settle } else { span.length() };
    let settled = Span { settle, ..span.clone() };
    settled.resized(length, station(session, span).and_then(|station| station.tempo))
}
