//! Movements: what people do at a station, as the catalogue or a session file describes it.

mod catalogue;
mod check;
mod file;
mod find;
mod words;

pub use catalogue::{BUILT_IN, Catalogue, CatalogueFault, CatalogueFaultPlace, CatalogueSource, LARGEST_FILE};
pub use find::{EXACT, MovementHit, MovementQuery, NO_KIT, Suitability, find, named};
pub use words::{KitItem, Load, Muscle, Pattern, Position, Region, Sides};

use std::fmt;

use crate::time::{FirstPhase, Tempo, Tick};

/// The time that a switch of sides takes; our estimate.
pub const SIDE_SWITCH: Tick = Tick::seconds(2);

/// A movement with its full description. All text is the coach's or our own wording.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// The name session files use: lower-case words with hyphens.
    pub id: String,
    /// The name as printed: `Split squat`.
    pub name: String,
    /// The name for large lettering, at most [`Movement::SHORT`] characters: `SPLIT SQUAT`.
    pub short: String,
    /// The name as spoken, when the printed name sounds wrong.
    pub said: Option<String>,
    /// Other names that people may search for.
    pub also: Vec<String>,
    pub pattern: Pattern,
    /// The position in which the work is done.
    pub position: Position,
    /// What each person needs.
    pub kit: Vec<NeededKit>,
    pub sides: Sides,
    /// The muscles that do most of the work.
    pub prime: Vec<Muscle>,
    /// The muscles that help.
    pub helping: Vec<Muscle>,
    /// Whether it loads its prime muscles. False when it only warms or stretches them.
    pub loaded: bool,
    /// Whether it needs balance or overhead skill under load. People lose that skill when they are tired.
    pub skill: bool,
    /// None for holds and carries, which have no repetitions.
    pub guide: Option<TempoGuide>,
    /// How to get into position, in one sentence.
    pub setup: String,
    /// Two to five short prompts for the coach to say.
    pub prompts: Vec<String>,
    /// Common faults, each with its fix.
    pub faults: Vec<Correction>,
    /// The easier option; None when the catalogue has none.
    pub easier: Option<Tier>,
    /// The harder option; None when the catalogue has none.
    pub harder: Option<Tier>,
    /// Regions or states with a caution, each with what to do instead.
    pub cautions: Vec<Caution>,
}

impl Movement {
    /// The maximum length of [`Movement::short`], in characters. In lettering of 4 rows, such a name and a side fit on
    /// 80 columns.
    pub const SHORT: usize = 14;

    /// The name as spoken.
    pub fn spoken_name(&self) -> &str {
        self.said.as_deref().unwrap_or(&self.name)
    }
}

/// One piece of kit a movement needs.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NeededKit {
    pub item: KitItem,
    /// None when any load will do, or when the item has no loads.
    pub load: Option<Load>,
    /// The number for each person, from 1.
    pub count: u8,
}

impl fmt::Display for NeededKit {
    /// As a person says it: `kettlebell`, `heavy kettlebell`, `2 light dumbbells`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&counted(self.count.into(), self.load, &self.item))
    }
}

/// A number of pieces of kit, as a person says it: `2 light dumbbells`.
pub fn counted(count: u32, load: Option<Load>, item: &KitItem) -> String {
    let count_words = if count > 1 { format!("{count} ") } else { String::new() };
    let load = load.map_or_else(String::new, |load| format!("{load} "));
    let plural = match (count, item.0.as_str()) {
        (..2, _) => "",
        (_, item) if item.ends_with(['s', 'x']) => "es",
        _ => "s",
    };
    format!("{count_words}{load}{item}{plural}")
}

/// The tempo guide of a movement with repetitions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TempoGuide {
    /// The usual tempo.
    pub tempo: Tempo,
    pub starts: FirstPhase,
    /// What the lowering phase is called: `lower`, `return`.
    pub lower: String,
    /// What the lifting phase is called: `lift`, `pull`.
    pub lift: String,
}

/// A fault and its fix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Correction {
    /// What the coach sees: `knee falling in`.
    pub fault: String,
    /// What the coach says: `spread the floor`.
    pub fix: String,
}

/// An easier or a harder option of a movement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tier {
    /// What to do: `hand on the box`.
    pub what: String,
    /// The id of the movement that it becomes, when that movement is in the catalogue.
    pub movement: Option<String>,
}

/// A region of the body, or a state, that a movement is hard on, and what to do instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    pub region: Region,
    pub instead: CautionAlternative,
}

/// What anyone who goes easy on a region does instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CautionAlternative {
    /// Another movement of the catalogue. `name` is its printed name.
    Movement { id: String, name: String },
    /// A change in the same movement: `bell by the horn`.
    Text(String),
    /// There is no alternative: leave the movement out and rest.
    LeaveOut,
}
