//! Keeping the machine awake while a class is led.

use keepawake::{Builder, KeepAwake};

/// Keeps the machine and its display awake until dropped.
pub struct Awake(#[expect(dead_code, reason = "held for its drop")] KeepAwake);

impl Awake {
    /// Asks the system for it.
    ///
    /// # Errors
    /// One line for the coach, when the system does not grant it.
    pub fn ask() -> Result<Awake, String> {
        Builder::default()
            .display(true)
            .idle(true)
            .sleep(true)
            .reason("A class is being led")
            .app_name("forecall")
            .app_reverse_domain("forecall")
            .create()
            .map(Awake)
            .map_err(|_| "This machine may go to sleep: set it not to for the class".to_owned())
    }
}
