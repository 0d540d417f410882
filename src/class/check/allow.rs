//! Findings that the coach allows, for a block or for the whole class.

use crate::session::fault::{Fault, FaultCode, LazyPath, Severity};
use crate::session::{Allowance, Session};

/// Marks the allowed findings; a block's own allowance goes before the session's. Returns a finding for each allowance
/// that allows nothing. Allowances of rules that look at the log or the screen are left out: such a rule may find
/// something on one day and nothing on another.
pub(super) fn allow(session: &Session, found: &mut [Fault]) -> Vec<Fault> {
    let mut idle = Vec::new();
    let top = LazyPath::FILE;
    let blocks = top.field("blocks");
    for (index, block) in session.blocks.iter().enumerate() {
        let block_here = blocks.item(index);
        mark(&block_here.field("allow"), &block.allow, found, &mut idle, |fault| fault.block() == Some(index));
    }
    mark(&top.field("allow"), &session.allow, found, &mut idle, |_| true);
    idle
}

fn mark(
    here: &LazyPath<'_>,
    allowances: &[Allowance],
    found: &mut [Fault],
    idle: &mut Vec<Fault>,
    reaches: impl Fn(&Fault) -> bool,
) {
    for (index, allowance) in allowances.iter().enumerate() {
        let mut is_used = false;
        for fault in found.iter_mut().filter(|fault| fault.code == allowance.rule && reaches(fault)) {
            is_used = true;
            fault.allowed.get_or_insert_with(|| allowance.why.clone());
        }
        if !is_used && !allowance.rule.is_of_elsewhere() {
            let at = here.item(index).value();
            let message = format!("{} is allowed here, but finds nothing", allowance.rule);
            let fault = Fault { severity: Severity::Info, ..Fault::new(FaultCode::AllowsNothing, at, message) };
            idle.push(fault.help("delete this allowance"));
        }
    }
}

#[cfg(test)]
mod tests {
    use strum::IntoEnumIterator;

    use super::*;
    use crate::check::advice::RULES;

    #[test]
    fn every_rule_may_be_allowed_and_nothing_else() {
        for code in FaultCode::iter() {
            assert_eq!(code.is_advice(), RULES.iter().any(|rule| rule.code == code), "{code}");
        }
    }
}
