//! The class can read the screen from where it stands.
//!
//! Source: ISO 9241-3: capitals of at least 16 minutes of arc, 20 to 22 preferred. The formula is from NUREG-0700.

use super::{AdviceRule, RuleFunction};
use crate::check::sight::{LEAST, PREFERRED, ViewingConditions, metres};
use crate::session::fault::{Fault, FaultCode, FaultSpot, Severity};

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::SmallLettering,
    severity: Severity::Warning,
    source: "ISO 9241-3: capitals of at least 16 minutes of arc, 20 to 22 preferred",
    explain: "From the distance set in the config, names or digits look smaller than 16 minutes of arc (a warning) or 20 (a hint). Checked only if `forecall config` has a distance. The height of the screen comes from the config, too; the number of rows is that of the terminal in which check runs.",
    find: RuleFunction::Screen(find),
};

fn find(sight: &ViewingConditions, found: &mut Vec<Fault>) {
    let (digits, names) = sight.arc_minutes();
    let (what, minutes) = if digits < names { ("the digits", digits) } else { ("names", names) };
    if minutes >= PREFERRED {
        return;
    }
    let severity = if minutes < LEAST { Severity::Warning } else { Severity::Info };
    // Never rounded up to a size that would be enough.
    let message = format!(
        "from {}, {what} are {} minutes of arc high (at least 16, better 20)",
        metres(sight.distance),
        minutes.floor()
    );
    let help = format!(
        "easy to read from up to {}: use a larger screen, or bring people nearer",
        metres(sight.reading_distance() / 100 * 100)
    );
    found.push(Fault { severity, ..RULE.finding(FaultSpot::File, message) }.help(help));
}
