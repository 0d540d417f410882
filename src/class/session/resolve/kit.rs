//! Kit: what people have, what a station needs, and which names are known.

use std::collections::BTreeSet;

use super::Resolver;
use crate::movement::{Catalogue, Item, KitNeed};
use crate::near::nearest;
use crate::session::fault::{Code, Fault, Here};
use crate::session::fields::Shape;
use crate::session::shown::shown;
use crate::session::written::{self, Kit};
use crate::session::{Amount, KitOwned, Session, bounds, defaults};

/// Kit that always comes in loads, even when a file names none.
const WEIGHTS: [&str; 2] = ["kettlebell", "dumbbell"];

/// The known names of kit: those of the catalogue and those of the session.
#[derive(Default)]
pub struct Known<'a> {
    items: BTreeSet<&'a str>,
    /// The names of kit that comes in loads.
    weights: BTreeSet<&'a str>,
}

impl<'a> Known<'a> {
    pub fn new(catalogue: &'a Catalogue, written: &'a written::Session<'_>) -> Known<'a> {
        let mut known = Known { items: BTreeSet::new(), weights: WEIGHTS.into() };
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

impl<'a> Resolver<'a> {
    /// The kit that people have or that is in the room.
    pub fn owned(&mut self, here: Here<'_>, written: &[written::Owned<'_>]) -> Vec<KitOwned> {
        self.short_list(here, written.len());
        let mut kit: Vec<KitOwned> = Vec::new();
        for (index, owned) in written.iter().take(bounds::LIST).enumerate() {
            let here = here.item(index);
            let item = Item(self.text(here.field("item"), &owned.item, bounds::NAME));
            let each = owned.each.map(|each| self.count(here.field("each"), each, &Shape::Count(1, 100)));
            let shared = owned.shared.map(|shared| self.count(here.field("shared"), shared, &Shape::Count(1, 10_000)));
            let amount = match (each, shared) {
                (Some(each), None) => Amount::Each(each),
                (None, Some(shared)) => Amount::Shared(shared),
                (None, None) => {
                    let fault = Fault::new(
                        Code::KitAmount,
                        here.value(),
                        format!("{} needs an amount: `each` or `shared`", shown(&item.0)),
                    );
                    self.say(fault.help("add each: 1 for one per person, or shared: 4 for four in the room"));
                    Amount::Each(1)
                }
                (Some(each), Some(_)) => {
                    let fault = Fault::new(
                        Code::KitAmount,
                        here.field("shared").value(),
                        "write either `each` or `shared`, not both",
                    );
                    self.say(fault.help("keep one of the two").beside(here.field("each").value(), "`each` is here"));
                    Amount::Each(each)
                }
            };
            if kit.iter().any(|before| before.item == item && before.load == owned.load) {
                let message = format!("{} with this load is already in the list", shown(&item.0));
                self.say(
                    Fault::warning(Code::Repeated, here.field("item").value(), message)
                        .help("write one entry with the total"),
                );
            }
            kit.push(KitOwned { item, load: owned.load, amount });
        }
        kit
    }

    /// The kit that each person needs at a station.
    pub fn needs(&mut self, here: Here<'_>, written: &[Kit<'_>]) -> Vec<KitNeed> {
        self.short_list(here, written.len());
        let mut needs = Vec::new();
        for (index, kit) in written.iter().take(bounds::LIST).enumerate() {
            let here = here.item(index);
            let need = match kit {
                Kit::Item(item) => {
                    let item = self.known_item(here, item);
                    KitNeed { item, load: None, count: defaults::COUNT }
                }
                Kit::Record(record) => KitNeed {
                    item: self.known_item(here.field("item"), &record.item),
                    load: record.load,
                    count: record
                        .count
                        .map_or(defaults::COUNT, |count| self.count(here.field("count"), count, &Shape::Count(1, 10))),
                },
            };
            needs.push(need);
        }
        needs
    }

    fn known_item(&mut self, here: Here<'_>, item: &written::Text<'_>) -> Item {
        let name = self.text(here, item, bounds::NAME);
        if !self.kit.items.contains(name.as_str()) && !name.trim().is_empty() {
            let names = self.kit.items.iter().copied().filter(|_| !self.is_full());
            let near = nearest(&name, names).map(str::to_owned);
            let message = format!("no kit is called \"{}\"", shown(&name));
            let known = format!("add it to the session's kit: (item: \"{}\", shared: 1)", shown(&name));
            self.say(match near {
                Some(near) => Fault::new(Code::UnknownKit, here.value(), message)
                    .help(format!("did you mean \"{near}\"? If not, {known}")),
                None => Fault::warning(Code::UnknownKit, here.value(), message).help(known),
            });
        }
        Item(name)
    }

    /// Checks that a station with two weights has a variant when everybody has only one weight.
    pub fn one_weight(&mut self, session: &Session) {
        if !session.one_weight {
            return;
        }
        for (block_index, block) in session.blocks.iter().enumerate() {
            for (index, station) in block.stations.iter().enumerate() {
                let weights = station.kit.iter().filter(|need| self.kit.weights.contains(need.item.0.as_str()));
                let asked: u32 = weights.map(|need| u32::from(need.count)).sum();
                if asked > 1 && station.variant.is_none() {
                    let top = Here::FILE;
                    let (blocks, flag) = (top.field("blocks"), top.field("one_weight"));
                    let block = blocks.item(block_index);
                    let stations = block.field("stations");
                    let message = format!("{} needs {asked} weights, but everybody has one", station.movement.name);
                    self.say(
                        Fault::new(Code::OneWeight, stations.item(index).value(), message)
                            .help("add variant: \"..\" to say how to do it with one weight, or choose another movement")
                            .beside(flag.value(), "set here"),
                    );
                }
            }
        }
    }
}
