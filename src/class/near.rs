//! The nearest right name for a misspelt one.

/// The most letters of a name that is looked for.
const LONGEST: usize = 80;

/// The name with the fewest letters wrong, swapped, missing or too many: at most a third of them, at least one.
/// The first of several that are as near.
pub fn nearest<'a>(wrong: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_of(wrong, names.into_iter().map(|name| (name, name))).map(|(_, name)| name)
}

/// The same with what each name is of, and how many letters are wrong.
pub fn nearest_of<'a, T>(wrong: &str, names: impl IntoIterator<Item = (&'a str, T)>) -> Option<(usize, T)> {
    let letters = wrong.chars().count();
    if letters > LONGEST {
        return None;
    }
    let (wrong, limit) = (wrong.to_lowercase(), (letters / 3).max(1));
    names
        .into_iter()
        .filter(|(name, _)| name.chars().count().abs_diff(letters) <= limit)
        .map(|(name, of)| (strsim::damerau_levenshtein(&wrong, &name.to_lowercase()), of))
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
}
