//! How long a text takes to say, estimated from the text alone.

use super::numbers::number_words;
use crate::time::Tick;
use crate::words::WORDS;

/// How fast a voice speaks, in ticks. The figures are least-squares fits over all texts of the demo classes, without
/// the silence before and after.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpeechPace {
    /// The time that every text takes besides its letters.
    pub once: u64,
    /// The time of one letter. Numbers and units are spelled out first.
    pub letter: u64,
    /// The pause at a comma, a semicolon, a colon or a dash.
    pub minor: u64,
    /// The pause at the end of a sentence that another sentence follows.
    pub major: u64,
}

impl SpeechPace {
    /// The built-in voice (Pico, British English).
    pub const BUILT_IN: SpeechPace = SpeechPace { once: 261, letter: 57, minor: 527, major: 729 };
    /// flite, voice slt.
    pub const FLITE: SpeechPace = SpeechPace { once: 233, letter: 60, minor: 303, major: 559 };
    /// espeak-ng, voice en-gb.
    pub const ESPEAK: SpeechPace = SpeechPace { once: 90, letter: 60, minor: 288, major: 358 };

    /// An estimate of how long a text takes to say. Zero for a text without letters.
    pub fn estimate(&self, text: &str) -> Tick {
        let text = spelled_out(text);
        let text = text.trim_end_matches(|c: char| !c.is_alphanumeric());
        let letters = text.chars().filter(|&c| c.is_alphabetic() || c == '\'').count() as u64;
        if letters == 0 {
            return Tick::ZERO;
        }
        let mut pauses = 0;
        let mut chars = text.chars().peekable();
        while let Some(c) = chars.next() {
            let spaced = chars.peek().is_some_and(|next| next.is_whitespace());
            pauses += match c {
                ',' | ';' => self.minor,
                ':' | '-' | '–' | '—' if spaced => self.minor,
                '.' | '!' | '?' if spaced => self.major,
                _ => 0,
            };
        }
        Tick(self.once + self.letter * letters + pauses)
    }

    /// The time to keep free for a text that the voice has not said yet: the estimate plus 19 %.
    pub fn reserve(&self, text: &str) -> Tick {
        Tick(self.estimate(text).0 * 119 / 100)
    }
}

/// A text with its numbers and the units after them written out as words.
pub fn spelled_out(text: &str) -> String {
    let mut spelled = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(from) = rest.find(|c: char| c.is_ascii_digit()) {
        spelled.push_str(&rest[..from]);
        rest = &rest[from..];
        let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
        // A number of more than six digits is read digit by digit.
        match rest[..digits].parse::<u64>().ok().filter(|&number| digits <= 6 && number < 1_000_000) {
            Some(number) => spelled.push_str(&number_words(number)),
            None => spelled.push_str(&by_digit(&rest[..digits])),
        }
        rest = &rest[digits..];
        if let Some(after) = rest.strip_prefix('.').filter(|after| after.starts_with(|c: char| c.is_ascii_digit())) {
            let places = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
            spelled = format!("{spelled} {} {}", WORDS.cue.numbers.point, by_digit(&after[..places]));
            rest = &after[places..];
        }
        let unit = rest.trim_start_matches(' ');
        let ends = unit.find(|c: char| !c.is_alphabetic() && !"%°×".contains(c)).unwrap_or(unit.len());
        if let Some(words) = WORDS.cue.units.get(&unit[..ends]) {
            spelled = format!("{spelled} {words}");
            rest = &unit[ends..];
        }
    }
    spelled + rest
}

fn by_digit(digits: &str) -> String {
    let words: Vec<String> = digits.bytes().map(|digit| number_words(u64::from(digit - b'0'))).collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_units_are_spelled_out() {
        for (written, spoken) in [
            ("hold 3 s, then 12kg", "hold three seconds, then twelve kilograms"),
            ("tempo 2-0-2-0", "tempo two-zero-two-zero"),
            ("1.25 m", "one point two five metres"),
            ("90° at the knee", "ninety degrees at the knee"),
            ("code 0123456789 ends", "code zero one two three four five six seven eight nine ends"),
            ("3 sisters", "three sisters"),
            ("no number", "no number"),
        ] {
            assert_eq!(spelled_out(written), spoken);
        }
    }

    /// Computed by hand from the fitted figures.
    #[test]
    fn the_length_of_a_text_is_the_sum_of_its_letters_and_pauses() {
        let pace = SpeechPace::BUILT_IN;
        assert_eq!(pace.estimate("ten seconds"), Tick(261 + 57 * 10));
        assert_eq!(pace.estimate("bell down, band up."), Tick(261 + 57 * 14 + 527));
        assert_eq!(pace.estimate("That's it. Rest"), Tick(261 + 57 * 12 + 729));
        assert_eq!(pace.estimate("5 - 5"), Tick(261 + 57 * 8 + 527));
        assert_eq!(pace.estimate("side-lying at 1:30"), Tick(261 + 57 * (9 + 2 + 3 + 6)));
        assert_eq!(pace.estimate(" … "), Tick::ZERO);
        assert_eq!(pace.reserve("ten seconds"), Tick(831 * 119 / 100));
    }
}
