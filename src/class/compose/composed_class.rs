//! A composed class: a whole class, not yet written to a file.

use std::sync::Arc;

use super::frame::{AFTER, BRIEFING, ClassFrame, ROUND_REST};
use super::{ComposeRequest, StationPlace};
use crate::movement::Movement;
use crate::session::BlockKind;
use crate::session::list::{ListedBlock, ListedFormat, ListedStation, MovementList, NameMatch};
use crate::session::write::{SessionHeading, write_session};
use crate::time::{Tick, spoken_length};

/// A composed class.
#[derive(Clone, Debug, PartialEq)]
pub struct ComposedClass {
    pub title: String,
    pub blocks: Vec<ComposedBlock>,
    /// The text of the session file.
    pub text: String,
    /// None when every main block is proven to be the best by the objective. Otherwise how far from the best it may be,
    /// in words.
    pub gap: Option<String>,
    pub(super) frame: ClassFrame,
    /// Ids of the movements that were swapped out before. They do not come back.
    pub(super) barred: Vec<String>,
}

/// A block of a composed class.
#[derive(Clone, Debug, PartialEq)]
pub struct ComposedBlock {
    pub name: String,
    pub kind: BlockKind,
    /// Whether groups rotate through the stations, because there is not enough kit for everybody at once.
    pub rotation: bool,
    pub work: Tick,
    pub rest: Tick,
    pub rounds: u32,
    pub stations: Vec<ComposedStation>,
}

/// A station of a composed class.
#[derive(Clone, Debug, PartialEq)]
pub struct ComposedStation {
    pub movement: Arc<Movement>,
    /// Why the movement was chosen, one reason each.
    pub why: Vec<String>,
}

impl ComposedClass {
    /// The station at a place.
    pub fn at(&self, place: StationPlace) -> Option<&ComposedStation> {
        self.blocks.get(place.block)?.stations.get(place.station)
    }

    /// Every place, in the order of the class.
    pub fn places(&self) -> impl Iterator<Item = StationPlace> {
        let of_block = |(block, of): (usize, &ComposedBlock)| {
            (0..of.stations.len()).map(move |station| StationPlace { block, station }).collect::<Vec<_>>()
        };
        self.blocks.iter().enumerate().flat_map(of_block)
    }
}

/// The title of a class: the requested one, or one made from the aim, the seed and the focus.
pub(super) fn title(request: &ComposeRequest) -> String {
    if let Some(title) = &request.title {
        return title.clone();
    }
    let aim = match request.aim {
        super::ClassAim::Strength => "Strength",
        super::ClassAim::Conditioning => "Conditioning",
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
pub(super) fn text(
    request: &ComposeRequest,
    title: &str,
    kit: &[crate::session::OwnedKit],
    blocks: &[ComposedBlock],
) -> String {
    let listed = blocks.iter().map(|block| {
        let main = block.kind == BlockKind::Main;
        let stations = block.stations.iter().map(|station| ListedStation {
            line: 0,
            written: station.movement.id.clone(),
            found: NameMatch::Named(Arc::clone(&station.movement)),
            work: None,
            reps: None,
            sides: None,
        });
        ListedBlock {
            name: block.name.clone(),
            kind: block.kind,
            form: if block.rotation { ListedFormat::Rotation } else { ListedFormat::Circuit },
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
    let list = MovementList { title: None, blocks: listed.collect(), remarks: Vec::new() };
    let heading = SessionHeading {
        title: title.to_owned(),
        slot: Some(request.slot),
        people: Some(request.people.max(1)),
        look_after: request.look_after.clone(),
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
