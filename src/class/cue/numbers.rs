//! Numbers and lengths of time as words.

use crate::time::Tick;
use crate::words::{CountedWord, WORDS};

/// A whole number in words: `seventy-five`. A number above 999,999 stays in digits.
pub fn number_words(number: u64) -> String {
    let words = &WORDS.cue.numbers;
    match number {
        0..20 => words.small[number as usize].clone(),
        20..100 => {
            let ten = &words.tens[number as usize / 10 - 2];
            if number.is_multiple_of(10) { ten.clone() } else { format!("{ten}-{}", number_words(number % 10)) }
        }
        100..1000 => {
            let hundred = format!("{} {}", number_words(number / 100), words.hundred);
            match number % 100 {
                0 => hundred,
                rest => format!("{hundred} {} {}", words.and, number_words(rest)),
            }
        }
        1000..1_000_000 => {
            let thousand = format!("{} {}", number_words(number / 1000), words.thousand);
            match number % 1000 {
                0 => thousand,
                rest @ 1..100 => format!("{thousand} {} {}", words.and, number_words(rest)),
                rest => format!("{thousand} {}", number_words(rest)),
            }
        }
        _ => number.to_string(),
    }
}

/// A length as a coach says it, to the nearest second: `fifty seconds`, `ninety seconds`, `two minutes`.
pub fn length_words(length: Tick) -> String {
    let seconds = (length.0 + 500) / 1000;
    let lengths = &WORDS.cue.lengths;
    // Up to 90 s is said in seconds, except one minute.
    let parts = match seconds {
        60 => [(0, &lengths.hour), (1, &lengths.minute), (0, &lengths.second)],
        0..=90 => [(0, &lengths.hour), (0, &lengths.minute), (seconds, &lengths.second)],
        _ => [(seconds / 3600, &lengths.hour), (seconds / 60 % 60, &lengths.minute), (seconds % 60, &lengths.second)],
    };
    let said: Vec<String> =
        parts.iter().filter(|(count, _)| *count > 0).map(|(count, unit)| number_and_unit(*count, unit)).collect();
    if said.is_empty() { number_and_unit(0, &lengths.second) } else { said.join(" ") }
}

pub(super) fn number_and_unit(count: u64, unit: &CountedWord) -> String {
    let CountedWord(one, many) = unit;
    format!("{} {}", number_words(count), if count == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_spelled_out() {
        // British usage, common practice: a hyphen in compounds, "and" after the hundreds.
        for (number, words) in [
            (0, "zero"),
            (13, "thirteen"),
            (40, "forty"),
            (75, "seventy-five"),
            (100, "one hundred"),
            (101, "one hundred and one"),
            (999, "nine hundred and ninety-nine"),
            (1000, "one thousand"),
            (1007, "one thousand and seven"),
            (12_345, "twelve thousand three hundred and forty-five"),
            (1_000_000, "1000000"),
        ] {
            assert_eq!(number_words(number), words);
        }
    }

    #[test]
    fn lengths_are_said_as_a_coach_says_them() {
        for (millis, words) in [
            (0, "zero seconds"),
            (1_000, "one second"),
            (12_400, "twelve seconds"),
            (50_000, "fifty seconds"),
            (60_000, "one minute"),
            (75_000, "seventy-five seconds"),
            (90_000, "ninety seconds"),
            (105_000, "one minute forty-five seconds"),
            (120_000, "two minutes"),
            (3_600_000, "one hour"),
            (5_400_000, "one hour thirty minutes"),
        ] {
            assert_eq!(length_words(Tick(millis)), words);
        }
    }
}
