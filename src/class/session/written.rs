//! The session file as it is written: the structs that RON is read into. [`Session`](super::Session) is a type of its
//! own.
//!
//! Every field with a default is optional here. Lengths, tempos and numbers are kept as written, so that a fault in
//! them can be reported at its place.

use std::borrow::Cow;
use std::fmt;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Serialize};
use strum::{Display, EnumIter, EnumString};

use super::{Aim, CallWord, Kind, Level, Start};
use crate::movement::{Load, Muscle, Pattern, Position, Region, Sides};
use crate::time::Starts;

/// A text. It is borrowed from the file when it has no escapes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text<'a>(pub Cow<'a, str>);

/// A whole file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Session<'a> {
    #[serde(borrow)]
    pub title: Text<'a>,
    pub slot: Option<Text<'a>>,
    pub people: Option<i64>,
    pub mind: Option<Vec<Region>>,
    pub kit: Option<Vec<Owned<'a>>>,
    pub floor: Option<i64>,
    pub one_weight: Option<bool>,
    pub emergency: Option<Text<'a>>,
    pub mirror: Option<bool>,
    pub seed: Option<i64>,
    pub talk_room: Option<i64>,
    pub level: Option<Level>,
    pub click: Option<bool>,
    pub calls: Option<Vec<CallWord>>,
    pub music: Option<Vec<Text<'a>>>,
    pub music_in_hold: Option<bool>,
    pub allow: Option<Vec<Allowance<'a>>>,
    pub blocks: Vec<Block<'a>>,
}

/// Kit that people have or that is in the room.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Owned<'a> {
    #[serde(borrow)]
    pub item: Text<'a>,
    pub load: Option<Load>,
    pub each: Option<i64>,
    pub shared: Option<i64>,
}

/// A rule of advice that the coach allows, with the reason.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Allowance<'a> {
    #[serde(borrow)]
    pub rule: Text<'a>,
    pub why: Text<'a>,
}

/// A block.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block<'a> {
    #[serde(borrow)]
    pub name: Text<'a>,
    pub kind: Option<Kind>,
    pub format: Option<Format<'a>>,
    pub rounds: Option<i64>,
    pub work: Option<Text<'a>>,
    pub reps: Option<i64>,
    pub rest: Option<Text<'a>>,
    pub round_rest: Option<Text<'a>>,
    pub rest_after: Option<Text<'a>>,
    pub transitions: Option<Transitions<'a>>,
    pub start: Option<Start>,
    pub briefing: Option<Text<'a>>,
    pub focus: Option<Vec<Muscle>>,
    pub aim: Option<Aim>,
    pub allow: Option<Vec<Allowance<'a>>>,
    pub calls: Option<Vec<CallWord>>,
    pub level: Option<Level>,
    pub click: Option<bool>,
    pub music: Option<Vec<Text<'a>>>,
    pub sides: Option<Sides>,
    pub tempo: Option<Text<'a>>,
    pub note: Option<Text<'a>>,
    pub stations: Vec<Station<'a>>,
}

/// How the stations of a block follow each other.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "snake_case")]
pub enum Format<'a> {
    Circuit,
    Sets,
    Emom {
        #[serde(borrow)]
        every: Text<'a>,
    },
    Amrap {
        time: Text<'a>,
    },
    Ladder {
        rungs: Vec<Text<'a>>,
        way: Option<Way>,
    },
    Intervals {
        count: i64,
        last_rest: Option<bool>,
    },
    Rotation,
}

/// The order of the rungs of a ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Way {
    #[default]
    Up,
    Down,
    Both,
}

/// Where the seconds for a change between stations come from.
#[derive(Debug)]
pub enum Transitions<'a> {
    Inside,
    Added,
    /// `fixed("10s")`.
    Fixed(Text<'a>),
    /// `"10s"`.
    Length(Text<'a>),
}

/// A station: an id, or a record.
#[derive(Debug)]
pub enum Station<'a> {
    Id(Text<'a>),
    Record(Box<StationRecord<'a>>),
}

/// A station with more than an id.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StationRecord<'a> {
    #[serde(borrow, rename = "move")]
    pub id: Option<Text<'a>>,
    pub name: Option<Text<'a>>,
    pub work: Option<Text<'a>>,
    pub reps: Option<i64>,
    pub sides: Option<Sides>,
    pub tempo: Option<Text<'a>>,
    pub rest: Option<Text<'a>>,
    pub kit: Option<Vec<Kit<'a>>>,
    pub place: Option<Text<'a>>,
    pub short: Option<Text<'a>>,
    pub prompts: Option<Vec<Text<'a>>>,
    pub faults: Option<Vec<Correction<'a>>>,
    pub easier: Option<Tier<'a>>,
    pub harder: Option<Tier<'a>>,
    pub variant: Option<Text<'a>>,
    pub click: Option<bool>,
    pub optional: Option<bool>,
    pub said: Option<Text<'a>>,
    pub pattern: Option<Pattern>,
    pub position: Option<Position>,
    pub prime: Option<Vec<Muscle>>,
    pub helping: Option<Vec<Muscle>>,
    pub loaded: Option<bool>,
    pub starts: Option<Starts>,
    pub phases: Option<(Text<'a>, Text<'a>)>,
    pub setup: Option<Text<'a>>,
    pub cautions: Option<Vec<(Region, Instead<'a>)>>,
}

/// Kit that a station needs: an item, or a record.
#[derive(Debug)]
pub enum Kit<'a> {
    Item(Text<'a>),
    Record(KitRecord<'a>),
}

/// Kit with more than an item.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitRecord<'a> {
    #[serde(borrow)]
    pub item: Text<'a>,
    pub load: Option<Load>,
    pub count: Option<i64>,
}

/// A fault and its fix: a record, or the two texts in brackets, as in the catalogue.
#[derive(Debug)]
pub enum Correction<'a> {
    Record(CorrectionRecord<'a>),
    Pair(Text<'a>, Text<'a>),
}

/// A fault and its fix, with field names.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CorrectionRecord<'a> {
    #[serde(borrow)]
    pub fault: Text<'a>,
    pub fix: Text<'a>,
}

/// An easier or a harder option: a text, or a record.
#[derive(Debug)]
pub enum Tier<'a> {
    Text(Text<'a>),
    Record(TierRecord<'a>),
}

/// An easier or a harder option, with the movement that it becomes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TierRecord<'a> {
    #[serde(borrow)]
    pub what: Text<'a>,
    pub movement: Option<Text<'a>>,
}

/// What anyone who goes easy on a region does instead.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Instead<'a> {
    #[serde(borrow)]
    Movement(Text<'a>),
    Text(Text<'a>),
    LeaveOut,
}

impl<'de: 'a, 'a> Deserialize<'de> for Text<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Text<'a>, D::Error> {
        struct TextVisitor;
        impl<'de> Visitor<'de> for TextVisitor {
            type Value = Text<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text in quotes")
            }
            fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Borrowed(text)))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Owned(text.to_owned())))
            }
            fn visit_string<E: de::Error>(self, text: String) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Owned(text)))
            }
        }
        from.deserialize_str(TextVisitor)
    }
}

/// A value that is either a bare text or a record.
trait TextOrRecord<'de>: Sized {
    type Record: Deserialize<'de>;
    fn text(text: Text<'de>) -> Self;
    fn record(record: Self::Record) -> Self;
}

/// Reads a [`TextOrRecord`].
struct Either<T>(std::marker::PhantomData<T>);

impl<'de, T: TextOrRecord<'de>> Visitor<'de> for Either<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text in quotes or a record in brackets")
    }

    fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<T, E> {
        Ok(T::text(Text(Cow::Borrowed(text))))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<T, E> {
        Ok(T::text(Text(Cow::Owned(text.to_owned()))))
    }

    fn visit_string<E: de::Error>(self, text: String) -> Result<T, E> {
        Ok(T::text(Text(Cow::Owned(text))))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        T::Record::deserialize(MapAccessDeserializer::new(map)).map(T::record)
    }
}

macro_rules! text_or_record {
    ($name:ident, $text:ident, $record:ty, $make:expr) => {
        impl<'de> TextOrRecord<'de> for $name<'de> {
            type Record = $record;
            fn text(text: Text<'de>) -> Self {
                $name::$text(text)
            }
            fn record(record: $record) -> Self {
                $name::Record($make(record))
            }
        }

        impl<'de: 'a, 'a> Deserialize<'de> for $name<'a> {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<$name<'a>, D::Error> {
                from.deserialize_any(Either::<$name<'de>>(std::marker::PhantomData))
            }
        }
    };
}

text_or_record!(Station, Id, StationRecord<'de>, Box::new);
text_or_record!(Kit, Item, KitRecord<'de>, std::convert::identity);
text_or_record!(Tier, Text, TierRecord<'de>, std::convert::identity);

impl<'de: 'a, 'a> Deserialize<'de> for Correction<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Correction<'a>, D::Error> {
        struct CorrectionVisitor;
        impl<'de> Visitor<'de> for CorrectionVisitor {
            type Value = Correction<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a fault and its fix in brackets")
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Correction<'de>, A::Error> {
                CorrectionRecord::deserialize(MapAccessDeserializer::new(map)).map(Correction::Record)
            }
            fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Correction<'de>, A::Error> {
                let (fault, fix) = Deserialize::deserialize(SeqAccessDeserializer::new(seq))?;
                Ok(Correction::Pair(fault, fix))
            }
        }
        from.deserialize_any(CorrectionVisitor)
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for Transitions<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Transitions<'a>, D::Error> {
        #[derive(Deserialize)]
        #[serde(rename_all = "snake_case")]
        enum Words<'a> {
            Inside,
            Added,
            #[serde(borrow)]
            Fixed(Text<'a>),
        }
        // Serde cannot accept both a bare word and a text, so the text of the value decides.
        let raw = <&ron::value::RawValue>::deserialize(from)?.get_ron();
        if let Ok(text) = ron::from_str::<Text>(raw) {
            return Ok(Transitions::Length(text));
        }
        match ron::from_str::<Words>(raw) {
            Ok(Words::Inside) => Ok(Transitions::Inside),
            Ok(Words::Added) => Ok(Transitions::Added),
            Ok(Words::Fixed(text)) => Ok(Transitions::Fixed(text)),
            Err(error) => Err(de::Error::custom(error.code)),
        }
    }
}
