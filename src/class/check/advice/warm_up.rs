//! A warm-up goes from easy to hard, and to what is worked after it.

use std::collections::BTreeMap;

use super::{COMMON, Find, Rule, block_spot};
use crate::check::station_spot;
use crate::movement::{Muscle, Pattern, Region};
use crate::schedule::{Purpose, Schedule};
use crate::session::fault::{Code, Fault, Severity};
use crate::session::{Kind, Station};
use crate::time::Tick;
use crate::volume::{shares, worked_in};

/// Loaded work of a muscle from which on it wants to have been moved before.
const MUCH: Tick = Tick::MINUTE;

pub const ORDER: Rule = Rule {
    code: Code::WarmUpOrder,
    severity: Severity::Info,
    source: "Jeffreys 2007: raise, then activate and mobilise, then potentiate",
    explain: "A warm-up first raises the pulse (walking, marching, stepping), then mobilises, and only then asks for jumps or kit. Only the first of each is looked at, so going to and fro is fine.",
    find: Find::Class(order),
};

pub const COLD: Rule = Rule {
    code: Code::ColdMuscle,
    severity: Severity::Info,
    source: COMMON,
    explain: "The main blocks load a muscle of the legs, or of the shoulders, chest and back, for a minute or more, and nothing before that moves them without a load. Arms, calves and trunk are not asked about, nor a class without a warm-up.",
    find: Find::Class(cold),
};

/// What a station of a warm-up is for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Raise,
    Mobilise,
    Potentiate,
}

fn step(station: &Station) -> Step {
    let movement = &station.movement;
    let jumps = movement.cautions.iter().any(|caution| caution.region == Region::Impact);
    match movement.pattern {
        _ if station.kit.iter().any(|need| !need.item.lies_out()) => Step::Potentiate,
        Pattern::Locomotion => Step::Raise,
        _ if jumps && movement.loaded => Step::Potentiate,
        _ => Step::Mobilise,
    }
}

/// The stations of the warm-up blocks that stand before all others.
fn warm_up(schedule: &Schedule) -> impl Iterator<Item = (usize, usize, &Station)> {
    let blocks = schedule.session.blocks.iter().enumerate().take_while(|(_, block)| block.kind == Kind::WarmUp);
    blocks.flat_map(|(index, block)| block.stations.iter().enumerate().map(move |(at, station)| (index, at, station)))
}

fn order(schedule: &Schedule, found: &mut Vec<Fault>) {
    let stations: Vec<_> = warm_up(schedule).collect();
    let first = |wanted: Step| stations.iter().position(|(_, _, station)| step(station) == wanted);
    let name = |at: usize| stations[at].2.movement.name.as_str();
    let pairs = [
        (Step::Raise, Step::Mobilise, "raises the pulse and comes after"),
        (Step::Mobilise, Step::Potentiate, "mobilises and comes after"),
        (Step::Raise, Step::Potentiate, "raises the pulse and comes after"),
    ];
    for (before, after, words) in pairs {
        let (Some(early), Some(late)) = (first(before), first(after)) else { continue };
        if early > late {
            let (block, station, _) = stations[early];
            let message = format!("{} {words} {}", name(early), name(late));
            let fault = ORDER.found(station_spot(block, station, None), message);
            found.push(fault.help("raise first, then mobilise, then jump or take up kit"));
            return;
        }
    }
}

/// Muscles that are warmed by much the same movements.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    Legs,
    Upper,
}

impl Part {
    /// None for the trunk, which everything moves, and for what is small or far out: ankles rocked warm no thighs, wrists
    /// circled no shoulders, and nobody warms an arm alone.
    fn of(muscle: Muscle) -> Option<Part> {
        use Muscle::*;
        match muscle {
            Quadriceps | Hamstrings | Glutes | Adductors | Abductors | HipFlexors => Some(Part::Legs),
            MiddleBack | Lats | Traps | Chest | Shoulders => Some(Part::Upper),
            Calves | Biceps | Triceps | Forearms | Neck | Abdominals | Obliques | LowerBack => None,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Part::Legs => "the legs",
            Part::Upper => "the shoulders, chest and back",
        }
    }
}

fn cold(schedule: &Schedule, found: &mut Vec<Fault>) {
    if warm_up(schedule).next().is_none() {
        return;
    }
    let mut moved: Vec<Part> = Vec::new();
    let mut loaded: BTreeMap<Muscle, Tick> = BTreeMap::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == Purpose::Work) {
        let block = schedule.block_of(span);
        let work = worked_in(span, Tick::ZERO, schedule.total());
        for (station, time) in shares(block, span.doing, work) {
            let movement = &station.movement;
            if block.kind != Kind::Main || !movement.loaded {
                moved.extend(movement.prime.iter().chain(&movement.helping).filter_map(|&muscle| Part::of(muscle)));
                continue;
            }
            for &muscle in &movement.prime {
                let sum = loaded.entry(muscle).or_default();
                let before = std::mem::replace(sum, *sum + time);
                let Some(part) = Part::of(muscle).filter(|part| !moved.contains(part)) else { continue };
                if before < MUCH && before + time >= MUCH {
                    let message = format!("{} loads {}, and nothing before it moves them", block.name, part.words());
                    found.push(
                        COLD.found(block_spot(span.block), message).help("add a movement for them to the warm-up"),
                    );
                    // Once told, the part is done with.
                    moved.push(part);
                }
            }
        }
    }
}
