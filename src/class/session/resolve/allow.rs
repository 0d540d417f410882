//! The rules of advice that the coach allows, by name.

use strum::IntoEnumIterator;

use super::SessionResolver;
use crate::nearest_name::nearest;
use crate::session::excerpt::excerpt;
use crate::session::fault::{Fault, FaultCode, LazyPath};
use crate::session::former_names::name_now;
use crate::session::{Allowance, limits, ron_structs};

impl SessionResolver<'_> {
    /// The allowances of the session or of a block. An allowance for an unknown rule is reported and left out.
    pub(super) fn allow(&mut self, here: LazyPath<'_>, written: &[ron_structs::AllowanceRon<'_>]) -> Vec<Allowance> {
        self.short_list(here, written.len());
        let mut allowed = Vec::new();
        for (index, allowance) in written.iter().take(limits::LIST).enumerate() {
            let here = here.item(index);
            let why = self.text(here.field("why"), &allowance.why, limits::LINE);
            let name = self.text(here.field("rule"), &allowance.rule, limits::NAME);
            match FaultCode::iter().find(|code| code.is_advice() && code.to_string() == name) {
                Some(rule) => allowed.push(Allowance { rule, why }),
                None if name.trim().is_empty() => {}
                None => {
                    let names: Vec<String> =
                        FaultCode::iter().filter(|code| code.is_advice()).map(|code| code.to_string()).collect();
                    let message = format!("no rule of advice is called \"{}\"", excerpt(&name));
                    let fault = Fault::new(FaultCode::UnknownRule, here.field("rule").value(), message);
                    let near = nearest(&name, names.iter().map(String::as_str).filter(|_| !self.is_full()));
                    let help = match (name_now(&name), near) {
                        (Some(now), _) => format!("\"{name}\" is called \"{now}\" now"),
                        (None, Some(near)) => format!("did you mean \"{near}\"?"),
                        (None, None) => "write a name that `forecall check` prints in square brackets".to_owned(),
                    };
                    self.say(fault.help(help));
                }
            }
        }
        allowed
    }
}
