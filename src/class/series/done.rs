//! What was really done, as the class to go on from.

use super::advance::{Advance, at_block, can_advance, of_rounds, set_work};
use crate::session::edit::Edit;
use crate::session::{Format, Session, Work};
use crate::time::{Tick, spoken_length};

/// The work of one block in a class that was led.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockDone {
    /// The block's name.
    pub name: String,
    pub planned: Tick,
    pub done: Tick,
}

/// Less than this share of a block, in percent, was not done as planned; our estimate.
const ENOUGH: u64 = 90;
/// Work is never made shorter than this.
const SHORTEST: u64 = 20;

/// The edits that bring a class to what was done of it, block by block. A block of several rounds of which whole rounds were left
/// out gets as many rounds as were done; otherwise its work becomes as long as it was done on the whole, to five
/// seconds below. What was done longer than planned stays as planned: people were held up, they did not train more by design.
pub fn edits(text: &str, session: &Session, done: &[BlockDone]) -> Vec<Advance> {
    let mut advances = Vec::new();
    for (index, block) in session.blocks.iter().enumerate().filter(|(_, block)| can_advance(block)) {
        let Some(of) = done.iter().find(|done| done.name == block.name && done.planned > Tick::ZERO) else { continue };
        if of.done.0 * 100 >= of.planned.0 * ENOUGH {
            continue;
        }
        // To the nearest whole round.
        let rounds = (of.done.0 * u64::from(block.rounds) * 2 + of.planned.0) / (of.planned.0 * 2);
        let rounds = u32::try_from(rounds).unwrap_or(block.rounds).max(1);
        let in_rounds = matches!(block.format, Format::Circuit | Format::Sets | Format::Rotation);
        if in_rounds && rounds < block.rounds {
            advances.push(Advance {
                edits: vec![Edit::Set { record: at_block(index), field: "rounds", value: rounds.to_string() }],
                told: vec![format!("{}: {}, as was done, for {}", block.name, of_rounds(rounds), block.rounds)],
            });
            continue;
        }
        let shorter =
            |work: Tick| Tick::seconds((work.0 * of.done.0 / of.planned.0 / 5000 * 5).max(SHORTEST).min(work.0 / 1000));
        let edits = set_work(text, index, block, shorter);
        if let (Some(Work::Time(work)), false) = (block.stations.first().map(|station| station.work), edits.is_empty())
        {
            let (to, from) = (spoken_length(shorter(work)), spoken_length(work));
            advances.push(Advance { edits, told: vec![format!("{}: work {to}, as was done, for {from}", block.name)] });
        }
    }
    advances
}
