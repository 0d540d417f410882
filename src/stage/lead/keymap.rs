//! Key maps: what the buttons of a clicker or a foot switch ask for. A map comes before the list of keys.

use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use serde::Deserialize;

use super::commands::{KEYS, LeadCommand};
use super::keymap_error::KeymapError;
use crate::runtime::{KeyBinding, command_of_key};
use class::nearest_name::nearest;

/// The buttons of a device, each with what it asks for. Without buttons, only the list of keys counts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Keymap {
    buttons: Vec<MappedButton>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct MappedButton {
    /// The name that [`key_name`] gives.
    key: String,
    press: LeadCommand,
}

/// A map that comes with the program.
#[derive(Debug)]
pub struct BuiltInKeymap {
    pub name: String,
    pub about: String,
    pub map: Keymap,
}

/// What a button can ask for, with the word for it in a map. The first three are enough to lead.
const MEANINGS: &[(&str, LeadCommand)] = &[
    ("offer", LeadCommand::Offer),
    ("take", LeadCommand::Go),
    ("close", LeadCommand::Close),
    ("offer or undo", LeadCommand::OfferUndo),
    ("next", LeadCommand::Next),
    ("back", LeadCommand::Back),
    ("again", LeadCommand::Again),
    ("longer", LeadCommand::Longer),
    ("shorter", LeadCommand::Shorter),
    ("undo", LeadCommand::Undo),
    ("redo", LeadCommand::Redo),
    ("mute", LeadCommand::Mute),
    ("not now", LeadCommand::NotNow),
    ("say again", LeadCommand::SayAgain),
    ("mark", LeadCommand::Mark),
    ("all ready", LeadCommand::AllReady),
    ("stop", LeadCommand::Stop),
    ("far", LeadCommand::Far),
];

/// The most buttons in a map.
const MOST: usize = 40;

/// The maps that come with the program, from one data file. A mistake in the file stops the program at its first key. A
/// test reads the file, so no mistake is released.
static READY: LazyLock<Vec<BuiltInKeymap>> = LazyLock::new(|| {
    parse(include_str!("../../../assets/keymaps.ron")).unwrap_or_else(|why| unreachable!("assets/keymaps.ron: {why}"))
});

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KeymapRon {
    name: String,
    about: String,
    keys: Vec<(String, String)>,
}

fn parse(text: &str) -> Result<Vec<BuiltInKeymap>, KeymapError> {
    let maps: Vec<KeymapRon> = ron::from_str(text)?;
    let ready = |map: KeymapRon| Ok(BuiltInKeymap { map: Keymap::of(&map.keys)?, name: map.name, about: map.about });
    maps.into_iter().map(ready).collect()
}

impl Keymap {
    /// Only the list of keys.
    pub const LIST: Keymap = Keymap { buttons: Vec::new() };

    /// The maps that come with the program.
    pub fn built_in() -> &'static [BuiltInKeymap] {
        &READY
    }

    /// A map of these keys, each with what it asks for.
    ///
    /// # Errors
    /// When there is no such key, when a key cannot ask for that, or when a key has two meanings.
    pub fn of(keys: &[(String, String)]) -> Result<Keymap, KeymapError> {
        if keys.len() > MOST {
            return Err(KeymapError::TooMany(MOST));
        }
        let mut buttons: Vec<MappedButton> = Vec::new();
        for (key, word) in keys {
            let key = known_key(key)?;
            let meaning = MEANINGS.iter().find(|(known, _)| known == word);
            let press = meaning.map(|(_, press)| *press).ok_or_else(|| no_meaning(word))?;
            if buttons.iter().any(|button| button.key == key) {
                return Err(KeymapError::TwoMeanings(key));
            }
            buttons.push(MappedButton { key, press });
        }
        Ok(Keymap { buttons })
    }

    /// What a key of the terminal asks for: by the map, else by the list of keys.
    pub fn press(&self, event: KeyEvent) -> Option<LeadCommand> {
        if event.kind == KeyEventKind::Press
            && let Some(name) = key_name(event)
            && let Some(button) = self.buttons.iter().find(|button| button.key == name)
        {
            return Some(button.press);
        }
        command_of_key(event)
    }

    /// Whether only the list of keys counts.
    pub fn is_empty(&self) -> bool {
        self.buttons.is_empty()
    }

    /// What to press for something: the first button that the map has for it, else the key in the list if it still
    /// means it.
    pub fn key_for(&self, press: LeadCommand) -> Option<&str> {
        let button = self.buttons.iter().find(|button| {
            button.press == press || press == LeadCommand::Offer && button.press == LeadCommand::OfferUndo
        });
        let listed = || KeyBinding::of(press).filter(|key| self.keeps_meaning(key)).map(KeyBinding::label);
        button.map(|button| button.key.as_str()).or_else(listed)
    }

    /// Like [`Keymap::key_for`]; empty if no key means it.
    pub fn label(&self, press: LeadCommand) -> &str {
        self.key_for(press).unwrap_or_default()
    }

    /// What the buttons do, one entry for each meaning with all its buttons; then what the other keys in the list do.
    pub fn explained(&self) -> Vec<(String, &'static str)> {
        self.all(KeyBinding::label)
    }

    /// Like [`Keymap::explained`], with the names of keys to read aloud.
    pub fn spoken(&self) -> Vec<(String, &'static str)> {
        self.all(KeyBinding::spoken)
    }

    fn all(&self, called: fn(&KeyBinding<LeadCommand>) -> &'static str) -> Vec<(String, &'static str)> {
        let mut all: Vec<(String, &'static str)> = Vec::new();
        for (index, button) in self.buttons.iter().enumerate() {
            let same = |other: &&MappedButton| other.press == button.press;
            if !self.buttons[..index].iter().any(|other| same(&other)) {
                let keys: Vec<&str> = self.buttons.iter().filter(same).map(|button| button.key.as_str()).collect();
                all.push((keys.join(" "), KeyBinding::of(listed_command(button.press)).map_or("", KeyBinding::long)));
            }
        }
        let left = KEYS.iter().filter(|key| self.keeps_meaning(key));
        all.extend(left.map(|key| (called(key).to_owned(), key.long())));
        all
    }

    /// Whether a key of the list still means what the list says.
    fn keeps_meaning(&self, key: &KeyBinding<LeadCommand>) -> bool {
        let taken = |code: &KeyCode| {
            key_name(KeyEvent::new(*code, KeyModifiers::NONE)).is_some_and(|name| self.meaning(&name).is_some())
        };
        key.codes().first().is_none_or(|code| !taken(code))
    }

    /// What one of its keys asks for, in the word that a map uses.
    pub fn meaning(&self, key: &str) -> Option<&'static str> {
        let button = self.buttons.iter().find(|button| button.key == key)?;
        MEANINGS.iter().find(|(_, press)| *press == button.press).map(|(word, _)| *word)
    }
}

impl FromStr for Keymap {
    type Err = KeymapError;

    /// A map by its name.
    fn from_str(name: &str) -> Result<Keymap, KeymapError> {
        let names = || READY.iter().map(|ready| ready.name.as_str());
        let ready = READY.iter().find(|ready| ready.name == name);
        ready.map(|ready| ready.map.clone()).ok_or_else(|| match nearest(name, names()) {
            Some(near) => KeymapError::MisspeltMap { name: name.to_owned(), near },
            None => KeymapError::UnknownMap { name: name.to_owned(), maps: names().collect() },
        })
    }
}

impl<'de> Deserialize<'de> for Keymap {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Keymap, D::Error> {
        struct KeymapVisitor;
        impl<'de> serde::de::Visitor<'de> for KeymapVisitor {
            type Value = Keymap;

            fn expecting(&self, to: &mut fmt::Formatter) -> fmt::Result {
                to.write_str("the name of a key map, or keys with their actions: {\"F5\": \"take\"}")
            }

            fn visit_str<E: serde::de::Error>(self, name: &str) -> Result<Keymap, E> {
                name.parse().map_err(E::custom)
            }

            fn visit_map<A: serde::de::MapAccess<'de>>(self, mut map: A) -> Result<Keymap, A::Error> {
                let mut keys = Vec::new();
                while let Some(pair) = map.next_entry::<String, String>()? {
                    keys.push(pair);
                }
                Keymap::of(&keys).map_err(serde::de::Error::custom)
            }
        }
        from.deserialize_any(KeymapVisitor)
    }
}

/// The entry in the list of keys for an action: two opposite actions share one entry.
fn listed_command(press: LeadCommand) -> LeadCommand {
    match press {
        LeadCommand::OfferUndo => LeadCommand::Offer,
        LeadCommand::Shorter => LeadCommand::Longer,
        LeadCommand::Redo => LeadCommand::Undo,
        press => press,
    }
}

fn no_meaning(word: &str) -> KeymapError {
    let words = || MEANINGS.iter().map(|(word, _)| *word);
    match nearest(word, words()) {
        Some(near) => KeymapError::MisspeltAction { word: word.to_owned(), near },
        None => KeymapError::UnknownAction { word: word.to_owned(), actions: words().collect() },
    }
}

/// Keys with a name, besides the function keys and the keys that write a letter.
const NAMED: &[(&str, KeyCode)] = &[
    ("Space", KeyCode::Char(' ')),
    ("Enter", KeyCode::Enter),
    ("Esc", KeyCode::Esc),
    ("Tab", KeyCode::Tab),
    ("BackTab", KeyCode::BackTab),
    ("Backspace", KeyCode::Backspace),
    ("Delete", KeyCode::Delete),
    ("Insert", KeyCode::Insert),
    ("Home", KeyCode::Home),
    ("End", KeyCode::End),
    ("PageUp", KeyCode::PageUp),
    ("PageDown", KeyCode::PageDown),
    ("Left", KeyCode::Left),
    ("Right", KeyCode::Right),
    ("Up", KeyCode::Up),
    ("Down", KeyCode::Down),
];

const CONTROL: &str = "Ctrl+";
const ALT: &str = "Alt+";
const SHIFT: &str = "Shift+";

/// The name of a key in a map: `PageDown`, `b`, `.`, `Space`, `Shift+F5`. None for a key that a map cannot have, such
/// as Ctrl-C and Ctrl-Z, which end or stop any program.
pub fn key_name(event: KeyEvent) -> Option<String> {
    let control = event.modifiers.contains(KeyModifiers::CONTROL);
    if control && matches!(event.code, KeyCode::Char('c' | 'z')) {
        return None;
    }
    let key = match event.code {
        code if NAMED.iter().any(|(_, named)| *named == code) => {
            NAMED.iter().find(|(_, named)| *named == code)?.0.to_owned()
        }
        KeyCode::F(number) => format!("F{number}"),
        KeyCode::Char(letter) => letter.to_string(),
        _ => return None,
    };
    // A letter shows whether shift is held, and so does BackTab.
    let shows = matches!(event.code, KeyCode::Char(_) | KeyCode::BackTab);
    let shift = event.modifiers.contains(KeyModifiers::SHIFT) && !shows;
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    let held = [(control, CONTROL), (alt, ALT), (shift, SHIFT)];
    Some(held.iter().filter(|(held, _)| *held).map(|(_, name)| *name).collect::<String>() + &key)
}

/// A name that was written for a key, if [`key_name`] can give this name.
fn known_key(name: &str) -> Result<String, KeymapError> {
    let mut rest = name;
    for held in [CONTROL, ALT, SHIFT] {
        rest = rest.strip_prefix(held).filter(|rest| !rest.is_empty()).unwrap_or(rest);
    }
    let numbered = |digits: &str| {
        digits.parse::<u8>().is_ok_and(|number| (1..=24).contains(&number) && digits == number.to_string())
    };
    let letter = rest.chars().count() == 1 && rest.chars().all(|letter| !letter.is_control() && letter != ' ');
    let reserved = matches!(name, "Ctrl+c" | "Ctrl+z");
    let is_key =
        letter || NAMED.iter().any(|(named, _)| *named == rest) || rest.strip_prefix('F').is_some_and(numbered);
    if is_key && !reserved {
        return Ok(name.to_owned());
    }
    Err(match nearest(rest, NAMED.iter().map(|(named, _)| *named)).filter(|_| !reserved) {
        Some(near) => KeymapError::MisspeltKey { name: name.to_owned(), near },
        None => KeymapError::UnknownKey(name.to_owned()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_map_leads_a_class() {
        assert!(Keymap::built_in().len() >= 5);
        for ready in Keymap::built_in() {
            assert_eq!(ready.name.parse::<Keymap>().as_ref(), Ok(&ready.map));
            let asks = |wanted: LeadCommand| ready.map.buttons.iter().any(|button| button.press == wanted);
            let three = asks(LeadCommand::Offer) && asks(LeadCommand::Go) && asks(LeadCommand::Close);
            // A map with two buttons has undo among the offers; the map `keyboard` has no buttons.
            let two = asks(LeadCommand::OfferUndo) && asks(LeadCommand::Go);
            assert!(three || two || ready.map.buttons.is_empty(), "{}", ready.name);
        }
    }

    #[test]
    fn every_key_of_the_list_has_a_name_that_a_map_can_have() {
        for code in KEYS.iter().flat_map(|key| key.codes()) {
            let name = key_name(KeyEvent::new(*code, KeyModifiers::NONE)).unwrap();
            assert_eq!(known_key(&name), Ok(name.clone()));
        }
    }

    #[test]
    fn names_of_keys_go_both_ways() {
        let name = |code, held| key_name(KeyEvent::new(code, held));
        let none = KeyModifiers::NONE;
        assert_eq!(name(KeyCode::F(5), KeyModifiers::SHIFT).as_deref(), Some("Shift+F5"));
        assert_eq!(name(KeyCode::Char('B'), KeyModifiers::SHIFT).as_deref(), Some("B"));
        assert_eq!(name(KeyCode::Char('+'), KeyModifiers::CONTROL).as_deref(), Some("Ctrl++"));
        assert_eq!(name(KeyCode::Char('c'), KeyModifiers::CONTROL), None);
        assert_eq!(name(KeyCode::CapsLock, none), None);
        for key in ["Shift+F5", "Ctrl++", "b", ".", "é", "Space", "Ctrl+Alt+Shift+End", "F24"] {
            assert_eq!(known_key(key).as_deref(), Ok(key));
        }
        for key in ["", " ", "F0", "F25", "F05", "Ctrl+", "Ctrl+c", "Ctrl+z", "Pagedwn", "bb", "Shift+Ctrl+Wx"] {
            assert!(known_key(key).is_err(), "{key}");
        }
        assert!(known_key("PageDwn").unwrap_err().to_string().contains("PageDown"));
    }

    #[test]
    fn a_map_comes_before_the_list_and_leaves_the_rest_of_it() {
        let map = Keymap::of(&[("Right".into(), "offer".into()), ("Esc".into(), "take".into())]).unwrap();
        let typed = |code| map.press(KeyEvent::new(code, KeyModifiers::NONE));
        assert_eq!((typed(KeyCode::Right), typed(KeyCode::Esc)), (Some(LeadCommand::Offer), Some(LeadCommand::Go)));
        assert_eq!(
            (typed(KeyCode::Left), typed(KeyCode::Char('o'))),
            (Some(LeadCommand::Back), Some(LeadCommand::Offer))
        );
        let interrupt = KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL);
        assert_eq!(map.press(interrupt), Some(LeadCommand::Interrupt));
        let let_go = KeyEvent::new_with_kind(KeyCode::Right, KeyModifiers::NONE, KeyEventKind::Release);
        assert_eq!(map.press(let_go), None);
        assert_eq!((map.label(LeadCommand::Offer), map.label(LeadCommand::Close)), ("Right", "⌫"));
        // The right arrow asks for something else now; the space bar is as before.
        let explained = map.explained();
        assert!(explained.iter().any(|(keys, _)| keys == "Right") && explained.iter().any(|(keys, _)| keys == "space"));
        assert!(!explained.iter().any(|(keys, _)| keys == "→"));
    }

    #[test]
    fn what_is_wrong_with_a_map_is_said() {
        let wrong = |key: &str, word: &str| Keymap::of(&[(key.into(), word.into())]).unwrap_err().to_string();
        assert!(wrong("b", "tke").contains("did you mean take?"));
        assert!(wrong("b", "quit").contains("offer, take, close"));
        assert!(wrong("Ctrl+c", "take").contains("lead --keys"));
        let twice = [("b".to_owned(), "take".to_owned()), ("b".to_owned(), "close".to_owned())];
        assert!(Keymap::of(&twice).unwrap_err().to_string().contains("two meanings"));
        assert!("clickr".parse::<Keymap>().unwrap_err().to_string().contains("did you mean clicker?"));
    }
}
