//! Names that session files had before, for faults that name the new ones.

/// Each former name of a field or a rule, with its name now.
const FORMER: [(&str, &str); 4] = [
    ("mind", "look_after"),
    ("music_in_hold", "music_in_pause"),
    ("minded_region", "no_alternative"),
    ("minded_run", "look_after_run"),
];

/// The name that a former name has now. None for any other name.
pub fn name_now(former: &str) -> Option<&'static str> {
    FORMER.iter().find(|(name, _)| *name == former).map(|(_, now)| *now)
}
