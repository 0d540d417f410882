//! What a command tells the coach beside its output: lines on standard error.

use std::cell::RefCell;
use std::io::{Write, stderr};

thread_local! {
    static KEPT: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Tells the coach something, ending with a line break. A standard error that has gone is told nothing.
pub(crate) fn note(text: &str) {
    let text = text.trim_end();
    if text.is_empty() {
        return;
    }
    let kept = KEPT.with_borrow_mut(|kept| kept.as_mut().map(|kept| kept.extend([text, "\n"])));
    if kept.is_none() {
        let _ = writeln!(stderr(), "{text}");
    }
}

/// Keeps the notes of something instead of printing them. Notes within notes are kept where they belong.
pub(crate) fn keeping<T>(what: impl FnOnce() -> T) -> (T, String) {
    struct Back(Option<String>);
    impl Drop for Back {
        fn drop(&mut self) {
            KEPT.set(self.0.take());
        }
    }
    let back = Back(KEPT.replace(Some(String::new())));
    let done = what();
    let kept = KEPT.take().unwrap_or_default();
    drop(back);
    (done, kept)
}
