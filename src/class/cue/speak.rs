//! The cues of a class, planned and put among its events.

use std::ops::Range;

use super::candidates::Writer;
use super::lengths::Lengths;
use super::place::Placer;
use super::stretch::Stretch;
use crate::schedule::{Audience, Call, Cue, CueKind, Event, Schedule, Span, Tone, What};
use crate::session::Level;
use crate::time::Tick;

/// How a class is to be spoken to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Voicing {
    /// How much is said, where that is not left to the blocks.
    pub level: Option<Level>,
    /// The coach has a sound device of their own, and hears there the must-say cues so much earlier than they are
    /// said on the floor; not at all where that is zero. None: what is for the coach is only printed.
    pub ear: Option<Tick>,
    /// How long its texts take to say.
    pub lengths: Lengths,
}

impl Voicing {
    /// How much is said in a span.
    pub fn level_in(&self, schedule: &Schedule, span: &Span) -> Level {
        self.level.unwrap_or(schedule.block_of(span).level)
    }
}

/// A cue that was planned, said or not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedCue {
    /// The work span with which its stretch of the class begins, or the first span of the class.
    pub span: usize,
    pub kind: CueKind,
    pub audience: Audience,
    /// 0: it must be said. A higher rank gives way first.
    pub rank: u8,
    /// It starts and ends within this.
    pub window: Range<Tick>,
    /// As it is said; whole where it is not.
    pub text: String,
    pub fate: Fate,
}

/// Whether a cue is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fate {
    Said { at: Tick, length: Tick },
    Unsaid(Reason),
}

/// Why a cue is left unsaid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Reason {
    /// There is not the time to say it.
    NoRoom,
    /// A call stands there.
    Call(Call),
    /// A tone stands there.
    Tone(Tone),
    /// Cues no less needed stand there.
    Cues,
    /// The coach's share of the work span would be less.
    TalkRoom,
    /// The coach's one unbroken stretch would be gone.
    Quiet,
    /// It would be the sentence before, once more.
    Repeated,
    /// The coach did not want it now.
    NotNow,
}

/// Where planning sets in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Anew {
    /// Cues are planned from this tick on.
    pub from: Tick,
    /// What is being said at that tick breaks off there, and is to be said again.
    pub breaks_off: bool,
}

impl From<Tick> for Anew {
    /// What is being said at that tick is said to its end.
    fn from(from: Tick) -> Anew {
        Anew { from, breaks_off: false }
    }
}

/// Plans the cues of a class from a tick on: in the order of their stretches, and within one as they come.
///
/// Cues among the schedule's events before that tick were said: they are kept clear of, and not said again in their
/// stretch. The same class, tick and lengths give the same cues; takes time linear in the spans.
pub fn plan_cues(schedule: &Schedule, from: impl Into<Anew>, voicing: &Voicing) -> Vec<PlannedCue> {
    let anew = from.into();
    let mut writer = Writer::new(schedule, voicing);
    let mut placer = Placer::new(schedule, anew, voicing);
    let mut planned = Vec::new();
    for stretch in Stretch::all(schedule) {
        // The writer goes through all of them, so that its wordings take turns as if nothing had been said yet.
        let candidates = writer.stretch(&stretch);
        if stretch.ticks(schedule).end > anew.from {
            planned.extend(placer.place(&stretch, candidates));
        }
    }
    planned
}

/// Plans the cues of a class from a tick on anew and puts those that are said among its events. The cues before
/// that tick stay. Gives back all that were planned.
pub fn cue_up(schedule: &mut Schedule, from: impl Into<Anew>, voicing: &Voicing) -> Vec<PlannedCue> {
    let anew = from.into();
    let planned = plan_cues(schedule, anew, voicing);
    schedule.events.retain(|event| event.at < anew.from || !matches!(event.what, What::Cue(_)));
    for cue in &planned {
        if let Fate::Said { at, length } = cue.fate {
            let what = What::Cue(Cue { kind: cue.kind, audience: cue.audience, length, text: cue.text.clone() });
            let span = schedule.span_at(at).unwrap_or(cue.span);
            schedule.events.push(Event { at, span, what });
        }
    }
    schedule.events.sort_by_key(Event::order);
    planned
}

/// The longest a tone sounds.
pub fn tone_length(tone: Tone) -> Tick {
    Tick(match tone {
        Tone::Pip => 100,
        Tone::Start => 500,
        Tone::Rest => 600,
        Tone::Switch => 440,
        Tone::BlockEnd => 680,
        Tone::ClassEnd => 1440,
        Tone::Rep | Tone::Phase => 25,
    })
}
