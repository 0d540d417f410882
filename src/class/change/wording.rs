//! Changes in words, short enough to be read from across a room.

use super::{Change, Reach};
use crate::schedule::{Doing, Side};
use crate::session::Session;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// What a change does, in a few words: `+15 s`, `rest now`, `Side plank instead`.
pub fn change_words(change: &Change, session: &Session) -> String {
    let words = &WORDS.change;
    match change {
        Change::Next => words.next.clone(),
        Change::Back => words.back.clone(),
        Change::Again => words.again.clone(),
        Change::RestNow => words.rest_now.clone(),
        Change::Stretch { by, reach } => {
            let sign = if *by < 0 { "−" } else { "+" };
            let length = format!("{sign}{}", seconds(Tick(by.unsigned_abs())));
            let wording = match reach {
                Reach::This => &words.this,
                Reach::Block => &words.each_of_block,
            };
            fill(wording, &[("length", &length)])
        }
        Change::Return { by } => {
            fill(&words.return_to, &[("length", &format!("+{}", seconds(Tick(by.unsigned_abs()))))])
        }
        Change::DropRound => words.drop_round.clone(),
        Change::AddRound => words.add_round.clone(),
        Change::Fit { .. } => words.fit.clone(),
        Change::Cut { .. } => words.cut.clone(),
        Change::StandIn { movement, .. } => fill(&words.stand_in, &[("movement", &movement.replace('-', " "))]),
        Change::Easier { block, station } => {
            let stations = session.blocks.get(*block).map(|block| &block.stations);
            let tier = stations.and_then(|stations| stations.get(*station)?.easier.as_ref());
            fill(&words.easier, &[("tier", tier.map_or("", |tier| &tier.what))])
        }
        Change::Repay(debt) => {
            let station = name(session, debt.block, debt.doing);
            fill(&words.repay, &[("side", side_words(debt.side)), ("length", &seconds(debt.by)), ("station", &station)])
        }
        Change::LetBe(debt) => fill(&words.let_be, &[("side", side_words(debt.side))]),
    }
}

/// The word for a side: left or right. Only for a side that can be short.
pub fn side_words(side: Side) -> &'static str {
    if side == Side::Left { &WORDS.change.left } else { &WORDS.change.right }
}

fn name(session: &Session, block: usize, doing: Doing) -> String {
    let block = session.blocks.get(block);
    let station = block.and_then(|block| match doing {
        Doing::Station(station) => block.stations.get(station).map(|station| station.movement.name.clone()),
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
