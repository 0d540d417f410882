//! Swaps: another movement in place of one that does not work today.

use std::sync::Arc;

use super::course::{Course, LengthSource, UpcomingSpan};
use crate::movement::{Movement, NeededKit, Sides, Tier};
use crate::schedule::{Activity, SpanPurpose, WorkingSide};
use crate::session::{KitAmount, Session, Station};
use crate::time::Tick;

impl Course {
    /// The station that a swap at `now` would replace, as block and station: the running one, or the next one. None
    /// when people do different stations, and after the end of the class.
    pub fn station_to_swap(&self, now: Tick) -> Option<(usize, usize)> {
        let schedule = self.schedule();
        let span = &schedule.spans[schedule.work_from(schedule.span_at(now)?)?];
        match span.activity {
            Activity::Station(station) => Some((span.block, station)),
            _ => None,
        }
    }

    /// The best of these movements to swap in for a station's movement. It must have the same pattern, be one-sided or
    /// not as the old one is, need only kit that people have, and not be in the block already. Preferred is the same
    /// position, then no other kit, then more prime muscles in common, then the first by id. None when no movement
    /// fits.
    pub fn best_swap(&self, block: usize, station: usize, movements: &[Arc<Movement>]) -> Option<Station> {
        let session = &self.schedule().session;
        let stations = &session.blocks.get(block)?.stations;
        let old = stations.get(station)?;
        let fits = |new: &&Arc<Movement>| {
            new.pattern == old.movement.pattern
                && one_sided(new.sides) == one_sided(old.sides)
                && stations.iter().all(|station| station.movement.id != new.id)
                && new.kit.iter().all(|need| has_kit(session, need))
        };
        let rank = |new: &&Arc<Movement>| {
            let common = new.prime.iter().filter(|muscle| old.movement.prime.contains(muscle)).count();
            let other_kit = new.kit.iter().any(|need| !old.kit.contains(need));
            (new.position != old.movement.position, other_kit, std::cmp::Reverse(common), new.id.clone())
        };
        let best = movements.iter().filter(fits).min_by_key(rank)?;
        Some(with_movement(old, best))
    }

    /// A station that does `new` with the old station's work, rest and place. None when there is no such station, or
    /// when one of the two movements is one-sided and the other is not.
    pub fn swapped_station(&self, block: usize, station: usize, new: &Arc<Movement>) -> Option<Station> {
        let old = self.schedule().session.blocks.get(block)?.stations.get(station)?;
        (one_sided(new.sides) == one_sided(old.sides)).then(|| with_movement(old, new))
    }

    /// A station that shows everybody the easier option, with the old movement as the harder option. None when the
    /// station has no easier option.
    pub fn easier(&self, block: usize, station: usize, movements: &[Arc<Movement>]) -> Option<Station> {
        let old = self.schedule().session.blocks.get(block)?.stations.get(station)?;
        let tier = old.easier.as_ref()?;
        let named = tier.movement.as_ref().and_then(|id| movements.iter().find(|movement| movement.id == *id));
        let harder = Some(Tier { what: old.movement.name.clone(), movement: Some(old.movement.id.clone()) });
        let fits = named.filter(|new| one_sided(new.sides) == one_sided(old.sides));
        Some(match fits {
            Some(new) => Station { harder, ..with_movement(old, new) },
            None => {
                let mut prompts = vec![tier.what.clone()];
                prompts.extend(old.prompts.iter().cloned());
                let harder = Some(Tier { what: "as before".to_owned(), movement: None });
                Station { prompts, easier: None, harder, ..old.clone() }
            }
        })
    }

    /// Replaces a station with `new` from `now` on: in the rest of the running span and in every round still to come.
    /// The past stays as it was. `new` must have the old station's work, rest and place. Changes nothing after the end
    /// of the class.
    pub fn swap(&self, now: Tick, block: usize, station: usize, new: Station) -> Course {
        let schedule = self.schedule();
        let Some(current) = schedule.span_at(now) else { return self.clone() };
        let mut session = Session::clone(&schedule.session);
        let Some(stations) = session.blocks.get_mut(block).map(|block| &mut block.stations) else {
            return self.clone();
        };
        let to = stations.len();
        let (tempo, sides) = (new.tempo, new.sides);
        stations.push(new);
        let running = &schedule.spans[current];
        let is_it = (running.block, running.activity) == (block, Activity::Station(station));
        let splits = is_it && running.purpose == SpanPurpose::Work && now > running.start;
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(current).collect();
        if splits {
            owed[0].span = running.after(now);
            if owed[0].origin.length != LengthSource::Inserted {
                owed[0].origin.length = LengthSource::Partial;
            }
        }
        // A running rest keeps showing the station that it showed when it began.
        let from = usize::from(!splits && now > running.start);
        for item in owed.iter_mut().skip(from).filter(|item| item.span.block == block) {
            let span = &mut item.span;
            if span.activity != Activity::Station(station) {
                continue;
            }
            span.activity = Activity::Station(to);
            if span.purpose == SpanPurpose::Work {
                match (span.side, sides) {
                    (WorkingSide::Both, Sides::Alternating) => span.side = WorkingSide::Alternating,
                    (WorkingSide::Alternating, Sides::Together) => span.side = WorkingSide::Both,
                    _ => {}
                }
                let working = match span.side {
                    WorkingSide::Alternating => Tick(span.length().saturating_sub(span.settle).0 / 2),
                    WorkingSide::LeftThenRight { each, .. } => each,
                    _ => span.length().saturating_sub(span.settle),
                };
                let whole = item.origin.length != LengthSource::Partial;
                span.reps = tempo.filter(|_| whole).map(|tempo| tempo.reps_in(working));
            }
        }
        let mut course = self.with_session(Arc::new(session));
        course.swaps.push((block, station, to));
        let owed = course.with_changeovers_rejoined(owed);
        if splits { course.end_span_then(now, owed) } else { course.continue_span_then(now, owed) }
    }
}

/// A station that does `new` with the old station's work, rest and place.
fn with_movement(old: &Station, new: &Arc<Movement>) -> Station {
    let tempo = new.guide.as_ref().map(|guide| guide.tempo);
    Station {
        movement: Arc::clone(new),
        work: old.work,
        sides: if one_sided(old.sides) { old.sides } else { new.sides },
        tempo,
        rest: old.rest,
        kit: new.kit.clone(),
        place: old.place.clone(),
        short: new.short.clone(),
        prompts: new.prompts.clone(),
        faults: new.faults.clone(),
        easier: new.easier.clone(),
        harder: new.harder.clone(),
        variant: None,
        optional: old.optional,
        click: old.click,
    }
}

fn one_sided(sides: Sides) -> bool {
    matches!(sides, Sides::LeftThenRight | Sides::EachSide)
}

/// Whether the session's kit gives everybody what a movement needs.
fn has_kit(session: &Session, need: &NeededKit) -> bool {
    session.kit.iter().any(|owned| {
        let enough = match owned.amount {
            KitAmount::Each(each) => each >= u32::from(need.count),
            KitAmount::Shared(all) => session.people.is_none_or(|people| all >= people * u32::from(need.count)),
        };
        owned.item == need.item && (need.load.is_none() || owned.load == need.load) && enough
    })
}
