//! A composed draft: a whole class, not yet written to a file.

use std::sync::Arc;

use super::frame::{AFTER, BRIEFING, Frame, ROUND_REST};
use super::{Place, Request};
use crate::movement::Movement;
use crate::session::Kind;
use crate::session::list::{Form, Found, List, ListedBlock, ListedStation};
use crate::session::write::{Heading, write_session};
use crate::time::{Tick, spoken_length};

/// A composed class.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    pub title: String,
    pub blocks: Vec<DraftBlock>,
    /// The text of the session file.
    pub text: String,
    /// None when every main block is proven to be the best by the objective. Otherwise how far from the best it may be,
    /// in words.
    pub gap: Option<String>,
    pub(super) frame: Frame,
    /// Ids of the movements that were swapped out before. They do not come back.
    pub(super) barred: Vec<String>,
}

/// A block of a draft.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftBlock {
    pub name: String,
    pub kind: Kind,
    /// Whether groups rotate through the stations, because there is not enough kit for everybody at once.
    pub rotation: bool,
    pub work: Tick,
    pub rest: Tick,
    pub rounds: u32,
    pub stations: Vec<DraftStation>,
}

/// A station of a draft.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftStation {
    pub movement: Arc<Movement>,
    /// Why the movement was chosen, one reason each.
    pub why: Vec<String>,
}

impl Draft {
    /// The station at a place.
    pub fn at(&self, place: Place) -> Option<&DraftStation> {
        self.blocks.get(place.block)?.stations.get(place.station)
    }

    /// Every place, in the order of the class.
    pub fn places(&self) -> impl Iterator<Item = Place> {
        let of_block = |(block, of): (usize, &DraftBlock)| {
            (0..of.stations.len()).map(move |station| Place { block, station }).collect::<Vec<_>>()
        };
        self.blocks.iter().enumerate().flat_map(of_block)
    }
}

/// The title of a class: the requested one, or one made from the aim, the seed and the focus.
pub(super) fn title(request: &Request) -> String {
    if let Some(title) = &request.title {
        return title.clone();
    }
    let aim = match request.aim {
        super::Aim::Strength => "Strength",
        super::Aim::Conditioning => "Conditioning",
    };
    let muscles: Vec<String> = request.focus.iter().map(|muscle| muscle.words()).collect();
    let long: usize = muscles.iter().map(String::len).sum();
    let focus = match muscles.len() {
        0 => String::new(),
        1..4 if long < 40 => format!(", {}", muscles.join(" and ")),
        _ => format!(", {} and more", muscles[0]),
    };
    format!("{aim} {}{focus}", request.seed)
}

/// The text of the session file.
pub(super) fn text(request: &Request, title: &str, kit: &[crate::session::KitOwned], blocks: &[DraftBlock]) -> String {
    let listed = blocks.iter().map(|block| {
        let main = block.kind == Kind::Main;
        let stations = block.stations.iter().map(|station| ListedStation {
            line: 0,
            written: station.movement.id.clone(),
            found: Found::Named(Arc::clone(&station.movement)),
            work: None,
            reps: None,
            sides: None,
        });
        ListedBlock {
            name: block.name.clone(),
            kind: block.kind,
            form: if block.rotation { Form::Rotation } else { Form::Circuit },
            work: Some(block.work),
            reps: None,
            rest: block.rest,
            rest_after: AFTER,
            rounds: block.rounds,
            round_rest: (block.rounds > 1).then_some(ROUND_REST),
            briefing: if main { BRIEFING } else { Tick::ZERO },
            stations: stations.collect(),
        }
    });
    let list = List { title: None, blocks: listed.collect(), remarks: Vec::new() };
    let heading = Heading {
        title: title.to_owned(),
        slot: Some(request.slot),
        people: Some(request.people.max(1)),
        mind: request.mind.clone(),
        kit: kit.to_vec(),
        notes: vec![
            "A draft, composed from the catalogue. A coach must read it before anybody follows it.".to_owned(),
            "It allows for the slot, the kit and the regions to look after, not for the people. Not medical advice."
                .to_owned(),
            format!(
                "Asked for: {} in {}, seed {}. The same request gives the same class.",
                request.aim,
                spoken_length(request.slot),
                request.seed
            ),
        ],
    };
    write_session(&heading, &list)
}
