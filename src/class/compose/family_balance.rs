//! The spread of the main blocks' stations over the pattern families.

use super::candidate_pool::PatternFamily;

/// The number of stations of each family, in the order of [`PatternFamily::ALL`].
pub(super) type FamilyCounts = [usize; 6];

/// The limits of a spread, and what makes one better than another.
pub(super) struct SpreadLimits {
    /// The number of stations in all main blocks together.
    pub stations: usize,
    /// The most stations that each family can fill.
    pub most: FamilyCounts,
    /// The fewest stations of each family: those with a kept movement.
    pub fewest: FamilyCounts,
    /// For each family, how many of its movements work a focus muscle.
    pub asked: FamilyCounts,
    /// Push and pull need no balance if they have fewer stations together than this.
    pub few: usize,
    /// The order among families that are equal in everything else.
    pub rank: [u64; 6],
}

/// All allowed spreads, the most even first. A spread is more even if the sum of its squares is less. Among equally
/// even spreads, those with more stations in families that work the focus muscles come first.
pub(super) fn spreads(spread: &SpreadLimits) -> Vec<FamilyCounts> {
    let mut found = Vec::new();
    fill(spread, 0, [0; 6], spread.stations, &mut found);
    found.retain(|counts| push_pull_balanced(counts, spread.few));
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

fn fill(spread: &SpreadLimits, family: usize, counts: FamilyCounts, left: usize, found: &mut Vec<FamilyCounts>) {
    if family == PatternFamily::ALL.len() {
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

/// Whether push and pull are balanced: at most 7 to 5. The rule in `check` allows 3 to 2; the margin is for the time
/// that settle and switches take.
fn push_pull_balanced(counts: &FamilyCounts, few: usize) -> bool {
    let of = |family: PatternFamily| counts[family as usize];
    let (push, pull) = (of(PatternFamily::Push), of(PatternFamily::Pull));
    push + pull < few || push.max(pull) * 5 <= push.min(pull) * 7
}

/// Deals the families out to blocks of this many stations. `there` are the stations that each block has already; they
/// count. Each station goes to the block with a free place that has the fewest of its family. None when the stations
/// that are there do not fit.
pub(super) fn deal_to_blocks(
    counts: &FamilyCounts,
    blocks: usize,
    stations: usize,
    there: &[Vec<PatternFamily>],
) -> Option<Vec<Vec<PatternFamily>>> {
    let mut dealt: Vec<Vec<PatternFamily>> =
        (0..blocks).map(|block| there.get(block).cloned().unwrap_or_default()).collect();
    let mut left = *counts;
    for family in dealt.iter().flatten() {
        left[*family as usize] = left[*family as usize].checked_sub(1)?;
    }
    for family in PatternFamily::ALL {
        for _ in 0..left[family as usize] {
            let of = |block: &Vec<PatternFamily>| block.iter().filter(|other| **other == family).count();
            let open = (0..blocks).filter(|&block| dealt[block].len() < stations);
            let block = open.min_by_key(|&block| (of(&dealt[block]), dealt[block].len()))?;
            dealt[block].push(family);
        }
    }
    dealt.iter().all(|block| block.len() == stations).then_some(dealt)
}
