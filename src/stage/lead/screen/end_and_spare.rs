//! The end of the class, the time spare or over, the sides that are short and the time lost, in words.

use std::time::Duration;

use jiff::SignedDuration;

use super::scene::SceneContext;
use crate::drawing::pane::PaneEntry;
use crate::lead::Moment;
use class::change::side_words;
use class::schedule::Activity;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// When the class ends, and the time spare or over, as far as they are known.
pub(super) fn end_and_spare(moment: &Moment) -> Vec<String> {
    ends(moment).into_iter().chain(spare(moment)).collect()
}

pub(super) fn ends(moment: &Moment) -> Option<String> {
    let ends = moment.ends_at.as_ref()?;
    Some(fill(&WORDS.screen.time.ends, &[("time", ends)]))
}

pub(super) fn spare(moment: &Moment) -> Option<String> {
    spare_words(moment.spare)
}

/// Says how much time is spare or, if `spare` is negative, over.
pub(super) fn spare_words(spare: Option<SignedDuration>) -> Option<String> {
    let spare = spare?;
    let words = &WORDS.screen.time;
    let wording = if spare.is_negative() { &words.over } else { &words.spare };
    Some(fill(wording, &[("length", &length(spare.unsigned_abs()))]))
}

/// How long after the slot the class ends. None if it does not end after it.
pub(super) fn over(moment: &Moment) -> Option<Tick> {
    let over = moment.spare.filter(SignedDuration::is_negative)?;
    Some(Tick::of(over.unsigned_abs()))
}

/// How far the class is over its slot: in whole minutes, or in seconds below 1 min, so that the number does not change
/// every second. None if the class is not over.
pub(super) fn over_roughly(spare: SignedDuration) -> Option<String> {
    let words = &WORDS.screen.time;
    let over = spare.min(SignedDuration::ZERO).unsigned_abs().as_secs();
    let (wording, number) = match over {
        0 => return None,
        1..60 => (&words.seconds_over, over),
        _ => (&words.minutes_over, (over + 30) / 60),
    };
    Some(fill(wording, &[("number", &number.to_string())]))
}

/// How much each side is short, an entry each.
pub(super) fn debt_entries<'a>(at: &'a SceneContext) -> impl Iterator<Item = PaneEntry> + use<'a> {
    let words = &WORDS.screen.time;
    at.moment.changed.debts.iter().filter_map(|debt| {
        let block = at.schedule.session.blocks.get(debt.block)?;
        let name = match debt.doing {
            Activity::Station(station) => block.stations.get(station).map(|station| &station.movement.name),
            _ => None,
        };
        let by = clock(Tick(debt.by.0.div_ceil(1000) * 1000));
        let owes = fill(
            &words.owes,
            &[("side", side_words(debt.side)), ("length", &by), ("station", name.unwrap_or(&block.name))],
        );
        Some(PaneEntry::new(&*WORDS.screen.pane.sides, owes))
    })
}

/// The time lost to pauses and waits.
pub(super) fn lost_words(moment: &Moment) -> String {
    fill(&WORDS.screen.time.lost, &[("length", &length(moment.lost))])
}

fn length(length: Duration) -> String {
    clock(Tick::seconds(length.as_secs()))
}
