//! The front door: the list of sessions, and what can be done with each.

mod enter;
mod keys;
mod listed;
pub mod screen;
mod search;
mod wish;
mod wish_screen;

pub use enter::{Ask, Deed, Door, Entry, Found, Page, Start, Unfinished};
pub(crate) use keys::told;
pub use keys::{Press, press};
pub use listed::Listed;
pub use search::sift;
pub use wish::{Line, Wanted, Wish};
