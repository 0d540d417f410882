//! Where and when a class begins, as given on the command line.

use std::time::Duration;

use jiff::ZonedDateTime;
use jiff::civil::Time;

use class::schedule::{Activity, Schedule, Span, SpanPurpose};
use class::session::block_letter;
use class::time::{Tick, spoken_length};

const HOURS_12: Duration = Duration::from_secs(12 * 60 * 60);
/// The longest class that may end after midnight (estimate): the time of day of its end is then tomorrow's.
const OVER_MIDNIGHT: Duration = Duration::from_secs(6 * 60 * 60);

/// Why a text names no place in a class.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StartPlaceError {
    /// With the letters and names of all blocks.
    #[error("there is no block `{block}`; the blocks are {}", .blocks.join(", "))]
    NoBlock { block: String, blocks: Vec<String> },
    #[error("`{0}` is not the number of a station")]
    NotANumber(String),
    #[error("this block has no work")]
    NoWork,
    #[error("this block has one station")]
    OneStation,
    /// With the number of stations.
    #[error("this block has stations 1 to {0}")]
    NoStation(usize),
}

/// Why a text gives no time of day for a class.
#[derive(Clone, Debug, thiserror::Error)]
pub enum TimeOfDayError {
    #[error("a time of day is written like 18:15")]
    NoColon,
    #[error("`{0}` is not a time of day; write it like 18:15")]
    NotATime(String),
    #[error("{text} was {} ago; without --at a key starts the class", spoken_length(*.ago))]
    Past { text: String, ago: Tick },
    #[error("the class cannot be over by {text}: it begins at {} or later", .begins.strftime("%H:%M"))]
    OverTooSoon { text: String, begins: Time },
    /// The calendar ends before that day.
    #[error(transparent)]
    NoSuchDay(#[from] jiff::Error),
}

/// The tick at which a block, or a station of it, first begins: `B`, `2`, `Hinge`, `B.3`, `Hinge.3`. The transition
/// before the station, if there is one, is included.
///
/// # Errors
/// When there is no such block or station.
pub fn start_tick(schedule: &Schedule, text: &str) -> Result<Tick, StartPlaceError> {
    let text = text.trim();
    // The name of a block may contain a dot.
    let (block, station) = match block(schedule, text) {
        Some(block) => (block, None),
        None => match text.rsplit_once('.') {
            Some((head, tail)) => (
                block(schedule, head.trim()).ok_or_else(|| no_block(schedule, head.trim()))?,
                Some(tail.trim().parse::<usize>().map_err(|_| StartPlaceError::NotANumber(tail.to_owned()))?),
            ),
            None => return Err(no_block(schedule, text)),
        },
    };
    let spans = &schedule.spans;
    let begins = |first: usize| spans.get(first).map(|span| span.start);
    let Some(station) = station else {
        let first = spans.iter().position(|span| span.block == block);
        return first.and_then(begins).ok_or(StartPlaceError::NoWork);
    };
    let stations = schedule.session.blocks[block].stations.len();
    let does = |span: &Span| match span.activity {
        Activity::Station(index) | Activity::Turn(index) => index + 1 == station,
        Activity::AllAtOwnPace => station == 1,
        Activity::Nothing => false,
    };
    let work = spans.iter().position(|span| span.block == block && span.purpose == SpanPurpose::Work && does(span));
    let work = work.ok_or(match stations {
        1 => StartPlaceError::OneStation,
        _ => StartPlaceError::NoStation(stations),
    })?;
    let leads = work > 0 && spans[work - 1].purpose == SpanPurpose::Transition && spans[work - 1].block == block;
    Ok(spans[if leads { work - 1 } else { work }].start)
}

/// A block by its name, its letter or its number, tried in this order; else by the beginning of its name, if no other
/// block's name begins so.
fn block(schedule: &Schedule, text: &str) -> Option<usize> {
    let wanted = text.to_lowercase();
    if wanted.is_empty() {
        return None;
    }
    let names: Vec<String> = schedule.session.blocks.iter().map(|block| block.name.to_lowercase()).collect();
    let named = names.iter().position(|name| *name == wanted);
    let lettered = || match wanted.as_bytes() {
        [letter @ b'a'..=b'z'] => Some(usize::from(letter - b'a')),
        _ => None,
    };
    let numbered = || wanted.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let begun = || {
        let mut begun = (0..names.len()).filter(|&index| names[index].starts_with(&wanted));
        begun.next().filter(|_| begun.next().is_none())
    };
    named.or_else(lettered).or_else(numbered).filter(|&index| index < names.len()).or_else(begun)
}

fn no_block(schedule: &Schedule, text: &str) -> StartPlaceError {
    let blocks: Vec<String> = (schedule.session.blocks.iter().enumerate())
        .map(|(index, block)| format!("{} {}", block_letter(index), block.name))
        .collect();
    StartPlaceError::NoBlock { block: text.to_owned(), blocks }
}

/// How long from now to a time of day, `18:15`: today or, if that is past, tomorrow, at most 12 h from now.
///
/// # Errors
/// When the text is not a time of day, or when the time is past and tomorrow's is more than 12 h away.
pub fn time_of_day(text: &str, now: &ZonedDateTime) -> Result<Duration, TimeOfDayError> {
    let (today, then) = next(text, now)?;
    let wait = between(now, &then);
    if wait > HOURS_12 && then != today {
        let ago = Tick::seconds(between(&today, now).as_secs());
        return Err(TimeOfDayError::Past { text: text.to_owned(), ago });
    }
    Ok(wait)
}

/// How long from the beginning of a class, or the earliest possible one, to the time of day by which the class has to be
/// over. That is on the same day, or after midnight if the class then lasts at most 6 h.
///
/// # Errors
/// When the text is not a time of day, or when the class cannot be over by then.
pub fn time_to_end(text: &str, begins: &ZonedDateTime) -> Result<Duration, TimeOfDayError> {
    let (today, then) = next(text, begins)?;
    let wait = between(begins, &then);
    if wait.is_zero() || wait > OVER_MIDNIGHT && then != today {
        return Err(TimeOfDayError::OverTooSoon { text: text.to_owned(), begins: begins.time() });
    }
    Ok(wait)
}

/// A time of day on the day of `from`, and the next time of day that is not before `from`: the same, or that of the
/// next day.
fn next(text: &str, from: &ZonedDateTime) -> Result<(ZonedDateTime, ZonedDateTime), TimeOfDayError> {
    let (hour, minute) = text.trim().split_once(':').ok_or(TimeOfDayError::NoColon)?;
    let digits = |text: &str| (1..=2).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    let parsed = || Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok();
    let time = Some(()).filter(|()| digits(hour) && minute.len() == 2 && digits(minute)).and_then(|()| parsed());
    let time = time.ok_or_else(|| TimeOfDayError::NotATime(text.to_owned()))?;
    let on = |day: &ZonedDateTime| day.with().time(time).build();
    let today = on(from)?;
    let then = if today < *from { on(&from.tomorrow()?)? } else { today.clone() };
    Ok((today, then))
}

/// How long from one time to another, in whole milliseconds; zero to an earlier one.
fn between(from: &ZonedDateTime, to: &ZonedDateTime) -> Duration {
    Duration::from_millis(u64::try_from(from.duration_until(to).as_millis()).unwrap_or(0))
}
