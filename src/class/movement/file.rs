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
use crate::time::Starts;

/// One movement of a file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MovementFile {
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
    pub kit: Vec<KitFile>,
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
    pub starts: Option<Starts>,
    #[serde(default)]
    pub phases: Option<(String, String)>,
    pub setup: String,
    pub prompts: Vec<String>,
    #[serde(default)]
    pub faults: Vec<(String, String)>,
    #[serde(default)]
    pub easier: Option<TierFile>,
    #[serde(default)]
    pub harder: Option<TierFile>,
    #[serde(default)]
    pub cautions: Vec<(Region, InsteadFile)>,
}

fn together() -> Sides {
    Sides::Together
}

fn yes() -> bool {
    true
}

/// `"kettlebell"`, or `(item: "kettlebell", load: heavy, count: 2)`.
#[derive(Debug)]
pub(super) struct KitFile {
    pub item: String,
    pub load: Option<Load>,
    pub count: u8,
}

/// `"hand on the box"`, or `(what: "hand on the box", movement: "split-squat-held")`.
#[derive(Debug)]
pub(super) struct TierFile {
    pub what: String,
    pub movement: Option<String>,
}

/// `movement("id")`, `text("words")` or `leave_out`.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum InsteadFile {
    Movement(String),
    Text(String),
    LeaveOut,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KitWhole {
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
struct TierWhole {
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
    T: WholeOf,
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
trait WholeOf {
    type Whole;
    fn from_whole(whole: Self::Whole) -> Self;
}

impl WholeOf for KitFile {
    type Whole = KitWhole;
    fn from_whole(whole: KitWhole) -> KitFile {
        KitFile { item: whole.item, load: whole.load, count: whole.count }
    }
}

impl WholeOf for TierFile {
    type Whole = TierWhole;
    fn from_whole(whole: TierWhole) -> TierFile {
        TierFile { what: whole.what, movement: whole.movement }
    }
}

impl<'de> Deserialize<'de> for KitFile {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<KitFile, D::Error> {
        from.deserialize_any(WordOrFields {
            expecting: "a piece of kit: \"band\" or (item: \"kettlebell\", load: heavy, count: 2)",
            word: |item| KitFile { item, load: None, count: 1 },
        })
    }
}

impl<'de> Deserialize<'de> for TierFile {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<TierFile, D::Error> {
        from.deserialize_any(WordOrFields {
            expecting: "an option: \"hand on the box\" or (what: \"knees down\", movement: \"push-up-kneeling\")",
            word: |what| TierFile { what, movement: None },
        })
    }
}
