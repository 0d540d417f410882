//! Kit as a coach types it: `kettlebell:light:1` or `4 boxes`.

use std::collections::BTreeSet;

use crate::movement::{Catalogue, KitItem, Load};
use crate::nearest_name::nearest;
use crate::session::{KitAmount, OwnedKit};

/// Why a text is not kit.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum KitTextError {
    #[error("kit needs a name, as in kettlebell:light:1")]
    NoName,
    #[error("`{0}` is not a load (light, medium, heavy), a number, `each` or `shared`")]
    UnknownPart(String),
    /// No movement uses kit of this name; movements use kit of a similar name.
    #[error("no movement uses {name}: did you mean {near}?")]
    Misspelt { name: String, near: String },
    /// No movement uses kit of this name or a similar one. With all names that movements use.
    #[error("no movement uses {name}: choose from {}", .kinds.join(", "))]
    UnknownKit { name: String, kinds: Vec<String> },
}

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
/// When there is no name, or a part is none of these.
pub fn kit(text: &str) -> Result<OwnedKit, KitTextError> {
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
                _ => return Err(KitTextError::UnknownPart(part.to_owned())),
            },
        }
    }
    let item = item.join(" ");
    if item.is_empty() {
        return Err(KitTextError::NoName);
    }
    let count = count.unwrap_or(1);
    let amount = if shared.unwrap_or(count > 2) { KitAmount::Shared(count) } else { KitAmount::Each(count) };
    Ok(OwnedKit { item: KitItem(item), load, amount })
}

/// The same kit under the name that movements use: `box` for `boxes`.
///
/// # Errors
/// When no movement uses it.
pub fn with_catalogue_name(kit: OwnedKit, kinds: &[String]) -> Result<OwnedKit, KitTextError> {
    let name = kit.item.0.as_str();
    let forms = [Some(name), name.strip_suffix('s'), name.strip_suffix("es")];
    if let Some(kind) = forms.into_iter().flatten().find_map(|form| kinds.iter().find(|kind| *kind == form)) {
        return Ok(OwnedKit { item: KitItem(kind.clone()), ..kit });
    }
    let name = name.to_owned();
    Err(match nearest(&name, kinds.iter().map(String::as_str)) {
        Some(near) => KitTextError::Misspelt { near: near.to_owned(), name },
        None => KitTextError::UnknownKit { name, kinds: kinds.to_vec() },
    })
}

/// Reads several sorts of kit, separated by commas.
///
/// # Errors
/// As [`kit`] and [`with_catalogue_name`].
pub fn kit_list(text: &str, kinds: &[String]) -> Result<Vec<OwnedKit>, KitTextError> {
    let parts = text.split(',').filter(|part| !part.trim().is_empty());
    parts.map(|part| kit(part).and_then(|kit| with_catalogue_name(kit, kinds))).collect()
}
