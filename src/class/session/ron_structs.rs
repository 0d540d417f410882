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

use super::{BlockAim, BlockKind, BlockStart, CallChoice, SpeechLevel};
use crate::movement::{Load, Muscle, Pattern, Position, Region, Sides};
use crate::time::FirstPhase;

/// A text. It is borrowed from the file when it has no escapes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextRon<'a>(pub Cow<'a, str>);

/// A whole file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SessionRon<'a> {
    #[serde(borrow)]
    pub title: TextRon<'a>,
    pub slot: Option<TextRon<'a>>,
    pub people: Option<i64>,
    pub look_after: Option<Vec<Region>>,
    pub kit: Option<Vec<OwnedKitRon<'a>>>,
    pub floor: Option<i64>,
    pub one_weight: Option<bool>,
    pub emergency: Option<TextRon<'a>>,
    pub mirror: Option<bool>,
    pub seed: Option<i64>,
    pub talk_room: Option<i64>,
    pub level: Option<SpeechLevel>,
    pub click: Option<bool>,
    pub calls: Option<Vec<CallChoice>>,
    pub music: Option<Vec<TextRon<'a>>>,
    pub music_in_pause: Option<bool>,
    pub allow: Option<Vec<AllowanceRon<'a>>>,
    pub blocks: Vec<BlockRon<'a>>,
}

/// Kit that people have or that is in the room.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnedKitRon<'a> {
    #[serde(borrow)]
    pub item: TextRon<'a>,
    pub load: Option<Load>,
    pub each: Option<i64>,
    pub shared: Option<i64>,
}

/// A rule of advice that the coach allows, with the reason.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AllowanceRon<'a> {
    #[serde(borrow)]
    pub rule: TextRon<'a>,
    pub why: TextRon<'a>,
}

/// A block.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockRon<'a> {
    #[serde(borrow)]
    pub name: TextRon<'a>,
    pub kind: Option<BlockKind>,
    pub format: Option<FormatRon<'a>>,
    pub rounds: Option<i64>,
    pub work: Option<TextRon<'a>>,
    pub reps: Option<i64>,
    pub rest: Option<TextRon<'a>>,
    pub round_rest: Option<TextRon<'a>>,
    pub rest_after: Option<TextRon<'a>>,
    pub transitions: Option<TransitionsRon<'a>>,
    pub start: Option<BlockStart>,
    pub briefing: Option<TextRon<'a>>,
    pub focus: Option<Vec<Muscle>>,
    pub aim: Option<BlockAim>,
    pub allow: Option<Vec<AllowanceRon<'a>>>,
    pub calls: Option<Vec<CallChoice>>,
    pub level: Option<SpeechLevel>,
    pub click: Option<bool>,
    pub music: Option<Vec<TextRon<'a>>>,
    pub sides: Option<Sides>,
    pub tempo: Option<TextRon<'a>>,
    pub note: Option<TextRon<'a>>,
    pub stations: Vec<StationRon<'a>>,
}

/// How the stations of a block follow each other.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "snake_case")]
pub enum FormatRon<'a> {
    Circuit,
    Sets,
    Emom {
        #[serde(borrow)]
        every: TextRon<'a>,
    },
    Amrap {
        time: TextRon<'a>,
    },
    Ladder {
        rungs: Vec<TextRon<'a>>,
        way: Option<LadderOrder>,
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
pub enum LadderOrder {
    #[default]
    Up,
    Down,
    Both,
}

/// Where the seconds for a change between stations come from.
#[derive(Debug)]
pub enum TransitionsRon<'a> {
    Inside,
    Added,
    /// `fixed("10s")`.
    Fixed(TextRon<'a>),
    /// `"10s"`.
    Length(TextRon<'a>),
}

/// A station: an id, or a record.
#[derive(Debug)]
pub enum StationRon<'a> {
    Id(TextRon<'a>),
    Record(Box<StationFieldsRon<'a>>),
}

/// A station with more than an id.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StationFieldsRon<'a> {
    #[serde(borrow, rename = "move")]
    pub id: Option<TextRon<'a>>,
    pub name: Option<TextRon<'a>>,
    pub work: Option<TextRon<'a>>,
    pub reps: Option<i64>,
    pub sides: Option<Sides>,
    pub tempo: Option<TextRon<'a>>,
    pub rest: Option<TextRon<'a>>,
    pub kit: Option<Vec<KitRon<'a>>>,
    pub place: Option<TextRon<'a>>,
    pub short: Option<TextRon<'a>>,
    pub prompts: Option<Vec<TextRon<'a>>>,
    pub faults: Option<Vec<CorrectionRon<'a>>>,
    pub easier: Option<TierRon<'a>>,
    pub harder: Option<TierRon<'a>>,
    pub variant: Option<TextRon<'a>>,
    pub click: Option<bool>,
    pub optional: Option<bool>,
    pub said: Option<TextRon<'a>>,
    pub pattern: Option<Pattern>,
    pub position: Option<Position>,
    pub prime: Option<Vec<Muscle>>,
    pub helping: Option<Vec<Muscle>>,
    pub loaded: Option<bool>,
    pub starts: Option<FirstPhase>,
    pub phases: Option<(TextRon<'a>, TextRon<'a>)>,
    pub setup: Option<TextRon<'a>>,
    pub cautions: Option<Vec<(Region, InsteadRon<'a>)>>,
}

/// Kit that a station needs: an item, or a record.
#[derive(Debug)]
pub enum KitRon<'a> {
    Item(TextRon<'a>),
    Record(KitFieldsRon<'a>),
}

/// Kit with more than an item.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitFieldsRon<'a> {
    #[serde(borrow)]
    pub item: TextRon<'a>,
    pub load: Option<Load>,
    pub count: Option<i64>,
}

/// A fault and its fix: a record, or the two texts in brackets, as in the catalogue.
#[derive(Debug)]
pub enum CorrectionRon<'a> {
    Record(CorrectionFieldsRon<'a>),
    Pair(TextRon<'a>, TextRon<'a>),
}

/// A fault and its fix, with field names.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CorrectionFieldsRon<'a> {
    #[serde(borrow)]
    pub fault: TextRon<'a>,
    pub fix: TextRon<'a>,
}

/// An easier or a harder option: a text, or a record.
#[derive(Debug)]
pub enum TierRon<'a> {
    Text(TextRon<'a>),
    Record(TierFieldsRon<'a>),
}

/// An easier or a harder option, with the movement that it becomes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TierFieldsRon<'a> {
    #[serde(borrow)]
    pub what: TextRon<'a>,
    pub movement: Option<TextRon<'a>>,
}

/// What anyone who goes easy on a region does instead.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InsteadRon<'a> {
    #[serde(borrow)]
    Movement(TextRon<'a>),
    Text(TextRon<'a>),
    LeaveOut,
}

impl<'de: 'a, 'a> Deserialize<'de> for TextRon<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<TextRon<'a>, D::Error> {
        struct TextVisitor;
        impl<'de> Visitor<'de> for TextVisitor {
            type Value = TextRon<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text in quotes")
            }
            fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<TextRon<'de>, E> {
                Ok(TextRon(Cow::Borrowed(text)))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<TextRon<'de>, E> {
                Ok(TextRon(Cow::Owned(text.to_owned())))
            }
            fn visit_string<E: de::Error>(self, text: String) -> Result<TextRon<'de>, E> {
                Ok(TextRon(Cow::Owned(text)))
            }
        }
        from.deserialize_str(TextVisitor)
    }
}

/// A value that is either a bare text or a record.
trait TextOrRecord<'de>: Sized {
    type Record: Deserialize<'de>;
    fn text(text: TextRon<'de>) -> Self;
    fn record(record: Self::Record) -> Self;
}

/// Reads a [`TextOrRecord`].
struct TextOrRecordVisitor<T>(std::marker::PhantomData<T>);

impl<'de, T: TextOrRecord<'de>> Visitor<'de> for TextOrRecordVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text in quotes or a record in brackets")
    }

    fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<T, E> {
        Ok(T::text(TextRon(Cow::Borrowed(text))))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<T, E> {
        Ok(T::text(TextRon(Cow::Owned(text.to_owned()))))
    }

    fn visit_string<E: de::Error>(self, text: String) -> Result<T, E> {
        Ok(T::text(TextRon(Cow::Owned(text))))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        T::Record::deserialize(MapAccessDeserializer::new(map)).map(T::record)
    }
}

macro_rules! text_or_record {
    ($name:ident, $text:ident, $record:ty, $make:expr) => {
        impl<'de> TextOrRecord<'de> for $name<'de> {
            type Record = $record;
            fn text(text: TextRon<'de>) -> Self {
                $name::$text(text)
            }
            fn record(record: $record) -> Self {
                $name::Record($make(record))
            }
        }

        impl<'de: 'a, 'a> Deserialize<'de> for $name<'a> {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<$name<'a>, D::Error> {
                from.deserialize_any(TextOrRecordVisitor::<$name<'de>>(std::marker::PhantomData))
            }
        }
    };
}

text_or_record!(StationRon, Id, StationFieldsRon<'de>, Box::new);
text_or_record!(KitRon, Item, KitFieldsRon<'de>, std::convert::identity);
text_or_record!(TierRon, Text, TierFieldsRon<'de>, std::convert::identity);

impl<'de: 'a, 'a> Deserialize<'de> for CorrectionRon<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<CorrectionRon<'a>, D::Error> {
        struct CorrectionVisitor;
        impl<'de> Visitor<'de> for CorrectionVisitor {
            type Value = CorrectionRon<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a fault and its fix in brackets")
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<CorrectionRon<'de>, A::Error> {
                CorrectionFieldsRon::deserialize(MapAccessDeserializer::new(map)).map(CorrectionRon::Record)
            }
            fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<CorrectionRon<'de>, A::Error> {
                let (fault, fix) = Deserialize::deserialize(SeqAccessDeserializer::new(seq))?;
                Ok(CorrectionRon::Pair(fault, fix))
            }
        }
        from.deserialize_any(CorrectionVisitor)
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for TransitionsRon<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<TransitionsRon<'a>, D::Error> {
        #[derive(Deserialize)]
        #[serde(rename_all = "snake_case")]
        enum TransitionsWord<'a> {
            Inside,
            Added,
            #[serde(borrow)]
            Fixed(TextRon<'a>),
        }
        // Serde cannot accept both a bare word and a text, so the text of the value decides.
        let raw = <&ron::value::RawValue>::deserialize(from)?.get_ron();
        if let Ok(text) = ron::from_str::<TextRon>(raw) {
            return Ok(TransitionsRon::Length(text));
        }
        match ron::from_str::<TransitionsWord>(raw) {
            Ok(TransitionsWord::Inside) => Ok(TransitionsRon::Inside),
            Ok(TransitionsWord::Added) => Ok(TransitionsRon::Added),
            Ok(TransitionsWord::Fixed(text)) => Ok(TransitionsRon::Fixed(text)),
            Err(error) => Err(de::Error::custom(error.code)),
        }
    }
}
