//! Finds movements by words, which may be misspelt, and by their properties.

use std::cmp::Reverse;
use std::sync::Arc;

use nucleo_matcher::pattern::{Atom, AtomKind, CaseMatching, Normalization};
use nucleo_matcher::{Config, Matcher, Utf32Str};

use super::catalogue::names;
use super::{Catalogue, CautionAlternative, Movement, Muscle, Pattern, Position, Region};

/// What to look for. A movement must match every field that is given.
#[derive(Clone, Debug, Default)]
pub struct MovementQuery {
    /// Words from its names, muscles, kit, pattern or position, in any order. Typing mistakes are allowed.
    pub words: String,
    pub pattern: Option<Pattern>,
    pub position: Option<Position>,
    /// A kind of kit that it uses; [`NO_KIT`] for no kit.
    pub kit: Option<String>,
    /// A muscle it works, as a prime mover or helping.
    pub muscle: Option<Muscle>,
    /// Regions to look after. No movement is hidden because of them; the movements that suit come first.
    pub look_after: Vec<Region>,
}

/// The [`MovementQuery::kit`] that finds movements without kit, or with only a mat.
pub const NO_KIT: &str = "none";

/// A movement that was found.
#[derive(Clone, Debug)]
pub struct MovementHit<'a> {
    pub movement: &'a Arc<Movement>,
    /// How well the words match, from 1 to [`EXACT`]; [`EXACT`] when the query has no words.
    pub fit: u32,
    /// For each region to look after that the movement has a caution for: what to do instead.
    pub alternatives: Vec<(Region, &'a CautionAlternative)>,
}

/// How well a movement suits people who go easy on the regions of a query, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Suitability {
    /// The movement has no caution for these regions.
    AsItIs,
    /// Every caution for these regions has an alternative.
    WithCare,
    /// For at least one region the movement is left out.
    NotAll,
}

impl MovementHit<'_> {
    /// How well it suits people who go easy on the regions of the query.
    pub fn suits(&self) -> Suitability {
        match self.alternatives.as_slice() {
            [] => Suitability::AsItIs,
            minded if minded.iter().any(|(_, instead)| **instead == CautionAlternative::LeaveOut) => {
                Suitability::NotAll
            }
            _ => Suitability::WithCare,
        }
    }
}

/// The fit of a name that is typed exactly.
pub const EXACT: u32 = 1000;

/// All movements that match a query. They are sorted by how well they suit the regions to look after, then by how well
/// the words match, then prime movers before helping muscles, then in the order of the catalogue.
pub fn find<'a>(catalogue: &'a Catalogue, query: &MovementQuery) -> Vec<MovementHit<'a>> {
    let mut words = QueryWords::new(&query.words);
    let mut hits: Vec<MovementHit> = catalogue
        .iter()
        .filter(|movement| query.admits(movement))
        .filter_map(|movement| {
            let fit = words.fit(movement)?;
            let cautions = movement.cautions.iter().filter(|caution| query.look_after.contains(&caution.region));
            let minded = cautions.map(|caution| (caution.region, &caution.instead)).collect();
            Some(MovementHit { movement, fit, alternatives: minded })
        })
        .collect();
    let helps = |hit: &MovementHit| query.muscle.is_some_and(|muscle| !hit.movement.prime.contains(&muscle));
    hits.sort_by_key(|hit| (hit.suits(), Reverse(hit.fit), helps(hit)));
    hits
}

/// The movements that a text names, best first. Stricter than [`find`]: every word must match a word in a name of the
/// movement or of its kit, and at least one word must match a name of the movement. Typing mistakes are allowed.
pub fn named<'a>(catalogue: &'a Catalogue, text: &str) -> Vec<MovementHit<'a>> {
    let mut words = QueryWords::new(text);
    if words.whole.is_empty() {
        return Vec::new();
    }
    let hit = |movement| Some(MovementHit { movement, fit: words.names_fit(movement)?, alternatives: Vec::new() });
    let mut hits: Vec<MovementHit> = catalogue.iter().filter_map(hit).collect();
    hits.sort_by_key(|hit| Reverse(hit.fit));
    hits
}

impl MovementQuery {
    fn admits(&self, movement: &Movement) -> bool {
        let uses = |item: &str| movement.kit.iter().any(|need| need.item.0.eq_ignore_ascii_case(item));
        self.pattern.is_none_or(|pattern| movement.pattern == pattern)
            && self.position.is_none_or(|position| movement.position == position)
            && self.muscle.is_none_or(|muscle| movement.prime.contains(&muscle) || movement.helping.contains(&muscle))
            && self.kit.as_deref().is_none_or(|kit| match kit {
                NO_KIT => movement.kit.iter().all(|need| need.item.0 == "mat"),
                item => uses(item),
            })
    }
}

/// The maximum number of characters of a query that are used.
const LONGEST: usize = 100;

/// The words of a query, prepared for comparison.
struct QueryWords {
    /// The whole query, without spaces and hyphens.
    whole: String,
    each: Vec<(String, Atom)>,
    matcher: Matcher,
}

impl QueryWords {
    fn new(text: &str) -> QueryWords {
        let text: String = text.chars().take(LONGEST).collect::<String>().to_lowercase();
        let atom = |word: &str| Atom::new(word, CaseMatching::Ignore, Normalization::Smart, AtomKind::Fuzzy, false);
        QueryWords {
            whole: without_spaces(&text),
            each: split(&text).map(|word| (word.to_owned(), atom(word))).collect(),
            matcher: Matcher::new(Config::DEFAULT),
        }
    }

    /// How well the words match a movement. None when they do not.
    fn fit(&mut self, movement: &Movement) -> Option<u32> {
        if self.whole.is_empty() {
            return Some(EXACT);
        }
        self.by_name(movement).max(self.words_fit(movement))
    }

    /// How well the words match the names of a movement and of its kit.
    fn names_fit(&mut self, movement: &Movement) -> Option<u32> {
        let is_name = |word: &str| names(movement).any(|name| split(&name.to_lowercase()).any(|term| term == word));
        let mut terms = name_terms(movement);
        terms.extend(kit_terms(movement));
        let mut a_name = false;
        let mut sum = 0;
        for (word, _) in &self.each {
            let fits = terms.iter().filter_map(|(term, worth)| Some((worth * word_fit(word, term)? / 100, term)));
            let (fit, term) = fits.max_by_key(|(fit, _)| *fit)?;
            a_name |= is_name(term);
            sum += fit;
        }
        let by_words = a_name.then(|| self.mean(sum, movement));
        self.by_name(movement).max(by_words)
    }

    fn by_name(&self, movement: &Movement) -> Option<u32> {
        names(movement).filter_map(|name| self.whole_fit(&without_spaces(&name.to_lowercase()))).max()
    }

    /// Compares the whole query with a whole name. This also allows misplaced spaces and letters swapped across spaces.
    fn whole_fit(&self, name: &str) -> Option<u32> {
        if self.whole == name {
            return Some(EXACT);
        }
        // A plural is not a mistake.
        if self.whole.strip_suffix('s') == Some(name) {
            return Some(EXACT - 10);
        }
        let wrong = mistakes(&self.whole, name)?;
        Some(EXACT - 50 - share(wrong, &self.whole))
    }

    /// Compares each word with each word of the movement. All words must match; the result is their mean.
    fn words_fit(&mut self, movement: &Movement) -> Option<u32> {
        let terms = terms(movement);
        let mut sum = 0;
        let mut buffer = Vec::new();
        for (word, atom) in &self.each {
            let best = terms.iter().filter_map(|(term, worth)| Some(worth * word_fit(word, term)? / 100)).max();
            let best = best.or_else(|| {
                // Missing letters: `gsqt` for goblet squat. Only in names, with the letters close together.
                let least = word.chars().count() as u32 * LETTER_SCORE * 9 / 10;
                let (matcher, enough) = (&mut self.matcher, |score: &u32| *score >= least);
                let mut score = |name| atom.score(Utf32Str::new(name, &mut buffer), matcher).map(u32::from);
                (word.len() > 2 && names(movement).filter_map(&mut score).any(|score| enough(&score))).then_some(400)
            })?;
            sum += best;
        }
        Some(self.mean(sum, movement))
    }

    /// The fit of all words, from the sum of the fits of each word.
    fn mean(&self, sum: u32, movement: &Movement) -> u32 {
        let mean = sum / self.each.len().max(1) as u32;
        // When two names contain all the words, the name with fewer other words fits better.
        let most = split(&movement.name.to_lowercase()).count().saturating_sub(self.each.len()).min(9) as u32;
        (mean - mean / 10).saturating_sub(most * 5).max(1)
    }
}

/// The score that the matcher gives for one found letter, without bonus or penalty.
const LETTER_SCORE: u32 = 16;

/// The words by which a movement can be found, each with its weight in percent.
fn terms(movement: &Movement) -> Vec<(String, u32)> {
    let mut terms = name_terms(movement);
    terms.extend(kit_terms(movement));
    let mut add = |text: &str, worth| terms.extend(each_word(text, worth));
    for muscle in &movement.prime {
        add(&muscle.words(), 80);
    }
    add(&movement.pattern.words(), 75);
    add(&movement.position.words(), 75);
    for muscle in &movement.helping {
        add(&muscle.words(), 60);
    }
    terms
}

fn name_terms(movement: &Movement) -> Vec<(String, u32)> {
    names(movement).flat_map(|name| each_word(name, 100)).collect()
}

fn kit_terms(movement: &Movement) -> impl Iterator<Item = (String, u32)> {
    movement.kit.iter().flat_map(|need| each_word(&need.item.0, 80))
}

fn each_word(text: &str, worth: u32) -> Vec<(String, u32)> {
    split(&text.to_lowercase()).map(|word| (word.to_owned(), worth)).collect()
}

/// How well a word matches a word of a movement. None when it does not.
fn word_fit(word: &str, term: &str) -> Option<u32> {
    if word == term || word.strip_suffix('s').is_some_and(|one| one == term) {
        return Some(EXACT);
    }
    if word.len() > 1 && term.starts_with(word) {
        return Some(EXACT - 100);
    }
    // A word of one or two letters is too short for a typing mistake.
    if word.chars().count() < 3 {
        return None;
    }
    mistakes(word, term).map(|wrong| EXACT - 150 - share(wrong, word))
}

/// The number of wrong, missing, extra or swapped letters. None when it is more than a third of the letters typed; one
/// mistake is always allowed.
fn mistakes(typed: &str, meant: &str) -> Option<usize> {
    let (letters, others) = (typed.chars().count(), meant.chars().count());
    let limit = (letters / 3).max(1);
    if letters.abs_diff(others) > limit {
        return None;
    }
    let wrong = strsim::damerau_levenshtein(typed, meant);
    (wrong <= limit).then_some(wrong)
}

/// How much mistakes reduce the fit: 600 times their share of the letters typed.
fn share(wrong: usize, typed: &str) -> u32 {
    (wrong * 600 / typed.chars().count().max(1)) as u32
}

fn split(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty())
}

fn without_spaces(text: &str) -> String {
    split(text).collect()
}
