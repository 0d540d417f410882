//! Compared with earlier classes: no large jump, and one thing harder at a time.

use super::{AdviceRule, COMMON, RuleFunction, block_spot};
use crate::check::past::{PastClass, PastClasses, PastWork, loaded_muscles, work_until};
use crate::movement::{Movement, Region};
use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, FaultSpot, Severity};
use crate::session::{Block, BlockFormat, Station, WorkAmount};
use crate::time::{Tick, clock};

/// The least loaded work of a muscle, and the least increase, that counts. Our estimate.
const MUCH: Tick = Tick::seconds(180);

pub(super) const MUSCLES: AdviceRule = AdviceRule {
    code: FaultCode::MuchMore,
    severity: Severity::Info,
    source: "our estimate: more than half as long again, and at least 3 min longer",
    explain: "A muscle is loaded for more than one and a half times as long, and at least 3 min longer, than in the last class that loaded it. Only classes of the last 14 days are compared.",
    find: RuleFunction::Log(muscles),
};

pub(super) const IMPACT: AdviceRule = AdviceRule {
    code: FaultCode::ImpactJump,
    severity: Severity::Info,
    source: "our estimate: more than twice as long, and at least 2 min longer",
    explain: "Jumping and landing take more than twice as long, and at least 2 min longer, than in any class of the last 14 days. Not checked without a class in the log. Range of motion is not in the file, so a jump in range is not checked: watch for it yourself.",
    find: RuleFunction::Log(impact),
};

pub(super) const ADVANCED: AdviceRule = AdviceRule {
    code: FaultCode::TwoAdvanced,
    severity: Severity::Info,
    source: COMMON,
    explain: "Compared with the last class of this title, more than one thing got harder. Make one thing harder at a time, in this order: tempo (or range of motion, which is not in the file), harder option, length of work, rounds, rest, load. Blocks are compared by name, stations by movement.",
    find: RuleFunction::Log(advanced),
};

fn muscles(schedule: &Schedule, past: &PastClasses, found: &mut Vec<Fault>) {
    let now = loaded_muscles(&work_until(schedule, schedule.total()));
    for (muscle, time) in now {
        let last = past.classes.iter().rev().find_map(|class| {
            let then = *loaded_muscles(&class.work).get(&muscle)?;
            (then >= MUCH).then_some((class, then))
        });
        let Some((class, then)) = last else { continue };
        if time.0 * 2 > then.0 * 3 && time.saturating_sub(then) >= MUCH {
            let message = format!(
                "{}: {} of loaded work, {} in {}",
                muscle.words(),
                clock(whole_seconds(time)),
                clock(whole_seconds(then)),
                name(class)
            );
            found.push(
                MUSCLES
                    .finding(FaultSpot::File, message)
                    .help("more than half as much again: do less of it, or use a lighter load"),
            );
        }
    }
}

fn impact(schedule: &Schedule, past: &PastClasses, found: &mut Vec<Fault>) {
    let jumps = |movement: &Movement| movement.cautions.iter().any(|caution| caution.region == Region::Impact);
    let time = |work: &[PastWork]| -> Tick {
        work.iter().filter(|worked| jumps(&worked.movement)).map(|worked| worked.time).sum()
    };
    let Some(most) = past.classes.iter().map(|class| time(&class.work)).max() else { return };
    let now = time(&work_until(schedule, schedule.total()));
    if now.0 > most.0 * 2 && now.saturating_sub(most) >= Tick::seconds(120) {
        let message = format!(
            "{} of work with impact, and at most {} in any class of the last 14 days",
            clock(whole_seconds(now)),
            clock(whole_seconds(most))
        );
        found.push(IMPACT.finding(FaultSpot::File, message).help("replace some of the jumps with steps"));
    }
}

fn advanced(schedule: &Schedule, past: &PastClasses, found: &mut Vec<Fault>) {
    let session = &schedule.session;
    let Some(last) = past.classes.iter().rev().find(|class| class.title == session.title) else { return };
    let mut harder: Vec<(&str, usize)> = Vec::new();
    for (index, block) in session.blocks.iter().enumerate() {
        let Some(before) = last.session.blocks.iter().find(|before| before.name == block.name) else { continue };
        for what in harder_in(before, block) {
            if harder.iter().all(|(known, _)| *known != what) {
                harder.push((what, index));
            }
        }
    }
    if harder.len() > 1 {
        harder.sort_by_key(|(what, _)| ORDER.iter().position(|known| known == what));
        let words: Vec<String> =
            harder.iter().map(|(what, block)| format!("{what} ({})", session.blocks[*block].name)).collect();
        let message = format!("harder in {} ways than {}: {}", words.len(), name(last), words.join(", "));
        let help = format!("make one thing harder at a time; first {}", harder[0].0);
        found.push(ADVANCED.finding(block_spot(harder[0].1), message).help(help));
    }
}

/// What can be made harder, in the order in which a coach should do it.
const ORDER: [&str; 6] = ["tempo", "harder option", "work", "rounds", "rest", "load"];

/// What is harder in a block than it was.
fn harder_in(before: &Block, now: &Block) -> Vec<&'static str> {
    let mut harder = Vec::new();
    let mut add = |what: &'static str, is_harder: bool| {
        if is_harder {
            harder.push(what);
        }
    };
    add("rounds", now.passes() > before.passes());
    add("rest", now.round_rest < before.round_rest && now.passes() > 1 && before.passes() > 1);
    match (&before.format, &now.format) {
        (BlockFormat::Amrap { time: before }, BlockFormat::Amrap { time: now }) => add("work", now > before),
        (BlockFormat::Emom { every: before }, BlockFormat::Emom { every: now }) => add("rest", now < before),
        (BlockFormat::Ladder { rungs: before }, BlockFormat::Ladder { rungs: now }) => {
            add("work", now.iter().max() > before.iter().max());
        }
        _ => {}
    }
    for station in &now.stations {
        let was = |id: &str| before.stations.iter().find(|before| before.movement.id == id);
        let Some(before_here) = was(&station.movement.id) else {
            let becomes = |before: &&Station| {
                before.harder.as_ref().and_then(|tier| tier.movement.as_ref()) == Some(&station.movement.id)
            };
            add("harder option", before.stations.iter().any(|before| becomes(&before)));
            continue;
        };
        add("tempo", slower(before_here, station));
        add("work", longer(before_here.work, station.work));
        add("rest", station.rest < before_here.rest);
        add("load", heavier(before_here, station));
    }
    harder
}

fn slower(before: &Station, now: &Station) -> bool {
    before.tempo.zip(now.tempo).is_some_and(|(before, now)| now.rep() > before.rep())
}

fn longer(before: WorkAmount, now: WorkAmount) -> bool {
    match (before, now) {
        (WorkAmount::Time(before), WorkAmount::Time(now)) => now > before,
        (WorkAmount::Reps(before), WorkAmount::Reps(now)) => now > before,
        _ => false,
    }
}

fn heavier(before: &Station, now: &Station) -> bool {
    let load = |station: &Station, of: &crate::movement::KitItem| {
        station.kit.iter().filter(|need| need.item == *of).filter_map(|need| need.load).max()
    };
    now.kit.iter().any(|need| load(before, &need.item).zip(need.load).is_some_and(|(before, now)| now > before))
}

fn name(class: &PastClass) -> String {
    format!("\"{}\" on {}", class.title, class.day.strftime("%a %-d %b"))
}

fn whole_seconds(tick: Tick) -> Tick {
    Tick::seconds(tick.0 / 1000)
}
