//! The checks of a file of movements. One run collects all faults.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::catalogue::{CatalogueEntry, CatalogueFault, CatalogueFaultPlace, short};
use super::file::{CatalogueInsteadRon, CatalogueTierRon, MovementRon};
use super::{CautionAlternative, Movement, Pattern};
use crate::nearest_name::nearest_of;
use crate::time::{Tempo, TempoFault};

/// The maximum length of an id or a name, in characters.
pub(super) const LONGEST_NAME: usize = 40;
/// The maximum length of a prompt, in characters. The coach can say it in one breath and the pane shows it on one line.
const LONGEST_PROMPT: usize = 40;
/// The number of prompts that a movement has.
const PROMPTS: RangeInclusive<usize> = 2..=5;
/// The maximum length of a fault, a fix, an easier or harder option, or an alternative, in characters.
const LONGEST_LINE: usize = 80;
/// The maximum length of a setup, in characters.
const LONGEST_SETUP: usize = 200;
/// The maximum number of entries in any list of a movement except its prompts.
const LONGEST_LIST: usize = 20;
/// The maximum number of pieces of one kind of kit for one person.
const MOST_PIECES: u8 = 10;

/// A fault in a field of a movement.
pub(super) fn fault(file: &str, index: usize, field: &'static str, items: &[usize], message: String) -> CatalogueFault {
    let place = CatalogueFaultPlace { movement: Some(index), field: Some(field), items: items.to_vec() };
    CatalogueFault { file: file.to_owned(), place, at: None, message, help: None }
}

/// Checks a movement by itself.
pub(super) fn check_one(written: &MovementRon, file: &str, index: usize, faults: &mut Vec<CatalogueFault>) {
    let mut say = |field: &'static str, items: &[usize], message: String, help: Option<String>| {
        faults.push(CatalogueFault { help, ..fault(file, index, field, items, message) });
    };
    if !is_id(&written.id) {
        say(
            "id",
            &[],
            format!("`{}` is not an id", excerpt(&written.id)),
            Some(format!("use lower-case letters, digits and single hyphens, at most {LONGEST_NAME} characters")),
        );
    }
    let mut line = |field: &'static str, items: &[usize], text: &str, longest: usize| {
        if text.trim().is_empty() {
            say(field, items, "this text is empty".to_owned(), None);
        } else if text.chars().any(char::is_control) {
            say(
                field,
                items,
                "this text has a line break or another control character".to_owned(),
                Some("write it on one line".to_owned()),
            );
        } else if text.chars().count() > longest {
            let letters = text.chars().count();
            say(field, items, format!("{letters} characters, at most {longest} fit"), None);
        }
    };
    line("name", &[], &written.name, LONGEST_NAME);
    if written.short.is_some() || written.name.chars().count() <= LONGEST_NAME {
        line("short", &[], &short(written), Movement::SHORT);
    }
    if let Some(said) = &written.said {
        line("said", &[], said, LONGEST_LINE);
    }
    for (place, name) in written.also.iter().enumerate() {
        line("also", &[place], name, LONGEST_NAME);
    }
    for (place, kit) in written.kit.iter().enumerate() {
        line("kit", &[place], &kit.item, LONGEST_NAME);
    }
    line("setup", &[], &written.setup, LONGEST_SETUP);
    for (place, prompt) in written.prompts.iter().enumerate() {
        line("prompts", &[place], prompt, LONGEST_PROMPT);
    }
    for (place, (fault, fix)) in written.faults.iter().enumerate() {
        line("faults", &[place, 0], fault, LONGEST_LINE);
        line("faults", &[place, 1], fix, LONGEST_LINE);
    }
    for (field, tier) in tiers(written) {
        line(field, &[], &tier.what, LONGEST_LINE);
    }
    for (place, (_, instead)) in written.cautions.iter().enumerate() {
        if let CatalogueInsteadRon::Text(text) = instead {
            line("cautions", &[place], text, LONGEST_LINE);
        }
    }
    for (place, word) in written.phases.iter().flat_map(|(lower, lift)| [(0, lower), (1, lift)]) {
        line("phases", &[place], word, Movement::SHORT);
    }

    if !PROMPTS.contains(&written.prompts.len()) {
        let (least, most) = (PROMPTS.start(), PROMPTS.end());
        say(
            "prompts",
            &[],
            format!("{} {}", written.prompts.len(), if written.prompts.len() == 1 { "prompt" } else { "prompts" }),
            Some(format!("give {least} to {most}")),
        );
    }
    if written.prime.is_empty() {
        say("prime", &[], "no muscle is named".to_owned(), Some("name at least one prime mover".to_owned()));
    }
    for (place, muscle) in written.helping.iter().enumerate() {
        if written.prime.contains(muscle) {
            say("helping", &[place], format!("{} is already a prime mover", muscle.words()), None);
        }
    }
    for (place, kit) in written.kit.iter().enumerate() {
        if !(1..=MOST_PIECES).contains(&kit.count) {
            say(
                "kit",
                &[place],
                format!("count {} is out of range", kit.count),
                Some(format!("write 1 to {MOST_PIECES}")),
            );
        }
    }
    for (field, length) in [
        ("also", written.also.len()),
        ("kit", written.kit.len()),
        ("prime", written.prime.len()),
        ("helping", written.helping.len()),
        ("faults", written.faults.len()),
        ("cautions", written.cautions.len()),
    ] {
        if length > LONGEST_LIST {
            say(field, &[], format!("{length} entries are too many"), Some(format!("write at most {LONGEST_LIST}")));
        }
    }
    match written.tempo.as_deref().map(str::parse::<Tempo>) {
        Some(Err(wrong)) => {
            let help = (wrong != TempoFault::Shape).then(|| "write a tempo such as 2-0-2-0".to_owned());
            say("tempo", &[], wrong.to_string(), help);
        }
        Some(Ok(_)) if written.pattern == Pattern::Carry => {
            say("tempo", &[], "a carry has no repetitions".to_owned(), Some("leave out the tempo".to_owned()));
        }
        None if written.starts.is_some() => {
            say("starts", &[], "`starts` needs a tempo".to_owned(), Some("add a tempo".to_owned()));
        }
        None if written.phases.is_some() => {
            say("phases", &[], "`phases` needs a tempo".to_owned(), Some("add a tempo".to_owned()));
        }
        _ => {}
    }
    for (place, (region, _)) in written.cautions.iter().enumerate() {
        if written.cautions[..place].iter().any(|(before, _)| before == region) {
            say("cautions", &[place], format!("{} is listed twice", region.words()), None);
        }
    }
}

/// Checks the references from movements to other movements.
pub(super) fn check_all(
    entries: &[CatalogueEntry],
    by_id: &BTreeMap<String, usize>,
    files: &[&str],
    faults: &mut Vec<CatalogueFault>,
) {
    for entry in entries {
        let own = &entry.movement;
        let mut named = |field: &'static str, items: &[usize], id: &str| -> Option<&CatalogueEntry> {
            let at = |message| fault(files[entry.source], entry.index, field, items, message);
            if id == own.id {
                faults
                    .push(at("this is the movement itself".to_owned()).helped("name a different movement".to_owned()));
                return None;
            }
            let found = by_id.get(id).map(|&index| &entries[index]);
            if found.is_none() {
                let near = nearest_of(id, by_id.keys().map(|known| (known.as_str(), known)));
                let fault = at(format!("there is no movement `{}`", excerpt(id)));
                faults.push(match near {
                    Some((_, near)) => fault.helped(format!("did you mean `{near}`?")),
                    None => fault,
                });
            }
            found
        };
        for (field, tier) in [("easier", &own.easier), ("harder", &own.harder)] {
            if let Some(id) = tier.as_ref().and_then(|tier| tier.movement.as_ref()) {
                named(field, &[], id);
            }
        }
        let mut unsafe_ones = Vec::new();
        for (place, caution) in own.cautions.iter().enumerate() {
            let CautionAlternative::Movement { id, .. } = &caution.instead else { continue };
            let Some(other) = named("cautions", &[place], id) else { continue };
            if other.movement.cautions.iter().any(|theirs| theirs.region == caution.region) {
                // The fault is reported in the later of the two files, because that is the one a coach can change.
                let (at, items) = if other.source > entry.source { (other, &[][..]) } else { (entry, &[place][..]) };
                let message = format!(
                    "`{id}` is the alternative to `{}` for {}, but has the same caution",
                    own.id,
                    caution.region.words()
                );
                unsafe_ones.push(fault(files[at.source], at.index, "cautions", items, message));
            }
        }
        faults.append(&mut unsafe_ones);
    }
}

fn tiers(written: &MovementRon) -> impl Iterator<Item = (&'static str, &CatalogueTierRon)> {
    let easier = written.easier.as_ref().map(|tier| ("easier", tier));
    easier.into_iter().chain(written.harder.as_ref().map(|tier| ("harder", tier)))
}

/// Whether a text is an id: at most 40 lower-case letters and digits, with single hyphens between them.
pub(super) fn is_id(text: &str) -> bool {
    text.len() <= LONGEST_NAME
        && text
            .split('-')
            .all(|word| !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit()))
}

/// The first 40 characters of a wrong text, for a message.
pub(super) fn excerpt(text: &str) -> String {
    let short: String = text.chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
    if text.chars().count() > LONGEST_NAME { short + "…" } else { short }
}
