//! A series: the classes of the next weeks, made from one class by advancing one variable at a time.
//!
//! The variables are advanced in the order tempo (or range of motion), harder option, work, rounds, rest, load (common
//! practice, no source). The size of each step is our estimate. The first week is the class as it is, or as it was
//! really done. Each later week advances the next variable that can be advanced. Every fourth week is easier, and the
//! week after it continues from the week before it (common practice, no source). No step is taken that adds a warning
//! of `check`. Only the coach knows the people: a series is a plan to be read, not medical advice.

mod advance;
mod days;
mod done_work;

pub use advance::{Progression, ProgressionVariable};
pub use days::{DayArg, UnknownDay, dates, days_of};
pub use done_work::BlockWork;

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, Weekday};

use crate::check::advice::advise;
use crate::check::check;
use crate::check::past::{loaded_muscles, work_until};
use crate::check::recovery::MUCH;
use crate::movement::{Catalogue, Muscle};
use crate::schedule::{Schedule, compile};
use crate::session::edit::{EditError, SessionEdit, edited};
use crate::session::fault::{FaultCode, Severity, ValuePath};
use crate::session::read;

/// The longest series that can be planned, in weeks.
pub const MOST_WEEKS: u32 = 52;
/// Every week whose number is a multiple of this is easier.
pub const EASIER: u32 = 4;

/// The series that a coach wants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SeriesRequest {
    /// The number of weeks, 1 to [`MOST_WEEKS`].
    pub weeks: u32,
    /// The weekdays with a class, at least one.
    pub days: Vec<Weekday>,
    /// The first day on which there may be a class.
    pub from: Date,
    /// How many nights loaded muscles rest.
    pub nights: u8,
}

/// A week of a series, with the class for all of its days.
#[derive(Clone, Debug, PartialEq)]
pub struct SeriesWeek {
    /// The number of the week, from 1.
    pub number: u32,
    pub dates: Vec<Date>,
    pub step: WeekStep,
    /// What changes compared with the last week that was not an easier one, one line each.
    pub changes: Vec<String>,
    /// The session file, with the week in its title.
    pub text: String,
    pub schedule: Schedule,
}

/// What a week does with the class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeekStep {
    /// The class as it is, or as it was really done.
    Begin,
    Advance(ProgressionVariable),
    Easier,
    /// Nothing can be advanced, so the class stays the same.
    Same,
}

/// Why there is no series.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SeriesError {
    /// The class has faults. With the message of the first one.
    #[error("fix the faults of the class first: {0}")]
    Faulty(String),
    #[error(transparent)]
    TooSoon(#[from] TooSoon),
    #[error("the file cannot be changed here: {0}")]
    Refused(#[from] EditError),
    #[error("nothing to advance: no main block has its work given as a time")]
    Nothing,
}

/// The days of a series leave muscles that the class loads too few nights of rest.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "only {nights} {} between {before} and {after}, and the class loads {} each time: {wanted} nights of rest are set \
     (an estimate); choose other days, or a class for other muscles on one of them",
    if *.nights == 1 { "night" } else { "nights" },
    .muscles.join(", ")
)]
pub struct TooSoon {
    /// The two days that are the closest together, and the number of nights between them.
    pub before: &'static str,
    pub after: &'static str,
    pub nights: u32,
    /// The names of the muscles.
    pub muscles: Vec<String>,
    /// How many nights loaded muscles rest.
    pub wanted: u8,
}

/// Plans a series from the text of a session file. `done`: what was really done of it, block by block, as far as known.
///
/// # Errors
/// When the class has faults, when the days leave loaded muscles too few nights of rest, or when there is nothing to
/// advance.
pub fn plan(
    text: &str,
    catalogue: &Catalogue,
    ask: &SeriesRequest,
    done: &[BlockWork],
) -> Result<Vec<SeriesWeek>, SeriesError> {
    let base = CheckedClass::of(text.to_owned(), catalogue)?;
    if !base.schedule.session.blocks.iter().any(advance::can_advance) {
        return Err(SeriesError::Nothing);
    }
    if let Some(why) = too_soon(&base.schedule, ask) {
        return Err(why.into());
    }
    let title = base.schedule.session.title.clone();
    let taken_up = done_work::edits(&base.text, &base.schedule.session, done);
    let mut begun = Vec::new();
    let mut now = base.clone();
    for advance in taken_up {
        // Applied even if `check` then warns: it is what was done.
        if let Some(next) = now.with_edits(&advance.edits, catalogue) {
            begun.extend(advance.changes);
            now = next;
        }
    }
    let mut last: Option<ProgressionVariable> = None;
    let mut weeks = Vec::new();
    for (number, dates) in (1..).zip(dates(ask)) {
        let (step, changes, class) = if number == 1 {
            (WeekStep::Begin, begun.clone(), now.clone())
        } else if number % EASIER == 0 {
            let ways = advance::easier(&now.text, &now.schedule.session);
            let kept = ways.into_iter().find_map(|way| {
                let class = now.with_edits(&way.edits, catalogue)?;
                (class.schedule != now.schedule && !class.is_worse_than(&base)).then_some((way.changes, class))
            });
            match kept {
                Some((told, class)) => (WeekStep::Easier, told, class),
                None => (WeekStep::Same, Vec::new(), now.clone()),
            }
        } else {
            let ways = ProgressionVariable::after(last).find_map(|variable| {
                let ways = advance::progressions(variable, &now.text, &now.schedule.session, catalogue);
                let kept = ways.into_iter().find_map(|way| {
                    let next = now.with_edits(&way.edits, catalogue)?;
                    (next.schedule != now.schedule && !next.is_worse_than(&base)).then_some((way.changes, next))
                });
                kept.map(|(told, next)| (variable, told, next))
            });
            match ways {
                Some((variable, told, next)) => {
                    last = Some(variable);
                    now = next;
                    (WeekStep::Advance(variable), told, now.clone())
                }
                None => (WeekStep::Same, Vec::new(), now.clone()),
            }
        };
        let title = serde_json::Value::from(format!("{title}, week {number}")).to_string();
        let text =
            edited(&class.text, &SessionEdit::Set { record: ValuePath(Vec::new()), field: "title", value: title })?;
        let class = CheckedClass::of(text, catalogue)?;
        weeks.push(SeriesWeek { number, dates, step, changes, text: class.text, schedule: class.schedule });
    }
    Ok(weeks)
}

/// A class, with the number of warnings of `check` by code.
#[derive(Clone, Debug)]
struct CheckedClass {
    text: String,
    schedule: Schedule,
    warnings: BTreeMap<FaultCode, usize>,
}

impl CheckedClass {
    fn of(text: String, catalogue: &Catalogue) -> Result<CheckedClass, SeriesError> {
        let reading = read(&text, catalogue);
        let first = reading.faults.iter().find(|fault| fault.severity == Severity::Fault).cloned();
        let faulty = || SeriesError::Faulty(first.map(|fault| fault.message).unwrap_or_default());
        let session = reading.session.ok_or_else(faulty)?;
        let schedule = compile(Arc::new(session));
        let mut faults = reading.faults;
        faults.extend(check(&schedule));
        if let Some(fault) = faults.iter().find(|fault| fault.severity == Severity::Fault) {
            return Err(SeriesError::Faulty(fault.message.clone()));
        }
        faults.extend(advise(&schedule));
        let mut warnings = BTreeMap::new();
        for fault in faults.iter().filter(|fault| fault.severity == Severity::Warning) {
            *warnings.entry(fault.code).or_insert(0) += 1;
        }
        Ok(CheckedClass { text, schedule, warnings })
    }

    /// The class with some edits. None when the result is not a class without faults.
    fn with_edits(&self, edits: &[SessionEdit], catalogue: &Catalogue) -> Option<CheckedClass> {
        let text = crate::session::edit::all_edited(&self.text, edits).ok()?;
        CheckedClass::of(text, catalogue).ok()
    }

    fn is_worse_than(&self, other: &CheckedClass) -> bool {
        self.warnings.iter().any(|(code, count)| *count > other.warnings.get(code).copied().unwrap_or(0))
    }
}

/// The reason why the days of a series are too close together. None when they are not.
fn too_soon(schedule: &Schedule, ask: &SeriesRequest) -> Option<TooSoon> {
    let (before, after, nights) = days::closest(&ask.days, ask.weeks)?;
    if nights >= u32::from(ask.nights) {
        return None;
    }
    let times = loaded_muscles(&work_until(schedule, schedule.total()));
    let muscles: Vec<String> = Muscle::ALL
        .iter()
        .filter(|muscle| times.get(muscle).is_some_and(|time| *time >= MUCH))
        .map(|m| m.words())
        .collect();
    (!muscles.is_empty()).then_some(TooSoon { before, after, nights, muscles, wanted: ask.nights })
}
