//! Kit as a coach types it: `kettlebell:light:1` or `4 boxes`.

use std::collections::BTreeSet;

use crate::movement::{Catalogue, KitItem, Load};
use crate::nearest_name::nearest;
use crate::session::{KitAmount, OwnedKit};

/// The names of the kit that the movements of a catalogue use, in order.
pub fn kinds(catalogue: &Catalogue) -> Vec<String> {
    let needs = catalogue.iter().flat_map(|movement| &movement.kit);
    let kinds: BTreeSet<&str> = needs.map(|need| need.item.0.as_str()).collect();
    kinds.into_iter().map(str::to_owned).collect()
}

/// Reads one sort of kit: its name and, in any order, a load, a number from 1 to 1000, and `each` or `shared`. The
/// parts are separated by colons or by spaces. Without `each` or `shared`, one or two are for each person, and more are
/// shared.
///
/// # Errors
/// When there is no name, or a part is none of these. The text says what is allowed.
pub fn kit(text: &str) -> Result<OwnedKit, String> {
    let text = text.trim().to_lowercase();
    let coded = text.contains(':');
    let parts: Vec<&str> =
        if coded { text.split(':').map(str::trim).collect() } else { text.split_whitespace().collect() };
    let (mut item, mut load, mut count, mut shared) = (Vec::new(), None, None, None);
    for (index, &part) in parts.iter().enumerate() {
        match (part, part.parse::<u32>()) {
            _ if coded && index == 0 => item.push(part),
            ("each", _) => shared = Some(false),
            ("shared", _) => shared = Some(true),
            (_, Ok(number @ 1..=1000)) if count.is_none() => count = Some(number),
            _ => match part.parse::<Load>() {
                Ok(word) if load.is_none() => load = Some(word),
                Err(_) if !coded && part.parse::<u32>().is_err() => item.push(part),
                _ => {
                    return Err(format!("`{part}` is not a load (light, medium, heavy), a number, `each` or `shared`"));
                }
            },
        }
    }
    let item = item.join(" ");
    if item.is_empty() {
        return Err("kit needs a name, as in kettlebell:light:1".to_owned());
    }
    let count = count.unwrap_or(1);
    let amount = if shared.unwrap_or(count > 2) { KitAmount::Shared(count) } else { KitAmount::Each(count) };
    Ok(OwnedKit { item: KitItem(item), load, amount })
}

/// The same kit under the name that movements use: `box` for `boxes`.
///
/// # Errors
/// When no movement uses it. The text suggests a name.
pub fn with_catalogue_name(kit: OwnedKit, kinds: &[String]) -> Result<OwnedKit, String> {
    let name = kit.item.0.as_str();
    let forms = [Some(name), name.strip_suffix('s'), name.strip_suffix("es")];
    if let Some(kind) = forms.into_iter().flatten().find_map(|form| kinds.iter().find(|kind| *kind == form)) {
        return Ok(OwnedKit { item: KitItem(kind.clone()), ..kit });
    }
    let help = match nearest(name, kinds.iter().map(String::as_str)) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("choose from {}", kinds.join(", ")),
    };
    Err(format!("no movement uses {name}: {help}"))
}

/// Reads several sorts of kit, separated by commas.
///
/// # Errors
/// As [`kit`] and [`with_catalogue_name`].
pub fn kit_list(text: &str, kinds: &[String]) -> Result<Vec<OwnedKit>, String> {
    let parts = text.split(',').filter(|part| !part.trim().is_empty());
    parts.map(|part| kit(part).and_then(|kit| with_catalogue_name(kit, kinds))).collect()
}
