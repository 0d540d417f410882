//! How the stations of the main blocks are spread over the pattern families.

use super::room::Family;

/// So many stations for each of [`Family::ALL`].
pub type Counts = [usize; 6];

/// What the spread must hold to.
pub struct Spread {
    /// The stations of all main blocks.
    pub stations: usize,
    /// The most that each family can fill.
    pub most: Counts,
    /// The fewest: those that are locked.
    pub fewest: Counts,
    /// How well each family works what was asked for: how many of its movements do.
    pub asked: Counts,
    /// So many pushes and pulls together are too few to balance.
    pub few: usize,
    /// The order of families that are alike in all that.
    pub rank: [u64; 6],
}

/// Every spread that may be, the most even first. Even is what makes the sum of the squares least; of equally even ones,
/// those with more stations where they can work what was asked for.
pub fn spreads(spread: &Spread) -> Vec<Counts> {
    let mut found = Vec::new();
    fill(spread, 0, [0; 6], spread.stations, &mut found);
    found.retain(|counts| push_and_pull(counts, spread.few));
    found.sort_by_cached_key(|counts| {
        let squares: usize = counts.iter().map(|count| count * count).sum();
        let asked: usize = counts.iter().zip(spread.asked).map(|(count, asked)| count * asked.min(8)).sum();
        let rank = counts
            .iter()
            .zip(spread.rank)
            .fold(0u64, |sum, (&count, rank)| sum.wrapping_add((count as u64).wrapping_mul(rank >> 8)));
        (squares, std::cmp::Reverse(asked), rank, *counts)
    });
    found
}

fn fill(spread: &Spread, family: usize, counts: Counts, left: usize, found: &mut Vec<Counts>) {
    if family == Family::ALL.len() {
        if left == 0 {
            found.push(counts);
        }
        return;
    }
    for count in spread.fewest[family]..=spread.most[family].min(left) {
        let mut counts = counts;
        counts[family] = count;
        fill(spread, family + 1, counts, left - count, found);
    }
}

/// Whether pushing and pulling will be of a size, with room for what settle and switches take. The rule that asks for
/// it is in `check`: between two thirds and one and a half.
fn push_and_pull(counts: &Counts, few: usize) -> bool {
    let of = |family: Family| counts[family as usize];
    let (push, pull) = (of(Family::Push), of(Family::Pull));
    push + pull < few || push.max(pull) * 5 <= push.min(pull) * 7
}

/// Deals the families out to blocks of this many stations, those that a block has already counted in: each goes to
/// the block that has the fewest of it and room. None where a block has too many already.
pub fn deal(counts: &Counts, blocks: usize, stations: usize, there: &[Vec<Family>]) -> Option<Vec<Vec<Family>>> {
    let mut dealt: Vec<Vec<Family>> = (0..blocks).map(|block| there.get(block).cloned().unwrap_or_default()).collect();
    let mut left = *counts;
    for family in dealt.iter().flatten() {
        left[*family as usize] = left[*family as usize].checked_sub(1)?;
    }
    for family in Family::ALL {
        for _ in 0..left[family as usize] {
            let of = |block: &Vec<Family>| block.iter().filter(|other| **other == family).count();
            let open = (0..blocks).filter(|&block| dealt[block].len() < stations);
            let block = open.min_by_key(|&block| (of(&dealt[block]), dealt[block].len()))?;
            dealt[block].push(family);
        }
    }
    dealt.iter().all(|block| block.len() == stations).then_some(dealt)
}
