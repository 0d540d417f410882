//! Faults: what is wrong with a file, where, and what to write instead.

use std::fmt;
use std::ops::Range;

use serde::Serialize;
use strum::{Display, EnumIter, IntoStaticStr};

use super::bounds;
use super::tree::Tree;

/// How bad a fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Severity {
    /// The file cannot be used.
    Fault,
    /// The file can be used; the coach should know.
    Warning,
    /// Nothing is wrong; it might be better.
    Info,
}

/// What kind of fault it is. The words are stable: scripts may rely on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display, EnumIter, IntoStaticStr)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Code {
    // How it is written.
    /// The file is larger than is read.
    FileTooLarge,
    /// The text is not in the shape of a session file: a bracket, comma or quote is missing or too many.
    Syntax,
    /// A quote opens a text and none closes it.
    UnclosedText,
    /// Brackets inside brackets, deeper than any session needs.
    TooDeep,
    /// A field that is not known here.
    UnknownField,
    /// A field that is needed and not there.
    MissingField,
    /// A field that is there twice.
    RepeatedField,
    /// A value of the wrong kind: a number where a text should be.
    WrongKind,
    /// A word that is not one of the set.
    UnknownWord,

    // What a value means.
    /// Not a length of time.
    BadLength,
    /// A length of nothing where there must be some.
    ZeroLength,
    /// Not a tempo.
    BadTempo,
    /// A number outside its range.
    NumberRange,
    /// A text longer than it can be shown or said.
    TextTooLong,
    /// A text with nothing in it.
    EmptyText,
    /// A text with characters that a terminal would obey.
    ControlCharacter,
    /// A list with more in it than is read.
    ListTooLong,
    /// A list with nothing in it.
    EmptyList,
    /// The same thing twice in a list.
    Repeated,

    // What the values mean together.
    /// No movement of this id.
    UnknownMovement,
    /// No kit of this name.
    UnknownKit,
    /// Kit without a number, or with two.
    KitAmount,
    /// A station with neither an id nor a name.
    NoMovement,
    /// A movement of the catalogue described over again.
    DescribedTwice,
    /// No length and no number of repetitions.
    NoWork,
    /// A length and a number of repetitions.
    WorkTwice,
    /// Repetitions without a tempo: how long they take is not known.
    RepsWithoutTempo,
    /// A tempo for a hold or a carry.
    TempoWithoutReps,
    /// One repetition at the tempo takes longer than the work.
    TempoTooLong,
    /// The two sides cannot get the same work.
    UnequalSides,
    /// Work that does not fit the time it is given.
    WorkTooLong,
    /// A field that means nothing in this format.
    NotInThisFormat,
    /// Two blocks of the same name.
    SameBlockName,
    /// More spans or more time than a session may have.
    TooMuch,
    /// More time than the room is booked for.
    SlotExceeded,
    /// A station asks for kit that nobody has.
    KitMissing,
    /// Everybody has one weight, and a station asks for more.
    OneWeight,
    /// Somebody minds a region, and the station offers no alternative.
    MindedRegion,
    /// Music that is not there, or is none.
    NoMusic,
    /// Muscles that were loaded in a class before have not had their nights of rest.
    NotRecovered,

    // What a coach may want to think over.
    /// A class with a slot and no warm-up.
    NoWarmUp,
    /// A class with a slot and no cool-down.
    NoCoolDown,
    /// Much of a work span goes into getting ready.
    MuchSettle,
    /// Much more push than pull, or the other way.
    PushAgainstPull,
    /// Holds without a rest for long.
    LongHold,
    /// No pause to drink for long.
    NoPause,
    /// Up from the floor again and again.
    ManyUps,
    /// A station without an easier tier.
    NoEasier,
    /// A station without a harder tier.
    NoHarder,
    /// Another order of the stations needs fewer changes of kit.
    KitOrder,
    /// The time given for a change is not enough for it.
    TightTransition,
    /// A call that was asked for is never made.
    CallNeverMade,
    /// What comes next takes too long to say.
    CueTooLong,
    /// Blocks wait for the coach, and the slot leaves no time for that.
    NoTimeToWait,
    /// A warm-up that does not go from easy to hard.
    WarmUpOrder,
    /// Muscles are loaded that nothing has warmed.
    ColdMuscle,
    /// The same grip for long.
    SameGrip,
    /// What asks for skill comes when people are tired.
    LateSkill,
    /// Less rest than work for strength asks for.
    ShortRest,
    /// A run of stations that somebody cannot do as shown.
    MindedRun,
    /// Little floor for the people.
    LittleSpace,
    /// The screen's lettering is small from where the class is.
    SmallLettering,
    /// A muscle is loaded much longer than in the last class.
    MuchMore,
    /// Much more impact than in the classes before.
    ImpactJump,
    /// More than one thing is harder than in the last class.
    TwoAdvanced,

    // What a coach allows.
    /// No rule of this name.
    UnknownRule,
    /// Something is allowed that is not found.
    AllowsNothing,

    /// A movement of a file of movements is not as the catalogue needs it.
    BadMovement,
}

impl Code {
    /// Whether it is a rule of advice: what the coach has thought over may be allowed.
    pub fn is_advice(self) -> bool {
        (Code::NoWarmUp..=Code::TwoAdvanced).contains(&self)
    }

    /// Whether it looks at more than the class: at the classes before or the screen. It is found on one day or machine
    /// and not on another.
    pub fn is_of_elsewhere(self) -> bool {
        matches!(self, Code::MuchMore | Code::ImpactJump | Code::TwoAdvanced | Code::SmallLettering)
    }

    /// Whether it says that something is not there. Of a file that was read in part, that may be the part.
    pub fn is_of_absence(self) -> bool {
        matches!(self, Code::NoWork | Code::NoMovement | Code::KitAmount | Code::EmptyList | Code::MissingField)
    }
}

/// Where in a file a fault is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Spot {
    /// The file as a whole.
    File,
    /// A value.
    Value(Path),
    /// The name of a field.
    Name(Path),
    /// A stretch of the text, in bytes.
    Bytes(Range<usize>),
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub severity: Severity,
    pub code: Code,
    pub at: Spot,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
    /// A second place that belongs to it, with a word on why.
    pub beside: Option<(Spot, String)>,
    /// Why the coach allows it. It is then told of nobody but who asks for all.
    pub allowed: Option<String>,
}

impl Fault {
    /// A fault that stops the file from being used.
    pub fn new(code: Code, at: Spot, message: impl Into<String>) -> Fault {
        Fault { severity: Severity::Fault, code, at, message: message.into(), help: None, beside: None, allowed: None }
    }

    /// A fault that the coach should know of.
    pub fn warning(code: Code, at: Spot, message: impl Into<String>) -> Fault {
        Fault { severity: Severity::Warning, ..Fault::new(code, at, message) }
    }

    /// The block that it is in, by the path of its place.
    pub fn block(&self) -> Option<usize> {
        let (Spot::Value(path) | Spot::Name(path)) = &self.at else { return None };
        match path.0[..] {
            [Step::Field("blocks"), Step::Item(block), ..] => Some(block),
            _ => None,
        }
    }

    /// With what to write instead.
    pub fn help(self, help: impl Into<String>) -> Fault {
        Fault { help: Some(help.into()), ..self }
    }

    /// With a second place.
    pub fn beside(self, at: Spot, why: impl Into<String>) -> Fault {
        Fault { beside: Some((at, why.into())), ..self }
    }
}

/// One step from a value to a value inside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Step {
    Field(&'static str),
    /// From 0.
    Item(usize),
}

/// The way from the whole file to a value: `blocks[2].stations[3].work`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Path(pub Vec<Step>);

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, step) in self.0.iter().enumerate() {
            match step {
                Step::Field(name) if place == 0 => f.write_str(name)?,
                Step::Field(name) => write!(f, ".{name}")?,
                Step::Item(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}

/// A path that is being walked. It costs nothing until a fault asks for it.
#[derive(Clone, Copy, Debug)]
pub struct Here<'a> {
    above: Option<(&'a Here<'a>, Step)>,
}

impl Here<'_> {
    /// The whole file.
    pub const FILE: Here<'static> = Here { above: None };

    /// A field of the record here.
    pub fn field(&self, name: &'static str) -> Here<'_> {
        Here { above: Some((self, Step::Field(name))) }
    }

    /// An item of the list here, from 0.
    pub fn item(&self, index: usize) -> Here<'_> {
        Here { above: Some((self, Step::Item(index))) }
    }

    /// The path from the file to here.
    pub fn path(&self) -> Path {
        let mut steps = Vec::new();
        let mut here = self;
        while let Some((above, step)) = here.above {
            steps.push(step);
            here = above;
        }
        steps.reverse();
        Path(steps)
    }

    /// The value here.
    pub fn value(&self) -> Spot {
        Spot::Value(self.path())
    }

    /// The name of the field here.
    pub fn name(&self) -> Spot {
        Spot::Name(self.path())
    }
}

/// All that was found in one file, each with its place, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    pub faults: Vec<Placed>,
    /// How many more there are than are told.
    pub more: usize,
}

/// A fault with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    pub fault: Fault,
    /// In bytes of the text; None for the file as a whole.
    pub place: Option<Range<usize>>,
    /// The place of [`Fault::beside`].
    pub beside: Option<Range<usize>>,
}

impl Report {
    /// Places faults by the tree of their file and puts them in order. Of faults of the same code at the same place
    /// one is kept.
    pub fn new(faults: Vec<Fault>, tree: Option<&Tree>) -> Report {
        let place = |spot: &Spot| match (tree, spot) {
            (_, Spot::Bytes(place)) => Some(place.clone()),
            (Some(tree), spot) => tree.place(spot),
            (None, _) => None,
        };
        let mut placed: Vec<Placed> = faults
            .into_iter()
            .map(|fault| Placed {
                place: place(&fault.at),
                beside: fault.beside.as_ref().and_then(|(spot, _)| place(spot)),
                fault,
            })
            .collect();
        let key = |placed: &Placed| {
            let start = placed.place.as_ref().map(|place| (place.start, place.end));
            (start, placed.fault.severity, placed.fault.code)
        };
        placed.sort_by_key(key);
        placed.dedup_by(|again, first| key(again) == key(first) && again.place.is_some());
        let more = placed.len().saturating_sub(bounds::FAULTS);
        if more > 0 {
            // What keeps the file from being used is told before what does not.
            placed.sort_by_key(|placed| placed.fault.severity);
            placed.truncate(bounds::FAULTS);
            placed.sort_by_key(key);
        }
        Report { faults: placed, more }
    }

    /// Whether the file can be used.
    pub fn is_usable(&self) -> bool {
        self.faults.iter().all(|placed| placed.fault.severity != Severity::Fault)
    }
}
