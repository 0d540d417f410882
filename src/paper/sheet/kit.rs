//! How much kit of each kind and load a class needs at the same time.

use std::collections::BTreeMap;

use class::movement::{KitItem, Load};
use class::session::{BlockFormat, KitAmount, Session};

/// One line for each kind and load of kit: how many are needed at the same time, and how many the session says there
/// are. If the session has no number of people, the lines count for one person.
pub fn kit_list(session: &Session) -> Vec<String> {
    let people = u64::from(session.people.unwrap_or(1));
    let mut needed: BTreeMap<(&KitItem, Option<Load>), u64> = BTreeMap::new();
    for block in &session.blocks {
        let rotation = block.format == BlockFormat::Rotation;
        // In a rotation the groups are at all stations at the same time. Otherwise everybody may be at the same
        // station.
        let at_once = if rotation { people.div_ceil(block.stations.len().max(1) as u64) } else { people };
        let mut of_block: BTreeMap<(&KitItem, Option<Load>), u64> = BTreeMap::new();
        for need in block.stations.iter().flat_map(|station| &station.kit) {
            let count = of_block.entry((&need.item, need.load)).or_default();
            let asked = u64::from(need.count) * at_once;
            *count = if rotation { *count + asked } else { asked.max(*count) };
        }
        for (kind, count) in of_block {
            let most = needed.entry(kind).or_default();
            *most = count.max(*most);
        }
    }
    needed.iter().map(|(&(item, load), count)| line(session, people, item, load, *count)).collect()
}

fn line(session: &Session, people: u64, item: &KitItem, load: Option<Load>, count: u64) -> String {
    let load_words = load.map(|load| format!(", {}", load.words())).unwrap_or_default();
    let name = format!("{}{load_words}", item.0.replace(['_', '-'], " "));
    // How many there have to be is not known before the number of people is.
    if session.people.is_none() {
        return format!("{name}: {count} per person");
    }
    let fits = |owned: Option<Load>| load.is_none() || owned.is_none() || owned == load;
    let there: Vec<u64> = (session.kit.iter())
        .filter(|owned| owned.item == *item && fits(owned.load))
        .map(|owned| match owned.amount {
            KitAmount::Each(each) => u64::from(each) * people,
            KitAmount::Shared(shared) => u64::from(shared),
        })
        .collect();
    let there = if there.is_empty() { String::new() } else { format!(" (have {})", there.iter().sum::<u64>()) };
    format!("{count} × {name}{there}")
}
