//! Exports of a class for other programs: captions, chapters, a calendar, a table, the schedule. One module for each
//! format.

mod calendar;
mod captions;
mod chapters;
mod json;
mod led_session;
mod table;
mod volume;

pub use calendar::{ClassDates, calendar, series_calendar};
pub use captions::{Caption, captions, retimed, srt, vtt};
pub use chapters::{chapters, ffmetadata};
pub use json::json;
pub use led_session::{SessionExportError, as_session};
pub use table::{csv, markdown, no_formula};
pub use volume::VolumeJson;
