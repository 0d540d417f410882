//! Kit: what people have, what a station needs, and which names are known.

use std::collections::BTreeSet;

use super::SessionResolver;
use crate::movement::{Catalogue, KitItem, NeededKit};
use crate::nearest_name::nearest;
use crate::session::excerpt::excerpt;
use crate::session::fault::{Fault, FaultCode, LazyPath};
use crate::session::fields::ValueShape;
use crate::session::ron_structs::{self, KitRon};
use crate::session::{KitAmount, OwnedKit, Session, defaults, limits};

/// Kit that always comes in loads, even when a file names none.
const WEIGHTS: [&str; 2] = ["kettlebell", "dumbbell"];

/// The known names of kit: those of the catalogue and those of the session.
#[derive(Default)]
pub(super) struct KnownKit<'a> {
    items: BTreeSet<&'a str>,
    /// The names of kit that comes in loads.
    weights: BTreeSet<&'a str>,
}

impl<'a> KnownKit<'a> {
    pub(super) fn new(catalogue: &'a Catalogue, written: &'a ron_structs::SessionRon<'_>) -> KnownKit<'a> {
        let mut known = KnownKit { items: BTreeSet::new(), weights: WEIGHTS.into() };
        for need in catalogue.iter().flat_map(|movement| &movement.kit) {
            known.add(&need.item.0, need.load.is_some());
        }
        for owned in written.kit.iter().flatten() {
            known.add(&owned.item.0, owned.load.is_some());
        }
        known
    }

    fn add(&mut self, item: &'a str, has_load: bool) {
        self.items.insert(item);
        if has_load {
            self.weights.insert(item);
        }
    }
}

impl<'a> SessionResolver<'a> {
    /// The kit that people have or that is in the room.
    pub(super) fn owned(&mut self, here: LazyPath<'_>, written: &[ron_structs::OwnedKitRon<'_>]) -> Vec<OwnedKit> {
        self.short_list(here, written.len());
        let mut kit: Vec<OwnedKit> = Vec::new();
        for (index, owned) in written.iter().take(limits::LIST).enumerate() {
            let here = here.item(index);
            let item = KitItem(self.text(here.field("item"), &owned.item, limits::NAME));
            let each = owned.each.map(|each| self.count(here.field("each"), each, &ValueShape::Count(1, 100)));
            let shared =
                owned.shared.map(|shared| self.count(here.field("shared"), shared, &ValueShape::Count(1, 10_000)));
            let amount = match (each, shared) {
                (Some(each), None) => KitAmount::Each(each),
                (None, Some(shared)) => KitAmount::Shared(shared),
                (None, None) => {
                    let fault = Fault::new(
                        FaultCode::KitAmount,
                        here.value(),
                        format!("{} needs an amount: `each` or `shared`", excerpt(&item.0)),
                    );
                    self.say(fault.help("add each: 1 for one per person, or shared: 4 for four in the room"));
                    KitAmount::Each(1)
                }
                (Some(each), Some(_)) => {
                    let fault = Fault::new(
                        FaultCode::KitAmount,
                        here.field("shared").value(),
                        "write either `each` or `shared`, not both",
                    );
                    self.say(fault.help("keep one of the two").related(here.field("each").value(), "`each` is here"));
                    KitAmount::Each(each)
                }
            };
            if kit.iter().any(|before| before.item == item && before.load == owned.load) {
                let message = format!("{} with this load is already in the list", excerpt(&item.0));
                self.say(
                    Fault::warning(FaultCode::Repeated, here.field("item").value(), message)
                        .help("write one entry with the total"),
                );
            }
            kit.push(OwnedKit { item, load: owned.load, amount });
        }
        kit
    }

    /// The kit that each person needs at a station.
    pub(super) fn needs(&mut self, here: LazyPath<'_>, written: &[KitRon<'_>]) -> Vec<NeededKit> {
        self.short_list(here, written.len());
        let mut needs = Vec::new();
        for (index, kit) in written.iter().take(limits::LIST).enumerate() {
            let here = here.item(index);
            let need = match kit {
                KitRon::Item(item) => {
                    let item = self.known_item(here, item);
                    NeededKit { item, load: None, count: defaults::COUNT }
                }
                KitRon::Record(record) => NeededKit {
                    item: self.known_item(here.field("item"), &record.item),
                    load: record.load,
                    count: record.count.map_or(defaults::COUNT, |count| {
                        self.count(here.field("count"), count, &ValueShape::Count(1, 10))
                    }),
                },
            };
            needs.push(need);
        }
        needs
    }

    fn known_item(&mut self, here: LazyPath<'_>, item: &ron_structs::TextRon<'_>) -> KitItem {
        let name = self.text(here, item, limits::NAME);
        if !self.kit.items.contains(name.as_str()) && !name.trim().is_empty() {
            let names = self.kit.items.iter().copied().filter(|_| !self.is_full());
            let near = nearest(&name, names).map(str::to_owned);
            let message = format!("no kit is called \"{}\"", excerpt(&name));
            let known = format!("add it to the session's kit: (item: \"{}\", shared: 1)", excerpt(&name));
            self.say(match near {
                Some(near) => Fault::new(FaultCode::UnknownKit, here.value(), message)
                    .help(format!("did you mean \"{near}\"? If not, {known}")),
                None => Fault::warning(FaultCode::UnknownKit, here.value(), message).help(known),
            });
        }
        KitItem(name)
    }

    /// Checks that a station with two weights has a variant when everybody has only one weight.
    pub(super) fn one_weight(&mut self, session: &Session) {
        if !session.one_weight {
            return;
        }
        for (block_index, block) in session.blocks.iter().enumerate() {
            for (index, station) in block.stations.iter().enumerate() {
                let weights = station.kit.iter().filter(|need| self.kit.weights.contains(need.item.0.as_str()));
                let asked: u32 = weights.map(|need| u32::from(need.count)).sum();
                if asked > 1 && station.variant.is_none() {
                    let top = LazyPath::FILE;
                    let (blocks, flag) = (top.field("blocks"), top.field("one_weight"));
                    let block = blocks.item(block_index);
                    let stations = block.field("stations");
                    let message = format!("{} needs {asked} weights, but everybody has one", station.movement.name);
                    self.say(
                        Fault::new(FaultCode::OneWeight, stations.item(index).value(), message)
                            .help("add variant: \"..\" to say how to do it with one weight, or choose another movement")
                            .related(flag.value(), "set here"),
                    );
                }
            }
        }
    }
}
