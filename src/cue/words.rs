//! All words the machine says of its own, from one data file.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::movement::{Load, Position, Region};
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
    pub cues: Sentences,
    pub changes: Changes,
    pub sides: SideWords,
    pub loads: BTreeMap<Load, String>,
    pub kit: BTreeMap<String, KitWords>,
    pub positions: BTreeMap<Position, PositionWords>,
    pub regions: BTreeMap<Region, String>,
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

/// Whole sentences. Lists are wordings of the same.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sentences {
    pub first: String,
    pub next: Vec<String>,
    pub next_terse: String,
    pub next_block: Vec<String>,
    pub next_round: Vec<String>,
    pub last_round: Vec<String>,
    pub again: Vec<String>,
    pub again_terse: String,
    pub rotation: String,
    pub rotate: Vec<String>,
    pub rotate_terse: Vec<String>,
    pub own_pace: String,
    pub own_pace_terse: String,
    pub list_end: String,
    pub list_or: String,
    pub reps: Counted,
    pub a_side: String,
    pub side: Vec<String>,
    pub side_terse: Vec<String>,
    pub block_end: Vec<String>,
    pub round_end: Vec<String>,
    pub set_end: Vec<String>,
    pub rest_terse: String,
    pub class_end: Vec<String>,
    pub easier: String,
    pub harder: String,
    pub tiers: String,
    pub mind: String,
    pub instead: String,
    pub leave_out: String,
    pub watch: Vec<String>,
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
    pub first_side: String,
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
        missing(&words.regions, Region::ALL)?;
        let cues = &words.cues;
        let lists = [
            &cues.next,
            &cues.next_block,
            &cues.next_round,
            &cues.last_round,
            &cues.again,
            &cues.rotate,
            &cues.rotate_terse,
            &cues.side,
            &cues.side_terse,
            &cues.block_end,
            &cues.round_end,
            &cues.set_end,
            &cues.class_end,
            &cues.watch,
        ];
        if lists.iter().any(|list| list.len() < 2) {
            return Err("a list of wordings has at least two".to_owned());
        }
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
