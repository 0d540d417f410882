//! The folders for the coach's own files, by the convention of the system (`XDG_CONFIG_HOME` if it is set).

use std::path::PathBuf;

use etcetera::{BaseStrategy, choose_base_strategy};

/// The folder for files that can be made again, such as speech; None if there is no home folder.
pub(crate) fn cache() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.cache_dir().join("forecall"))
}

/// The folder for the records of classes; None if there is no home folder.
pub(crate) fn data() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.data_dir().join("forecall"))
}

/// The folder for the coach's settings; None if there is no home folder.
pub(crate) fn config() -> Option<PathBuf> {
    Some(choose_base_strategy().ok()?.config_dir().join("forecall"))
}
