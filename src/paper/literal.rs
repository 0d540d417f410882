//! Text without special characters for Markdown.

/// A text that Markdown shows unchanged: special characters are escaped.
pub(crate) fn escaped_markdown(text: &str) -> String {
    let mut safe = String::new();
    for letter in text.chars() {
        match letter {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '!' | '&' => safe.extend(['\\', letter]),
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}
