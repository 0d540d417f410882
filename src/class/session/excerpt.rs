//! A wrong text, as a message shows it.

/// The first 40 characters of a wrong text, for a message. Control characters are escaped, so that a terminal does not
/// act on them.
pub(super) fn excerpt(text: &str) -> String {
    const MOST: usize = 40;
    let mut shown: String = text.chars().take(MOST).flat_map(char::escape_debug).collect();
    // Quotes need no escape here and are easier to read without one.
    shown = shown.replace("\\\"", "\"").replace("\\'", "'");
    if text.chars().count() > MOST { shown + "…" } else { shown }
}
