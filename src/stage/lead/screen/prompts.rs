//! The entries of the pane about a station, before its work and during it.

use super::scene::SceneContext;
use super::{end_and_spare, ready, roster, spoken};
use crate::drawing::pane::PaneEntry;
use class::movement::{Caution, CautionAlternative, Tier};
use class::schedule::{Span, WorkingSide};
use class::session::Station;
use class::words::WORDS;

/// The entries during work. They are about the current station, and from the last third of the work on about the next
/// one.
pub(super) fn working(at: &SceneContext) -> Vec<PaneEntry> {
    match at.read_ahead() {
        Some(next) => ahead(at, next),
        None => {
            let mut entries = alternatives_first(at, at.span);
            entries.extend(spoken::entries(at));
            entries.extend(end_and_spare::debt_entries(at));
            entries.extend(coaching(at, at.span));
            entries
        }
    }
}

/// What is still to be said in this span, and everything about the next one.
fn ahead(at: &SceneContext, next: &Span) -> Vec<PaneEntry> {
    let mut entries = vec![PaneEntry::new(&*WORDS.screen.pane.then, at.name(next)).strong()];
    entries.extend(spoken::still_to_say(at));
    entries.extend(end_and_spare::debt_entries(at));
    entries.extend(before(at, next));
    entries
}

/// The entries in the last seconds, when the screen already shows the next station in lettering.
pub(super) fn last(at: &SceneContext) -> Vec<PaneEntry> {
    let mut entries: Vec<PaneEntry> = spoken::still_to_say(at).collect();
    entries.extend(end_and_spare::debt_entries(at));
    match at.read_ahead() {
        Some(next) => entries.extend(before(at, next)),
        None => entries.splice(0..0, alternatives_first(at, at.span)).for_each(drop),
    }
    entries
}

/// The entries while the class gets into position: the sides that are short, and everything about the work ahead.
pub(super) fn settling(at: &SceneContext, span: &Span) -> Vec<PaneEntry> {
    end_and_spare::debt_entries(at).chain(before(at, span)).collect()
}

/// The entries before a span of work: the regions to look after, kit, set-up, what to say during the work, and all
/// other cautions.
pub(super) fn before(at: &SceneContext, span: &Span) -> Vec<PaneEntry> {
    let Some(station) = at.station(span) else { return roster::station_entries(at, span) };
    let words = &WORDS.screen.pane;
    let mut entries = alternatives_first(at, span);
    if !station.kit.is_empty() {
        entries.push(PaneEntry::new(&*words.kit, ready::needs(&station.kit)));
    }
    if !station.movement.setup.is_empty() {
        entries.push(PaneEntry::new(&*words.set_up, station.movement.setup.as_str()));
    }
    entries.extend(coaching(at, span));
    let look_after = &at.schedule.session.look_after;
    let others = station.movement.cautions.iter().filter(|caution| !look_after.contains(&caution.region));
    entries.extend(others.map(|caution| care(&words.adapt, caution)));
    entries
}

/// What must not be missed: the side on which the coach shows it, and what to do instead for the regions to look after.
fn alternatives_first(at: &SceneContext, span: &Span) -> Vec<PaneEntry> {
    let words = &WORDS.screen.pane;
    let session = &at.schedule.session;
    let side = match at.side(span) {
        WorkingSide::Left => Some(&words.you_right),
        WorkingSide::Right => Some(&words.you_left),
        _ => None,
    };
    let you = side.filter(|_| session.mirror).map(|side| PaneEntry::new(&*words.you, side).strong());
    let cautions = at.station(span).map_or(&[][..], |station| &station.movement.cautions);
    let asked_for = cautions.iter().filter(|caution| session.look_after.contains(&caution.region));
    you.into_iter().chain(asked_for.map(|caution| care(&words.look_after, caution).strong())).collect()
}

/// What to say to the class, which faults to watch for, and the easier and harder options. If people do different
/// things: who does what.
fn coaching(at: &SceneContext, span: &Span) -> Vec<PaneEntry> {
    let Some(station) = at.station(span) else { return roster::station_entries(at, span) };
    let words = &WORDS.screen.pane;
    let prompts = station.prompts.iter().map(|prompt| PaneEntry::new(&*words.say, prompt));
    let faults = station.faults.iter();
    let faults = faults.map(|fault| PaneEntry::new(&*words.watch, format!("{} → {}", fault.fault, fault.fix)));
    prompts.chain(faults).chain(tiers(station, at.schedule.session.one_weight)).collect()
}

fn tiers(station: &Station, one_weight: bool) -> impl Iterator<Item = PaneEntry> {
    let words = &WORDS.screen.pane;
    let tier = |label: &str, tier: &Option<Tier>| tier.as_ref().map(|tier| PaneEntry::new(label, &tier.what));
    let variant = station.variant.as_ref().filter(|_| one_weight);
    [
        tier(&words.easier, &station.easier),
        tier(&words.harder, &station.harder),
        variant.map(|variant| PaneEntry::new(&*words.variant, variant)),
    ]
    .into_iter()
    .flatten()
}

fn care(label: &str, caution: &Caution) -> PaneEntry {
    let instead = match &caution.instead {
        CautionAlternative::Movement { name, .. } => name,
        CautionAlternative::Text(text) => text,
        CautionAlternative::LeaveOut => &WORDS.screen.pane.leave_out,
    };
    PaneEntry::new(label, format!("{} → {instead}", WORDS.cue.regions[&caution.region].name))
}
