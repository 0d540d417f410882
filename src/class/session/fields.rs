//! Every field of a session file: the shape of its value, its meaning, and its default.
//!
//! `explain` prints these fields, the check of shapes uses them, and the ranges of numbers and texts come from them.

use strum::IntoEnumIterator;

use super::ron_structs::LadderOrder;
use super::{BlockAim, BlockKind, BlockStart, CallChoice, SpeechLevel, defaults, limits};
use crate::movement::{Load, Muscle, Pattern, Position, Region, Sides};
use crate::time::{FirstPhase, spoken_length};

/// A record of the file: fields in round brackets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, strum::EnumIter, strum::Display, strum::EnumString)]
#[strum(serialize_all = "snake_case")]
pub enum RecordKind {
    /// The file itself.
    Session,
    /// One of the session's blocks.
    Block,
    /// One of the block's stations.
    Station,
    /// Kit that people have or that is in the room.
    Owned,
    /// A rule of advice that the coach allows, with the reason.
    Allowance,
    /// Kit that a station needs.
    Kit,
    /// A fault and its fix.
    Correction,
    /// An easier or a harder option.
    Tier,
    Emom,
    Amrap,
    Ladder,
    Intervals,
}

/// The kind of a value.
#[derive(Clone, Copy, Debug)]
pub enum ValueShape {
    /// A text of at most this many characters.
    Text(usize),
    /// A text of at most this many characters, which may have several lines.
    Lines(usize),
    /// A length of time.
    Length,
    /// A tempo: four counts.
    Tempo,
    /// A whole number in a range, from the first to the second bound.
    Count(i64, i64),
    /// `true` or `false`.
    Bool,
    /// One word of a set.
    Word(fn() -> Vec<String>),
    List(&'static ValueShape),
    /// One value for each shape, in round brackets.
    Tuple(&'static [ValueShape]),
    Record(RecordKind),
    /// One word of a set, some of them with values in brackets.
    Choice(&'static [ChoiceWord]),
    /// Either of two shapes.
    Either(&'static ValueShape, &'static ValueShape),
}

/// One word of [`ValueShape::Choice`].
#[derive(Clone, Copy, Debug)]
pub struct ChoiceWord {
    pub word: &'static str,
    pub content: ChoiceContent,
}

/// The values in brackets after the word of a choice.
#[derive(Clone, Copy, Debug)]
pub enum ChoiceContent {
    Nothing,
    Fields(RecordKind),
    One(&'static ValueShape),
}

/// The default of a field.
#[derive(Clone, Copy, Debug)]
pub enum FieldDefault {
    /// The field is required.
    Needed,
    /// There is no default value.
    None,
    /// A default that is described in words.
    Words(&'static str),
    /// A value of [`defaults`], as the file writes it.
    Value(fn() -> String),
}

/// One field of a record.
#[derive(Clone, Copy, Debug)]
pub struct FieldInfo {
    pub name: &'static str,
    pub shape: ValueShape,
    pub default: FieldDefault,
    /// What it means to a coach, in a few short sentences.
    pub meaning: &'static str,
    /// An example of a value, as the file writes it.
    pub example: &'static str,
}

const fn field(
    name: &'static str,
    shape: ValueShape,
    default: FieldDefault,
    example: &'static str,
    meaning: &'static str,
) -> FieldInfo {
    FieldInfo { name, shape, default, meaning, example }
}

fn words<W: IntoEnumIterator + ToString>() -> Vec<String> {
    W::iter().map(|word| word.to_string()).collect()
}

const NAME: ValueShape = ValueShape::Text(limits::NAME);
const LINE: ValueShape = ValueShape::Text(limits::LINE);
const MUSIC: ValueShape = ValueShape::List(&ValueShape::Text(limits::PATH));
const LINES: ValueShape = ValueShape::List(&LINE);
const REGION: ValueShape = ValueShape::Word(words::<Region>);
const MUSCLES: ValueShape = ValueShape::List(&ValueShape::Word(words::<Muscle>));
const CALLS: ValueShape = ValueShape::List(&ValueShape::Word(words::<CallChoice>));
const KIT: ValueShape = ValueShape::List(&ValueShape::Either(&NAME, &ValueShape::Record(RecordKind::Kit)));
const ALLOW: ValueShape = ValueShape::List(&ValueShape::Record(RecordKind::Allowance));
const TIER: ValueShape = ValueShape::Either(&LINE, &ValueShape::Record(RecordKind::Tier));
const CAUTIONS: ValueShape = ValueShape::List(&ValueShape::Tuple(&[
    REGION,
    ValueShape::Choice(&[
        ChoiceWord { word: "movement", content: ChoiceContent::One(&NAME) },
        ChoiceWord { word: "text", content: ChoiceContent::One(&LINE) },
        ChoiceWord { word: "leave_out", content: ChoiceContent::Nothing },
    ]),
]));

/// The range of the rounds of a block.
pub const ROUNDS: ValueShape = ValueShape::Count(1, 1000);
/// The range of the repetitions of a station.
pub const REPS: ValueShape = ValueShape::Count(1, 1000);

static SESSION: &[FieldInfo] = &[
    field("title", NAME, FieldDefault::Needed, "\"Frost and oars\"", "The name of the session, as shown and printed."),
    field(
        "slot",
        ValueShape::Length,
        FieldDefault::None,
        "\"45m\"",
        "How long the room is booked. The screen then shows the spare time, and `check` finds a session that is too \
         long.",
    ),
    field(
        "people",
        ValueShape::Count(1, 10_000),
        FieldDefault::None,
        "12",
        "How many people you expect. The number is used to check shared kit and floor space.",
    ),
    field(
        "look_after",
        ValueShape::List(&REGION),
        FieldDefault::Value(none),
        "[wrist, knee]",
        "Regions of the body, or states, to look after in this class. Alternatives are then shown for them. Do not \
         write names here, or anything else that identifies a person.",
    ),
    field(
        "kit",
        ValueShape::List(&ValueShape::Record(RecordKind::Owned)),
        FieldDefault::Words("kit is not checked"),
        "[(item: \"kettlebell\", load: light, each: 1), (item: \"box\", shared: 4)]",
        "The kit that people have or that is in the room. `check` then finds kit that is missing.",
    ),
    field(
        "floor",
        ValueShape::Count(1, 100_000),
        FieldDefault::None,
        "60",
        "The clear floor, in square metres. With `people`, `check` then says when there is little space.",
    ),
    field(
        "one_weight",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::ONE_WEIGHT.to_string()),
        "true",
        "Whether everybody has only one weight, as at home. A station that needs two weights must then have a \
         `variant`.",
    ),
    field(
        "emergency",
        ValueShape::Lines(limits::NOTE),
        FieldDefault::None,
        "\"Boathouse, 3 Weir Lane. Defibrillator by the slipway door. Call 112.\"",
        "The text that the stop key shows: the address, the nearest defibrillator, the number to call.",
    ),
    field(
        "mirror",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::MIRROR.to_string()),
        "true",
        "Whether you face the class. The screen then also shows your own side.",
    ),
    field(
        "seed",
        ValueShape::Count(0, i64::MAX),
        FieldDefault::Value(|| defaults::SEED.to_string()),
        "7",
        "Picks between wordings. The same number gives the same wordings.",
    ),
    field(
        "talk_room",
        ValueShape::Count(0, 100),
        FieldDefault::Value(|| defaults::TALK_ROOM.to_string()),
        "70",
        "The share of each work span, in percent, that the program leaves to your voice.",
    ),
    field(
        "level",
        ValueShape::Word(words::<SpeechLevel>),
        FieldDefault::Value(|| defaults::LEVEL.to_string()),
        "calls",
        "How much the program says. `silent`: nothing. `tones`: only tones. `calls`: also the time left. `changes`: \
         also what changes next. `full`: also technique.",
    ),
    field(
        "calls",
        CALLS,
        FieldDefault::Value(|| list(defaults::CALLS)),
        "[halfway, ten, pips]",
        "Which calls of the time left are made. `halfway` is called only in work of at least 40 s. `pips` are three \
         tones in the last three seconds.",
    ),
    field(
        "click",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::CLICK.to_string()),
        "true",
        "Whether the phases of each tempo are clicked. The clicks are soft and never sound under speech.",
    ),
    field(
        "music",
        MUSIC,
        FieldDefault::Words("no music"),
        "[\"music/steady\", \"music/last.mp3\"]",
        "Your own music for the class: files and folders. The files of a folder are played in the order of their \
         names, then again from the first. Paths are relative to the session file. The music gets quieter under \
         speech and tones.",
    ),
    field(
        "music_in_pause",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::MUSIC_IN_PAUSE.to_string()),
        "true",
        "Whether the music keeps playing while the class is paused or a block waits for your key.",
    ),
    field(
        "allow",
        ALLOW,
        FieldDefault::Value(none),
        "[(rule: \"long_hold\", why: \"long holds are the point today\")]",
        "Rules of advice that you accept for the whole class, each with a reason. `check` then does not print what \
         they find; `check --json` still does.",
    ),
    field(
        "blocks",
        ValueShape::List(&ValueShape::Record(RecordKind::Block)),
        FieldDefault::Needed,
        "[(name: \"Raise\", kind: warm_up, work: \"40s\", stations: [\"march-tall\", \"arm-sweeps\"])]",
        "The blocks, in the order in which they are done.",
    ),
];

static BLOCK: &[FieldInfo] = &[
    field("name", NAME, FieldDefault::Needed, "\"Hinge\"", "The name of the block, as shown and said."),
    field(
        "kind",
        ValueShape::Word(words::<BlockKind>),
        FieldDefault::Value(|| defaults::KIND.to_string()),
        "warm_up",
        "What the block is for: a warm-up, main work or a cool-down.",
    ),
    field(
        "format",
        ValueShape::Choice(&[
            ChoiceWord { word: "circuit", content: ChoiceContent::Nothing },
            ChoiceWord { word: "sets", content: ChoiceContent::Nothing },
            ChoiceWord { word: "emom", content: ChoiceContent::Fields(RecordKind::Emom) },
            ChoiceWord { word: "amrap", content: ChoiceContent::Fields(RecordKind::Amrap) },
            ChoiceWord { word: "ladder", content: ChoiceContent::Fields(RecordKind::Ladder) },
            ChoiceWord { word: "intervals", content: ChoiceContent::Fields(RecordKind::Intervals) },
            ChoiceWord { word: "rotation", content: ChoiceContent::Nothing },
        ]),
        FieldDefault::Words("circuit"),
        "emom(every: \"1m\")",
        "How the stations follow each other. `circuit`: every station in turn, round after round. `sets`: all sets \
         of one station, then of the next. `emom`: work starts on every minute, and the remaining time is rest. \
         `amrap`: as many rounds as possible, each person at their own pace. `ladder`: one round for each length of \
         work. `intervals`: work and rest, a given number of times. `rotation`: groups move from station to station \
         at the same time.",
    ),
    field(
        "rounds",
        ROUNDS,
        FieldDefault::Value(|| defaults::ROUNDS.to_string()),
        "3",
        "The number of rounds. One round is one pass over all stations; in `sets`, one set of each station; in \
         `amrap`, one run of `time`.",
    ),
    field(
        "work",
        ValueShape::Length,
        FieldDefault::Words("each station needs its own `work` or `reps`"),
        "\"50s\"",
        "The length of work at each station that has no length of its own.",
    ),
    field(
        "reps",
        REPS,
        FieldDefault::Words("each station needs its own `work` or `reps`"),
        "10",
        "The repetitions at each station, instead of a length of work. They are timed by the tempo. A one-sided \
         movement gets this many on each side.",
    ),
    field(
        "rest",
        ValueShape::Length,
        FieldDefault::Value(|| length(defaults::REST)),
        "\"10s\"",
        "Rest between two stations of a round.",
    ),
    field(
        "round_rest",
        ValueShape::Length,
        FieldDefault::Words("the block's `rest`"),
        "\"1m\"",
        "Rest between two rounds.",
    ),
    field(
        "rest_after",
        ValueShape::Length,
        FieldDefault::Value(|| length(defaults::REST_AFTER)),
        "\"75s\"",
        "Rest after the block. Skipped after the last block.",
    ),
    field(
        "transitions",
        ValueShape::Either(
            &ValueShape::Choice(&[
                ChoiceWord { word: "inside", content: ChoiceContent::Nothing },
                ChoiceWord { word: "added", content: ChoiceContent::Nothing },
                ChoiceWord { word: "fixed", content: ChoiceContent::One(&ValueShape::Length) },
            ]),
            &ValueShape::Length,
        ),
        FieldDefault::Words("inside"),
        "added",
        "What happens when a change of kit, position, side or place needs more seconds than the rest before it. \
         `inside`: the work keeps its length and begins with the missing seconds. `added`: the missing seconds are \
         added. A length such as \"10s\": this length, less the rest before it, is added before every station except \
         the first.",
    ),
    field(
        "start",
        ValueShape::Word(words::<BlockStart>),
        FieldDefault::Value(|| defaults::START.to_string()),
        "on_key",
        "What starts the block. `auto`: it starts by itself. `on_key`: it waits for your key.",
    ),
    field(
        "briefing",
        ValueShape::Length,
        FieldDefault::Value(|| length(defaults::BRIEFING)),
        "\"1m\"",
        "Planned time to brief the class before the first station.",
    ),
    field(
        "focus",
        MUSCLES,
        FieldDefault::Value(none),
        "[hamstrings, glutes]",
        "The muscles that the block is meant to work.",
    ),
    field(
        "aim",
        ValueShape::Word(words::<BlockAim>),
        FieldDefault::None,
        "strength",
        "What the block trains. With `strength`, `check` says when a rest is too short for it.",
    ),
    field(
        "allow",
        ALLOW,
        FieldDefault::Value(none),
        "[(rule: \"long_hold\", why: \"they are used to it and keep breathing\")]",
        "Rules of advice that you accept for this block, each with a reason.",
    ),
    field(
        "calls",
        CALLS,
        FieldDefault::Words("the session's `calls`"),
        "[ten, pips]",
        "Which calls of the time left are made in this block.",
    ),
    field(
        "level",
        ValueShape::Word(words::<SpeechLevel>),
        FieldDefault::Words("the session's `level`"),
        "full",
        "How much the program says in this block.",
    ),
    field(
        "click",
        ValueShape::Bool,
        FieldDefault::Words("the session's `click`"),
        "true",
        "Whether the phases of the tempo are clicked in this block.",
    ),
    field(
        "music",
        MUSIC,
        FieldDefault::Words("the session's `music`"),
        "[\"music/slow\"]",
        "The music of this block. `[]` means no music.",
    ),
    field(
        "sides",
        ValueShape::Word(words::<Sides>),
        FieldDefault::Words("the sides of each movement"),
        "left_then_right",
        "How the one-sided movements of the block use the two sides. The field does not change movements that use \
         both sides at once.",
    ),
    field(
        "tempo",
        ValueShape::Tempo,
        FieldDefault::Words("the tempo of each movement"),
        "\"3-1-2-0\"",
        "Seconds to lower, hold, lift and hold, for the stations of the block that have repetitions.",
    ),
    field(
        "note",
        ValueShape::Lines(limits::NOTE),
        FieldDefault::None,
        "\"boxes out first\"",
        "Your own note. It is shown and printed, but never spoken.",
    ),
    field(
        "stations",
        ValueShape::List(&ValueShape::Either(&NAME, &ValueShape::Record(RecordKind::Station))),
        FieldDefault::Needed,
        "[\"bell-deadlift\", (move: \"split-squat\", sides: left_then_right)]",
        "The stations, in order. Each is the id of a movement, or a record with more fields.",
    ),
];

static STATION: &[FieldInfo] = &[
    field(
        "move",
        NAME,
        FieldDefault::Words("required, unless `name` describes the movement here"),
        "\"split-squat\"",
        "The id of a movement of the catalogue.",
    ),
    field(
        "name",
        NAME,
        FieldDefault::Words("required, unless `move` names a movement"),
        "\"Oar carry\"",
        "The name of a movement that is not in the catalogue and is described here.",
    ),
    field(
        "work",
        ValueShape::Length,
        FieldDefault::Words("the block's `work`"),
        "\"45s\"",
        "The length of work at this station.",
    ),
    field(
        "reps",
        REPS,
        FieldDefault::Words("the block's `reps`"),
        "8",
        "The repetitions at this station, instead of a length of work. They are timed by the tempo. A one-sided \
         movement gets this many on each side.",
    ),
    field(
        "sides",
        ValueShape::Word(words::<Sides>),
        FieldDefault::Words(
            "the block's `sides`, else those of the movement; `together` for a movement described here",
        ),
        "each_side",
        "How the two sides are used. `together`: both at once. `alternating`: one repetition left, one right. \
         `left_then_right`: both in one span, with a switch. `each_side`: one span for each side.",
    ),
    field(
        "tempo",
        ValueShape::Tempo,
        FieldDefault::Words("the block's `tempo`, else that of the movement"),
        "\"2-0-2-0\"",
        "Seconds to lower, hold, lift and hold.",
    ),
    field("rest", ValueShape::Length, FieldDefault::Words("the block's `rest`"), "\"20s\"", "Rest after this station."),
    field(
        "kit",
        KIT,
        FieldDefault::Words("the kit of the movement; none for a movement described here"),
        "[(item: \"kettlebell\", load: heavy, count: 2)]",
        "The kit that each person needs at this station.",
    ),
    field("place", NAME, FieldDefault::None, "\"by the rack\"", "Where the station is in the room."),
    field(
        "short",
        ValueShape::Text(crate::movement::Movement::SHORT),
        FieldDefault::Words("that of the movement, else as many words of the name as fit"),
        "\"SPLIT SQUAT\"",
        "The name in large letters on the screen.",
    ),
    field(
        "prompts",
        LINES,
        FieldDefault::Words("the prompts of the movement"),
        "[\"front heel heavy\"]",
        "Short prompts for you to say.",
    ),
    field(
        "faults",
        ValueShape::List(&ValueShape::Either(
            &ValueShape::Record(RecordKind::Correction),
            &ValueShape::Tuple(&[LINE, LINE]),
        )),
        FieldDefault::Words("the faults of the movement"),
        "[(fault: \"knee falling in\", fix: \"spread the floor\")]",
        "Common faults, each with its fix.",
    ),
    field("easier", TIER, FieldDefault::Words("that of the movement"), "\"hand on the box\"", "An easier option."),
    field("harder", TIER, FieldDefault::Words("that of the movement"), "\"three seconds down\"", "A harder option."),
    field("variant", LINE, FieldDefault::None, "\"one bell, both hands\"", "How to do it with only one weight."),
    field(
        "click",
        ValueShape::Bool,
        FieldDefault::Words("the block's `click`"),
        "true",
        "Whether the phases of the tempo are clicked at this station.",
    ),
    field(
        "optional",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::OPTIONAL.to_string()),
        "true",
        "Whether this station may be dropped before others when time runs short.",
    ),
    field(
        "said",
        NAME,
        FieldDefault::Words("the name as written"),
        "\"oar carry\"",
        "The name as spoken, if the written name sounds wrong. Only with `name`.",
    ),
    field(
        "pattern",
        ValueShape::Word(words::<Pattern>),
        FieldDefault::Value(|| defaults::PATTERN.to_string()),
        "carry",
        "How the body moves. Only with `name`.",
    ),
    field(
        "position",
        ValueShape::Word(words::<Position>),
        FieldDefault::Value(|| defaults::POSITION.to_string()),
        "prone",
        "How the body stands or lies. Only with `name`.",
    ),
    field(
        "prime",
        MUSCLES,
        FieldDefault::Value(none),
        "[abdominals]",
        "The muscles that do most of the work. Only with `name`.",
    ),
    field("helping", MUSCLES, FieldDefault::Value(none), "[obliques]", "The muscles that help. Only with `name`."),
    field(
        "loaded",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::LOADED.to_string()),
        "false",
        "Whether the movement loads its prime muscles. `false` if it only warms or stretches them. Only with `name`.",
    ),
    field(
        "starts",
        ValueShape::Word(|| vec![FirstPhase::Lower.to_string(), FirstPhase::Lift.to_string()]),
        FieldDefault::Value(|| defaults::STARTS.to_string()),
        "lift",
        "The phase of the tempo that a repetition begins with. Only with `name`.",
    ),
    field(
        "phases",
        ValueShape::Tuple(&[NAME, NAME]),
        FieldDefault::Value(|| format!("{:?}", defaults::PHASES)),
        "(\"return\", \"pull\")",
        "The names of the lowering and the lifting phase. Only with `name`.",
    ),
    field(
        "setup",
        LINE,
        FieldDefault::None,
        "\"feet under the hips, an oar in each hand\"",
        "How to get into position. Only with `name`.",
    ),
    field(
        "cautions",
        CAUTIONS,
        FieldDefault::Value(none),
        "[(wrist, text(\"on the fists\")), (low_back, leave_out)]",
        "Regions or states that the movement is hard on, each with what to do instead. Only with `name`.",
    ),
];

static OWNED: &[FieldInfo] = &[
    field("item", NAME, FieldDefault::Needed, "\"kettlebell\"", "The name of the kit, as movements use it."),
    field("load", ValueShape::Word(words::<Load>), FieldDefault::None, "light", "How heavy it is, in one word."),
    field(
        "each",
        ValueShape::Count(1, 100),
        FieldDefault::Words("required, unless `shared` is given"),
        "1",
        "How many each person has.",
    ),
    field(
        "shared",
        ValueShape::Count(1, 10_000),
        FieldDefault::Words("required, unless `each` is given"),
        "4",
        "How many there are in the room for everybody to share.",
    ),
];

static ALLOWANCE: &[FieldInfo] = &[
    field(
        "rule",
        NAME,
        FieldDefault::Needed,
        "\"long_hold\"",
        "The name of the rule, which `check` prints in square brackets.",
    ),
    field(
        "why",
        LINE,
        FieldDefault::Needed,
        "\"long holds are the point today\"",
        "Your reason, for the next person who reads the file.",
    ),
];

static KIT_NEED: &[FieldInfo] = &[
    field("item", NAME, FieldDefault::Needed, "\"kettlebell\"", "The name of the kit."),
    field(
        "load",
        ValueShape::Word(words::<Load>),
        FieldDefault::Words("any load"),
        "heavy",
        "How heavy it is, in one word. From light to heavy is a change of kit.",
    ),
    field(
        "count",
        ValueShape::Count(1, 10),
        FieldDefault::Value(|| defaults::COUNT.to_string()),
        "2",
        "How many each person needs.",
    ),
];

static CORRECTION: &[FieldInfo] = &[
    field("fault", LINE, FieldDefault::Needed, "\"knee falling in\"", "What you see."),
    field("fix", LINE, FieldDefault::Needed, "\"spread the floor\"", "What you say."),
];

static TIER_FIELDS: &[FieldInfo] = &[
    field("what", LINE, FieldDefault::Needed, "\"knees down\"", "What to do."),
    field("movement", NAME, FieldDefault::None, "\"push-up-kneeling\"", "The id of the movement that it becomes."),
];

static EMOM: &[FieldInfo] = &[field(
    "every",
    ValueShape::Length,
    FieldDefault::Needed,
    "\"1m\"",
    "The time from one start to the next. The time that the work does not use is rest.",
)];

static AMRAP: &[FieldInfo] =
    &[field("time", ValueShape::Length, FieldDefault::Needed, "\"8m\"", "How long people repeat the stations.")];

static LADDER: &[FieldInfo] = &[
    field(
        "rungs",
        ValueShape::List(&ValueShape::Length),
        FieldDefault::Needed,
        "[\"20s\", \"30s\", \"40s\"]",
        "The lengths of work. Each is one round of the stations.",
    ),
    field(
        "way",
        ValueShape::Word(words::<LadderOrder>),
        FieldDefault::Value(|| LadderOrder::default().to_string()),
        "both",
        "The order of the rungs. `up`: as written. `down`: from the last to the first. `both`: up, then down again, \
         with the last rung only once.",
    ),
];

static INTERVALS: &[FieldInfo] = &[
    field(
        "count",
        ValueShape::Count(1, 10_000),
        FieldDefault::Needed,
        "8",
        "How many times work and rest are done, with the stations in turn.",
    ),
    field(
        "last_rest",
        ValueShape::Bool,
        FieldDefault::Value(|| defaults::LAST_REST.to_string()),
        "true",
        "Whether there is a rest after the last work.",
    ),
];

impl RecordKind {
    /// The fields, in their usual order in a file.
    pub fn fields(self) -> &'static [FieldInfo] {
        match self {
            RecordKind::Session => SESSION,
            RecordKind::Block => BLOCK,
            RecordKind::Station => STATION,
            RecordKind::Owned => OWNED,
            RecordKind::Allowance => ALLOWANCE,
            RecordKind::Kit => KIT_NEED,
            RecordKind::Correction => CORRECTION,
            RecordKind::Tier => TIER_FIELDS,
            RecordKind::Emom => EMOM,
            RecordKind::Amrap => AMRAP,
            RecordKind::Ladder => LADDER,
            RecordKind::Intervals => INTERVALS,
        }
    }

    /// A field by its name.
    pub fn field(self, name: &str) -> Option<&'static FieldInfo> {
        self.fields().iter().find(|field| field.name == name)
    }

    /// What the record is, with its article.
    pub fn what(self) -> &'static str {
        match self {
            RecordKind::Session => "a session",
            RecordKind::Block => "a block",
            RecordKind::Station => "a station",
            RecordKind::Owned => "a piece of kit",
            RecordKind::Allowance => "an allowed rule",
            RecordKind::Kit => "a piece of kit",
            RecordKind::Correction => "a fault with its fix",
            RecordKind::Tier => "an easier or harder option",
            RecordKind::Emom => "emom",
            RecordKind::Amrap => "amrap",
            RecordKind::Ladder => "ladder",
            RecordKind::Intervals => "intervals",
        }
    }
}

impl ValueShape {
    /// A value of this shape in words: `a length of time such as "45s"`.
    pub fn what(&self) -> String {
        match self {
            ValueShape::Text(most) | ValueShape::Lines(most) => {
                format!("a text of at most {most} characters, in quotes")
            }
            ValueShape::Length => "a length of time such as \"45s\", \"1m30s\" or \"1:30\", in quotes".to_owned(),
            ValueShape::Tempo => "a tempo such as \"2-0-2-0\", in quotes".to_owned(),
            ValueShape::Count(least, i64::MAX) => format!("a whole number from {least}"),
            ValueShape::Count(least, most) => format!("a whole number from {least} to {most}"),
            ValueShape::Bool => "true or false".to_owned(),
            ValueShape::Word(words) => format!("one of {}", words().join(", ")),
            ValueShape::List(of) => format!("a list in [ ], each {}", of.what()),
            ValueShape::Tuple(of) => {
                let parts: Vec<String> = of.iter().map(ValueShape::what).collect();
                format!("in ( ): {}", parts.join(", then "))
            }
            ValueShape::Record(record) => {
                let needed = |field: &&FieldInfo| matches!(field.default, FieldDefault::Needed);
                let names: Vec<String> =
                    record.fields().iter().filter(needed).map(|field| format!("{}: ..", field.name)).collect();
                let names = if names.is_empty() { "..".to_owned() } else { names.join(", ") };
                format!("{} in brackets, ({names})", record.what())
            }
            ValueShape::Choice(choices) => {
                let words: Vec<String> = choices.iter().map(ChoiceWord::what).collect();
                format!("one of {}", words.join(", "))
            }
            ValueShape::Either(one, other) => format!("{}; or {}", one.what(), other.what()),
        }
    }
}

impl ChoiceWord {
    /// The word with the fields in its brackets: `emom(every: ..)`.
    pub fn what(&self) -> String {
        match self.content {
            ChoiceContent::Nothing => self.word.to_owned(),
            ChoiceContent::One(_) => format!("{}(\"..\")", self.word),
            ChoiceContent::Fields(record) => {
                let names: Vec<String> = record.fields().iter().map(|field| format!("{}: ..", field.name)).collect();
                format!("{}({})", self.word, names.join(", "))
            }
        }
    }
}

impl FieldInfo {
    /// The default of the field, in words.
    pub fn default_words(&self) -> String {
        match self.default {
            FieldDefault::Needed => "required".to_owned(),
            FieldDefault::None => "not set".to_owned(),
            FieldDefault::Words(words) => words.to_owned(),
            FieldDefault::Value(value) => value(),
        }
    }
}

fn none() -> String {
    "[]".to_owned()
}

fn length(tick: crate::time::Tick) -> String {
    format!("\"{}\"", spoken_length(tick))
}

fn list(words: &[CallChoice]) -> String {
    let words: Vec<String> = words.iter().map(ToString::to_string).collect();
    format!("[{}]", words.join(", "))
}
