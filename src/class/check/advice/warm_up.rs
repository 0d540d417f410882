//! A warm-up goes from easy to hard, and prepares the muscles that the main blocks load.

use std::collections::BTreeMap;

use super::{AdviceRule, COMMON, RuleFunction, block_spot};
use crate::check::station_spot;
use crate::movement::{Muscle, Pattern, Region};
use crate::schedule::{Schedule, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::session::{BlockKind, Station};
use crate::time::Tick;
use crate::training_volume::{shares, span_work_between};

/// A muscle that is loaded for at least this long should be moved unloaded before.
const MUCH: Tick = Tick::MINUTE;

pub(super) const ORDER: AdviceRule = AdviceRule {
    code: FaultCode::WarmUpOrder,
    severity: Severity::Info,
    source: "Jeffreys 2007: raise, then activate and mobilise, then potentiate",
    explain: "A warm-up first raises the pulse (walking, marching, stepping), then mobilises, and only then uses jumps or kit. Only the first station of each sort is checked, so going back and forth is fine.",
    find: RuleFunction::Class(order),
};

pub(super) const COLD: AdviceRule = AdviceRule {
    code: FaultCode::ColdMuscle,
    severity: Severity::Info,
    source: COMMON,
    explain: "The main blocks load a muscle of the legs, or of the shoulders, chest and back, for 1 min or more, and nothing before works that part of the body unloaded. Arms, calves and trunk are not checked, nor is a class without a warm-up.",
    find: RuleFunction::Class(unwarmed),
};

/// What a station of a warm-up is for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum WarmUpPhase {
    Raise,
    Mobilise,
    Potentiate,
}

fn step(station: &Station) -> WarmUpPhase {
    let movement = &station.movement;
    let jumps = movement.cautions.iter().any(|caution| caution.region == Region::Impact);
    match movement.pattern {
        _ if station.kit.iter().any(|need| !need.item.stays_on_floor()) => WarmUpPhase::Potentiate,
        Pattern::Locomotion => WarmUpPhase::Raise,
        _ if jumps && movement.loaded => WarmUpPhase::Potentiate,
        _ => WarmUpPhase::Mobilise,
    }
}

/// The stations of the warm-up blocks at the beginning of the class.
fn warm_up(schedule: &Schedule) -> impl Iterator<Item = (usize, usize, &Station)> {
    let blocks = schedule.session.blocks.iter().enumerate().take_while(|(_, block)| block.kind == BlockKind::WarmUp);
    blocks.flat_map(|(index, block)| block.stations.iter().enumerate().map(move |(at, station)| (index, at, station)))
}

fn order(schedule: &Schedule, found: &mut Vec<Fault>) {
    let stations: Vec<_> = warm_up(schedule).collect();
    let first = |wanted: WarmUpPhase| stations.iter().position(|(_, _, station)| step(station) == wanted);
    let name = |at: usize| stations[at].2.movement.name.as_str();
    let pairs = [
        (WarmUpPhase::Raise, WarmUpPhase::Mobilise, "raises the pulse, but comes after"),
        (WarmUpPhase::Mobilise, WarmUpPhase::Potentiate, "mobilises, but comes after"),
        (WarmUpPhase::Raise, WarmUpPhase::Potentiate, "raises the pulse, but comes after"),
    ];
    for (before, after, words) in pairs {
        let (Some(early), Some(late)) = (first(before), first(after)) else { continue };
        if early > late {
            let (block, station, _) = stations[early];
            let message = format!("{} {words} {}", name(early), name(late));
            let fault = ORDER.finding(station_spot(block, station, None), message);
            found.push(fault.help("first raise the pulse, then mobilise, then use jumps or kit"));
            return;
        }
    }
}

/// A part of the body whose muscles are warmed by much the same movements.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum BodyArea {
    Legs,
    Upper,
}

impl BodyArea {
    /// The part that a muscle belongs to. None for the trunk, which every movement warms, and for small or outer
    /// muscles: ankle rocks do not warm the thighs, wrist circles do not warm the shoulders, and nobody warms up the
    /// arms alone.
    fn of(muscle: Muscle) -> Option<BodyArea> {
        use Muscle::*;
        match muscle {
            Quadriceps | Hamstrings | Glutes | Adductors | Abductors | HipFlexors => Some(BodyArea::Legs),
            MiddleBack | Lats | Traps | Chest | Shoulders => Some(BodyArea::Upper),
            Calves | Biceps | Triceps | Forearms | Neck | Abdominals | Obliques | LowerBack => None,
        }
    }

    fn words(self) -> &'static str {
        match self {
            BodyArea::Legs => "the legs",
            BodyArea::Upper => "the shoulders, chest and back",
        }
    }
}

fn unwarmed(schedule: &Schedule, found: &mut Vec<Fault>) {
    if warm_up(schedule).next().is_none() {
        return;
    }
    let mut moved: Vec<BodyArea> = Vec::new();
    let mut loaded: BTreeMap<Muscle, Tick> = BTreeMap::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let block = schedule.block_of(span);
        let work = span_work_between(span, Tick::ZERO, schedule.total());
        for (station, time) in shares(block, span.activity, work) {
            let movement = &station.movement;
            if block.kind != BlockKind::Main || !movement.loaded {
                moved.extend(movement.prime.iter().chain(&movement.helping).filter_map(|&muscle| BodyArea::of(muscle)));
                continue;
            }
            for &muscle in &movement.prime {
                let sum = loaded.entry(muscle).or_default();
                let before = std::mem::replace(sum, *sum + time);
                let Some(part) = BodyArea::of(muscle).filter(|part| !moved.contains(part)) else { continue };
                if before < MUCH && before + time >= MUCH {
                    let message =
                        format!("{} loads {}, and nothing before works them unloaded", block.name, part.words());
                    found.push(
                        COLD.finding(block_spot(span.block), message).help("add a movement for them to the warm-up"),
                    );
                    // Each part is reported once.
                    moved.push(part);
                }
            }
        }
    }
}
