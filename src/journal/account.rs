//! The account of a class: what was planned, what was done, and what happened.

use super::read::Kept;
use super::record::What;
use super::replay::{Left, Plan};
use class::change::{Change, change_words};
use class::schedule::{Doing, Purpose, Schedule, Span};
use class::session::Session;
use class::time::Tick;

/// What was planned and what was done in a class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    pub stations: Vec<Done>,
    /// What the coach changed and marked, each with its class time.
    pub moments: Vec<(Tick, Moment)>,
    /// Notes typed afterwards.
    pub notes: Vec<String>,
}

/// The work of one station, over all rounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// Index into the session's blocks.
    pub block: usize,
    pub name: String,
    pub planned: Tick,
    pub done: Tick,
}

/// An event to look at after the class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Moment {
    /// A change, in words.
    Changed(String),
    Undone,
    Redone,
    /// The coach paused the class.
    Held,
    /// The coach pressed the emergency key.
    Stopped,
    /// The coach set a mark, with the name of what ran.
    Flagged(String),
    Slept(Tick),
    TakenUp,
}

impl Account {
    /// The account of a replayed journal.
    pub fn of(plan: &Plan, kept: &Kept, left: &Left) -> Account {
        let (planned, ran) = (&plan.schedule, left.course.schedule());
        let mut stations: Vec<Done> = Vec::new();
        let mut of = |schedule: &Schedule, span: &Span| -> usize {
            let name = name(&schedule.session, span);
            let known = stations.iter().position(|done| done.block == span.block && done.name == name);
            known.unwrap_or_else(|| {
                stations.push(Done { block: span.block, name, planned: Tick::ZERO, done: Tick::ZERO });
                stations.len() - 1
            })
        };
        let from = Tick(kept.header.opening.from_ms);
        let mut add: Vec<(usize, Tick, bool)> = Vec::new();
        for span in planned.spans.iter().filter(|span| span.purpose == Purpose::Work) {
            add.push((of(planned, span), span.length(), true));
        }
        for span in ran.spans.iter().filter(|span| span.purpose == Purpose::Work && span.start < left.now) {
            let worked = span.end.min(left.now).less(span.start.max(from));
            add.push((of(ran, span), worked, false));
        }
        for (index, length, is_planned) in add {
            let done = &mut stations[index];
            if is_planned { done.planned += length } else { done.done += length }
        }
        stations.sort_by_key(|done| done.block);
        let mut notes = Vec::new();
        let mut moments = Vec::new();
        for record in &kept.records {
            let moment = match &record.what {
                What::Changed { change, .. } => Moment::Changed(change_words(&Change::from(change), &ran.session)),
                What::Undone { .. } => Moment::Undone,
                What::Redone { .. } => Moment::Redone,
                What::Held { stopped: false } => Moment::Held,
                What::Held { stopped: true } => Moment::Stopped,
                What::Flagged => Moment::Flagged(ran_at(ran, Tick(record.at))),
                What::Slept { ms } => Moment::Slept(Tick(*ms)),
                What::TakenUp { .. } => Moment::TakenUp,
                What::Note(text) => {
                    notes.push(text.clone());
                    continue;
                }
                _ => continue,
            };
            moments.push((Tick(record.at), moment));
        }
        Account { stations, moments, notes }
    }
}

/// The name of what is done in a span, as it is printed.
fn name(session: &Session, span: &Span) -> String {
    let block = &session.blocks[span.block];
    match span.doing {
        Doing::Station(station) => {
            block.stations.get(station).map_or_else(|| block.name.clone(), |station| station.movement.name.clone())
        }
        _ => block.name.clone(),
    }
}

fn ran_at(schedule: &Schedule, at: Tick) -> String {
    let span = schedule.span_at(at).map(|index| &schedule.spans[index]);
    span.map_or_else(String::new, |span| name(&schedule.session, span))
}
