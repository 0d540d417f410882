//! The account of a class: what was planned, what was done, and what happened.

use super::read::JournalContents;
use super::record::JournalEvent;
use super::replay::{PlannedClass, ReplayedClass};
use class::change::{LiveChange, change_words};
use class::schedule::{Activity, Schedule, Span, SpanPurpose};
use class::session::Session;
use class::time::Tick;

/// What was planned and what was done in a class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClassAccount {
    pub stations: Vec<StationAccount>,
    /// What the coach changed and marked, each with its class time.
    pub moments: Vec<(Tick, AccountEvent)>,
    /// Notes typed afterwards.
    pub notes: Vec<String>,
}

/// The work of one station, over all rounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationAccount {
    /// Index into the session's blocks.
    pub block: usize,
    pub name: String,
    pub planned: Tick,
    pub done: Tick,
}

/// An event to look at after the class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AccountEvent {
    /// A change, in words.
    Changed(String),
    Undone,
    Redone,
    /// The coach paused the class.
    Paused,
    /// The coach pressed the emergency key.
    Stopped,
    /// The coach set a mark, with the name of what ran.
    Marked(String),
    Slept(Tick),
    ResumedAfterBreak,
}

impl ClassAccount {
    /// The account of a replayed journal.
    pub fn of(plan: &PlannedClass, kept: &JournalContents, left: &ReplayedClass) -> ClassAccount {
        let (planned, ran) = (&plan.schedule, left.course.schedule());
        let mut stations: Vec<StationAccount> = Vec::new();
        let mut of = |schedule: &Schedule, span: &Span| -> usize {
            let name = name(&schedule.session, span);
            let known = stations.iter().position(|done| done.block == span.block && done.name == name);
            known.unwrap_or_else(|| {
                stations.push(StationAccount { block: span.block, name, planned: Tick::ZERO, done: Tick::ZERO });
                stations.len() - 1
            })
        };
        let from = Tick(kept.header.opening.from_ms);
        let mut add: Vec<(usize, Tick, bool)> = Vec::new();
        for span in planned.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
            add.push((of(planned, span), span.length(), true));
        }
        for span in ran.spans.iter().filter(|span| span.purpose == SpanPurpose::Work && span.start < left.now) {
            let worked = span.end.min(left.now).saturating_sub(span.start.max(from));
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
                JournalEvent::Changed { change, .. } => {
                    AccountEvent::Changed(change_words(&LiveChange::from(change), &ran.session))
                }
                JournalEvent::Undone { .. } => AccountEvent::Undone,
                JournalEvent::Redone { .. } => AccountEvent::Redone,
                JournalEvent::Paused { stopped: false } => AccountEvent::Paused,
                JournalEvent::Paused { stopped: true } => AccountEvent::Stopped,
                JournalEvent::Marked => AccountEvent::Marked(ran_at(ran, Tick(record.at))),
                JournalEvent::Slept { ms } => AccountEvent::Slept(Tick(*ms)),
                JournalEvent::ResumedAfterBreak { .. } => AccountEvent::ResumedAfterBreak,
                JournalEvent::Note(text) => {
                    notes.push(text.clone());
                    continue;
                }
                _ => continue,
            };
            moments.push((Tick(record.at), moment));
        }
        ClassAccount { stations, moments, notes }
    }
}

/// The name of what is done in a span, as it is printed.
fn name(session: &Session, span: &Span) -> String {
    let block = &session.blocks[span.block];
    match span.activity {
        Activity::Station(station) => {
            block.stations.get(station).map_or_else(|| block.name.clone(), |station| station.movement.name.clone())
        }
        _ => block.name.clone(),
    }
}

fn ran_at(schedule: &Schedule, at: Tick) -> String {
    let span = schedule.span_at(at).map(|index| &schedule.spans[index]);
    span.map_or_else(String::new, |span| name(&schedule.session, span))
}
