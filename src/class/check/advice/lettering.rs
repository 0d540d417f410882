//! The lettering can be read from where the class is.
//!
//! Source: ISO 9241-3, capitals of 16 minutes of arc at least, 20 to 22 preferred; the formula is that of NUREG-0700.

use super::{Find, Rule};
use crate::check::sight::{LEAST, PREFERRED, Sight, metres};
use crate::session::fault::{Code, Fault, Severity, Spot};

pub const RULE: Rule = Rule {
    code: Code::SmallLettering,
    severity: Severity::Warning,
    source: "ISO 9241-3: capitals of 16 minutes of arc at least, 20 to 22 preferred",
    explain: "From the distance that is set, the name of a movement or the digits are smaller to the eye than 16 minutes of arc (a warning), or than 20 (a hint). Asked only where forecall config has a distance; of the screen it has its height, and of the terminal its size, in which check runs.",
    find: Find::Screen(find),
};

fn find(sight: &Sight, found: &mut Vec<Fault>) {
    let (digits, names) = sight.minutes();
    let (what, minutes) = if digits < names { ("the digits", digits) } else { ("names", names) };
    if minutes >= PREFERRED {
        return;
    }
    let severity = if minutes < LEAST { Severity::Warning } else { Severity::Info };
    // Never rounded up to what would be enough.
    let message = format!("from {} {what} are {} minutes of arc to the eye", metres(sight.distance), minutes.floor());
    let help = format!(
        "they read with ease up to {}: a larger screen, or people nearer to it",
        metres(sight.reaches() / 100 * 100)
    );
    found.push(Fault { severity, ..RULE.found(Spot::File, message) }.help(help));
}
