//! Exports of a class for other programs: captions, chapters, a calendar, a table, the schedule. One module for each
//! format.

mod as_session;
mod calendar;
mod captions;
mod chapters;
mod json;
mod table;
mod volume;

pub use as_session::{Unwritten, as_session};
pub use calendar::{When, calendar, series_calendar};
pub use captions::{Caption, captions, retimed, srt, vtt};
pub use chapters::{chapters, ffmetadata};
pub use json::json;
pub use table::{csv, markdown, plain};
pub use volume::VolumeOut;
