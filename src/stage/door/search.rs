//! The search for a session.

use std::cmp::Reverse;

use nucleo_matcher::pattern::{AtomKind, CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};

use super::ListedSession;

/// The indices of the sessions that match the search text, best first. A session matches if its title or its file name
/// contains the letters in this order, or if the names of its blocks, movements and kit contain the text. All sessions
/// match an empty text and keep their order.
pub fn matching_sessions(typed: &str, listed: &[ListedSession]) -> Vec<usize> {
    if typed.trim().is_empty() {
        return (0..listed.len()).collect();
    }
    let pattern = |kind| Pattern::new(typed, CaseMatching::Ignore, Normalization::Smart, kind);
    let (letters, piece) = (pattern(AtomKind::Fuzzy), pattern(AtomKind::Substring));
    let mut matcher = Matcher::new(Config::DEFAULT);
    let mut buffer = Vec::new();
    let mut score = |pattern: &Pattern, text: &str| pattern.score(Utf32Str::new(text, &mut buffer), &mut matcher);
    let mut found: Vec<(bool, Reverse<u32>, usize)> = Vec::new();
    for (index, one) in listed.iter().enumerate() {
        let named = score(&letters, &one.title).max(score(&letters, &one.name));
        let hit = named.map(|score| (false, score));
        let hit = hit.or_else(|| score(&piece, &one.search_text).map(|score| (true, score)));
        found.extend(hit.map(|(inside, score)| (inside, Reverse(score), index)));
    }
    found.sort_unstable();
    found.into_iter().map(|(_, _, index)| index).collect()
}
