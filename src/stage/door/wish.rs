//! The form for a composed class: four lines to fill in.

use std::ops::RangeInclusive;

use strum::IntoEnumIterator;

use super::Press;
use class::compose::typed::kit_list;
use class::compose::{Aim, SLOTS};
use class::movement::counted;
use class::session::{Amount, KitOwned};
use class::time::{Tick, parse_length, spoken_length};
use class::words::{WORDS, fill};

/// The form: each line as it is typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    texts: [String; 4],
    line: usize,
    /// Whether the cursor has just come to the line; then a letter replaces the text.
    fresh: bool,
    /// The names of the kit that movements use.
    kinds: Vec<String>,
}

/// A line of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumIter)]
pub enum Line {
    Slot,
    People,
    Kit,
    Aim,
}

/// The class that the coach asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    pub slot: Tick,
    pub people: u32,
    /// The kit as it was typed.
    pub kit: String,
    pub aim: Aim,
}

/// The result of a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Answer {
    /// The form stays open.
    More,
    /// A line is not valid: why.
    Wrong(String),
    Wanted(Wanted),
    /// The coach leaves the form.
    Back,
}

/// The longest text of a line, in characters.
const LETTERS: usize = 120;
/// How much one arrow key changes the slot.
const STEP: Tick = Tick::seconds(5 * 60);
/// The smallest and the largest number of people.
const PEOPLE: RangeInclusive<u32> = 1..=1000;
/// The kit that the arrow keys step through.
const KIT: [&str; 7] = [
    "mats",
    "mats, bands",
    "mats, light kettlebells",
    "mats, light kettlebells, bands",
    "mats, 2 light dumbbells",
    "mats, light kettlebells, bands, 4 boxes",
    "mats, light kettlebells, heavy kettlebells, bands",
];

impl Wish {
    /// A form filled in with 45 min, 12 people and a mat each. `kinds`: the names of the kit that movements use.
    pub fn new(kinds: Vec<String>) -> Wish {
        let aim: &'static str = Aim::default().into();
        Wish { texts: ["45m", "12", KIT[0], aim].map(str::to_owned), line: 0, fresh: true, kinds }
    }

    /// The line that the keys edit.
    pub fn line(&self) -> Line {
        Line::iter().nth(self.line).unwrap_or(Line::Slot)
    }

    /// The text of a line as it is typed.
    pub fn text(&self, line: Line) -> &str {
        &self.texts[line as usize]
    }

    /// What the program understands by a line, in words.
    ///
    /// # Errors
    /// When the line is not valid: why.
    pub fn meaning(&self, line: Line) -> Result<String, String> {
        let words = &WORDS.door.wish;
        match line {
            Line::Slot => self.slot().map(|slot| fill(&words.slot_means, &[("slot", &spoken_length(slot))])),
            Line::People => self.people().map(|people| match people {
                1 => words.people_mean.0.clone(),
                _ => fill(&words.people_mean.1, &[("count", &people.to_string())]),
            }),
            Line::Kit => self.kit().map(|kit| match kit.as_slice() {
                [] => words.no_kit.clone(),
                kit => kit.iter().map(owned).collect::<Vec<_>>().join(", "),
            }),
            Line::Aim => Ok(match self.aim() {
                Aim::Strength => words.strength.clone(),
                Aim::Conditioning => words.conditioning.clone(),
            }),
        }
    }

    fn slot(&self) -> Result<Tick, String> {
        let text = self.text(Line::Slot).trim();
        let minutes = text.parse::<u16>().ok().map(|minutes| Tick::seconds(u64::from(minutes) * 60));
        let slot = minutes.or_else(|| parse_length(text).ok());
        let bounds = [("least", SLOTS.start()), ("most", SLOTS.end())].map(|(name, at)| (name, spoken_length(*at)));
        let bounds = bounds.each_ref().map(|(name, words)| (*name, words.as_str()));
        slot.filter(|slot| SLOTS.contains(slot)).ok_or_else(|| fill(&WORDS.door.wish.no_slot, &bounds))
    }

    fn people(&self) -> Result<u32, String> {
        let people = self.text(Line::People).trim().parse().ok();
        people.filter(|people| PEOPLE.contains(people)).ok_or_else(|| WORDS.door.wish.no_number.clone())
    }

    fn kit(&self) -> Result<Vec<KitOwned>, String> {
        kit_list(self.text(Line::Kit), &self.kinds)
    }

    /// The aim. Only valid words get into its line.
    fn aim(&self) -> Aim {
        self.text(Line::Aim).parse().unwrap_or_default()
    }

    pub(super) fn press(&mut self, press: Press) -> Answer {
        match press {
            Press::Up => self.go_to(self.line.saturating_sub(1)),
            Press::Down | Press::Next => self.go_to(self.line + 1),
            Press::First | Press::PageUp => self.go_to(0),
            Press::Last | Press::PageDown => self.go_to(usize::MAX),
            Press::Left => self.step(false),
            Press::Right => self.step(true),
            Press::Letter(letter) => self.letter(letter),
            Press::Rub if self.line() != Line::Aim => {
                self.fresh = false;
                self.texts[self.line].pop();
            }
            Press::Do => return self.go_on(),
            Press::Back => return Answer::Back,
            Press::Rub | Press::Help | Press::Leave | Press::Suspend => {}
        }
        Answer::More
    }

    fn go_to(&mut self, line: usize) {
        self.line = line.min(Line::iter().count() - 1);
        self.fresh = true;
    }

    /// Moves to the next line; on the last line, asks for the class.
    fn go_on(&mut self) -> Answer {
        if let Err(why) = self.meaning(self.line()) {
            return Answer::Wrong(why);
        }
        if self.line() != Line::Aim {
            self.go_to(self.line + 1);
            return Answer::More;
        }
        if let Some(wrong) = Line::iter().find(|line| self.meaning(*line).is_err()) {
            self.go_to(wrong as usize);
            return Answer::Wrong(self.meaning(wrong).err().unwrap_or_default());
        }
        let (Ok(slot), Ok(people)) = (self.slot(), self.people()) else { return Answer::More };
        Answer::Wanted(Wanted { slot, people, kit: self.text(Line::Kit).trim().to_owned(), aim: self.aim() })
    }

    fn letter(&mut self, letter: char) {
        if self.line() == Line::Aim {
            let named = |aim: &&'static str| aim.starts_with(letter.to_ascii_lowercase());
            if let Some(aim) = Aim::iter().map(<&'static str>::from).find(named) {
                self.texts[self.line] = aim.to_owned();
            }
            return;
        }
        let text = &mut self.texts[self.line];
        if std::mem::take(&mut self.fresh) {
            text.clear();
        }
        if text.chars().count() < LETTERS && !letter.is_control() {
            text.push(letter);
        }
    }

    /// Sets the line to the next value, or to the previous one.
    fn step(&mut self, up: bool) {
        let turned = |now: Option<usize>, count: usize| match now {
            Some(now) if up => (now + 1) % count,
            Some(now) => (now + count - 1) % count,
            None => 0,
        };
        self.fresh = true;
        self.texts[self.line] = match self.line() {
            Line::Slot => {
                let now = self.slot().unwrap_or(*SLOTS.start());
                let next = if up { now + STEP } else { now.less(STEP) };
                spoken_length(next.clamp(*SLOTS.start(), *SLOTS.end()))
            }
            Line::People => {
                let now = self.people().unwrap_or(*PEOPLE.start());
                let next = if up { now.saturating_add(1) } else { now.saturating_sub(1) };
                next.clamp(*PEOPLE.start(), *PEOPLE.end()).to_string()
            }
            Line::Kit => {
                let now = KIT.iter().position(|kit| *kit == self.text(Line::Kit).trim());
                KIT[turned(now, KIT.len())].to_owned()
            }
            Line::Aim => {
                let aims: Vec<&'static str> = Aim::iter().map(Into::into).collect();
                let now = aims.iter().position(|aim| *aim == self.text(Line::Aim));
                aims[turned(now, aims.len())].to_owned()
            }
        };
    }
}

/// One piece of kit in words, as the program understands it.
fn owned(kit: &KitOwned) -> String {
    let words = &WORDS.door.wish;
    let (wording, count) = match kit.amount {
        Amount::Each(count) => (&words.each, count),
        Amount::Shared(count) => (&words.shared, count),
    };
    fill(wording, &[("kit", &counted(count, kit.load, &kit.item))])
}
