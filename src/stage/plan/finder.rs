//! The movement finder: the movements that match the search text and the filters, and the change that each needs.

use strum::IntoEnumIterator;

use class::cue::changeover_words;
use class::movement::{Catalogue, Instead, Muscle, NO_KIT, Pattern, Position, Query, Region, find};
use class::schedule::{Costs, Schedule, Span, change_to};
use class::time::Tick;

/// What the chosen movement is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    Add,
    Replace,
    Block,
}

/// The fields of the finder, in the order of the Tab key.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Chip {
    #[default]
    Words,
    Pattern,
    Position,
    Kit,
    Muscle,
    Mind,
}

/// The state of the finder.
#[derive(Clone, Debug, Default)]
pub struct Finder {
    pub query: Query,
    /// A region to look after in addition to those of the session.
    pub region: Option<Region>,
    pub chip: Chip,
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
    pub minded: Vec<(Region, Option<String>)>,
}

/// The longest search text, in characters.
const LETTERS: usize = 60;

impl Chip {
    pub const ALL: [Chip; 6] = [Chip::Words, Chip::Pattern, Chip::Position, Chip::Kit, Chip::Muscle, Chip::Mind];
}

impl Finder {
    /// Searches again. `before` is the work span that the movement would follow.
    pub fn look(&mut self, catalogue: &Catalogue, schedule: &Schedule, before: Option<&Span>, costs: &Costs) {
        self.query.mind = schedule.session.mind.iter().copied().chain(self.region).collect();
        let hits = find(catalogue, &self.query);
        let suggestion = |hit: &class::movement::Hit| {
            let change = change_to(&schedule.session, before, hit.movement, costs);
            let instead = |instead: &Instead| match instead {
                Instead::Movement { name, .. } => Some(name.clone()),
                Instead::Text(text) => Some(text.clone()),
                Instead::LeaveOut => None,
            };
            Suggestion {
                id: hit.movement.id.clone(),
                name: hit.movement.name.clone(),
                change: changeover_words(&change),
                needs: change.needs,
                minded: hit.minded.iter().map(|(region, text)| (*region, instead(text))).collect(),
            }
        };
        self.hits = hits.iter().map(suggestion).collect();
        self.chosen = self.chosen.min(self.hits.len().saturating_sub(1));
    }

    /// Moves to the next field of the finder, or to the previous one.
    pub fn turn(&mut self, back: bool) {
        let at = Chip::ALL.iter().position(|chip| *chip == self.chip).unwrap_or(0);
        let count = Chip::ALL.len();
        self.chip = Chip::ALL[(at + if back { count - 1 } else { 1 }) % count];
    }

    /// Steps to the next or the previous value of the field; in the search text, to the next or the previous hit.
    pub fn step(&mut self, catalogue: &Catalogue, back: bool) {
        match self.chip {
            Chip::Words => {
                let last = self.hits.len().saturating_sub(1);
                self.chosen = if back { self.chosen.saturating_sub(1) } else { (self.chosen + 1).min(last) };
                return;
            }
            Chip::Pattern => self.query.pattern = next(Pattern::iter(), self.query.pattern, back),
            Chip::Position => self.query.position = next(Position::iter(), self.query.position, back),
            Chip::Muscle => self.query.muscle = next(Muscle::iter(), self.query.muscle, back),
            Chip::Mind => self.region = next(Region::iter(), self.region, back),
            Chip::Kit => {
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
            (self.chip, self.chosen) = (Chip::Words, 0);
        }
    }

    /// Deletes the last letter of the search text.
    pub fn rub(&mut self) {
        self.query.words.pop();
        self.chosen = 0;
    }

    /// Clears the search text and the filters.
    pub fn clear(&mut self) {
        *self = Finder::default();
    }
}

/// The next or the previous value, in a ring that includes "no value".
fn next<T: PartialEq>(all: impl Iterator<Item = T>, now: Option<T>, back: bool) -> Option<T> {
    let mut ring: Vec<Option<T>> = std::iter::once(None).chain(all.map(Some)).collect();
    let at = ring.iter().position(|one| *one == now).unwrap_or(0);
    let to = (at + if back { ring.len() - 1 } else { 1 }) % ring.len();
    ring.swap_remove(to)
}
