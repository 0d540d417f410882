//! A wrong text, as a message shows it.

/// As much of a wrong text as a message shows, with nothing in it that a terminal would obey.
pub fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let mut shown: String = text.chars().take(MOST).flat_map(char::escape_debug).collect();
    // Quotes need no escape here, and read better without.
    shown = shown.replace("\\\"", "\"").replace("\\'", "'");
    if text.chars().count() > MOST { shown + "…" } else { shown }
}
