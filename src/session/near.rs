//! The nearest right name for a misspelt one.

/// The name with the fewest letters wrong, swapped, missing or too many: at most a third of them, at least one.
/// The first of several that are as near.
pub fn nearest<'a>(wrong: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let letters = wrong.chars().count();
    if letters > super::bounds::NAME {
        return None;
    }
    let (wrong, limit) = (wrong.to_lowercase(), (letters / 3).max(1));
    names
        .into_iter()
        .filter(|name| name.chars().count().abs_diff(letters) <= limit)
        .map(|name| (strsim::damerau_levenshtein(&wrong, &name.to_lowercase()), name))
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// As much of a wrong text as a message shows, with nothing in it that a terminal would obey.
pub fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let mut shown: String = text.chars().take(MOST).flat_map(char::escape_debug).collect();
    // Quotes need no escape here, and read better without.
    shown = shown.replace("\\\"", "\"").replace("\\'", "'");
    if text.chars().count() > MOST { shown + "…" } else { shown }
}
