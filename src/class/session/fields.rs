//! Every field of a session file: what it holds, what it means, what stands for it when it is left out.
//!
//! `explain` prints from here, the faults of shape are found by it, and the ranges of numbers and texts are taken
//! from it.

use strum::IntoEnumIterator;

use super::written::Way;
use super::{Aim, CallWord, Kind, Level, Start, bounds, defaults};
use crate::movement::{Load, Muscle, Pattern, Position, Region, Sides};
use crate::time::{Starts, spoken_length};

/// A record of the file: fields in round brackets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, strum::EnumIter, strum::Display, strum::EnumString)]
#[strum(serialize_all = "snake_case")]
pub enum Record {
    /// The file itself.
    Session,
    /// One of the session's blocks.
    Block,
    /// One of the block's stations.
    Station,
    /// Kit as people or the room own it.
    Owned,
    /// A rule of advice that the coach has thought over.
    Allowance,
    /// Kit as a station needs it.
    Kit,
    /// A fault and what puts it right.
    Correction,
    /// An easier or a harder way.
    Tier,
    Emom,
    Amrap,
    Ladder,
    Intervals,
}

/// What a value is.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// A text of at most so many letters.
    Text(usize),
    /// A text of at most so many letters that may have several lines.
    Lines(usize),
    /// A length of time.
    Length,
    /// Four counts.
    Tempo,
    /// A whole number from the first to the second.
    Count(i64, i64),
    /// `true` or `false`.
    Flag,
    /// One word of a set.
    Word(fn() -> Vec<String>),
    List(&'static Shape),
    /// As many values as shapes, in round brackets.
    Tuple(&'static [Shape]),
    Record(Record),
    /// One of some words, with what belongs to it in brackets.
    Choice(&'static [Choice]),
    /// The one or the other.
    Either(&'static Shape, &'static Shape),
}

/// One word of [`Shape::Choice`].
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    pub word: &'static str,
    pub holds: Holds,
}

/// What belongs to the word of a choice.
#[derive(Clone, Copy, Debug)]
pub enum Holds {
    Nothing,
    Fields(Record),
    One(&'static Shape),
}

/// What stands for a field that is left out.
#[derive(Clone, Copy, Debug)]
pub enum Default {
    /// It cannot be left out.
    Needed,
    /// Nothing does.
    None,
    /// Said in words.
    Words(&'static str),
    /// A value of [`defaults`], written as the file would.
    Value(fn() -> String),
}

/// One field of a record.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    pub name: &'static str,
    pub shape: Shape,
    pub default: Default,
    /// What it means to a coach, in a sentence or two.
    pub meaning: &'static str,
    /// A value as the file would write it.
    pub example: &'static str,
}

const fn field(
    name: &'static str,
    shape: Shape,
    default: Default,
    example: &'static str,
    meaning: &'static str,
) -> Field {
    Field { name, shape, default, meaning, example }
}

fn words<W: IntoEnumIterator + ToString>() -> Vec<String> {
    W::iter().map(|word| word.to_string()).collect()
}

const NAME: Shape = Shape::Text(bounds::NAME);
const LINE: Shape = Shape::Text(bounds::LINE);
const MUSIC: Shape = Shape::List(&Shape::Text(bounds::PATH));
const LINES: Shape = Shape::List(&LINE);
const REGION: Shape = Shape::Word(words::<Region>);
const MUSCLES: Shape = Shape::List(&Shape::Word(words::<Muscle>));
const CALLS: Shape = Shape::List(&Shape::Word(words::<CallWord>));
const KIT: Shape = Shape::List(&Shape::Either(&NAME, &Shape::Record(Record::Kit)));
const ALLOW: Shape = Shape::List(&Shape::Record(Record::Allowance));
const TIER: Shape = Shape::Either(&LINE, &Shape::Record(Record::Tier));
const CAUTIONS: Shape = Shape::List(&Shape::Tuple(&[
    REGION,
    Shape::Choice(&[
        Choice { word: "movement", holds: Holds::One(&NAME) },
        Choice { word: "text", holds: Holds::One(&LINE) },
        Choice { word: "leave_out", holds: Holds::Nothing },
    ]),
]));

/// How often a block may go round.
pub const ROUNDS: Shape = Shape::Count(1, 1000);
/// How many repetitions a station may ask for.
pub const REPS: Shape = Shape::Count(1, 1000);

static SESSION: &[Field] = &[
    field("title", NAME, Default::Needed, "\"Frost and oars\"", "The name of the session, as printed and shown."),
    field(
        "slot",
        Shape::Length,
        Default::None,
        "\"45m\"",
        "How long the room is booked. With it, the time to spare is shown and a session that is too long is found.",
    ),
    field(
        "people",
        Shape::Count(1, 10_000),
        Default::None,
        "12",
        "How many people are expected, for kit that is shared.",
    ),
    field(
        "mind",
        Shape::List(&REGION),
        Default::Value(none),
        "[wrist, knee]",
        "Regions of the body, or states, that somebody in the class has to mind. What to do instead is then shown.",
    ),
    field(
        "kit",
        Shape::List(&Shape::Record(Record::Owned)),
        Default::Words("not known; nothing is said about kit that is missing"),
        "[(item: \"kettlebell\", load: light, each: 1), (item: \"box\", shared: 4)]",
        "What people have, or what lies in the room.",
    ),
    field(
        "floor",
        Shape::Count(1, 100_000),
        Default::None,
        "60",
        "How many square metres of clear floor there are. With `people`, `check` says where that is little.",
    ),
    field(
        "one_weight",
        Shape::Flag,
        Default::Value(|| defaults::ONE_WEIGHT.to_string()),
        "true",
        "Everybody has only one weight, as at home. A station that asks for two then needs a variant.",
    ),
    field(
        "emergency",
        Shape::Lines(bounds::NOTE),
        Default::None,
        "\"Boathouse, 3 Weir Lane. Defibrillator by the slipway door. Call 112.\"",
        "What the stop key shows: the address, the nearest defibrillator, the number to call.",
    ),
    field(
        "mirror",
        Shape::Flag,
        Default::Value(|| defaults::MIRROR.to_string()),
        "true",
        "The coach faces the class: the screen adds which side the coach is on.",
    ),
    field(
        "seed",
        Shape::Count(0, i64::MAX),
        Default::Value(|| defaults::SEED.to_string()),
        "7",
        "Chooses between wordings. The same number gives the same class.",
    ),
    field(
        "talk_room",
        Shape::Count(0, 100),
        Default::Value(|| defaults::TALK_ROOM.to_string()),
        "70",
        "The share of each work span, in percent, that the machine leaves to the coach's voice.",
    ),
    field(
        "level",
        Shape::Word(words::<Level>),
        Default::Value(|| defaults::LEVEL.to_string()),
        "calls",
        "How much the machine says: nothing, tones, also the time left, also what changes, also technique.",
    ),
    field(
        "calls",
        CALLS,
        Default::Value(|| list(defaults::CALLS)),
        "[halfway, ten, pips]",
        "Which times are called. `halfway` only in work of 40 s and more; `pips` are three tones on the last seconds.",
    ),
    field(
        "click",
        Shape::Flag,
        Default::Value(|| defaults::CLICK.to_string()),
        "true",
        "Whether the phases of each tempo are clicked, softly, and never under what is said.",
    ),
    field(
        "music",
        MUSIC,
        Default::Words("no music"),
        "[\"music/steady\", \"music/last.mp3\"]",
        "Your own music, played under the class: files, and folders whose files are played by name, again from the first \
         after the last. Paths are relative to the session file. It goes down under everything that is said and every tone.",
    ),
    field(
        "music_in_hold",
        Shape::Flag,
        Default::Value(|| defaults::MUSIC_IN_HOLD.to_string()),
        "true",
        "Whether the music plays on while the class is held or a block waits for the coach.",
    ),
    field(
        "allow",
        ALLOW,
        Default::Value(none),
        "[(rule: \"long_hold\", why: \"a test of holds, announced\")]",
        "Rules of advice that the coach has thought over, each with a reason. `check` is then silent about them in the whole class; `check --json` still has them.",
    ),
    field(
        "blocks",
        Shape::List(&Shape::Record(Record::Block)),
        Default::Needed,
        "[(name: \"Raise\", kind: warm_up, work: \"40s\", stations: [\"march-tall\", \"arm-sweeps\"])]",
        "The blocks, in the order in which they are done.",
    ),
];

static BLOCK: &[Field] = &[
    field("name", NAME, Default::Needed, "\"Hinge\"", "The name of the block, as shown and said."),
    field(
        "kind",
        Shape::Word(words::<Kind>),
        Default::Value(|| defaults::KIND.to_string()),
        "warm_up",
        "What the block is for.",
    ),
    field(
        "format",
        Shape::Choice(&[
            Choice { word: "circuit", holds: Holds::Nothing },
            Choice { word: "sets", holds: Holds::Nothing },
            Choice { word: "emom", holds: Holds::Fields(Record::Emom) },
            Choice { word: "amrap", holds: Holds::Fields(Record::Amrap) },
            Choice { word: "ladder", holds: Holds::Fields(Record::Ladder) },
            Choice { word: "intervals", holds: Holds::Fields(Record::Intervals) },
            Choice { word: "rotation", holds: Holds::Nothing },
        ]),
        Default::Words("circuit"),
        "emom(every: \"1m\")",
        "How the stations follow each other. `circuit`: every station in turn, round after round. `sets`: all rounds of \
         a station, then the next. `emom`: on every minute, rest is what is left of it. `amrap`: as many rounds as \
         possible, each at their own pace. `ladder`: a round for each length of work. `intervals`: so many times work \
         and rest. `rotation`: groups move round the stations at the same time.",
    ),
    field(
        "rounds",
        ROUNDS,
        Default::Value(|| defaults::ROUNDS.to_string()),
        "3",
        "How often the stations are gone through; for `sets`, how many sets of each; for `amrap`, how often it is run.",
    ),
    field(
        "work",
        Shape::Length,
        Default::Words("each station says it, as `work` or `reps`"),
        "\"50s\"",
        "How long each station is worked, unless the station says otherwise.",
    ),
    field(
        "reps",
        REPS,
        Default::Words("each station says it, as `work` or `reps`"),
        "10",
        "How many repetitions each station is worked instead of a length: at the tempo, on each side where sides take \
         turns.",
    ),
    field(
        "rest",
        Shape::Length,
        Default::Value(|| length(defaults::REST)),
        "\"10s\"",
        "Rest between two stations of a round.",
    ),
    field("round_rest", Shape::Length, Default::Words("the block's `rest`"), "\"1m\"", "Rest between two rounds."),
    field(
        "rest_after",
        Shape::Length,
        Default::Value(|| length(defaults::REST_AFTER)),
        "\"75s\"",
        "Rest after the block. After the last block it is not taken.",
    ),
    field(
        "transitions",
        Shape::Either(
            &Shape::Choice(&[
                Choice { word: "inside", holds: Holds::Nothing },
                Choice { word: "added", holds: Holds::Nothing },
                Choice { word: "fixed", holds: Holds::One(&Shape::Length) },
            ]),
            &Shape::Length,
        ),
        Default::Words("inside"),
        "added",
        "What happens with the seconds that a change of kit, position, side or place needs and the rest before does not \
         pay. `inside`: the work keeps its length and begins with them. `added`: they are put in. A length such as \
         \"10s\": exactly so much is put in before every station but the first.",
    ),
    field(
        "start",
        Shape::Word(words::<Start>),
        Default::Value(|| defaults::START.to_string()),
        "on_key",
        "Whether the block follows by itself or waits for the coach's key.",
    ),
    field(
        "briefing",
        Shape::Length,
        Default::Value(|| length(defaults::BRIEFING)),
        "\"1m\"",
        "Planned time to brief the class before the first station.",
    ),
    field("focus", MUSCLES, Default::Value(none), "[hamstrings, glutes]", "The muscles that the block means to work."),
    field(
        "aim",
        Shape::Word(words::<Aim>),
        Default::None,
        "strength",
        "What the work is to bring about. With `strength`, `check` asks for the rests that it needs.",
    ),
    field(
        "allow",
        ALLOW,
        Default::Value(none),
        "[(rule: \"long_hold\", why: \"they know it, and breathe\")]",
        "Rules of advice that the coach has thought over for this block, each with a reason.",
    ),
    field(
        "calls",
        CALLS,
        Default::Words("the session's `calls`"),
        "[ten, pips]",
        "Which times are called in this block.",
    ),
    field(
        "level",
        Shape::Word(words::<Level>),
        Default::Words("the session's `level`"),
        "full",
        "How much the machine says in this block.",
    ),
    field(
        "click",
        Shape::Flag,
        Default::Words("the session's `click`"),
        "true",
        "Whether the phases of the tempo are clicked in this block.",
    ),
    field(
        "music",
        MUSIC,
        Default::Words("the session's `music`"),
        "[\"music/slow\"]",
        "The music of this block. `[]` is none.",
    ),
    field(
        "sides",
        Shape::Word(words::<Sides>),
        Default::Words("as each movement has it"),
        "left_then_right",
        "How the one-sided movements of the block use the two sides. Movements of both sides at once keep theirs.",
    ),
    field(
        "tempo",
        Shape::Tempo,
        Default::Words("as each movement has it"),
        "\"3-1-2-0\"",
        "Seconds to lower, hold, lift and hold, for the stations of the block that have repetitions.",
    ),
    field(
        "note",
        Shape::Lines(bounds::NOTE),
        Default::None,
        "\"boxes out first\"",
        "The coach's own note: printed, never said.",
    ),
    field(
        "stations",
        Shape::List(&Shape::Either(&NAME, &Shape::Record(Record::Station))),
        Default::Needed,
        "[\"bell-deadlift\", (move: \"split-squat\", sides: left_then_right)]",
        "What is done, in order: the id of a movement, or a record with more.",
    ),
];

static STATION: &[Field] = &[
    field(
        "move",
        NAME,
        Default::Words("needed, unless `name` describes the movement here"),
        "\"split-squat\"",
        "The id of a movement of the catalogue.",
    ),
    field(
        "name",
        NAME,
        Default::Words("needed, unless `move` names one"),
        "\"Oar carry\"",
        "The name of a movement that the catalogue does not have, described here.",
    ),
    field("work", Shape::Length, Default::Words("the block's `work`"), "\"45s\"", "How long this station is worked."),
    field(
        "reps",
        REPS,
        Default::Words("the block's `reps`"),
        "8",
        "How many repetitions, at the tempo, instead of a length; on each side where sides take turns.",
    ),
    field(
        "sides",
        Shape::Word(words::<Sides>),
        Default::Words("the block's, else as the movement has it; `together` for one described here"),
        "each_side",
        "How the two sides are used. `alternating`: a repetition each by turns. `left_then_right`: both in one span with \
         a switch. `each_side`: a span for each.",
    ),
    field(
        "tempo",
        Shape::Tempo,
        Default::Words("the block's, else as the movement has it"),
        "\"2-0-2-0\"",
        "Seconds to lower, hold, lift and hold.",
    ),
    field("rest", Shape::Length, Default::Words("the block's `rest`"), "\"20s\"", "Rest after this station."),
    field(
        "kit",
        KIT,
        Default::Words("as the movement has it; none for one described here"),
        "[(item: \"kettlebell\", load: heavy, count: 2)]",
        "What each person needs here.",
    ),
    field("place", NAME, Default::None, "\"by the rack\"", "Where in the room the station is."),
    field(
        "short",
        Shape::Text(crate::movement::Movement::SHORT),
        Default::Words("as the movement has it; else as many words of the name as fit"),
        "\"SPLIT SQUAT\"",
        "The name for large lettering.",
    ),
    field(
        "prompts",
        LINES,
        Default::Words("as the movement has them"),
        "[\"front heel heavy\"]",
        "Short things for the coach to say.",
    ),
    field(
        "faults",
        Shape::List(&Shape::Either(&Shape::Record(Record::Correction), &Shape::Tuple(&[LINE, LINE]))),
        Default::Words("as the movement has them"),
        "[(fault: \"knee falls in\", fix: \"spread the floor\")]",
        "What goes wrong, each with what puts it right.",
    ),
    field("easier", TIER, Default::Words("as the movement has it"), "\"hand on the box\"", "An easier way."),
    field("harder", TIER, Default::Words("as the movement has it"), "\"slow three down\"", "A harder way."),
    field(
        "variant",
        LINE,
        Default::None,
        "\"one bell, both hands\"",
        "The way to do it for somebody with only one weight.",
    ),
    field(
        "click",
        Shape::Flag,
        Default::Words("the block's `click`"),
        "true",
        "Whether the phases of the tempo are clicked here.",
    ),
    field(
        "optional",
        Shape::Flag,
        Default::Value(|| defaults::OPTIONAL.to_string()),
        "true",
        "Whether it may be dropped when time runs short, before others are.",
    ),
    field(
        "said",
        NAME,
        Default::Words("the name"),
        "\"oar carry\"",
        "The name as spoken, where the written one reads badly. Only with `name`.",
    ),
    field(
        "pattern",
        Shape::Word(words::<Pattern>),
        Default::Value(|| defaults::PATTERN.to_string()),
        "carry",
        "How the body moves. Only with `name`.",
    ),
    field(
        "position",
        Shape::Word(words::<Position>),
        Default::Value(|| defaults::POSITION.to_string()),
        "prone",
        "How the body stands or lies. Only with `name`.",
    ),
    field(
        "prime",
        MUSCLES,
        Default::Value(none),
        "[abdominals]",
        "The muscles that do most of the work. Only with `name`.",
    ),
    field("helping", MUSCLES, Default::Value(none), "[obliques]", "The muscles that help. Only with `name`."),
    field(
        "loaded",
        Shape::Flag,
        Default::Value(|| defaults::LOADED.to_string()),
        "false",
        "Whether it loads its prime muscles, as against warming or stretching them. Only with `name`.",
    ),
    field(
        "starts",
        Shape::Word(|| vec![Starts::Lower.to_string(), Starts::Lift.to_string()]),
        Default::Value(|| defaults::STARTS.to_string()),
        "lift",
        "The phase of the tempo with which it begins. Only with `name`.",
    ),
    field(
        "phases",
        Shape::Tuple(&[NAME, NAME]),
        Default::Value(|| format!("{:?}", defaults::PHASES)),
        "(\"return\", \"pull\")",
        "What the lowering and the lifting are called. Only with `name`.",
    ),
    field(
        "setup",
        LINE,
        Default::None,
        "\"one oar at each end, thumbs over\"",
        "How to get into it. Only with `name`.",
    ),
    field(
        "cautions",
        CAUTIONS,
        Default::Value(none),
        "[(wrist, text(\"on the fists\")), (low_back, leave_out)]",
        "Regions that want care, each with what to do instead. Only with `name`.",
    ),
];

static OWNED: &[Field] = &[
    field("item", NAME, Default::Needed, "\"kettlebell\"", "The kind of kit, by the name that movements use."),
    field("load", Shape::Word(words::<Load>), Default::None, "light", "How heavy it is, in a word."),
    field(
        "each",
        Shape::Count(1, 100),
        Default::Words("needed, unless `shared` is given"),
        "1",
        "How many each person has.",
    ),
    field(
        "shared",
        Shape::Count(1, 10_000),
        Default::Words("needed, unless `each` is given"),
        "4",
        "How many there are in the room for all.",
    ),
];

static ALLOWANCE: &[Field] = &[
    field("rule", NAME, Default::Needed, "\"long_hold\"", "The rule, by the name that `check` gives with a finding."),
    field(
        "why",
        LINE,
        Default::Needed,
        "\"a test of holds, announced\"",
        "The reason, for whoever reads the file next.",
    ),
];

static KIT_NEED: &[Field] = &[
    field("item", NAME, Default::Needed, "\"kettlebell\"", "The kind of kit."),
    field(
        "load",
        Shape::Word(words::<Load>),
        Default::Words("any load"),
        "heavy",
        "How heavy, in a word. From light to heavy is a change of kit.",
    ),
    field(
        "count",
        Shape::Count(1, 10),
        Default::Value(|| defaults::COUNT.to_string()),
        "2",
        "How many each person needs.",
    ),
];

static CORRECTION: &[Field] = &[
    field("fault", LINE, Default::Needed, "\"knee falls in\"", "What the coach sees."),
    field("fix", LINE, Default::Needed, "\"spread the floor\"", "What the coach says."),
];

static TIER_FIELDS: &[Field] = &[
    field("what", LINE, Default::Needed, "\"knees down\"", "What to do."),
    field("movement", NAME, Default::None, "\"push-up-kneeling\"", "The movement it turns into, by its id."),
];

static EMOM: &[Field] = &[field(
    "every",
    Shape::Length,
    Default::Needed,
    "\"1m\"",
    "How long from one start to the next. What the work leaves of it is rest.",
)];

static AMRAP: &[Field] =
    &[field("time", Shape::Length, Default::Needed, "\"8m\"", "How long everybody goes through the stations.")];

static LADDER: &[Field] = &[
    field(
        "rungs",
        Shape::List(&Shape::Length),
        Default::Needed,
        "[\"20s\", \"30s\", \"40s\"]",
        "The lengths of work, a round of the stations for each.",
    ),
    field(
        "way",
        Shape::Word(words::<Way>),
        Default::Value(|| Way::default().to_string()),
        "both",
        "`up` takes the rungs as written, `down` from the last to the first, `both` up and down again with the top once.",
    ),
];

static INTERVALS: &[Field] = &[
    field(
        "count",
        Shape::Count(1, 10_000),
        Default::Needed,
        "8",
        "How many times work and rest, through the stations in turn.",
    ),
    field(
        "last_rest",
        Shape::Flag,
        Default::Value(|| defaults::LAST_REST.to_string()),
        "true",
        "Whether the rest after the last work is taken.",
    ),
];

impl Record {
    /// The fields, in the order in which a file usually has them.
    pub fn fields(self) -> &'static [Field] {
        match self {
            Record::Session => SESSION,
            Record::Block => BLOCK,
            Record::Station => STATION,
            Record::Owned => OWNED,
            Record::Allowance => ALLOWANCE,
            Record::Kit => KIT_NEED,
            Record::Correction => CORRECTION,
            Record::Tier => TIER_FIELDS,
            Record::Emom => EMOM,
            Record::Amrap => AMRAP,
            Record::Ladder => LADDER,
            Record::Intervals => INTERVALS,
        }
    }

    /// A field by its name.
    pub fn field(self, name: &str) -> Option<&'static Field> {
        self.fields().iter().find(|field| field.name == name)
    }

    /// What the record is, with its article.
    pub fn what(self) -> &'static str {
        match self {
            Record::Session => "a session",
            Record::Block => "a block",
            Record::Station => "a station",
            Record::Owned => "a piece of kit",
            Record::Allowance => "something allowed",
            Record::Kit => "a piece of kit",
            Record::Correction => "a fault with its fix",
            Record::Tier => "a tier",
            Record::Emom => "emom",
            Record::Amrap => "amrap",
            Record::Ladder => "ladder",
            Record::Intervals => "intervals",
        }
    }
}

impl Shape {
    /// What a value of this shape is, for people: `a length of time such as "45s"`.
    pub fn what(&self) -> String {
        match self {
            Shape::Text(most) | Shape::Lines(most) => format!("a text of at most {most} letters, in quotes"),
            Shape::Length => "a length of time such as \"45s\", \"1m30s\" or \"1:30\", in quotes".to_owned(),
            Shape::Tempo => "a tempo such as \"2-0-2-0\", in quotes".to_owned(),
            Shape::Count(least, i64::MAX) => format!("a whole number from {least}"),
            Shape::Count(least, most) => format!("a whole number from {least} to {most}"),
            Shape::Flag => "true or false".to_owned(),
            Shape::Word(words) => format!("one of {}", words().join(", ")),
            Shape::List(of) => format!("a list in [ ], each {}", of.what()),
            Shape::Tuple(of) => {
                let parts: Vec<String> = of.iter().map(Shape::what).collect();
                format!("in ( ): {}", parts.join(", then "))
            }
            Shape::Record(record) => {
                let needed = |field: &&Field| matches!(field.default, Default::Needed);
                let names: Vec<String> =
                    record.fields().iter().filter(needed).map(|field| format!("{}: ..", field.name)).collect();
                let names = if names.is_empty() { "..".to_owned() } else { names.join(", ") };
                format!("{} in brackets, ({names})", record.what())
            }
            Shape::Choice(choices) => {
                let words: Vec<String> = choices.iter().map(Choice::what).collect();
                format!("one of {}", words.join(", "))
            }
            Shape::Either(one, other) => format!("{}; or {}", one.what(), other.what()),
        }
    }
}

impl Choice {
    /// The word with the fields in its brackets: `emom(every: ..)`.
    pub fn what(&self) -> String {
        match self.holds {
            Holds::Nothing => self.word.to_owned(),
            Holds::One(_) => format!("{}(\"..\")", self.word),
            Holds::Fields(record) => {
                let names: Vec<String> = record.fields().iter().map(|field| format!("{}: ..", field.name)).collect();
                format!("{}({})", self.word, names.join(", "))
            }
        }
    }
}

impl Field {
    /// What stands for the field when it is left out.
    pub fn default_words(&self) -> String {
        match self.default {
            Default::Needed => "it is needed".to_owned(),
            Default::None => "nothing".to_owned(),
            Default::Words(words) => words.to_owned(),
            Default::Value(value) => value(),
        }
    }
}

fn none() -> String {
    "[]".to_owned()
}

fn length(tick: crate::time::Tick) -> String {
    format!("\"{}\"", spoken_length(tick))
}

fn list(words: &[CallWord]) -> String {
    let words: Vec<String> = words.iter().map(ToString::to_string).collect();
    format!("[{}]", words.join(", "))
}
