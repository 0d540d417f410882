//! A series: the classes of the next weeks, made from one class by advancing one variable at a time.
//!
//! The variables are advanced in the order tempo (or range of motion), harder option, work, rounds, rest, load (common
//! practice, no source). The size of each step is our estimate. The first week is the class as it is, or as it was
//! really done. Each later week advances the next variable that can be advanced. Every fourth week is easier, and the
//! week after it continues from the week before it (common practice, no source). No step is taken that adds a warning
//! of `check`. Only the coach knows the people: a series is a plan to be read, not medical advice.

mod advance;
mod days;
mod done;

pub use advance::{Advance, Variable};
pub use days::{Day, dates, days_of};
pub use done::BlockDone;

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, Weekday};

use crate::check::advice::advise;
use crate::check::check;
use crate::check::past::{loaded, worked};
use crate::check::recovery::MUCH;
use crate::movement::{Catalogue, Muscle};
use crate::schedule::{Schedule, compile};
use crate::session::edit::{Edit, Refused, edited};
use crate::session::fault::{Code, Path, Severity};
use crate::session::read;

/// The longest series that can be planned, in weeks.
pub const MOST_WEEKS: u32 = 52;
/// Every week whose number is a multiple of this is easier.
pub const EASIER: u32 = 4;

/// The series that a coach asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
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
pub struct Week {
    /// The number of the week, from 1.
    pub number: u32,
    pub dates: Vec<Date>,
    pub step: Step,
    /// What changes compared with the last week that was not an easier one, one line each.
    pub changes: Vec<String>,
    /// The session file, with the week in its title.
    pub text: String,
    pub schedule: Schedule,
}

/// What a week does with the class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// The class as it is, or as it was really done.
    Begin,
    Advance(Variable),
    Easier,
    /// Nothing can be advanced, so the class stays the same.
    Same,
}

/// Why there is no series.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSeries {
    /// The class has faults. With the first one.
    #[error("fix the faults of the class first: {0}")]
    Faulty(String),
    #[error("{0}")]
    TooSoon(String),
    #[error("the file cannot be changed here: {0}")]
    Refused(#[from] Refused),
    #[error("nothing to advance: no main block has its work given as a time")]
    Nothing,
}

/// Plans a series from the text of a session file. `done`: what was really done of it, block by block, as far as known.
///
/// # Errors
/// When the class has faults, when the days leave loaded muscles too few nights of rest, or when there is nothing to
/// advance.
pub fn plan(text: &str, catalogue: &Catalogue, ask: &Ask, done: &[BlockDone]) -> Result<Vec<Week>, NoSeries> {
    let base = Class::of(text.to_owned(), catalogue).map_err(NoSeries::Faulty)?;
    if !base.schedule.session.blocks.iter().any(advance::can_advance) {
        return Err(NoSeries::Nothing);
    }
    if let Some(why) = too_soon(&base.schedule, ask) {
        return Err(NoSeries::TooSoon(why));
    }
    let title = base.schedule.session.title.clone();
    let taken_up = done::edits(&base.text, &base.schedule.session, done);
    let mut begun = Vec::new();
    let mut now = base.clone();
    for advance in taken_up {
        // Applied even if `check` then warns: it is what was done.
        if let Some(next) = now.with(&advance.edits, catalogue) {
            begun.extend(advance.told);
            now = next;
        }
    }
    let mut last: Option<Variable> = None;
    let mut weeks = Vec::new();
    for (number, dates) in (1..).zip(dates(ask)) {
        let (step, changes, class) = if number == 1 {
            (Step::Begin, begun.clone(), now.clone())
        } else if number % EASIER == 0 {
            let ways = advance::easier(&now.text, &now.schedule.session);
            let kept = ways.into_iter().find_map(|way| {
                let class = now.with(&way.edits, catalogue)?;
                (class.schedule != now.schedule && !class.is_worse_than(&base)).then_some((way.told, class))
            });
            match kept {
                Some((told, class)) => (Step::Easier, told, class),
                None => (Step::Same, Vec::new(), now.clone()),
            }
        } else {
            let ways = Variable::after(last).find_map(|variable| {
                let ways = advance::ways(variable, &now.text, &now.schedule.session, catalogue);
                let kept = ways.into_iter().find_map(|way| {
                    let next = now.with(&way.edits, catalogue)?;
                    (next.schedule != now.schedule && !next.is_worse_than(&base)).then_some((way.told, next))
                });
                kept.map(|(told, next)| (variable, told, next))
            });
            match ways {
                Some((variable, told, next)) => {
                    last = Some(variable);
                    now = next;
                    (Step::Advance(variable), told, now.clone())
                }
                None => (Step::Same, Vec::new(), now.clone()),
            }
        };
        let title = serde_json::Value::from(format!("{title}, week {number}")).to_string();
        let text = edited(&class.text, &Edit::Set { record: Path(Vec::new()), field: "title", value: title })?;
        let class = Class::of(text, catalogue).map_err(NoSeries::Faulty)?;
        weeks.push(Week { number, dates, step, changes, text: class.text, schedule: class.schedule });
    }
    Ok(weeks)
}

/// A class, with the number of warnings of `check` by code.
#[derive(Clone, Debug)]
struct Class {
    text: String,
    schedule: Schedule,
    warnings: BTreeMap<Code, usize>,
}

impl Class {
    fn of(text: String, catalogue: &Catalogue) -> Result<Class, String> {
        let reading = read(&text, catalogue);
        let first = reading.faults.iter().find(|fault| fault.severity == Severity::Fault).cloned();
        let session = reading.session.ok_or_else(|| first.map_or_else(String::new, |fault| fault.message))?;
        let schedule = compile(Arc::new(session));
        let mut faults = reading.faults;
        faults.extend(check(&schedule));
        if let Some(fault) = faults.iter().find(|fault| fault.severity == Severity::Fault) {
            return Err(fault.message.clone());
        }
        faults.extend(advise(&schedule));
        let mut warnings = BTreeMap::new();
        for fault in faults.iter().filter(|fault| fault.severity == Severity::Warning) {
            *warnings.entry(fault.code).or_insert(0) += 1;
        }
        Ok(Class { text, schedule, warnings })
    }

    /// The class with some edits. None when the result is not a class without faults.
    fn with(&self, edits: &[Edit], catalogue: &Catalogue) -> Option<Class> {
        let text = crate::session::edit::all_edited(&self.text, edits).ok()?;
        Class::of(text, catalogue).ok()
    }

    fn is_worse_than(&self, other: &Class) -> bool {
        self.warnings.iter().any(|(code, count)| *count > other.warnings.get(code).copied().unwrap_or(0))
    }
}

/// The reason why the days of a series are too close together. None when they are not.
fn too_soon(schedule: &Schedule, ask: &Ask) -> Option<String> {
    let (before, after, nights) = days::closest(&ask.days, ask.weeks)?;
    if nights >= u32::from(ask.nights) {
        return None;
    }
    let times = loaded(&worked(schedule, schedule.total()));
    let muscles: Vec<String> = Muscle::ALL
        .iter()
        .filter(|muscle| times.get(muscle).is_some_and(|time| *time >= MUCH))
        .map(|m| m.words())
        .collect();
    if muscles.is_empty() {
        return None;
    }
    let between = if nights == 1 { "only 1 night" } else { &format!("only {nights} nights") };
    Some(format!(
        "{between} between {before} and {after}, and the class loads {} each time: {} nights of rest are set (an \
         estimate); choose other days, or a class for other muscles on one of them",
        muscles.join(", "),
        ask.nights
    ))
}
