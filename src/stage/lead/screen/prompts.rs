//! The entries of the pane about a station, before its work and during it.

use super::scene::At;
use super::{ready, roster, spoken, standing};
use crate::drawing::pane::Entry;
use class::movement::{Caution, Instead, Tier};
use class::schedule::{Side, Span};
use class::session::Station;
use class::words::WORDS;

/// The entries during work. They are about the current station, and from the last third of the work on about the next
/// one.
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

/// What is still to be said in this span, and everything about the next one.
fn ahead(at: &At, next: &Span) -> Vec<Entry> {
    let mut entries = vec![Entry::new(&*WORDS.screen.pane.then, at.name(next)).strong()];
    entries.extend(spoken::still(at));
    entries.extend(standing::owed(at));
    entries.extend(before(at, next));
    entries
}

/// The entries in the last seconds, when the screen already shows the next station in lettering.
pub(super) fn last(at: &At) -> Vec<Entry> {
    let mut entries: Vec<Entry> = spoken::still(at).collect();
    entries.extend(standing::owed(at));
    match at.read_ahead() {
        Some(next) => entries.extend(before(at, next)),
        None => entries.splice(0..0, minded_first(at, at.span)).for_each(drop),
    }
    entries
}

/// The entries while the class gets into position: the sides that are short, and everything about the work ahead.
pub(super) fn settling(at: &At, span: &Span) -> Vec<Entry> {
    standing::owed(at).chain(before(at, span)).collect()
}

/// The entries before a span of work: the regions to look after, kit, set-up, what to say during the work, and all
/// other cautions.
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

/// What must not be missed: the side on which the coach shows it, and what to do instead for the regions to look after.
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

/// What to say to the class, which faults to watch for, and the easier and harder options. If people do different
/// things: who does what.
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
