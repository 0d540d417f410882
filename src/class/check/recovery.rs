//! Muscles loaded in a recent class have their nights of rest before they are loaded again.

use super::CheckRule;
use super::past::{PastClasses, loaded_muscles, work_until};
use crate::movement::Muscle;
use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, FaultSpot, Severity};
use crate::time::{Tick, spoken_length};

/// The least loaded work of a prime muscle in one class that counts. Common practice says a few sets; 3 min is our
/// estimate of that.
pub const MUCH: Tick = Tick::seconds(180);

pub(super) const ABOUT: CheckRule = CheckRule {
    code: FaultCode::NotRecovered,
    severity: Severity::Warning,
    source: "common practice: about 48 hours, counted in nights (2 unless you set another number); 3 min of work as the limit is our estimate",
    explain: "The class loads a prime muscle for 3 min or more, and a class in the log, within the nights of rest that are set, also loaded it for 3 min or more.",
};

/// Adds a warning for each past class whose muscles this class would load too soon. It is never a fault: the coach
/// knows the people.
pub fn check(schedule: &Schedule, past: &PastClasses, found: &mut Vec<Fault>) {
    for line in too_soon(schedule, past) {
        let fault = Fault::warning(FaultCode::NotRecovered, FaultSpot::File, line);
        found.push(
            fault.help("an estimate: change the block, use lighter kit, or choose another day; you know your people"),
        );
    }
}

/// The same as one line for each past class, the latest class first.
pub fn too_soon(schedule: &Schedule, past: &PastClasses) -> Vec<String> {
    let now = loaded_muscles(&work_until(schedule, schedule.total()));
    let classes = past.classes.iter().rev().filter_map(|class| {
        // Both are calendar days: the nights between them count, not the hours.
        let nights = class.day.until(past.today).ok()?.get_days();
        if nights < 0 || nights >= i32::from(past.nights) {
            return None;
        }
        let again = class.day.checked_add(jiff::Span::new().days(i64::from(past.nights))).ok()?;
        let then = loaded_muscles(&class.work);
        let both = |muscle: Muscle| Some((muscle, *then.get(&muscle)?, *now.get(&muscle)?));
        let mut muscles: Vec<(Muscle, Tick)> = (Muscle::ALL.iter().filter_map(|&muscle| both(muscle)))
            .filter(|(_, then, now)| *then >= MUCH && *now >= MUCH)
            .map(|(muscle, then, _)| (muscle, then))
            .collect();
        muscles.sort_by_key(|(_, then)| std::cmp::Reverse(*then));
        let words: Vec<String> = muscles
            .iter()
            .map(|(muscle, then)| format!("{} {}", muscle.words(), spoken_length(Tick::seconds(then.0 / 1000))))
            .collect();
        (!words.is_empty()).then(|| {
            let day = class.day.strftime("%a %-d %b");
            let from = again.strftime("%a %-d %b");
            format!("\"{}\" on {day} loaded {}: load again from {from}", class.title, words.join(", "))
        })
    });
    classes.collect()
}
