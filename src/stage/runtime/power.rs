//! The battery of the computer, if the system reports it.

use class::words::{WORDS, fill};

/// The battery in a few words, such as `battery 63 %, not plugged in`. None without a battery, or if nothing is known
/// about it.
pub fn battery() -> Option<String> {
    let (percent, plugged_in) = charge()?;
    let words = &WORDS.lead.system;
    let wording = if plugged_in { &words.plugged_in } else { &words.not_plugged_in };
    Some(fill(wording, &[("percent", &percent.to_string())]))
}

/// The charge of the battery in percent, and whether it is plugged in. None without a battery, or if nothing is known
/// about it.
#[cfg(target_os = "linux")]
pub fn charge() -> Option<(u8, bool)> {
    let supplies = std::fs::read_dir("/sys/class/power_supply").ok()?;
    supplies.flatten().take(32).find_map(|supply| {
        let read = |name: &str| {
            let text = std::fs::read_to_string(supply.path().join(name)).ok()?;
            Some(text.trim().to_owned())
        };
        // A mouse may have a battery too.
        let own = read("type")? == "Battery" && read("scope").is_none_or(|scope| scope != "Device");
        let percent: u8 = own.then(|| read("capacity")?.parse().ok())??;
        Some((percent, matches!(read("status")?.as_str(), "Charging" | "Full")))
    })
}

/// Other systems are not asked.
#[cfg(not(target_os = "linux"))]
pub fn charge() -> Option<(u8, bool)> {
    None
}
