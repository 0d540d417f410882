//! Single values: texts, lengths, tempos, numbers, words.

use std::sync::Arc;

use super::SessionResolver;
use crate::session::excerpt::excerpt;
use crate::session::fault::{Fault, FaultCode, LazyPath};
use crate::session::fields::ValueShape;
use crate::session::limits;
use crate::session::ron_structs::TextRon;
use crate::time::{LengthFault, Tempo, TempoFault, Tick, parse_length};

impl SessionResolver<'_> {
    /// A text of one line.
    pub(super) fn text(&mut self, here: LazyPath<'_>, text: &TextRon<'_>, most: usize) -> String {
        self.checked(here, text, most, false)
    }

    /// A text that may have several lines.
    pub(super) fn lines(&mut self, here: LazyPath<'_>, text: &TextRon<'_>, most: usize) -> String {
        self.checked(here, text, most, true)
    }

    fn checked(&mut self, here: LazyPath<'_>, text: &TextRon<'_>, most: usize, lines: bool) -> String {
        let text = text.0.as_ref();
        if text.trim().is_empty() {
            let fault = Fault::new(FaultCode::EmptyText, here.value(), "this text is empty");
            self.say(fault.help("write something, or remove the field if it is optional"));
        } else if let Some(bad) = text.chars().find(|&c| is_control(c) && !(lines && c == '\n')) {
            let what =
                if bad == '\n' { "a line break".to_owned() } else { format!("the character U+{:04X}", bad as u32) };
            let fault =
                Fault::new(FaultCode::ControlCharacter, here.value(), format!("{what} is not allowed in this text"));
            self.say(fault.help("remove it: only printable characters are allowed here"));
        } else if text.len() > most && text.chars().count() > most {
            let message = format!("{} characters are too many: at most {most} fit here", text.chars().count());
            self.say(Fault::new(FaultCode::TextTooLong, here.value(), message).help(shortened(text, most)));
        }
        text.to_owned()
    }

    /// Files and folders of music.
    pub(super) fn music(&mut self, here: LazyPath<'_>, paths: &[TextRon<'_>]) -> Arc<[String]> {
        self.short_list(here, paths.len());
        let paths = paths.iter().take(limits::LIST).enumerate();
        paths.map(|(index, path)| self.text(here.item(index), path, limits::PATH)).collect()
    }

    /// A length of time, zero or more.
    pub(super) fn length(&mut self, here: LazyPath<'_>, text: &TextRon<'_>) -> Tick {
        parse_length(&text.0).unwrap_or_else(|wrong| {
            let message = format!("\"{}\" is {wrong}", excerpt(&text.0));
            let help = match wrong {
                LengthFault::Shape => length_suggestion(&text.0),
                LengthFault::Negative => "write a length such as \"45s\"".to_owned(),
                LengthFault::TooLong => "write at most \"24h\"".to_owned(),
                LengthFault::TooFine => "write at most three decimal places, such as \"1.250s\"".to_owned(),
            };
            self.say(Fault::new(FaultCode::BadLength, here.value(), message).help(help));
            // One minute is long enough to cause no further faults.
            Tick::MINUTE
        })
    }

    /// A length of time above zero.
    pub(super) fn some_length(&mut self, here: LazyPath<'_>, text: &TextRon<'_>) -> Tick {
        let length = self.length(here, text);
        if length > Tick::ZERO {
            return length;
        }
        let fault = Fault::new(FaultCode::ZeroLength, here.value(), "this length is zero");
        self.say(fault.help("write a length such as \"45s\""));
        Tick::MINUTE
    }

    /// A tempo. None when the text is not one, which is then already reported.
    pub(super) fn tempo(&mut self, here: LazyPath<'_>, text: &TextRon<'_>) -> Option<Tempo> {
        let wrong = match text.0.parse::<Tempo>() {
            Ok(tempo) => return Some(tempo),
            Err(wrong) => wrong,
        };
        let fault = Fault::new(FaultCode::BadTempo, here.value(), format!("\"{}\": {wrong}", excerpt(&text.0)));
        let help = match wrong {
            TempoFault::Shape => tempo_suggestion(&text.0),
            TempoFault::TooLong => Some("shorten the count, or for a long hold write work without a tempo".to_owned()),
            TempoFault::Empty => Some("remove the tempo if there are no repetitions".to_owned()),
        };
        self.say(Fault { help, ..fault });
        None
    }

    /// A whole number in the range of a [`ValueShape::Count`].
    pub(super) fn count<N: TryFrom<i64> + Default>(
        &mut self,
        here: LazyPath<'_>,
        number: i64,
        shape: &ValueShape,
    ) -> N {
        let ValueShape::Count(least, most) = *shape else { return N::default() };
        if number < least || number > most {
            let message = if number < least {
                format!("{number} is too low: at least {least}")
            } else {
                format!("{number} is too high: at most {most}")
            };
            self.say(Fault::new(FaultCode::NumberRange, here.value(), message).help(format!("write {}", shape.what())));
            // The least value is small enough to cause no further faults.
            return N::try_from(least).unwrap_or_default();
        }
        N::try_from(number).unwrap_or_default()
    }

    /// Words of a set, each once. Warns about a repeated word.
    pub(super) fn words<W: Copy + PartialEq + ToString>(&mut self, here: LazyPath<'_>, words: &[W]) -> Vec<W> {
        let mut kept: Vec<W> = Vec::new();
        for (index, word) in words.iter().enumerate() {
            if kept.contains(word) {
                let at = here.item(index);
                let fault = Fault::warning(
                    FaultCode::Repeated,
                    at.value(),
                    format!("{} is already in the list", word.to_string()),
                );
                self.say(fault.help("remove it"));
            } else {
                kept.push(*word);
            }
        }
        kept
    }

    /// Reports a list with too many entries.
    pub(super) fn short_list(&mut self, here: LazyPath<'_>, count: usize) {
        if count > limits::LIST {
            let message = format!("{count} entries are too many: at most {}", limits::LIST);
            self.say(Fault::new(FaultCode::ListTooLong, here.value(), message));
        }
    }
}

/// Whether a terminal or a printer would act on a character and not print it.
fn is_control(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// A hint with the first words of a text that is too long.
fn shortened(text: &str, most: usize) -> String {
    let cut: String = text.chars().take(most.min(40)).collect();
    format!("write less, such as \"{}\"", cut.rsplit_once(' ').map_or(cut.as_str(), |(words, _)| words))
}

/// A hint for writing a wrong length correctly.
fn length_suggestion(text: &str) -> String {
    let text = text.trim();
    match text.split_once(['-', ' ']).map_or(text, |(first, _)| first).parse::<u32>() {
        Ok(number) if text.contains("min") => format!("write \"{number}m\""),
        Ok(number) => format!("write \"{number}s\" for seconds, \"{number}m\" for minutes"),
        Err(_) => "write a length such as \"45s\", \"1m30s\" or \"1:30\"".to_owned(),
    }
}

/// A hint for writing a wrong tempo correctly. None when it does not have four counts.
fn tempo_suggestion(text: &str) -> Option<String> {
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
