//! All words that the program shows or says during a class. They come from one data file, so that they can be
//! translated there, and they are grouped like the folders that use them. Texts of the command line stay beside their
//! command.

mod change;
mod cue;
mod door;
mod lead;
mod plan;
mod rehearse;
mod screen;
mod sound;
mod soundcheck;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use change::LiveChangeWords;
use cue::CueWords;
pub use cue::KitWords;
use door::DoorWords;
pub use lead::KeyWords;
use lead::LeadWords;
pub use plan::PlanKeys;
use plan::PlanWords;
use rehearse::RehearseWords;
use screen::ScreenWords;
use sound::SoundWords;
use soundcheck::SoundCheckWords;

/// The words, parsed once. The compiler reports a field that nobody reads as dead code, so no unused word remains.
///
/// A mistake in the built-in file stops the program at its first word. A test reads the file, so no release has one.
pub static WORDS: LazyLock<Words> = LazyLock::new(|| {
    Words::parse(include_str!("../../../assets/words.ron"))
        .unwrap_or_else(|fault| unreachable!("assets/words.ron: {fault}"))
});

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    pub cue: CueWords,
    pub change: LiveChangeWords,
    pub screen: ScreenWords,
    pub lead: LeadWords,
    pub rehearse: RehearseWords,
    pub sound: SoundWords,
    pub door: DoorWords,
    pub soundcheck: SoundCheckWords,
    pub plan: PlanWords,
}

/// What is wrong with the file of the words.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
enum WordsError {
    #[error(transparent)]
    Syntax(#[from] ron::error::SpannedError),
    #[error("no words for {0}")]
    Missing(String),
    #[error("numbers are zero to nineteen and twenty to ninety")]
    Numbers,
    #[error("a list of wordings has at least two")]
    OneWording,
}

/// The wording for one, and for several.
#[derive(Debug, Deserialize)]
pub struct CountedWord(pub String, pub String);

impl Words {
    fn parse(text: &str) -> Result<Words, WordsError> {
        let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let words: Words = options.from_str(text)?;
        words.cue.check_complete()?;
        Ok(words)
    }
}

/// Refuses a table that lacks an entry for one of these keys.
fn missing<K: Ord + std::fmt::Debug, V>(table: &BTreeMap<K, V>, keys: &[K]) -> Result<(), WordsError> {
    match keys.iter().find(|key| !table.contains_key(key)) {
        Some(key) => Err(WordsError::Missing(format!("{key:?}"))),
        None => Ok(()),
    }
}

/// Replaces each `{name}` in a wording with its filling. A name without a filling becomes an empty text.
pub fn fill(wording: &str, fillings: &[(&str, &str)]) -> String {
    let mut text = String::with_capacity(wording.len() + 32);
    let mut rest = wording;
    while let Some((before, after)) = rest.split_once('{') {
        text.push_str(before);
        let (name, after) = after.split_once('}').unwrap_or((after, ""));
        text.push_str(fillings.iter().find(|(key, _)| *key == name).map_or("", |(_, value)| value));
        rest = after;
    }
    text.push_str(rest);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = include_str!("../../../assets/words.ron");

    #[test]
    fn the_built_in_words_are_complete() {
        Words::parse(FILE).unwrap();
    }

    #[test]
    fn a_missing_or_unknown_word_is_refused() {
        let fault = |from: &str, to: &str| {
            assert!(FILE.contains(from));
            Words::parse(&FILE.replace(from, to)).unwrap_err().to_string()
        };
        assert!(fault("halfway: \"halfway\",", "").contains("halfway"));
        assert!(fault("halfway: ", "half_way: ").contains("half_way"));
        assert!(fault("medium: \"medium\", ", "").contains("Medium"));
        assert!(fault("kneeling: (", "crouching: (").contains("crouching"));
    }

    #[test]
    fn a_wording_is_filled_in() {
        assert_eq!(fill("{a} and {b}, {a}", &[("a", "one"), ("b", "two")]), "one and two, one");
        assert_eq!(fill("{unknown} {open", &[]), " ");
    }
}
