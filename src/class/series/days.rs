//! The days of a series.

use std::str::FromStr;

use jiff::civil::{Date, Weekday};

use super::SeriesRequest;

/// A day of the week, as typed: `mon`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DayArg(pub Weekday);

const DAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// A text is not a day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("days are mon, tue, wed, thu, fri, sat and sun")]
pub struct UnknownDay;

impl FromStr for DayArg {
    type Err = UnknownDay;

    /// Reads the English name of a day, or at least its first two letters.
    fn from_str(text: &str) -> Result<DayArg, UnknownDay> {
        let typed = text.trim().to_lowercase();
        let day = DAYS.iter().find(|(name, _)| typed.len() >= 2 && name.starts_with(&typed));
        day.map(|(_, day)| DayArg(*day)).ok_or(UnknownDay)
    }
}

/// The weekdays, each once, in the order of the week.
pub fn days_of(days: &[DayArg]) -> Vec<Weekday> {
    let mut days: Vec<Weekday> = days.iter().map(|DayArg(day)| *day).collect();
    days.sort_by_key(|day| day.to_monday_zero_offset());
    days.dedup();
    days
}

/// The dates of each week. A week begins with the first of its days on or after `ask.from`, and has every day once.
pub fn dates(ask: &SeriesRequest) -> Vec<Vec<Date>> {
    let first = ask.from.weekday();
    let since = |day: &Weekday| first.until(*day);
    let mut days = ask.days.clone();
    days.sort_by_key(since);
    (0..i64::from(ask.weeks))
        .map(|week| {
            let date = |day: &Weekday| {
                let later = jiff::Span::new().days(week * 7 + i64::from(since(day)));
                ask.from.checked_add(later).unwrap_or(Date::MAX)
            };
            days.iter().map(date).collect()
        })
        .collect()
}

/// The two days with the fewest nights between them, and the number of nights. None for a single class.
pub(super) fn closest(days: &[Weekday], weeks: u32) -> Option<(&'static str, &'static str, u32)> {
    let name = |day: Weekday| DAYS.iter().find(|(_, other)| *other == day).map_or("", |(name, _)| *name);
    let mut days = days.to_vec();
    days.sort_by_key(|day| day.to_monday_zero_offset());
    let within = days.windows(2).map(|pair| (pair[0], pair[1]));
    let around = (weeks > 1).then(|| Some((*days.last()?, *days.first()?))).flatten();
    let nights = |(before, after): (Weekday, Weekday)| {
        let nights = before.until(after);
        (name(before), name(after), if nights == 0 { 7 } else { nights.unsigned_abs().into() })
    };
    within.chain(around).map(nights).min_by_key(|(_, _, nights)| *nights)
}
