//! The rules of advice that the coach allows, by name.

use strum::IntoEnumIterator;

use super::Resolver;
use crate::near::nearest;
use crate::session::fault::{Code, Fault, Here};
use crate::session::shown::shown;
use crate::session::{Allowance, bounds, written};

impl Resolver<'_> {
    /// The allowances of the session or of a block. An allowance for an unknown rule is reported and left out.
    pub fn allow(&mut self, here: Here<'_>, written: &[written::Allowance<'_>]) -> Vec<Allowance> {
        self.short_list(here, written.len());
        let mut allowed = Vec::new();
        for (index, allowance) in written.iter().take(bounds::LIST).enumerate() {
            let here = here.item(index);
            let why = self.text(here.field("why"), &allowance.why, bounds::LINE);
            let name = self.text(here.field("rule"), &allowance.rule, bounds::NAME);
            match Code::iter().find(|code| code.is_advice() && code.to_string() == name) {
                Some(rule) => allowed.push(Allowance { rule, why }),
                None if name.trim().is_empty() => {}
                None => {
                    let names: Vec<String> =
                        Code::iter().filter(|code| code.is_advice()).map(|code| code.to_string()).collect();
                    let message = format!("no rule of advice is called \"{}\"", shown(&name));
                    let fault = Fault::new(Code::UnknownRule, here.field("rule").value(), message);
                    let near = nearest(&name, names.iter().map(String::as_str).filter(|_| !self.is_full()));
                    let help = near.map_or_else(
                        || "write a name that `forecall check` prints in square brackets".to_owned(),
                        |near| format!("did you mean \"{near}\"?"),
                    );
                    self.say(fault.help(help));
                }
            }
        }
        allowed
    }
}
