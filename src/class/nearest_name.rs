//! Finds the known name that is nearest to a misspelt one.

/// The longest name that is looked up, in characters. A longer one has no nearest name.
const LONGEST: usize = 80;

/// The name with the fewest wrong, swapped, missing or extra letters. The limit is a third of the letters of `wrong`,
/// but at least one letter. Of equally near names, the first. None when no name is within the limit.
pub fn nearest<'a>(wrong: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_of(wrong, names.into_iter().map(|name| (name, name))).map(|(_, name)| name)
}

/// As [`nearest`], for names that each have a value. Returns the number of mistakes and the value of the nearest name.
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
