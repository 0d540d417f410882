//! Offers: what a coach can change now, each with what the class would be with it.

use std::sync::Arc;

use class::change::{ChangeReach, Course, CutResult, FamilyKind, FitResult, LiveChange, Omission, change_words};
use class::movement::Movement;
use class::schedule::{Activity, SpanPurpose};
use class::session::Session;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// One offer.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub action: OfferAction,
    /// The change in a few words, to be read from across a room.
    pub words: String,
    /// What the change does in full: the new lengths, or what is dropped. None if the words say it all.
    pub detail: Option<String>,
    /// The length of the class with the change.
    pub total: Tick,
}

/// What happens when an offer is taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OfferAction {
    Change(LiveChange),
    /// The waiting block begins.
    Start,
    /// The voice level goes up by one.
    SayMore,
    /// The last change is undone.
    Undo,
}

impl OfferAction {
    /// Whether it can be taken several times in a row and adds up.
    pub fn may_repeat(&self) -> bool {
        matches!(self, OfferAction::Change(LiveChange::AdjustLength { .. }))
    }
}

/// How much one press makes the current span longer, in milliseconds.
pub const STRETCH: i64 = 15_000;
/// How much one offer makes every station left in a block longer, in milliseconds.
const EACH: i64 = 5_000;
/// How much the offers shorten a class that is not over its slot: 180 s, because that happens most often; 60 s if 180 s
/// is more than a quarter of what is left.
const LOSE: Tick = Tick::seconds(180);
const LOSE_LITTLE: Tick = Tick::seconds(60);
/// With less spare time than this, no offer uses it.
const SPARE: Tick = Tick::seconds(30);

/// The changes that are possible at a tick of the class, the likeliest first. `end`: when the class has to be over, in
/// class time. `just_left`: the press came so soon after a boundary that it was meant for the span before.
pub fn offers(
    course: &Course,
    now: Tick,
    end: Option<Tick>,
    just_left: bool,
    movements: &[Arc<Movement>],
) -> Vec<Offer> {
    let schedule = course.schedule();
    let Some(current) = schedule.span_at(now) else { return Vec::new() };
    let resting = schedule.spans[current].purpose != SpanPurpose::Work;
    let session = &schedule.session;
    let plain = |change: LiveChange| {
        let after = course.with_change(now, &change, movements)?;
        let words = match (&change, resting) {
            (LiveChange::Next, true) => WORDS.change.start_now.clone(),
            _ => change_words(&change, session),
        };
        let total = after.schedule().total();
        Some(Offer { action: OfferAction::Change(change), words, detail: None, total })
    };
    let on_time = end.map(|end| ending(course, now, end)).unwrap_or_default();
    let over = end.is_some_and(|end| schedule.total() > end);
    let (first, later) = if over { (on_time, Vec::new()) } else { (Vec::new(), on_time) };
    let longer = if just_left {
        LiveChange::ExtendPrevious { by: STRETCH }
    } else {
        LiveChange::AdjustLength { by: STRETCH, reach: ChangeReach::Current }
    };
    let swap = course.station_to_swap(now);
    let easier = swap.map(|(block, station)| LiveChange::Easier { block, station });
    let stand_in = swap.and_then(|(block, station)| {
        let movement = course.best_swap(block, station, movements)?.movement.id.clone();
        Some(LiveChange::Swap { block, station, movement })
    });
    let soon = if resting {
        vec![Some(longer), Some(LiveChange::Next)]
    } else {
        vec![Some(longer), Some(LiveChange::Next), Some(LiveChange::RestNow), easier.clone()]
    };
    let debts = course.side_debts();
    let debts = debts.first().map(|debt| [LiveChange::RepayDebt(*debt), LiveChange::WaiveDebt(*debt)]);
    let left = schedule.total().saturating_sub(now);
    let lose = [LOSE, LOSE_LITTLE].into_iter().find(|lose| Tick(lose.0 * 4) <= left).filter(|_| !over);
    let lose = lose.map(|lose| schedule.total().saturating_sub(lose));
    let rest = [
        resting.then_some(easier).flatten(),
        stand_in,
        Some(LiveChange::AdjustLength { by: EACH, reach: ChangeReach::Block }),
        Some(LiveChange::AdjustLength { by: -EACH, reach: ChangeReach::Block }),
        Some(LiveChange::DropRound),
        Some(LiveChange::AddRound),
    ];
    let mut all = first;
    all.extend(soon.into_iter().flatten().filter_map(plain));
    if !resting {
        let words = WORDS.change.say_more.clone();
        all.push(Offer { action: OfferAction::SayMore, words, detail: None, total: schedule.total() });
    }
    all.extend(later);
    all.extend(debts.into_iter().flatten().filter_map(plain));
    all.extend(rest.into_iter().flatten().filter_map(plain));
    all.extend(lose.into_iter().flat_map(|end| ending(course, now, end)));
    all
}

/// The two ways to end at a tick: change all lengths a little, or drop something. The way that comes closer is first.
/// Empty if the class ends at that tick already.
fn ending(course: &Course, now: Tick, end: Tick) -> Vec<Offer> {
    let total = course.schedule().total();
    if total <= end && end.saturating_sub(total) < SPARE {
        return Vec::new();
    }
    let session = &course.schedule().session;
    let fit = course.fit(now, end);
    // Whole seconds: what is lost is rounded up, what is used is rounded down.
    let by = if total > end {
        fill(&WORDS.change.lose, &[("length", &clock(Tick(total.saturating_sub(end).0.div_ceil(1000) * 1000)))])
    } else {
        fill(&WORDS.change.spare, &[("length", &clock(Tick(end.saturating_sub(total).0 / 1000 * 1000)))])
    };
    let mut ways = Vec::new();
    if fit.course != *course {
        let words = format!("{by}: {}", WORDS.change.fit);
        let detail = Some(fit_words(&fit, session));
        let total = fit.course.schedule().total();
        ways.push((fit.late, Offer { action: OfferAction::Change(LiveChange::Fit { end }), words, detail, total }));
    }
    if total > end {
        let cut = course.cut(now, end);
        if !cut.units.is_empty() {
            let words = format!("{by}: {}", WORDS.change.cut);
            let detail = Some(cut_words(&cut, course));
            let total = cut.course.schedule().total();
            ways.push((cut.late, Offer { action: OfferAction::Change(LiveChange::Cut { end }), words, detail, total }));
        }
    }
    // The sort is stable.
    ways.sort_by_key(|(late, _)| *late);
    ways.into_iter().map(|(_, offer)| offer).collect()
}

/// The new lengths of a fit: `work 0:50, rest 0:60`; and how much the class is still over.
fn fit_words(fit: &FitResult, session: &Session) -> String {
    let words = &WORDS.change;
    let changed = fit.lengths.iter().filter(|(family, length)| *length != family.length);
    let named = changed.map(|(family, length)| {
        let name = match family.stretch {
            FamilyKind::Work => words.work.clone(),
            FamilyKind::Rest => words.rest.clone(),
            FamilyKind::BlockRest(_) => words.block_rest.clone(),
            FamilyKind::Protected(block) => {
                session.blocks.get(block).map_or_else(String::new, |block| block.name.clone())
            }
        };
        format!("{name} {}", clock(*length))
    });
    // All rests between blocks have the same name.
    let mut parts: Vec<String> = Vec::new();
    for part in named {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    push_late_words(&mut parts, fit.late);
    parts.join(", ")
}

/// What a cut drops, and how much the class is still over.
fn cut_words(cut: &CutResult, course: &Course) -> String {
    let words = &WORDS.change;
    let session = &course.schedule().session;
    let block_name = |block: usize| session.blocks.get(block).map_or("", |block| &block.name);
    let mut parts: Vec<String> = cut
        .units
        .iter()
        .map(|unit| match unit {
            Omission::Optional(block, station) => {
                let station = session.blocks.get(*block).and_then(|block| block.stations.get(*station));
                station.map_or_else(String::new, |station| station.movement.name.clone())
            }
            Omission::Everywhere(_, station) => match &done_less_often(*station, course, &cut.course)[..] {
                names @ ([_] | [_, _]) => names.join(", "),
                _ => fill(&words.station_everywhere, &[("number", &(station + 1).to_string())]),
            },
            Omission::Round(block, round) => {
                fill(&words.round_of, &[("number", &(round + 1).to_string()), ("block", block_name(*block))])
            }
        })
        .collect();
    push_late_words(&mut parts, cut.late);
    parts.join(", ")
}

/// The movements at the station of this index that are done less often after a cut than before, each once.
fn done_less_often(station: usize, before: &Course, after: &Course) -> Vec<String> {
    let count = |course: &Course, block: usize| {
        let doing = (block, Activity::Station(station), SpanPurpose::Work);
        course.schedule().spans.iter().filter(|span| (span.block, span.activity, span.purpose) == doing).count()
    };
    let mut names: Vec<String> = Vec::new();
    for (index, block) in before.schedule().session.blocks.iter().enumerate() {
        let Some(station) = block.stations.get(station) else { continue };
        if count(after, index) < count(before, index) && !names.contains(&station.movement.name) {
            names.push(station.movement.name.clone());
        }
    }
    names
}

fn push_late_words(parts: &mut Vec<String>, by: Tick) {
    if by > Tick::ZERO {
        parts.push(fill(&WORDS.change.still_late, &[("length", &clock(Tick(by.0.div_ceil(1000) * 1000)))]));
    }
}
