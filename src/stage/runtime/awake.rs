//! Keeps the computer awake while a class is led.

use keepawake::{Builder, KeepAwake};

/// Keeps the computer and its display awake until dropped.
pub struct AwakeGuard(#[expect(dead_code, reason = "kept for its drop")] KeepAwake);

impl AwakeGuard {
    /// Asks the system to stay awake.
    ///
    /// # Errors
    /// One line for the coach, when the system refuses.
    pub fn ask() -> Result<AwakeGuard, String> {
        Builder::default()
            .display(true)
            .idle(true)
            .sleep(true)
            .reason("A class is being led")
            .app_name("forecall")
            .app_reverse_domain("forecall")
            .create()
            .map(AwakeGuard)
            .map_err(|_| "This laptop may go to sleep: turn sleep off for the class".to_owned())
    }
}
