//! What is wrong with a key map.

/// Why there is no such key map.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum KeymapError {
    #[error(transparent)]
    Syntax(#[from] ron::error::SpannedError),
    /// With the most keys that a map can have.
    #[error("a key map has at most {0} keys")]
    TooMany(usize),
    #[error("{0} has two meanings")]
    TwoMeanings(String),
    #[error("there is no key `{name}`; did you mean {near}?")]
    MisspeltKey { name: String, near: &'static str },
    #[error("there is no key `{0}` that can be given a meaning; forecall lead --keys shows what a device sends")]
    UnknownKey(String),
    #[error("`{word}` is not an action of a key; did you mean {near}?")]
    MisspeltAction { word: String, near: &'static str },
    /// With all actions.
    #[error("`{word}` is not an action of a key; choose one of {}", .actions.join(", "))]
    UnknownAction { word: String, actions: Vec<&'static str> },
    #[error("there is no key map {name}; did you mean {near}?")]
    MisspeltMap { name: String, near: &'static str },
    /// With the names of all maps.
    #[error("there is no key map {name}; choose one of {}", .maps.join(", "))]
    UnknownMap { name: String, maps: Vec<&'static str> },
}
