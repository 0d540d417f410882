//! The settings on a line of a list: `50s, rest 10s, 2 rounds`, `12 reps`, `each side`.

use crate::movement::Sides;
use crate::session::BlockKind;
use crate::time::{Tick, parse_length};

/// How the stations of a listed block follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ListedFormat {
    #[default]
    Circuit,
    Sets,
    /// Every minute on the minute.
    Emom,
    /// As many rounds as possible in this time.
    Amrap(Tick),
    /// Work and rest, this many times.
    Intervals(u32),
    Rotation,
}

/// The settings of a line. Each may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct LineSettings {
    pub(super) kind: Option<BlockKind>,
    pub(super) form: Option<ListedFormat>,
    pub(super) work: Option<Tick>,
    pub(super) reps: Option<u32>,
    pub(super) rest: Option<Tick>,
    pub(super) rest_after: Option<Tick>,
    pub(super) rounds: Option<u32>,
    pub(super) sides: Option<Sides>,
}

/// The kind of block that a name means. None for other names.
pub(super) fn kind_named(name: &str) -> Option<BlockKind> {
    let letters: String = name.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect();
    match letters.as_str() {
        "warmup" | "warm" | "warming" | "raise" => Some(BlockKind::WarmUp),
        "cooldown" | "cool" | "cooling" | "stretch" | "stretches" => Some(BlockKind::CoolDown),
        "main" => Some(BlockKind::Main),
        _ => None,
    }
}

impl LineSettings {
    /// Reads a text in which every part is a setting. None when a part is not, or when there are none.
    pub(super) fn all(text: &str) -> Option<LineSettings> {
        let mut settings = LineSettings::default();
        let mut some = false;
        for part in text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
            settings.take(part)?;
            some = true;
        }
        some.then_some(settings)
    }

    /// Whether one of the settings is one that only a block can have: a single station has no rest, rounds or form.
    pub(super) fn are_a_block_s(&self) -> bool {
        self.form.is_some() || self.rest.is_some() || self.rest_after.is_some() || self.rounds.is_some()
    }

    /// Splits a line into its name and its settings. Settings follow a comma, or begin or end the name.
    pub(super) fn apart(line: &str) -> (&str, LineSettings) {
        let mut settings = LineSettings::default();
        let mut name = line.trim();
        while let Some((before, part)) = name.rsplit_once([',', ';'])
            && settings.take_own(part.trim()).is_some()
        {
            name = before.trim();
        }
        // Repeatedly take the longest end that is a setting: `split squat 45 s`, `push-up x 12`, `row 45s each side`.
        while let Some(at) = own_end(name, &settings) {
            settings.take_own(name[at..].trim());
            name = name[..at].trim();
        }
        // `row 10 each side`: a bare number is a number of repetitions only before sides.
        if let Some((before, count)) = name.rsplit_once(' ')
            && settings.sides.is_some()
            && settings.reps.is_none()
            && settings.work.is_none()
            && let Some(reps) = self::count(count)
        {
            settings.reps = Some(reps);
            name = before.trim();
        }
        // `12 push-ups`, `12 x push-up`.
        if let Some((count, rest)) = name.split_once(' ')
            && settings.reps.is_none()
            && let Ok(reps) = count.trim_end_matches(['x', 'X']).parse::<u32>()
            && (1..=MOST).contains(&reps)
        {
            settings.reps = Some(reps);
            name = rest.trim_start_matches(['x', 'X', '\u{d7}']).trim();
        }
        (name, settings)
    }

    /// Takes a setting that a single station may have. None when `part` is something else.
    fn take_own(&mut self, part: &str) -> Option<()> {
        let mut taken = LineSettings::default();
        taken.take(part)?;
        let own = LineSettings { work: taken.work, reps: taken.reps, sides: taken.sides, ..LineSettings::default() };
        if own != taken {
            return None;
        }
        self.work = self.work.or(own.work);
        self.reps = self.reps.or(own.reps);
        self.sides = self.sides.or(own.sides);
        Some(())
    }

    /// Takes one setting. None when `part` is not a setting.
    fn take(&mut self, part: &str) -> Option<()> {
        let lower = part.to_lowercase().replace('\u{d7}', "x");
        let words: Vec<&str> = lower.split_whitespace().filter(|word| *word != "of" && *word != "for").collect();
        let text = words.join(" ");
        if let Some(kind) = kind_named(&text) {
            self.kind = Some(kind);
        } else if let Some(sides) = sides(&text) {
            self.sides = Some(sides);
        } else if let Some((count, work, rest)) = work_and_rest(&text) {
            (self.work, self.rest) = (Some(work), Some(rest));
            if let Some(count) = count {
                self.form = Some(ListedFormat::Intervals(count));
            }
        } else if let Some(rest) = beside(&text, &["rest after", "break", "then"]).and_then(length) {
            self.rest_after = Some(rest);
        } else if let Some(rest) = beside(&text, &["rest", "off", "pause"]).and_then(length) {
            self.rest = Some(rest);
        } else if let Some(time) = beside(&text, &["amrap"]).and_then(length) {
            self.form = Some(ListedFormat::Amrap(time));
        } else if let Some(work) = beside(&text, &["work", "on", "each"]).and_then(length) {
            self.work = Some(work);
        } else if let Some(rounds) = beside(&text, &["rounds", "round", "times"]).and_then(count) {
            self.rounds = Some(rounds);
        } else if let Some(sets) = beside(&text, &["sets", "set"]).and_then(count) {
            (self.rounds, self.form) = (Some(sets), Some(ListedFormat::Sets));
        } else if let Some(reps) = beside(&text, &["reps", "rep", "repetitions", "x"]).and_then(count) {
            self.reps = Some(reps);
        } else if text == "emom" {
            self.form = Some(ListedFormat::Emom);
        } else if text == "rotation" || text == "stations" {
            self.form = Some(ListedFormat::Rotation);
        } else if text == "circuit" {
            self.form = Some(ListedFormat::Circuit);
        } else {
            self.work = Some(length(&text)?);
        }
        Some(())
    }
}

/// The place where the longest end of a name begins that is a setting of a single station.
fn own_end(name: &str, settings: &LineSettings) -> Option<usize> {
    name.match_indices(' ').map(|(at, _)| at).find(|&at| settings.clone().take_own(name[at..].trim()).is_some())
}

/// The maximum number of rounds or repetitions in a list.
const MOST: u32 = 200;

/// The text before or after one of these words: `rest 10s`, `10s rest`, `2rounds`. None when it has no digit.
fn beside<'a>(text: &'a str, words: &[&str]) -> Option<&'a str> {
    words.iter().find_map(|word| {
        let rest = text.strip_prefix(word).or_else(|| text.strip_suffix(word))?.trim();
        (!rest.is_empty() && rest.chars().any(|c| c.is_ascii_digit())).then_some(rest)
    })
}

fn count(text: &str) -> Option<u32> {
    text.trim_matches(['x', ' ']).parse().ok().filter(|count| (1..=MOST).contains(count))
}

/// A length above zero, in any usual form: `45s`, `45 sec`, `1 min`, `1:30`.
fn length(text: &str) -> Option<Tick> {
    parse_length(text).ok().filter(|length| *length > Tick::ZERO)
}

/// `20/10` is work and rest in seconds; `8 x 20/10` is that 8 times.
fn work_and_rest(text: &str) -> Option<(Option<u32>, Tick, Tick)> {
    let (many, pair) = match text.split_once('x') {
        Some((many, pair)) => (Some(count(many)?), pair),
        None => (None, text),
    };
    let (work, rest) = pair.split_once('/')?;
    let seconds = |text: &str| -> Option<Tick> {
        let seconds: u64 = text.trim().trim_end_matches('s').parse().ok()?;
        (1..=3600).contains(&seconds).then(|| Tick::seconds(seconds))
    };
    Some((many, seconds(work)?, seconds(rest)?))
}

fn sides(text: &str) -> Option<Sides> {
    match text {
        "each side" | "per side" | "a side" | "both sides" | "left and right" | "left then right" | "l/r"
        | "one side" | "left, then right" => Some(Sides::LeftThenRight),
        "alternating" | "alternate" | "alternate sides" | "by turns" => Some(Sides::Alternating),
        _ => None,
    }
}
