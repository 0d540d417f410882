//! What the coach has thought over and allows, for a block or for the whole class.

use crate::session::fault::{Code, Fault, Here, Severity};
use crate::session::{Allowance, Session};

/// Marks what is allowed, a block's own allowance before the session's. Returns a word on each that allows nothing, but
/// for rules that look at the log or the screen: they find something on one day and not on another.
pub(super) fn allow(session: &Session, found: &mut [Fault]) -> Vec<Fault> {
    let mut idle = Vec::new();
    let top = Here::FILE;
    let blocks = top.field("blocks");
    for (index, block) in session.blocks.iter().enumerate() {
        let block_here = blocks.item(index);
        mark(&block_here.field("allow"), &block.allow, found, &mut idle, |fault| fault.block() == Some(index));
    }
    mark(&top.field("allow"), &session.allow, found, &mut idle, |_| true);
    idle
}

fn mark(
    here: &Here<'_>,
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
            let message = format!("{} is allowed here, and there is nothing to allow", allowance.rule);
            let fault = Fault { severity: Severity::Info, ..Fault::new(Code::AllowsNothing, at, message) };
            idle.push(fault.help("take it out"));
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
        for code in Code::iter() {
            assert_eq!(code.is_advice(), RULES.iter().any(|rule| rule.code == code), "{code}");
        }
    }
}
