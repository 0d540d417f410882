//! Changes in words, short enough to be read from across a room.

use super::{ChangeReach, LiveChange};
use crate::schedule::{Activity, WorkingSide};
use crate::session::Session;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// What a change does, in a few words: `+15 s`, `rest now`, `Side plank instead`.
pub fn change_words(change: &LiveChange, session: &Session) -> String {
    let words = &WORDS.change;
    match change {
        LiveChange::Next => words.next.clone(),
        LiveChange::Back => words.back.clone(),
        LiveChange::Again => words.again.clone(),
        LiveChange::RestNow => words.rest_now.clone(),
        LiveChange::AdjustLength { by, reach } => {
            let sign = if *by < 0 { "−" } else { "+" };
            let length = format!("{sign}{}", seconds(Tick(by.unsigned_abs())));
            let wording = match reach {
                ChangeReach::Current => &words.this,
                ChangeReach::Block => &words.each_of_block,
            };
            fill(wording, &[("length", &length)])
        }
        LiveChange::ExtendPrevious { by } => {
            fill(&words.return_to, &[("length", &format!("+{}", seconds(Tick(by.unsigned_abs()))))])
        }
        LiveChange::DropRound => words.drop_round.clone(),
        LiveChange::AddRound => words.add_round.clone(),
        LiveChange::Fit { .. } => words.fit.clone(),
        LiveChange::Cut { .. } => words.cut.clone(),
        LiveChange::Swap { movement, .. } => fill(&words.swap, &[("movement", &movement.replace('-', " "))]),
        LiveChange::Easier { block, station } => {
            let stations = session.blocks.get(*block).map(|block| &block.stations);
            let tier = stations.and_then(|stations| stations.get(*station)?.easier.as_ref());
            fill(&words.easier, &[("tier", tier.map_or("", |tier| &tier.what))])
        }
        LiveChange::RepayDebt(debt) => {
            let station = name(session, debt.block, debt.doing);
            fill(&words.repay, &[("side", side_words(debt.side)), ("length", &seconds(debt.by)), ("station", &station)])
        }
        LiveChange::WaiveDebt(debt) => fill(&words.waive, &[("side", side_words(debt.side))]),
    }
}

/// The word for a side: left or right. Only for a side that can be short.
pub fn side_words(side: WorkingSide) -> &'static str {
    if side == WorkingSide::Left { &WORDS.change.left } else { &WORDS.change.right }
}

fn name(session: &Session, block: usize, doing: Activity) -> String {
    let block = session.blocks.get(block);
    let station = block.and_then(|block| match doing {
        Activity::Station(station) => block.stations.get(station).map(|station| station.movement.name.clone()),
        _ => Some(block.name.clone()),
    });
    station.unwrap_or_default()
}

/// A length in words: `15 s` up to 90 s in whole seconds, otherwise as a clock shows it, rounded up to a second.
fn seconds(length: Tick) -> String {
    if length < Tick::seconds(91) && length.0.is_multiple_of(1000) {
        fill(&WORDS.change.seconds, &[("number", &(length.0 / 1000).to_string())])
    } else {
        clock(Tick(length.0.div_ceil(1000) * 1000))
    }
}
