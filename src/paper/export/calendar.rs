//! A class as an entry of a calendar: iCalendar, RFC 5545.

use std::fmt::Write;

use icalendar::{Calendar, Component, Event, Property};
use jiff::Timestamp;
use jiff::civil::DateTime;

use class::recording::ExportClock;
use class::schedule::Schedule;
use class::session::block_letter;
use class::time::{self, Tick};

/// When a class takes place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClassDates {
    /// Local time without a time zone: a class at 18:15 stays at 18:15 when summer time starts.
    pub starts: DateTime,
    /// How many weeks it repeats; 1 for a single class.
    pub weeks: u32,
    /// Its length. None: the slot of the session, or if there is none, the length of the class.
    pub length: Option<Tick>,
}

/// The class as a calendar with one entry. `clock` gives the times of its blocks. `now`: when the entry is written. The
/// same class at the same time has the same id, so that a second import replaces the first.
pub fn calendar(schedule: &Schedule, when: &ClassDates, clock: &ExportClock, now: Timestamp) -> String {
    calendar_of([entry(schedule, when, clock, now)])
}

/// The same for several classes, one entry each.
pub fn series_calendar(classes: &[(&Schedule, ClassDates)], now: Timestamp) -> String {
    calendar_of(classes.iter().map(|(schedule, when)| entry(schedule, when, &ExportClock::default(), now)))
}

fn calendar_of(entries: impl IntoIterator<Item = Event>) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", "-//forecall//forecall//EN"));
    for entry in entries {
        calendar.push(entry);
    }
    calendar.to_string()
}

fn entry(schedule: &Schedule, when: &ClassDates, clock: &ExportClock, now: Timestamp) -> Event {
    let session = &schedule.session;
    let length = when.length.or(session.slot).unwrap_or_else(|| schedule.total());
    let mut event = Event::new();
    event.summary(&session.title).description(&description(schedule, clock));
    event.append_property(Property::new("UID", entry_uid(&session.title, when)));
    event.append_property(Property::new("DTSTAMP", now.strftime("%Y%m%dT%H%M%SZ").to_string()));
    event.append_property(Property::new("DTSTART", when.starts.strftime("%Y%m%dT%H%M%S").to_string()));
    event.append_property(Property::new("DURATION", duration(length)));
    if when.weeks > 1 {
        event.append_property(Property::new("RRULE", format!("FREQ=WEEKLY;COUNT={}", when.weeks)));
    }
    event.done()
}

/// The blocks with their times, counted from the start, and the time of the end.
fn description(schedule: &Schedule, clock: &ExportClock) -> String {
    let mut text = String::new();
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        if let Some(first) = schedule.spans.iter().find(|span| span.block == index) {
            let _ = writeln!(text, "{} {} {}", shown_time(clock.begins(first.start)), block_letter(index), block.name);
        }
    }
    let _ = write!(text, "{} end", shown_time(clock.ends(schedule.total())));
    text
}

fn shown_time(at: Option<Tick>) -> String {
    time::clock(at.unwrap_or(Tick::ZERO))
}

/// `PT45M`: hours, minutes and seconds, rounded up to a second.
fn duration(length: Tick) -> String {
    let seconds = length.countdown_seconds();
    let parts = [(seconds / 3600, 'H'), (seconds / 60 % 60, 'M'), (seconds % 60, 'S')];
    let text: String =
        parts.iter().filter(|(count, _)| *count > 0).map(|(count, unit)| format!("{count}{unit}")).collect();
    if text.is_empty() { "PT0S".to_owned() } else { format!("PT{text}") }
}

/// The unique id of an entry: its start, and the hash of its title (FNV-1a, 64 bits).
fn entry_uid(title: &str, when: &ClassDates) -> String {
    let hash = title
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3));
    format!("{}-{hash:016x}@forecall", when.starts.strftime("%Y%m%dT%H%M%S"))
}
