//! Faults: what is wrong in a file, where, and what to write instead.

use std::fmt;
use std::ops::Range;

use serde::Serialize;
use strum::{Display, EnumIter, IntoStaticStr};

use super::limits;
use super::tree::FileTree;

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

/// The kind of a fault. The words do not change, so scripts may rely on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display, EnumIter, IntoStaticStr)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum FaultCode {
    // Syntax and shape.
    /// The file is too large.
    FileTooLarge,
    /// The text does not have the form of a session file: a bracket, comma or quote is missing or one too many.
    Syntax,
    /// A text has an opening quote and no closing quote.
    UnclosedText,
    /// Brackets are nested deeper than any session needs.
    TooDeep,
    /// A field that the record does not have.
    UnknownField,
    /// A required field is missing.
    MissingField,
    /// A field is written twice.
    RepeatedField,
    /// A value of the wrong kind: a number where a text should be.
    WrongKind,
    /// A word that is not one of the set.
    UnknownWord,

    // Single values.
    /// Not a length of time.
    BadLength,
    /// A length of zero where more is needed.
    ZeroLength,
    /// Not a tempo.
    BadTempo,
    /// A number outside its range.
    NumberRange,
    /// A text that is too long to be shown or said.
    TextTooLong,
    /// An empty text.
    EmptyText,
    /// A text with characters that a terminal would act on.
    ControlCharacter,
    /// A list with too many entries.
    ListTooLong,
    /// An empty list.
    EmptyList,
    /// The same thing twice in a list.
    Repeated,

    // Values together.
    /// No movement of this id.
    UnknownMovement,
    /// No kit of this name.
    UnknownKit,
    /// Kit without an amount, or with two amounts.
    KitAmount,
    /// A station with neither an id nor a name.
    NoMovement,
    /// A station that names a movement of the catalogue and also describes it.
    DescribedTwice,
    /// No length and no number of repetitions.
    NoWork,
    /// Both a length and a number of repetitions.
    WorkTwice,
    /// Repetitions without a tempo, so their time is not known.
    RepsWithoutTempo,
    /// A tempo for a hold or a carry.
    TempoWithoutReps,
    /// One repetition at the tempo takes longer than the work.
    TempoTooLong,
    /// The two sides cannot get the same work.
    UnequalSides,
    /// Work that does not fit into its time.
    WorkTooLong,
    /// A field that has no effect in this format.
    NotInThisFormat,
    /// Two blocks of the same name.
    SameBlockName,
    /// More spans or more time than a session may have.
    TooMuch,
    /// A class longer than its slot.
    SlotExceeded,
    /// A station asks for kit that nobody has.
    KitMissing,
    /// A station that needs more than one weight, when everybody has only one.
    OneWeight,
    /// A station without an alternative for a region to look after.
    NoAlternative,
    /// A path without music: it does not exist or is not music.
    NoMusic,
    /// Muscles that an earlier class loaded and that have had too few nights of rest.
    NotRecovered,

    // Advice to the coach.
    /// A class with a slot and no warm-up.
    NoWarmUp,
    /// A class with a slot and no cool-down.
    NoCoolDown,
    /// A large part of a work span is spent on getting ready.
    MuchSettle,
    /// Much more push than pull, or much more pull than push.
    PushAgainstPull,
    /// Holds for a long time without a rest.
    LongHold,
    /// A long time without a break to drink.
    NoPause,
    /// Many changes from the floor to the feet.
    ManyUps,
    /// A station without an easier option.
    NoEasier,
    /// A station without a harder option.
    NoHarder,
    /// Another order of the stations needs fewer changes of kit.
    KitOrder,
    /// A change that has less time than it needs.
    TightTransition,
    /// A call that is set and never made.
    CallNeverMade,
    /// A cue for what comes next that takes too long to say.
    CueTooLong,
    /// Blocks wait for the coach's key, but the slot leaves no time for that.
    NoTimeToWait,
    /// A warm-up that does not go from easy to hard.
    WarmUpOrder,
    /// Muscles that are loaded without a warm-up.
    ColdMuscle,
    /// The same grip for a long time.
    SameGrip,
    /// A movement that needs skill comes when people are tired.
    LateSkill,
    /// Less rest than strength work needs.
    ShortRest,
    /// Several stations in a row that are hard on the same region to look after.
    LookAfterRun,
    /// Little floor space for the number of people.
    LittleSpace,
    /// The lettering on the screen is small at the distance of the class.
    SmallLettering,
    /// A muscle is loaded much longer than in the last class.
    MuchMore,
    /// Much more impact than in earlier classes.
    ImpactJump,
    /// More than one thing is harder than in the last class.
    TwoAdvanced,

    // Allowed advice.
    /// No rule of this name.
    UnknownRule,
    /// A rule is allowed that finds nothing.
    AllowsNothing,

    /// A movement in a file of movements that the catalogue cannot use.
    BadMovement,
}

impl FaultCode {
    /// Whether it is a rule of advice. The coach may allow what such a rule finds.
    pub fn is_advice(self) -> bool {
        (FaultCode::NoWarmUp..=FaultCode::TwoAdvanced).contains(&self)
    }

    /// Whether it depends on more than the session: on earlier classes or on the screen. It may be found on one day or
    /// computer and not on another.
    pub fn is_of_elsewhere(self) -> bool {
        matches!(self, FaultCode::MuchMore | FaultCode::ImpactJump | FaultCode::TwoAdvanced | FaultCode::SmallLettering)
    }

    /// Whether it says that something is missing. In a file that was read only in part, the missing thing may be in the
    /// part that was not read.
    pub fn is_of_absence(self) -> bool {
        matches!(
            self,
            FaultCode::NoWork
                | FaultCode::NoMovement
                | FaultCode::KitAmount
                | FaultCode::EmptyList
                | FaultCode::MissingField
        )
    }
}

/// Where in a file a fault is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultSpot {
    /// The file as a whole.
    File,
    /// A value.
    Value(ValuePath),
    /// The name of a field.
    Name(ValuePath),
    /// A range of the text, in bytes.
    Bytes(Range<usize>),
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub severity: Severity,
    pub code: FaultCode,
    pub at: FaultSpot,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
    /// A second place that belongs to the fault, with a short reason.
    pub related: Option<(FaultSpot, String)>,
    /// The reason why the coach allows it. An allowed fault is reported only when all faults are asked for.
    pub allowed: Option<String>,
}

impl Fault {
    /// A fault that stops the file from being used.
    pub fn new(code: FaultCode, at: FaultSpot, message: impl Into<String>) -> Fault {
        Fault { severity: Severity::Fault, code, at, message: message.into(), help: None, related: None, allowed: None }
    }

    /// A fault that the coach should know of.
    pub fn warning(code: FaultCode, at: FaultSpot, message: impl Into<String>) -> Fault {
        Fault { severity: Severity::Warning, ..Fault::new(code, at, message) }
    }

    /// The index of the block it is in, from the path of its place. None when it is not in a block.
    pub fn block(&self) -> Option<usize> {
        let (FaultSpot::Value(path) | FaultSpot::Name(path)) = &self.at else { return None };
        match path.0[..] {
            [PathStep::Field("blocks"), PathStep::Item(block), ..] => Some(block),
            _ => None,
        }
    }

    /// Adds what to write instead.
    pub fn help(self, help: impl Into<String>) -> Fault {
        Fault { help: Some(help.into()), ..self }
    }

    /// Adds a second place.
    pub fn related(self, at: FaultSpot, why: impl Into<String>) -> Fault {
        Fault { related: Some((at, why.into())), ..self }
    }
}

/// One step from a value to a value inside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PathStep {
    Field(&'static str),
    /// From 0.
    Item(usize),
}

/// The path from the file to a value: `blocks[2].stations[3].work`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct ValuePath(pub Vec<PathStep>);

impl fmt::Display for ValuePath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, step) in self.0.iter().enumerate() {
            match step {
                PathStep::Field(name) if place == 0 => f.write_str(name)?,
                PathStep::Field(name) => write!(f, ".{name}")?,
                PathStep::Item(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}

/// The place that is being read, as a chain of steps. A [`ValuePath`] is built only when a fault needs one.
#[derive(Clone, Copy, Debug)]
pub struct LazyPath<'a> {
    above: Option<(&'a LazyPath<'a>, PathStep)>,
}

impl LazyPath<'_> {
    /// The whole file.
    pub const FILE: LazyPath<'static> = LazyPath { above: None };

    /// A field of the record here.
    pub fn field(&self, name: &'static str) -> LazyPath<'_> {
        LazyPath { above: Some((self, PathStep::Field(name))) }
    }

    /// An item of the list here, from 0.
    pub fn item(&self, index: usize) -> LazyPath<'_> {
        LazyPath { above: Some((self, PathStep::Item(index))) }
    }

    /// The path from the file to here.
    pub fn path(&self) -> ValuePath {
        let mut steps = Vec::new();
        let mut here = self;
        while let Some((above, step)) = here.above {
            steps.push(step);
            here = above;
        }
        steps.reverse();
        ValuePath(steps)
    }

    /// The value here.
    pub fn value(&self) -> FaultSpot {
        FaultSpot::Value(self.path())
    }

    /// The name of the field here.
    pub fn name(&self) -> FaultSpot {
        FaultSpot::Name(self.path())
    }
}

/// All faults of one file with their places, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FaultReport {
    pub faults: Vec<PlacedFault>,
    /// The number of further faults that are not in `faults`.
    pub more: usize,
}

/// A fault with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedFault {
    pub fault: Fault,
    /// In bytes of the text; None for the file as a whole.
    pub place: Option<Range<usize>>,
    /// The place of [`Fault::related`].
    pub related: Option<Range<usize>>,
}

impl FaultReport {
    /// Looks up the places of faults in the tree of their file and sorts the faults. When several have the same place,
    /// severity and code, one is kept.
    pub fn new(faults: Vec<Fault>, tree: Option<&FileTree>) -> FaultReport {
        let place = |spot: &FaultSpot| match (tree, spot) {
            (_, FaultSpot::Bytes(place)) => Some(place.clone()),
            (Some(tree), spot) => tree.place(spot),
            (None, _) => None,
        };
        let mut placed: Vec<PlacedFault> = faults
            .into_iter()
            .map(|fault| PlacedFault {
                place: place(&fault.at),
                related: fault.related.as_ref().and_then(|(spot, _)| place(spot)),
                fault,
            })
            .collect();
        let key = |placed: &PlacedFault| {
            let start = placed.place.as_ref().map(|place| (place.start, place.end));
            (start, placed.fault.severity, placed.fault.code)
        };
        placed.sort_by_key(key);
        placed.dedup_by(|again, first| key(again) == key(first) && again.place.is_some());
        let more = placed.len().saturating_sub(limits::FAULTS);
        if more > 0 {
            // When there are too many, severe faults are kept first.
            placed.sort_by_key(|placed| placed.fault.severity);
            placed.truncate(limits::FAULTS);
            placed.sort_by_key(key);
        }
        FaultReport { faults: placed, more }
    }

    /// Whether the file can be used.
    pub fn is_usable(&self) -> bool {
        self.faults.iter().all(|placed| placed.fault.severity != Severity::Fault)
    }
}
