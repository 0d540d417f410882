//! Starting a series from the work that was really done.

use super::advance::{Progression, at_block, can_advance, of_rounds, set_work};
use crate::session::edit::SessionEdit;
use crate::session::{BlockFormat, Session, WorkAmount};
use crate::time::{Tick, spoken_length};

/// The work of one block in a class that was led.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockWork {
    /// The block's name.
    pub name: String,
    pub planned: Tick,
    pub done: Tick,
}

/// A block counts as done as planned if at least this much of its work was done, in percent. Our estimate.
const ENOUGH: u64 = 90;
/// Work is never made shorter than this, in seconds.
const SHORTEST: u64 = 20;

/// The edits that reduce a class to what was done of it, block by block. If the work done comes to fewer whole rounds,
/// the block gets that many rounds. Otherwise its work is shortened in proportion, rounded down to 5 s. Work that took
/// longer than planned stays as planned: people were delayed, and did not train more on purpose.
pub(super) fn edits(text: &str, session: &Session, done: &[BlockWork]) -> Vec<Progression> {
    let mut advances = Vec::new();
    for (index, block) in session.blocks.iter().enumerate().filter(|(_, block)| can_advance(block)) {
        let Some(of) = done.iter().find(|done| done.name == block.name && done.planned > Tick::ZERO) else { continue };
        if of.done.0 * 100 >= of.planned.0 * ENOUGH {
            continue;
        }
        // To the nearest whole round.
        let rounds = (of.done.0 * u64::from(block.rounds) * 2 + of.planned.0) / (of.planned.0 * 2);
        let rounds = u32::try_from(rounds).unwrap_or(block.rounds).max(1);
        let in_rounds = matches!(block.format, BlockFormat::Circuit | BlockFormat::Sets | BlockFormat::Rotation);
        if in_rounds && rounds < block.rounds {
            advances.push(Progression {
                edits: vec![SessionEdit::Set { record: at_block(index), field: "rounds", value: rounds.to_string() }],
                changes: vec![format!(
                    "{}: {} instead of {}, as was done",
                    block.name,
                    of_rounds(rounds),
                    block.rounds
                )],
            });
            continue;
        }
        let shorter =
            |work: Tick| Tick::seconds((work.0 * of.done.0 / of.planned.0 / 5000 * 5).max(SHORTEST).min(work.0 / 1000));
        let edits = set_work(text, index, block, shorter);
        if let (Some(WorkAmount::Time(work)), false) =
            (block.stations.first().map(|station| station.work), edits.is_empty())
        {
            let (to, from) = (spoken_length(shorter(work)), spoken_length(work));
            advances.push(Progression {
                edits,
                changes: vec![format!("{}: work {to} instead of {from}, as was done", block.name)],
            });
        }
    }
    advances
}
