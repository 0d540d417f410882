//! The request: the class that a coach wants.

use strum::{Display, EnumIter, EnumString, IntoStaticStr};

use crate::movement::{Muscle, Region};
use crate::session::OwnedKit;
use crate::time::Tick;

/// The request for a class.
#[derive(Clone, Debug, PartialEq)]
pub struct ComposeRequest {
    /// The title of the class. None for a title made from the aim, the seed and the focus muscles.
    pub title: Option<String>,
    /// How long the room is booked for.
    pub slot: Tick,
    pub people: u32,
    /// The kit in the room. Empty means a mat for each person.
    pub kit: Vec<OwnedKit>,
    pub aim: ClassAim,
    /// The focus muscles: the class works them more than others.
    pub focus: Vec<Muscle>,
    /// The regions and states to look after.
    pub look_after: Vec<Region>,
    /// Chooses between equally good classes.
    pub seed: u64,
    /// The movements that the class must contain.
    pub locked: Vec<KeptMovement>,
    /// The movements of the last class, by id.
    pub last: Vec<String>,
}

impl Default for ComposeRequest {
    /// 45 minutes for one person without kit.
    fn default() -> ComposeRequest {
        ComposeRequest {
            title: None,
            slot: Tick::seconds(45 * 60),
            people: 1,
            kit: Vec::new(),
            aim: ClassAim::default(),
            focus: Vec::new(),
            look_after: Vec::new(),
            seed: 0,
            locked: Vec::new(),
            last: Vec::new(),
        }
    }
}

/// What a class trains.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Display, EnumIter, EnumString, IntoStaticStr)]
#[strum(serialize_all = "snake_case")]
pub enum ClassAim {
    /// Weights or bands, and rests at least as long as the work.
    Strength,
    /// Work that keeps people moving, and short rests.
    #[default]
    Conditioning,
}

/// A movement that the composed class must contain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptMovement {
    /// The movement's id.
    pub movement: String,
    /// Its place. None for anywhere in the main blocks.
    pub at: Option<StationPlace>,
}

/// A station of a composed class, by index of the block and of the station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StationPlace {
    pub block: usize,
    pub station: usize,
}

/// Why there is no composed class.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ComposeError {
    #[error("a class with a warm-up and a cool-down takes at least {}", crate::time::spoken_length(*.0))]
    TooShort(Tick),
    #[error("the longest class that can be composed takes {}", crate::time::spoken_length(*.0))]
    TooLong(Tick),
    #[error("no movement has the id `{0}`")]
    UnknownMovement(String),
    /// With the movement, and the reason.
    #[error("{0} cannot be kept: {1}")]
    CannotKeep(String, &'static str),
    /// With the finding of `check` that prevents a class, if there is one.
    #[error("too few movements fit this kit and the regions to look after{0}")]
    TooFew(String),
    #[error("no other movement fits there without a warning from check")]
    NoSwap,
}
