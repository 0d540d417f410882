//! All words the machine says of its own, from one data file.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::movement::{Load, Position};
use crate::schedule::{Call, Purpose};

/// The words, parsed once. A field nobody reads is dead code to the compiler, so that no unused word stays.
///
/// A mistake in the built-in file stops the program at its first word; a test reads it, so none is released.
pub(crate) static WORDS: LazyLock<Words> = LazyLock::new(|| {
    Words::parse(include_str!("../../assets/words.ron"))
        .unwrap_or_else(|fault| unreachable!("assets/words.ron: {fault}"))
});

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Words {
    pub numbers: Numbers,
    pub lengths: Lengths,
    pub units: BTreeMap<String, String>,
    pub calls: Calls,
    pub changes: Changes,
    pub sides: SideWords,
    pub loads: BTreeMap<Load, String>,
    pub kit: BTreeMap<String, KitWords>,
    pub positions: BTreeMap<Position, PositionWords>,
    pub purposes: Purposes,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Numbers {
    /// Zero to nineteen.
    pub small: Vec<String>,
    /// Twenty to ninety.
    pub tens: Vec<String>,
    pub hundred: String,
    pub thousand: String,
    pub and: String,
    pub point: String,
}

/// One, and several.
#[derive(Debug, Deserialize)]
pub(crate) struct Counted(pub String, pub String);

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lengths {
    pub hour: Counted,
    pub minute: Counted,
    pub second: Counted,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Calls {
    pub switch: String,
    pub end: String,
    pub ten: String,
    pub halfway: String,
    pub thirty: String,
    pub fifteen: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Changes {
    pub down: String,
    pub up: String,
    pub swap: String,
    pub loaded: String,
    pub other_side: String,
    pub place: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SideWords {
    pub left: String,
    pub right: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct KitWords {
    pub one: String,
    pub many: String,
    /// Instead of taking it up.
    #[serde(default)]
    pub up: Option<String>,
    /// Instead of putting it down.
    #[serde(default)]
    pub down: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PositionWords {
    /// From a higher position.
    pub down: String,
    /// From a lower one.
    pub up: String,
    /// From one as high.
    pub over: String,
    pub stay: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Purposes {
    pub briefing: String,
    pub work: String,
    pub rest: String,
    pub round_rest: String,
    pub block_rest: String,
    pub transition: String,
}

impl Words {
    fn parse(text: &str) -> Result<Words, String> {
        let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
        let words: Words = options.from_str(text).map_err(|fault| fault.to_string())?;
        if (words.numbers.small.len(), words.numbers.tens.len()) != (20, 8) {
            return Err("numbers are zero to nineteen and twenty to ninety".to_owned());
        }
        missing(&words.loads, Load::ALL)?;
        missing(&words.positions, Position::ALL)?;
        Ok(words)
    }
}

/// Refuses a table that has no entry for one of these.
fn missing<K: Ord + std::fmt::Debug, V>(table: &BTreeMap<K, V>, keys: &[K]) -> Result<(), String> {
    match keys.iter().find(|key| !table.contains_key(key)) {
        Some(key) => Err(format!("no words for {key:?}")),
        None => Ok(()),
    }
}

/// Fills `{name}` in a wording.
pub(crate) fn fill(wording: &str, fillings: &[(&str, &str)]) -> String {
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

/// A call as it is said: `ten seconds`.
pub fn call_words(call: Call) -> &'static str {
    let calls = &WORDS.calls;
    match call {
        Call::Switch => &calls.switch,
        Call::End => &calls.end,
        Call::Ten => &calls.ten,
        Call::Halfway => &calls.halfway,
        Call::Thirty => &calls.thirty,
        Call::Fifteen => &calls.fifteen,
    }
}

/// What a span is for, as printed: `rest between rounds`.
pub fn purpose_words(purpose: Purpose) -> &'static str {
    let purposes = &WORDS.purposes;
    match purpose {
        Purpose::Briefing => &purposes.briefing,
        Purpose::Work => &purposes.work,
        Purpose::Rest => &purposes.rest,
        Purpose::RoundRest => &purposes.round_rest,
        Purpose::BlockRest => &purposes.block_rest,
        Purpose::Transition => &purposes.transition,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = include_str!("../../assets/words.ron");

    #[test]
    fn the_words_are_read_and_none_is_missing() {
        Words::parse(FILE).unwrap();
    }

    #[test]
    fn a_missing_or_unknown_word_is_refused() {
        let fault = |from: &str, to: &str| {
            assert!(FILE.contains(from));
            Words::parse(&FILE.replace(from, to)).unwrap_err()
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
