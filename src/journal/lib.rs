//! The journal of a class: everything that was decided while it ran, written down as it happens. So nothing is lost if
//! the program crashes or the computer stops, and the class can be looked at afterwards.
//!
//! Each class has one file. Each record is one line of JSON, and lines are only appended. The first line has the whole
//! text of the session and of the coach's own movements, so that those files may change or be deleted. [`replay()`]
//! works out the state of the class from the records.

mod class_account;
mod folder;
mod happening;
mod led_class;
mod read;
mod record;
mod replay;
mod resume_point;
mod store;
mod writer;

pub use class_account::{AccountEvent, ClassAccount, StationAccount};
pub use folder::{JournalFolder, JournalOpenError, ListedJournal, LockedJournal};
pub use happening::{Happening, TimedHappening};
pub use led_class::LedClass;
pub use read::{FILE, JournalContents, JournalFault, read};
pub use record::{
    ChangeRecord, JournalEvent, JournalHeader, JournalRecord, MeasuredRecord, OpeningRecord, StoredFile, VERSION,
};
pub use replay::{ClassEnding, PlannedClass, ReplayedClass, replay};
pub use resume_point::ResumePoint;
pub use store::{JournalStore, LineFile, Truncate};
pub use writer::{BEAT, Journal, StoreOpener};
