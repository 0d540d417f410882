//! The movement finder: the movements that match the search text and the filters, and the change that each needs.

use strum::IntoEnumIterator;

use class::cue::changeover_words;
use class::movement::{Catalogue, CautionAlternative, MovementQuery, Muscle, NO_KIT, Pattern, Position, Region, find};
use class::schedule::{ChangeoverCosts, Schedule, Span, change_to};
use class::time::Tick;

/// What the chosen movement is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FinderPurpose {
    Add,
    Replace,
    Block,
}

/// The filters of the finder, in the order of the Tab key.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FinderFilter {
    #[default]
    Words,
    Pattern,
    Position,
    Kit,
    Muscle,
    LookAfter,
}

/// The state of the finder.
#[derive(Clone, Debug, Default)]
pub struct MovementFinder {
    pub query: MovementQuery,
    /// A region to look after in addition to those of the session.
    pub region: Option<Region>,
    pub chip: FinderFilter,
    pub hits: Vec<Suggestion>,
    pub chosen: usize,
}

/// A movement that matches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suggestion {
    pub id: String,
    pub name: String,
    /// What changes from the station before to this one, in words; empty if nothing does.
    pub change: String,
    /// How long the change takes; an estimate.
    pub needs: Tick,
    /// What is done instead for each region to look after; None if the movement has to be left out.
    pub alternatives: Vec<(Region, Option<String>)>,
}

/// The longest search text, in characters.
const LETTERS: usize = 60;

impl FinderFilter {
    pub const ALL: [FinderFilter; 6] = [
        FinderFilter::Words,
        FinderFilter::Pattern,
        FinderFilter::Position,
        FinderFilter::Kit,
        FinderFilter::Muscle,
        FinderFilter::LookAfter,
    ];
}

impl MovementFinder {
    /// Searches again. `before` is the work span that the movement would follow.
    pub fn search(
        &mut self,
        catalogue: &Catalogue,
        schedule: &Schedule,
        before: Option<&Span>,
        costs: &ChangeoverCosts,
    ) {
        self.query.look_after = schedule.session.look_after.iter().copied().chain(self.region).collect();
        let hits = find(catalogue, &self.query);
        let suggestion = |hit: &class::movement::MovementHit| {
            let change = change_to(&schedule.session, before, hit.movement, costs);
            let instead = |instead: &CautionAlternative| match instead {
                CautionAlternative::Movement { name, .. } => Some(name.clone()),
                CautionAlternative::Text(text) => Some(text.clone()),
                CautionAlternative::LeaveOut => None,
            };
            Suggestion {
                id: hit.movement.id.clone(),
                name: hit.movement.name.clone(),
                change: changeover_words(&change),
                needs: change.needs,
                alternatives: hit.alternatives.iter().map(|(region, text)| (*region, instead(text))).collect(),
            }
        };
        self.hits = hits.iter().map(suggestion).collect();
        self.chosen = self.chosen.min(self.hits.len().saturating_sub(1));
    }

    /// Moves to the next filter of the finder, or to the previous one.
    pub fn next_filter(&mut self, back: bool) {
        let at = FinderFilter::ALL.iter().position(|chip| *chip == self.chip).unwrap_or(0);
        let count = FinderFilter::ALL.len();
        self.chip = FinderFilter::ALL[(at + if back { count - 1 } else { 1 }) % count];
    }

    /// Steps to the next or the previous value of the filter; in the search text, to the next or the previous hit.
    pub fn step(&mut self, catalogue: &Catalogue, back: bool) {
        match self.chip {
            FinderFilter::Words => {
                let last = self.hits.len().saturating_sub(1);
                self.chosen = if back { self.chosen.saturating_sub(1) } else { (self.chosen + 1).min(last) };
                return;
            }
            FinderFilter::Pattern => self.query.pattern = next(Pattern::iter(), self.query.pattern, back),
            FinderFilter::Position => self.query.position = next(Position::iter(), self.query.position, back),
            FinderFilter::Muscle => self.query.muscle = next(Muscle::iter(), self.query.muscle, back),
            FinderFilter::LookAfter => self.region = next(Region::iter(), self.region, back),
            FinderFilter::Kit => {
                let mut items: Vec<String> =
                    catalogue.iter().flat_map(|movement| movement.kit.iter().map(|need| need.item.0.clone())).collect();
                items.push(NO_KIT.to_owned());
                items.sort();
                items.dedup();
                self.query.kit = next(items.into_iter(), self.query.kit.take(), back);
            }
        }
        self.chosen = 0;
    }

    /// Adds a letter to the search text.
    pub fn letter(&mut self, letter: char) {
        if !letter.is_control() && self.query.words.chars().count() < LETTERS {
            self.query.words.push(letter);
            (self.chip, self.chosen) = (FinderFilter::Words, 0);
        }
    }

    /// Deletes the last letter of the search text.
    pub fn rub(&mut self) {
        self.query.words.pop();
        self.chosen = 0;
    }

    /// Clears the search text and the filters.
    pub fn clear(&mut self) {
        *self = MovementFinder::default();
    }
}

/// The next or the previous value, in a ring that includes "no value".
fn next<T: PartialEq>(all: impl Iterator<Item = T>, now: Option<T>, back: bool) -> Option<T> {
    let mut ring: Vec<Option<T>> = std::iter::once(None).chain(all.map(Some)).collect();
    let at = ring.iter().position(|one| *one == now).unwrap_or(0);
    let to = (at + if back { ring.len() - 1 } else { 1 }) % ring.len();
    ring.swap_remove(to)
}
