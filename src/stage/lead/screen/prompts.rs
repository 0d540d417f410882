//! What the pane says of a station: what may be said to it, while it is worked and before.

use super::scene::At;
use super::{ready, roster, spoken, standing};
use crate::drawing::pane::Entry;
use class::movement::{Caution, Instead, Tier};
use class::schedule::{Side, Span};
use class::session::Station;
use class::words::WORDS;

/// What the coach may want now. While people work, of what they do; from the last third on, of what comes.
pub(super) fn working(at: &At) -> Vec<Entry> {
    match at.read_ahead() {
        Some(next) => ahead(at, next),
        None => {
            let mut entries = minded_first(at, at.span);
            entries.extend(spoken::entries(at));
            entries.extend(standing::owed(at));
            entries.extend(coaching(at, at.span));
            entries
        }
    }
}

/// What is still said in this span, and all about the one that comes.
fn ahead(at: &At, next: &Span) -> Vec<Entry> {
    let mut entries = vec![Entry::new(&*WORDS.screen.pane.then, at.name(next)).strong()];
    entries.extend(spoken::still(at));
    entries.extend(standing::owed(at));
    entries.extend(before(at, next));
    entries
}

/// In the last seconds, when what comes stands in lettering already.
pub(super) fn last(at: &At) -> Vec<Entry> {
    let mut entries: Vec<Entry> = spoken::still(at).collect();
    entries.extend(standing::owed(at));
    match at.read_ahead() {
        Some(next) => entries.extend(before(at, next)),
        None => entries.splice(0..0, minded_first(at, at.span)).for_each(drop),
    }
    entries
}

/// While the class gets into it: what is owed, and all about what comes.
pub(super) fn settling(at: &At, span: &Span) -> Vec<Entry> {
    standing::owed(at).chain(before(at, span)).collect()
}

/// What the coach may want before a span of work: what somebody has to mind, how to get into it, what may be said
/// in it, and every other caution.
pub(super) fn before(at: &At, span: &Span) -> Vec<Entry> {
    let Some(station) = at.station(span) else { return roster::entries(at, span) };
    let words = &WORDS.screen.pane;
    let mut entries = minded_first(at, span);
    if !station.kit.is_empty() {
        entries.push(Entry::new(&*words.kit, ready::needs(&station.kit)));
    }
    if !station.movement.setup.is_empty() {
        entries.push(Entry::new(&*words.set_up, station.movement.setup.as_str()));
    }
    entries.extend(coaching(at, span));
    let mind = &at.schedule.session.mind;
    let others = station.movement.cautions.iter().filter(|caution| !mind.contains(&caution.region));
    entries.extend(others.map(|caution| care(&words.care, caution)));
    entries
}

/// What is not to be missed: on which side the coach shows it, and what is done instead by whoever minds something.
fn minded_first(at: &At, span: &Span) -> Vec<Entry> {
    let words = &WORDS.screen.pane;
    let session = &at.schedule.session;
    let side = match at.side(span) {
        Side::Left => Some(&words.you_right),
        Side::Right => Some(&words.you_left),
        _ => None,
    };
    let you = side.filter(|_| session.mirror).map(|side| Entry::new(&*words.you, side).strong());
    let cautions = at.station(span).map_or(&[][..], |station| &station.movement.cautions);
    let minded = cautions.iter().filter(|caution| session.mind.contains(&caution.region));
    you.into_iter().chain(minded.map(|caution| care(&words.mind, caution).strong())).collect()
}

/// What may be said to those who work, what to look for, and what else they may do; or who does what.
fn coaching(at: &At, span: &Span) -> Vec<Entry> {
    let Some(station) = at.station(span) else { return roster::entries(at, span) };
    let words = &WORDS.screen.pane;
    let prompts = station.prompts.iter().map(|prompt| Entry::new(&*words.say, prompt));
    let faults = station.faults.iter();
    let faults = faults.map(|fault| Entry::new(&*words.watch, format!("{} → {}", fault.fault, fault.fix)));
    prompts.chain(faults).chain(tiers(station, at.schedule.session.one_weight)).collect()
}

fn tiers(station: &Station, one_weight: bool) -> impl Iterator<Item = Entry> {
    let words = &WORDS.screen.pane;
    let tier = |label: &str, tier: &Option<Tier>| tier.as_ref().map(|tier| Entry::new(label, &tier.what));
    let variant = station.variant.as_ref().filter(|_| one_weight);
    [
        tier(&words.easier, &station.easier),
        tier(&words.harder, &station.harder),
        variant.map(|variant| Entry::new(&*words.variant, variant)),
    ]
    .into_iter()
    .flatten()
}

fn care(label: &str, caution: &Caution) -> Entry {
    let instead = match &caution.instead {
        Instead::Movement { name, .. } => name,
        Instead::Text(text) => text,
        Instead::LeaveOut => &WORDS.screen.pane.leave_out,
    };
    Entry::new(label, format!("{} → {instead}", WORDS.cue.regions[&caution.region].name))
}
