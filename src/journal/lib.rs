//! The journal of a class: everything that was decided while it ran, written down as it happens, so that nothing is lost
//! when the program or the machine ends, and so that the class can be looked at afterwards.
//!
//! A file a class, a line of JSON a record, only ever appended to. The first line holds the whole text of the session
//! and of the coach's own movements, so that the files may change or go. What it makes of the class is worked out again
//! from the records by [`replay()`].

mod account;
mod disk;
mod folder;
mod happening;
mod keeper;
mod ran;
mod read;
mod record;
mod replay;
mod stand;

pub use account::{Account, Done, Moment};
pub use disk::{Cut, Disk, Lines};
pub use folder::{Entry, Folder, Held, Refused};
pub use happening::{Happening, Told};
pub use keeper::{BEAT, Journal, Open};
pub use ran::Ran;
pub use read::{FILE, Fault, Kept, read};
pub use record::{ChangeOut, Header, MeasuredOut, Opening, Record, Text, VERSION, What};
pub use replay::{Ended, Left, Plan, replay};
pub use stand::Stand;
