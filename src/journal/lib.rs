//! The journal of a class: everything that was decided while it ran, written down as it happens. So nothing is lost if
//! the program crashes or the computer stops, and the class can be looked at afterwards.
//!
//! Each class has one file. Each record is one line of JSON, and lines are only appended. The first line has the whole
//! text of the session and of the coach's own movements, so that those files may change or be deleted. [`replay()`]
//! works out the state of the class from the records.

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
