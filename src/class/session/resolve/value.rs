//! Single values: texts, lengths, tempos, numbers, words.

use std::sync::Arc;

use super::Resolver;
use crate::session::bounds;
use crate::session::fault::{Code, Fault, Here};
use crate::session::fields::Shape;
use crate::session::shown::shown;
use crate::session::written::Text;
use crate::time::{LengthFault, Tempo, TempoFault, Tick, parse_length};

impl Resolver<'_> {
    /// A text of one line.
    pub fn text(&mut self, here: Here<'_>, text: &Text<'_>, most: usize) -> String {
        self.checked(here, text, most, false)
    }

    /// A text that may have several lines.
    pub fn lines(&mut self, here: Here<'_>, text: &Text<'_>, most: usize) -> String {
        self.checked(here, text, most, true)
    }

    fn checked(&mut self, here: Here<'_>, text: &Text<'_>, most: usize, lines: bool) -> String {
        let text = text.0.as_ref();
        if text.trim().is_empty() {
            let fault = Fault::new(Code::EmptyText, here.value(), "there is nothing in this text");
            self.say(fault.help("write something, or leave the field out where it is not needed"));
        } else if let Some(bad) = text.chars().find(|&c| obeyed(c) && !(lines && c == '\n')) {
            let what =
                if bad == '\n' { "a line break".to_owned() } else { format!("the character U+{:04X}", bad as u32) };
            let fault = Fault::new(Code::ControlCharacter, here.value(), format!("{what} has no place in this text"));
            self.say(fault.help("take it out: only what can be printed in one line"));
        } else if text.len() > most && text.chars().count() > most {
            let message = format!("{} letters are too many: at most {most} fit here", text.chars().count());
            self.say(Fault::new(Code::TextTooLong, here.value(), message).help(shortened(text, most)));
        }
        text.to_owned()
    }

    /// Files and folders of music.
    pub fn music(&mut self, here: Here<'_>, paths: &[Text<'_>]) -> Arc<[String]> {
        self.short_list(here, paths.len());
        let paths = paths.iter().take(bounds::LIST).enumerate();
        paths.map(|(index, path)| self.text(here.item(index), path, bounds::PATH)).collect()
    }

    /// A length of time, nothing included.
    pub fn length(&mut self, here: Here<'_>, text: &Text<'_>) -> Tick {
        parse_length(&text.0).unwrap_or_else(|wrong| {
            let message = format!("\"{}\": {wrong}", shown(&text.0));
            let help = match wrong {
                LengthFault::Shape => as_length(&text.0),
                LengthFault::Negative => "write a length such as \"45s\"".to_owned(),
                LengthFault::TooLong => "a session lasts a day at most".to_owned(),
                LengthFault::TooFine => "write whole thousandths of a second, such as \"1.250s\"".to_owned(),
            };
            self.say(Fault::new(Code::BadLength, here.value(), message).help(help));
            // What stands for it is long enough for nothing else to be said of it.
            Tick::MINUTE
        })
    }

    /// A length of time that is not nothing.
    pub fn some_length(&mut self, here: Here<'_>, text: &Text<'_>) -> Tick {
        let length = self.length(here, text);
        if length > Tick::ZERO {
            return length;
        }
        let fault = Fault::new(Code::ZeroLength, here.value(), "this length is nothing");
        self.say(fault.help("write a length such as \"45s\""));
        Tick::MINUTE
    }

    /// A tempo; None where it is none, which has then been said.
    pub fn tempo(&mut self, here: Here<'_>, text: &Text<'_>) -> Option<Tempo> {
        let wrong = match text.0.parse::<Tempo>() {
            Ok(tempo) => return Some(tempo),
            Err(wrong) => wrong,
        };
        let fault = Fault::new(Code::BadTempo, here.value(), format!("\"{}\": {wrong}", shown(&text.0)));
        let help = match wrong {
            TempoFault::Shape => as_tempo(&text.0),
            TempoFault::TooLong => Some("write the hold as work without a tempo, or shorten the count".to_owned()),
            TempoFault::Empty => Some("leave the tempo out where there are no repetitions".to_owned()),
        };
        self.say(Fault { help, ..fault });
        None
    }

    /// A whole number in the range of a [`Shape::Count`].
    pub fn count<N: TryFrom<i64> + Default>(&mut self, here: Here<'_>, number: i64, shape: &Shape) -> N {
        let Shape::Count(least, most) = *shape else { return N::default() };
        if number < least || number > most {
            let message = if number < least {
                format!("{number} is too few: at least {least}")
            } else {
                format!("{number} is too many: at most {most}")
            };
            self.say(Fault::new(Code::NumberRange, here.value(), message).help(format!("write {}", shape.what())));
            // What stands for it is small enough for nothing else to be said of it.
            return N::try_from(least).unwrap_or_default();
        }
        N::try_from(number).unwrap_or_default()
    }

    /// Words of a set, each once.
    pub fn words<W: Copy + PartialEq + ToString>(&mut self, here: Here<'_>, words: &[W]) -> Vec<W> {
        let mut kept: Vec<W> = Vec::new();
        for (index, word) in words.iter().enumerate() {
            if kept.contains(word) {
                let at = here.item(index);
                let fault =
                    Fault::warning(Code::Repeated, at.value(), format!("{} is in the list already", word.to_string()));
                self.say(fault.help("take it out"));
            } else {
                kept.push(*word);
            }
        }
        kept
    }

    /// Says so where a list holds more than is read.
    pub fn short_list(&mut self, here: Here<'_>, count: usize) {
        if count > bounds::LIST {
            let message = format!("{count} in this list, more than the {} that are read", bounds::LIST);
            self.say(Fault::new(Code::ListTooLong, here.value(), message));
        }
    }
}

/// Whether a terminal or a printer would obey a character rather than print it.
fn obeyed(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Whole words of a text that fit.
fn shortened(text: &str, most: usize) -> String {
    let cut: String = text.chars().take(most.min(40)).collect();
    format!("write less, such as \"{}\"", cut.rsplit_once(' ').map_or(cut.as_str(), |(words, _)| words))
}

/// How a wrong length could be written.
fn as_length(text: &str) -> String {
    let text = text.trim();
    match text.split_once(['-', ' ']).map_or(text, |(first, _)| first).parse::<u32>() {
        Ok(number) if text.contains("min") => format!("write \"{number}m\""),
        Ok(number) => format!("write \"{number}s\" for seconds, \"{number}m\" for minutes"),
        Err(_) => "write a length such as \"45s\", \"1m30s\" or \"1:30\"".to_owned(),
    }
}

/// How a wrong tempo could be written, where it has four counts.
fn as_tempo(text: &str) -> Option<String> {
    let counts: Vec<String> = match text.trim() {
        digits if digits.len() == 4 && digits.bytes().all(|b| b.is_ascii_digit()) => {
            digits.chars().map(String::from).collect()
        }
        parts => {
            parts.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty()).map(str::to_owned).collect()
        }
    };
    let written = counts.join("-");
    written.parse::<Tempo>().is_ok().then(|| format!("write \"{written}\""))
}
