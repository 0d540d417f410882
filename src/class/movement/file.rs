//! A movement as a file writes it: the structs that RON is read into. [`Movement`](super::Movement) is a separate type.
//!
//! A file is a list of movements. Unknown fields are refused. These fields are optional:
//!
//! | field | if omitted |
//! | --- | --- |
//! | `short` | the name in capitals, which must then have at most 14 characters |
//! | `said`, `easier`, `harder` | none |
//! | `also`, `kit`, `helping`, `faults`, `cautions` | none |
//! | `sides` | `together` |
//! | `loaded` | `true` |
//! | `skill` | `false` |
//! | `tempo` | no repetitions: a hold, a carry or a flow |
//! | `starts` | `lower` |
//! | `phases` | `("lower", "lift")` |

use std::fmt;

use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, Error, MapAccess, Visitor};

use super::{Load, Muscle, Pattern, Position, Region, Sides};
use crate::time::FirstPhase;

/// One movement of a file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MovementRon {
    pub id: String,
    pub name: String,
    #[serde(default)]
    pub short: Option<String>,
    #[serde(default)]
    pub said: Option<String>,
    #[serde(default)]
    pub also: Vec<String>,
    pub pattern: Pattern,
    pub position: Position,
    #[serde(default)]
    pub kit: Vec<CatalogueKitRon>,
    #[serde(default = "together")]
    pub sides: Sides,
    pub prime: Vec<Muscle>,
    #[serde(default)]
    pub helping: Vec<Muscle>,
    #[serde(default = "yes")]
    pub loaded: bool,
    #[serde(default)]
    pub skill: bool,
    #[serde(default)]
    pub tempo: Option<String>,
    #[serde(default)]
    pub starts: Option<FirstPhase>,
    #[serde(default)]
    pub phases: Option<(String, String)>,
    pub setup: String,
    pub prompts: Vec<String>,
    #[serde(default)]
    pub faults: Vec<(String, String)>,
    #[serde(default)]
    pub easier: Option<CatalogueTierRon>,
    #[serde(default)]
    pub harder: Option<CatalogueTierRon>,
    #[serde(default)]
    pub cautions: Vec<(Region, CatalogueInsteadRon)>,
}

fn together() -> Sides {
    Sides::Together
}

fn yes() -> bool {
    true
}

/// `"kettlebell"`, or `(item: "kettlebell", load: heavy, count: 2)`.
#[derive(Debug)]
pub(super) struct CatalogueKitRon {
    pub item: String,
    pub load: Option<Load>,
    pub count: u8,
}

/// `"hand on the box"`, or `(what: "hand on the box", movement: "split-squat-held")`.
#[derive(Debug)]
pub(super) struct CatalogueTierRon {
    pub what: String,
    pub movement: Option<String>,
}

/// `movement("id")`, `text("words")` or `leave_out`.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum CatalogueInsteadRon {
    Movement(String),
    Text(String),
    LeaveOut,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CatalogueKitFields {
    item: String,
    #[serde(default)]
    load: Option<Load>,
    #[serde(default = "one")]
    count: u8,
}

fn one() -> u8 {
    1
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CatalogueTierFields {
    what: String,
    #[serde(default)]
    movement: Option<String>,
}

/// Reads either a bare string, which is the first field, or all fields in brackets.
struct WordOrFields<T> {
    expecting: &'static str,
    word: fn(String) -> T,
}

impl<'de, T> Visitor<'de> for WordOrFields<T>
where
    T: FromFields,
    T::Whole: Deserialize<'de>,
{
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(self.expecting)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        Ok((self.word)(text.to_owned()))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        T::Whole::deserialize(MapAccessDeserializer::new(map)).map(T::from_whole)
    }
}

/// A value that may also be written as fields in brackets.
trait FromFields {
    type Whole;
    fn from_whole(whole: Self::Whole) -> Self;
}

impl FromFields for CatalogueKitRon {
    type Whole = CatalogueKitFields;
    fn from_whole(whole: CatalogueKitFields) -> CatalogueKitRon {
        CatalogueKitRon { item: whole.item, load: whole.load, count: whole.count }
    }
}

impl FromFields for CatalogueTierRon {
    type Whole = CatalogueTierFields;
    fn from_whole(whole: CatalogueTierFields) -> CatalogueTierRon {
        CatalogueTierRon { what: whole.what, movement: whole.movement }
    }
}

impl<'de> Deserialize<'de> for CatalogueKitRon {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<CatalogueKitRon, D::Error> {
        from.deserialize_any(WordOrFields {
            expecting: "a piece of kit: \"band\" or (item: \"kettlebell\", load: heavy, count: 2)",
            word: |item| CatalogueKitRon { item, load: None, count: 1 },
        })
    }
}

impl<'de> Deserialize<'de> for CatalogueTierRon {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<CatalogueTierRon, D::Error> {
        from.deserialize_any(WordOrFields {
            expecting: "an option: \"hand on the box\" or (what: \"knees down\", movement: \"push-up-kneeling\")",
            word: |what| CatalogueTierRon { what, movement: None },
        })
    }
}
