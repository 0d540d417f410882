//! Turns the written file into a session: looks up names, reads lengths, fills in defaults, and reports every fault of
//! meaning at its value.

mod allow;
mod block;
mod kit;
mod movement;
mod sides;
mod size;
mod station;
mod value;

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use super::fault::{Fault, FaultCode, LazyPath};
use super::fields::ValueShape;
use super::ron_structs;
use super::{Session, defaults, limits};
use crate::movement::Catalogue;

/// Resolves a session. The session can be used only when none of the faults is worse than a warning.
pub(super) fn resolve(written: &ron_structs::SessionRon<'_>, catalogue: &Catalogue) -> (Session, Vec<Fault>) {
    let mut resolver = SessionResolver { catalogue, kit: kit::KnownKit::default(), faults: Vec::new() };
    let session = resolver.session(written);
    (session, resolver.faults)
}

struct SessionResolver<'a> {
    catalogue: &'a Catalogue,
    kit: kit::KnownKit<'a>,
    faults: Vec<Fault>,
}

impl<'a> SessionResolver<'a> {
    fn say(&mut self, fault: Fault) {
        // Warnings have their own limit, so that many warnings do not hide a fault.
        let alike = self.faults.iter().filter(|before| before.severity == fault.severity).count();
        if alike < limits::FAULTS {
            self.faults.push(fault);
        }
    }

    /// Whether there are already as many faults as are reported. Then it is not worth looking for the right names.
    fn is_full(&self) -> bool {
        self.faults.len() >= limits::FAULTS
    }

    fn session(&mut self, written: &'a ron_structs::SessionRon<'_>) -> Session {
        let here = LazyPath::FILE;
        let mut session = Session {
            title: self.text(here.field("title"), &written.title, limits::NAME),
            slot: written.slot.as_ref().map(|slot| self.some_length(here.field("slot"), slot)),
            people: written
                .people
                .map(|people| self.count(here.field("people"), people, &ValueShape::Count(1, 10_000))),
            look_after: self.words(here.field("look_after"), written.look_after.as_deref().unwrap_or_default()),
            kit: self.owned(here.field("kit"), written.kit.as_deref().unwrap_or_default()),
            floor: written.floor.map(|floor| self.count(here.field("floor"), floor, &ValueShape::Count(1, 100_000))),
            one_weight: written.one_weight.unwrap_or(defaults::ONE_WEIGHT),
            emergency: written.emergency.as_ref().map(|text| self.lines(here.field("emergency"), text, limits::NOTE)),
            mirror: written.mirror.unwrap_or(defaults::MIRROR),
            seed: written
                .seed
                .map_or(defaults::SEED, |seed| self.count(here.field("seed"), seed, &ValueShape::Count(0, i64::MAX))),
            talk_room: written.talk_room.map_or(defaults::TALK_ROOM, |share| {
                self.count(here.field("talk_room"), share, &ValueShape::Count(0, 100))
            }),
            music: self.music(here.field("music"), written.music.as_deref().unwrap_or_default()),
            music_in_pause: written.music_in_pause.unwrap_or(defaults::MUSIC_IN_PAUSE),
            allow: self.allow(here.field("allow"), written.allow.as_deref().unwrap_or_default()),
            blocks: Vec::new(),
        };
        if !self.countable(written) {
            return session;
        }
        self.kit = kit::KnownKit::new(self.catalogue, written);
        let calls = match &written.calls {
            Some(calls) => self.words(here.field("calls"), calls),
            None => defaults::CALLS.to_vec(),
        };
        let inherited = block::BlockDefaults {
            calls,
            level: written.level.unwrap_or(defaults::LEVEL),
            click: written.click.unwrap_or(defaults::CLICK),
            music: session.music.clone(),
        };
        let blocks = here.field("blocks");
        let mut names: HashMap<&str, usize> = HashMap::new();
        for (index, block) in written.blocks.iter().enumerate() {
            match names.entry(&block.name.0) {
                Entry::Vacant(place) => {
                    place.insert(index);
                }
                Entry::Occupied(first) => {
                    let message = format!("two blocks are called \"{}\"", super::excerpt::excerpt(&block.name.0));
                    let (at, first) = (blocks.item(index), blocks.item(*first.get()));
                    self.say(
                        Fault::warning(FaultCode::SameBlockName, at.field("name").value(), message)
                            .help(
                                "give each its own name, so that you can tell them apart on the screen and in the log",
                            )
                            .related(first.field("name").value(), "the first is here"),
                    );
                }
            }
            session.blocks.push(self.block(blocks.item(index), block, &inherited));
        }
        self.one_weight(&session);
        self.size(&session);
        session
    }

    /// Whether there are no more blocks and stations than are allowed. Reports a fault when there is no block.
    fn countable(&mut self, written: &ron_structs::SessionRon<'_>) -> bool {
        let blocks = LazyPath::FILE;
        let blocks = blocks.field("blocks");
        if written.blocks.is_empty() {
            let fault = Fault::new(FaultCode::EmptyList, blocks.value(), "a session needs at least one block");
            self.say(fault.help("write blocks: [(name: \"Hinge\", work: \"40s\", stations: [\"bell-deadlift\"])]"));
        }
        let stations: usize = written.blocks.iter().map(|block| block.stations.len()).sum();
        for (count, most, what) in
            [(written.blocks.len(), limits::BLOCKS, "blocks"), (stations, limits::STATIONS, "stations")]
        {
            if count > most {
                let message = format!("{count} {what} are too many: a session has at most {most}");
                self.say(Fault::new(FaultCode::ListTooLong, blocks.name(), message));
                return false;
            }
        }
        true
    }
}
