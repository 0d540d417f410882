//! Where the coach's own files are kept, by the custom of the system (`XDG_CONFIG_HOME` where that is set).

use std::path::PathBuf;

use etcetera::{BaseStrategy, choose_base_strategy};

/// The folder for what can be made again, such as speech; None where there is no home.
pub fn cache() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join("forecall"))
}

/// The folder for what the program keeps of the coach's classes; None where there is no home.
pub fn data() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.data_dir().join("forecall"))
}

/// The folder for what the coach sets up; None where there is no home.
pub fn config() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.config_dir().join("forecall"))
}
