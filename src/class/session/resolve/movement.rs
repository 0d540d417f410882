//! The movement of a station: looked up by its id, or described in the session file.

use std::sync::Arc;

use super::SessionResolver;
use crate::movement::{Caution, CautionAlternative, Correction, Movement, TempoGuide, Tier};
use crate::session::excerpt::excerpt;
use crate::session::fault::{Fault, FaultCode, LazyPath};
use crate::session::ron_structs::{self, StationFieldsRon, TextRon};
use crate::session::{defaults, limits};
use crate::time::Tempo;

impl SessionResolver<'_> {
    /// The movement of an id. Reports an unknown id and suggests the nearest one.
    pub(super) fn movement(&mut self, here: LazyPath<'_>, id: &TextRon<'_>) -> Option<Arc<Movement>> {
        if let Some(movement) = self.catalogue.get(&id.0) {
            return Some(movement.clone());
        }
        if id.0.trim().is_empty() {
            self.text(here, id, limits::NAME);
            return None;
        }
        let fault = Fault::new(
            FaultCode::UnknownMovement,
            here.value(),
            format!("no movement is called \"{}\"", excerpt(&id.0)),
        );
        let near = if self.is_full() { None } else { self.catalogue.nearest(&id.0) };
        let help = match near {
            Some(near) => format!("did you mean \"{}\" ({})?", near.id, near.name),
            None => {
                format!("search with `forecall moves WORDS`, or describe it here: (name: \"{}\")", excerpt(&id.0))
            }
        };
        self.say(fault.help(help));
        None
    }

    /// The movement that a station describes in the session file.
    pub(super) fn described(
        &mut self,
        here: LazyPath<'_>,
        station: &StationFieldsRon<'_>,
        name: &TextRon<'_>,
        tempo: Option<Tempo>,
    ) -> Arc<Movement> {
        let name = self.text(here.field("name"), name, limits::NAME);
        let (lower, lift) = match &station.phases {
            Some((lower, lift)) => {
                let here = here.field("phases");
                (self.text(here.item(0), lower, limits::NAME), self.text(here.item(1), lift, limits::NAME))
            }
            None => (defaults::PHASES.0.to_owned(), defaults::PHASES.1.to_owned()),
        };
        let starts = station.starts.unwrap_or(defaults::STARTS);
        Arc::new(Movement {
            id: id_of(&name),
            short: short_of(&name),
            said: station.said.as_ref().map(|said| self.text(here.field("said"), said, limits::NAME)),
            also: Vec::new(),
            pattern: station.pattern.unwrap_or(defaults::PATTERN),
            position: station.position.unwrap_or(defaults::POSITION),
            kit: Vec::new(),
            sides: station.sides.unwrap_or(defaults::SIDES),
            prime: self.words(here.field("prime"), station.prime.as_deref().unwrap_or_default()),
            helping: self.words(here.field("helping"), station.helping.as_deref().unwrap_or_default()),
            loaded: station.loaded.unwrap_or(defaults::LOADED),
            skill: false,
            guide: tempo.map(|tempo| TempoGuide { tempo, starts, lower, lift }),
            setup: station
                .setup
                .as_ref()
                .map_or_else(String::new, |setup| self.text(here.field("setup"), setup, limits::LINE)),
            prompts: Vec::new(),
            faults: Vec::new(),
            easier: None,
            harder: None,
            cautions: self.cautions(here.field("cautions"), station.cautions.as_deref().unwrap_or_default()),
            name,
        })
    }

    fn cautions(
        &mut self,
        here: LazyPath<'_>,
        written: &[(crate::movement::Region, ron_structs::InsteadRon<'_>)],
    ) -> Vec<Caution> {
        self.short_list(here, written.len());
        let mut cautions: Vec<Caution> = Vec::new();
        for (index, (region, instead)) in written.iter().take(limits::LIST).enumerate() {
            let here = here.item(index);
            let (region_here, instead_here) = (here.item(0), here.item(1));
            if cautions.iter().any(|before| before.region == *region) {
                let fault = Fault::warning(
                    FaultCode::Repeated,
                    region_here.value(),
                    format!("{} is already in the list", region.words()),
                );
                self.say(fault.help("remove it"));
            }
            let instead = match instead {
                ron_structs::InsteadRon::Movement(id) => {
                    let written_id = id.0.clone().into_owned();
                    let found = self.movement(instead_here.item(0), id);
                    let name = found.map_or_else(|| written_id.clone(), |movement| movement.name.clone());
                    CautionAlternative::Movement { id: written_id, name }
                }
                ron_structs::InsteadRon::Text(text) => {
                    CautionAlternative::Text(self.text(instead_here.item(0), text, limits::LINE))
                }
                ron_structs::InsteadRon::LeaveOut => CautionAlternative::LeaveOut,
            };
            cautions.push(Caution { region: *region, instead });
        }
        cautions
    }

    /// Prompts that the coach can say.
    pub(super) fn prompts(&mut self, here: LazyPath<'_>, written: &[TextRon<'_>]) -> Vec<String> {
        self.short_list(here, written.len());
        let prompts = written.iter().take(limits::LIST).enumerate();
        prompts.map(|(index, prompt)| self.text(here.item(index), prompt, limits::LINE)).collect()
    }

    /// Common faults, each with its fix.
    pub(super) fn corrections(
        &mut self,
        here: LazyPath<'_>,
        written: &[ron_structs::CorrectionRon<'_>],
    ) -> Vec<Correction> {
        self.short_list(here, written.len());
        let mut corrections = Vec::new();
        for (index, correction) in written.iter().take(limits::LIST).enumerate() {
            let here = here.item(index);
            let ((fault_at, fault), (fix_at, fix)) = match correction {
                ron_structs::CorrectionRon::Record(record) => {
                    ((here.field("fault"), &record.fault), (here.field("fix"), &record.fix))
                }
                ron_structs::CorrectionRon::Pair(fault, fix) => ((here.item(0), fault), (here.item(1), fix)),
            };
            corrections.push(Correction {
                fault: self.text(fault_at, fault, limits::LINE),
                fix: self.text(fix_at, fix, limits::LINE),
            });
        }
        corrections
    }

    /// An easier or a harder option.
    pub(super) fn tier(&mut self, here: LazyPath<'_>, written: &ron_structs::TierRon<'_>) -> Tier {
        match written {
            ron_structs::TierRon::Text(text) => Tier { what: self.text(here, text, limits::LINE), movement: None },
            ron_structs::TierRon::Record(record) => Tier {
                what: self.text(here.field("what"), &record.what, limits::LINE),
                movement: record.movement.as_ref().and_then(|id| {
                    let movement = self.movement(here.field("movement"), id)?;
                    Some(movement.id.clone())
                }),
            },
        }
    }
}

/// An id for a movement without one: the words of its name in lower case, with hyphens between them.
fn id_of(name: &str) -> String {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("-")
}

/// As many whole words of a name as fit into large lettering, in capitals.
fn short_of(name: &str) -> String {
    let capitals = name.to_uppercase();
    let mut short = String::new();
    for word in capitals.split_whitespace() {
        let joined = if short.is_empty() { word.to_owned() } else { format!("{short} {word}") };
        if joined.chars().count() > Movement::SHORT {
            break;
        }
        short = joined;
    }
    if short.is_empty() { capitals.trim().chars().take(Movement::SHORT).collect() } else { short }
}
