//! Planning the cues of a class and adding them to its events.

use std::ops::Range;

use super::candidates::CueWriter;
use super::cue_placer::CuePlacer;
use super::speech_lengths::SpeechLengths;
use super::work_stretch::WorkStretch;
use crate::schedule::{Audience, Cue, CueKind, EventContent, Schedule, ScheduleEvent, Span, TimeCall, Tone};
use crate::session::SpeechLevel;
use crate::time::Tick;

/// The settings of the speech in a class.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SpeechSettings {
    /// How much is said. None when each block's own level applies.
    pub level: Option<SpeechLevel>,
    /// Some when the coach has an earpiece: how much earlier the coach hears the must-say cues than the class does.
    /// With zero, the must-say cues are not repeated to the coach. None when the coach's cues are only printed.
    pub ear: Option<Tick>,
    /// How long the texts take to say.
    pub lengths: SpeechLengths,
}

impl SpeechSettings {
    /// The level in a span.
    pub fn level_in(&self, schedule: &Schedule, span: &Span) -> SpeechLevel {
        self.level.unwrap_or(schedule.block_of(span).level)
    }
}

/// A planned cue, said or unsaid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedCue {
    /// Index of the work span that begins the cue's stretch, or 0 for the stretch before the first work.
    pub span: usize,
    pub kind: CueKind,
    pub audience: Audience,
    /// Rank 0 must be said. A cue with a higher rank gives way first.
    pub rank: u8,
    /// The cue starts and ends within this window.
    pub window: Range<Tick>,
    /// The wording that is said. For an unsaid cue, the full wording.
    pub text: String,
    pub outcome: CueOutcome,
}

/// Whether a cue is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CueOutcome {
    Spoken { at: Tick, length: Tick },
    LeftUnsaid(UnsaidReason),
}

/// Why a cue is left unsaid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UnsaidReason {
    /// There is not enough time to say it.
    NoRoom,
    /// A call is in the way.
    Call(TimeCall),
    /// A tone is in the way.
    Tone(Tone),
    /// Other cues, at least as important, are in the way.
    Cues,
    /// The coach's share of the work span would become too small.
    TalkRoom,
    /// The coach's one quiet stretch would be lost.
    Quiet,
    /// It would repeat the sentence before.
    Repeated,
    /// The coach did not want it now.
    NotNow,
}

/// Where planning begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReplanPoint {
    /// Cues are planned from this tick on.
    pub from: Tick,
    /// Whether a cue that is being said at that tick is cut off, and has to be said again.
    pub breaks_off: bool,
}

impl From<Tick> for ReplanPoint {
    /// A cue that is being said at that tick is said to its end.
    fn from(from: Tick) -> ReplanPoint {
        ReplanPoint { from, breaks_off: false }
    }
}

/// Plans the cues of a class from a tick on. Returns them in the order of their stretches, and within a stretch in
/// order of time.
///
/// Cues among the schedule's events before that tick count as said: new cues keep their distance from them, and they
/// are not said again in their stretch. The same class, tick and lengths always give the same cues. The run time is
/// linear in the number of spans.
pub fn plan_cues(schedule: &Schedule, from: impl Into<ReplanPoint>, voicing: &SpeechSettings) -> Vec<PlannedCue> {
    let anew = from.into();
    let mut writer = CueWriter::new(schedule, voicing);
    let mut placer = CuePlacer::new(schedule, anew, voicing);
    let mut planned = Vec::new();
    for stretch in WorkStretch::all(schedule) {
        // The writer goes through all stretches, so that its wordings take turns as in a plan from the beginning.
        let candidates = writer.stretch(&stretch);
        if stretch.ticks(schedule).end > anew.from {
            planned.extend(placer.place(&stretch, candidates));
        }
    }
    planned
}

/// Plans the cues of a class again from a tick on, and replaces the cues among its events by those that are said. The
/// cues before that tick stay. Returns all planned cues.
pub fn plan_and_insert_cues(
    schedule: &mut Schedule,
    from: impl Into<ReplanPoint>,
    voicing: &SpeechSettings,
) -> Vec<PlannedCue> {
    let anew = from.into();
    let planned = plan_cues(schedule, anew, voicing);
    schedule.events.retain(|event| event.at < anew.from || !matches!(event.what, EventContent::Cue(_)));
    for cue in &planned {
        if let CueOutcome::Spoken { at, length } = cue.outcome {
            let what =
                EventContent::Cue(Cue { kind: cue.kind, audience: cue.audience, length, text: cue.text.clone() });
            let span = schedule.span_at(at).unwrap_or(cue.span);
            schedule.events.push(ScheduleEvent { at, span, what });
        }
    }
    schedule.events.sort_by_key(ScheduleEvent::order);
    planned
}

/// The longest time that a tone sounds.
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
