//! The form for a composed class: four lines to fill in.

use std::ops::RangeInclusive;

use strum::IntoEnumIterator;

use super::DoorCommand;
use class::compose::kit_text::{KitTextError, kit_list};
use class::compose::{ClassAim, SLOTS};
use class::movement::counted;
use class::session::{KitAmount, OwnedKit};
use class::time::{Tick, parse_length, spoken_length};
use class::words::{WORDS, fill};

/// The form: each line as it is typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ComposeForm {
    texts: [String; 4],
    line: usize,
    /// Whether the cursor has just come to the line; then a letter replaces the text.
    fresh: bool,
    /// The names of the kit that movements use.
    kinds: Vec<String>,
}

/// A line of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumIter)]
pub enum ComposeField {
    Slot,
    People,
    Kit,
    Aim,
}

/// The class that the coach asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ComposeAnswers {
    pub slot: Tick,
    pub people: u32,
    /// The kit as it was typed.
    pub kit: String,
    pub aim: ClassAim,
}

/// The result of a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum FormOutcome {
    /// The form stays open.
    More,
    /// A line is not valid: why.
    Wrong(ComposeFormError),
    Wanted(ComposeAnswers),
    /// The coach leaves the form.
    Back,
}

/// Why a line of the form is not valid.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ComposeFormError {
    #[error("{}", no_slot())]
    Slot,
    #[error("{}", WORDS.door.compose_form.no_number)]
    People,
    #[error(transparent)]
    Kit(#[from] KitTextError),
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

impl ComposeForm {
    /// A form filled in with 45 min, 12 people and a mat each. `kinds`: the names of the kit that movements use.
    pub fn new(kinds: Vec<String>) -> ComposeForm {
        let aim: &'static str = ClassAim::default().into();
        ComposeForm { texts: ["45m", "12", KIT[0], aim].map(str::to_owned), line: 0, fresh: true, kinds }
    }

    /// The line that the keys edit.
    pub fn line(&self) -> ComposeField {
        ComposeField::iter().nth(self.line).unwrap_or(ComposeField::Slot)
    }

    /// The text of a line as it is typed.
    pub fn text(&self, line: ComposeField) -> &str {
        &self.texts[line as usize]
    }

    /// What the program understands by a line, in words.
    ///
    /// # Errors
    /// When the line is not valid.
    pub fn meaning(&self, line: ComposeField) -> Result<String, ComposeFormError> {
        let words = &WORDS.door.compose_form;
        match line {
            ComposeField::Slot => self.slot().map(|slot| fill(&words.slot_means, &[("slot", &spoken_length(slot))])),
            ComposeField::People => self.people().map(|people| match people {
                1 => words.people_mean.0.clone(),
                _ => fill(&words.people_mean.1, &[("count", &people.to_string())]),
            }),
            ComposeField::Kit => self.kit().map(|kit| match kit.as_slice() {
                [] => words.no_kit.clone(),
                kit => kit.iter().map(kit_words).collect::<Vec<_>>().join(", "),
            }),
            ComposeField::Aim => Ok(match self.aim() {
                ClassAim::Strength => words.strength.clone(),
                ClassAim::Conditioning => words.conditioning.clone(),
            }),
        }
    }

    fn slot(&self) -> Result<Tick, ComposeFormError> {
        let text = self.text(ComposeField::Slot).trim();
        let minutes = text.parse::<u16>().ok().map(|minutes| Tick::seconds(u64::from(minutes) * 60));
        let slot = minutes.or_else(|| parse_length(text).ok());
        slot.filter(|slot| SLOTS.contains(slot)).ok_or(ComposeFormError::Slot)
    }

    fn people(&self) -> Result<u32, ComposeFormError> {
        let people = self.text(ComposeField::People).trim().parse().ok();
        people.filter(|people| PEOPLE.contains(people)).ok_or(ComposeFormError::People)
    }

    fn kit(&self) -> Result<Vec<OwnedKit>, ComposeFormError> {
        Ok(kit_list(self.text(ComposeField::Kit), &self.kinds)?)
    }

    /// The aim. Only valid words get into its line.
    fn aim(&self) -> ClassAim {
        self.text(ComposeField::Aim).parse().unwrap_or_default()
    }

    pub(super) fn press(&mut self, press: DoorCommand) -> FormOutcome {
        match press {
            DoorCommand::Up => self.select_field(self.line.saturating_sub(1)),
            DoorCommand::Down | DoorCommand::Next => self.select_field(self.line + 1),
            DoorCommand::First | DoorCommand::PageUp => self.select_field(0),
            DoorCommand::Last | DoorCommand::PageDown => self.select_field(usize::MAX),
            DoorCommand::Left => self.step(false),
            DoorCommand::Right => self.step(true),
            DoorCommand::Letter(letter) => self.letter(letter),
            DoorCommand::Rub if self.line() != ComposeField::Aim => {
                self.fresh = false;
                self.texts[self.line].pop();
            }
            DoorCommand::Do => return self.next_field(),
            DoorCommand::Back => return FormOutcome::Back,
            DoorCommand::Rub | DoorCommand::Help | DoorCommand::Leave | DoorCommand::Suspend => {}
        }
        FormOutcome::More
    }

    fn select_field(&mut self, line: usize) {
        self.line = line.min(ComposeField::iter().count() - 1);
        self.fresh = true;
    }

    /// Moves to the next line; on the last line, requests the class.
    fn next_field(&mut self) -> FormOutcome {
        if let Err(why) = self.meaning(self.line()) {
            return FormOutcome::Wrong(why);
        }
        if self.line() != ComposeField::Aim {
            self.select_field(self.line + 1);
            return FormOutcome::More;
        }
        let wrong = ComposeField::iter().find_map(|line| Some((line, self.meaning(line).err()?)));
        if let Some((line, why)) = wrong {
            self.select_field(line as usize);
            return FormOutcome::Wrong(why);
        }
        let (Ok(slot), Ok(people)) = (self.slot(), self.people()) else { return FormOutcome::More };
        FormOutcome::Wanted(ComposeAnswers {
            slot,
            people,
            kit: self.text(ComposeField::Kit).trim().to_owned(),
            aim: self.aim(),
        })
    }

    fn letter(&mut self, letter: char) {
        if self.line() == ComposeField::Aim {
            let named = |aim: &&'static str| aim.starts_with(letter.to_ascii_lowercase());
            if let Some(aim) = ClassAim::iter().map(<&'static str>::from).find(named) {
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
            ComposeField::Slot => {
                let now = self.slot().unwrap_or(*SLOTS.start());
                let next = if up { now + STEP } else { now.saturating_sub(STEP) };
                spoken_length(next.clamp(*SLOTS.start(), *SLOTS.end()))
            }
            ComposeField::People => {
                let now = self.people().unwrap_or(*PEOPLE.start());
                let next = if up { now.saturating_add(1) } else { now.saturating_sub(1) };
                next.clamp(*PEOPLE.start(), *PEOPLE.end()).to_string()
            }
            ComposeField::Kit => {
                let now = KIT.iter().position(|kit| *kit == self.text(ComposeField::Kit).trim());
                KIT[turned(now, KIT.len())].to_owned()
            }
            ComposeField::Aim => {
                let aims: Vec<&'static str> = ClassAim::iter().map(Into::into).collect();
                let now = aims.iter().position(|aim| *aim == self.text(ComposeField::Aim));
                aims[turned(now, aims.len())].to_owned()
            }
        };
    }
}

/// Which slots can be typed.
fn no_slot() -> String {
    let (least, most) = (spoken_length(*SLOTS.start()), spoken_length(*SLOTS.end()));
    fill(&WORDS.door.compose_form.no_slot, &[("least", &least), ("most", &most)])
}

/// One piece of kit in words, as the program understands it.
fn kit_words(kit: &OwnedKit) -> String {
    let words = &WORDS.door.compose_form;
    let (wording, count) = match kit.amount {
        KitAmount::Each(count) => (&words.each, count),
        KitAmount::Shared(count) => (&words.shared, count),
    };
    fill(wording, &[("kit", &counted(count, kit.load, &kit.item))])
}
