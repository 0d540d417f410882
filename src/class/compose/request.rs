//! What a coach asks for.

use strum::{Display, EnumIter, EnumString, IntoStaticStr};

use crate::movement::{Muscle, Region};
use crate::session::KitOwned;
use crate::time::Tick;

/// What a coach asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The title of the class; None for one after the aim, the seed and the muscles.
    pub title: Option<String>,
    /// How long the room is booked.
    pub slot: Tick,
    pub people: u32,
    /// The kit in the room. Empty: nobody has anything but a mat.
    pub kit: Vec<KitOwned>,
    pub aim: Aim,
    /// The muscles that the class is to work above others.
    pub focus: Vec<Muscle>,
    /// The regions that somebody minds.
    pub mind: Vec<Region>,
    /// Chooses between equally good classes.
    pub seed: u64,
    /// The stations that are to stay.
    pub locked: Vec<Locked>,
    /// The movements of the last class, by id.
    pub last: Vec<String>,
}

impl Default for Request {
    /// Three quarters of an hour for one person without kit.
    fn default() -> Request {
        Request {
            title: None,
            slot: Tick::seconds(45 * 60),
            people: 1,
            kit: Vec::new(),
            aim: Aim::default(),
            focus: Vec::new(),
            mind: Vec::new(),
            seed: 0,
            locked: Vec::new(),
            last: Vec::new(),
        }
    }
}

/// What a class is to train.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Display, EnumIter, EnumString, IntoStaticStr)]
#[strum(serialize_all = "snake_case")]
pub enum Aim {
    /// Weights, and rests as long as the work or longer.
    Strength,
    /// Work that keeps moving, and short rests.
    #[default]
    Conditioning,
}

/// A movement that is to stand in the draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Locked {
    /// The movement's id.
    pub movement: String,
    /// Where it is to stand; None for anywhere in the main blocks.
    pub at: Option<Place>,
}

/// A station of a draft, by index of block and of station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    pub block: usize,
    pub station: usize,
}

/// Why there is no draft.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoDraft {
    #[error("a class with a warm-up and a cool-down takes {} at least", crate::time::spoken_length(*.0))]
    TooShort(Tick),
    #[error("a class is composed for {} at most", crate::time::spoken_length(*.0))]
    TooLong(Tick),
    #[error("no movement has the id `{0}`")]
    UnknownMovement(String),
    /// With why.
    #[error("{0} cannot be kept: {1}")]
    CannotKeep(String, &'static str),
    /// With what stands in the way, where a rule of `check` does.
    #[error("with this kit and these regions there are too few movements for a class{0}")]
    TooFew(String),
    #[error("nothing else can stand there without making the class worse than a rule allows")]
    NoOther,
}
