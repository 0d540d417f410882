//! The cues of a class, planned and put among its events.

use std::ops::Range;

use super::candidates::{Candidate, Writer};
use super::lengths::Lengths;
use super::planner::plan;
use super::stretch::Stretch;
use super::unit::{Fixed, GAP, GRID, Unit};
use super::unsaid::{Obstacle, obstacle};
use super::words::call_words;
use crate::schedule::{Audience, Call, Cue, CueKind, Event, Schedule, Span, Tone, What};
use crate::session::Level;
use crate::time::Tick;

/// How a class is to be spoken to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Voicing {
    /// How much is said, where that is not left to the blocks.
    pub level: Option<Level>,
    /// The coach has a sound device of their own, and hears there the must-say cues so much earlier than the class;
    /// not at all where that is zero. None: what is for the coach is only printed.
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    Said { at: Tick, length: Tick },
    Unsaid(Reason),
}

/// Why a cue is left unsaid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
}

/// Plans the cues of a class from a tick on: in the order of their stretches, and within one as they come.
///
/// Cues among the schedule's events before that tick were said: they are kept clear of, and not said again in their
/// stretch. The same class, tick and lengths give the same cues; takes time linear in the spans.
pub fn plan_cues(schedule: &Schedule, from: Tick, voicing: &Voicing) -> Vec<PlannedCue> {
    let past = schedule.events.partition_point(|event| event.at < from);
    let said = schedule.events[..past].iter().filter_map(cue_sounds);
    // Whatever of it can still be heard, or was said in the stretch under way.
    let mut spoken: Vec<(Range<Tick>, Cue)> = said.map(|(sounds, cue)| (sounds, cue.clone())).collect();
    let mut writer = Writer::new(schedule, voicing);
    let mut planned = Vec::new();
    for stretch in Stretch::all(schedule) {
        let candidates = writer.stretch(&stretch);
        let ticks = stretch.ticks(schedule);
        if ticks.end <= from {
            continue;
        }
        let cues = plan_stretch(schedule, &stretch, from, voicing, candidates, &mut spoken);
        planned.extend(cues);
    }
    planned
}

/// Plans the cues of a class from a tick on anew and puts those that are said among its events. The cues before
/// that tick stay. Gives back all that were planned.
pub fn cue_up(schedule: &mut Schedule, from: Tick, voicing: &Voicing) -> Vec<PlannedCue> {
    let planned = plan_cues(schedule, from, voicing);
    schedule.events.retain(|event| event.at < from || !matches!(event.what, What::Cue(_)));
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

fn cue_sounds(event: &Event) -> Option<(Range<Tick>, &Cue)> {
    match &event.what {
        What::Cue(cue) => Some((event.at..event.at + cue.length, cue)),
        What::Tone(_) | What::Call(_) => None,
    }
}

fn plan_stretch(
    schedule: &Schedule,
    stretch: &Stretch,
    from: Tick,
    voicing: &Voicing,
    mut candidates: Vec<Candidate>,
    spoken: &mut Vec<(Range<Tick>, Cue)>,
) -> Vec<PlannedCue> {
    let ticks = stretch.ticks(schedule);
    let reach = ticks.start.less(GAP)..ticks.end + GAP;
    let near = spoken.iter().rev().take_while(|(sounds, _)| sounds.end > reach.start);
    let earlier: Vec<&(Range<Tick>, Cue)> = near.collect();
    candidates.retain(|candidate| {
        let again = |cue: &Cue| {
            let sentence = &candidate.sentence;
            let text = cue.text == sentence.full || sentence.terse.as_ref() == Some(&cue.text);
            text && cue.kind == candidate.kind && cue.audience == candidate.audience
        };
        !earlier.iter().any(|(sounds, cue)| sounds.start >= ticks.start && again(cue))
    });
    let mut fixed: Vec<(Range<Tick>, Option<&What>)> =
        earlier.iter().map(|(sounds, _)| (sounds.clone(), None)).collect();
    fixed.extend(heard(schedule, &reach, voicing).map(|(sounds, what)| (sounds, Some(what))));
    let work = stretch.work.map(|work| &schedule.spans[work]);
    let unit = Unit {
        within: ticks.clone(),
        work: work.map_or(ticks.start..ticks.start, |work| work.start..work.end),
        fixed: fixed
            .iter()
            .map(|(sounds, what)| Fixed { sounds: sounds.clone(), speech: !matches!(what, Some(What::Tone(_))) })
            .collect(),
        talk_room: schedule.session.talk_room,
        step: GRID,
        wishes: candidates
            .iter()
            .map(|candidate| {
                let mut wish = candidate.wish.clone();
                wish.window.start = wish.window.start.max(from);
                wish
            })
            .collect(),
    };
    let placement = plan(&unit);
    let mut planned: Vec<PlannedCue> = candidates
        .into_iter()
        .enumerate()
        .map(|(id, Candidate { kind, audience, sentence, wish })| {
            let (text, fate) = match placement.placed[id] {
                Some(placed) => {
                    let terse = sentence.terse.filter(|_| placed.terse).zip(wish.terse);
                    let (text, length) = terse.unwrap_or((sentence.full, wish.full));
                    (text, Fate::Said { at: placed.at, length })
                }
                None => {
                    let reason = match obstacle(&unit, &placement, id) {
                        Some(Obstacle::Fixed(index)) => match fixed[index].1 {
                            Some(What::Call(call)) => Reason::Call(*call),
                            Some(What::Tone(tone)) => Reason::Tone(*tone),
                            Some(What::Cue(_)) | None => Reason::Cues,
                        },
                        Some(Obstacle::Cues) => Reason::Cues,
                        Some(Obstacle::TalkRoom) => Reason::TalkRoom,
                        Some(Obstacle::Quiet) => Reason::Quiet,
                        Some(Obstacle::NoRoom) | None => Reason::NoRoom,
                    };
                    (sentence.full, Fate::Unsaid(reason))
                }
            };
            PlannedCue { span: stretch.spans.start, kind, audience, rank: wish.rank, window: wish.window, text, fate }
        })
        .collect();
    planned.sort_by_key(|cue| match cue.fate {
        Fate::Said { at, .. } => at,
        Fate::Unsaid(_) => cue.window.start,
    });
    for cue in &mut planned {
        let Fate::Said { at, length } = cue.fate else { continue };
        let before = spoken.iter().rev().find(|(_, before)| before.audience == cue.audience);
        if cue.rank > 0 && before.is_some_and(|(_, before)| before.text == cue.text) {
            cue.fate = Fate::Unsaid(Reason::Repeated);
            continue;
        }
        let said = Cue { kind: cue.kind, audience: cue.audience, length, text: cue.text.clone() };
        spoken.push((at..at + length, said));
    }
    planned
}

/// The tones and calls that can be heard within these ticks, at the level of their spans.
fn heard<'a>(
    schedule: &'a Schedule,
    reach: &Range<Tick>,
    voicing: &'a Voicing,
) -> impl Iterator<Item = (Range<Tick>, &'a What)> {
    // No tone and no call lasts as long as this.
    let from = reach.start.less(Tick::seconds(3));
    let first = schedule.events.partition_point(|event| event.at < from);
    let (start, end) = (reach.start, reach.end);
    schedule.events[first..].iter().take_while(move |event| event.at < end).filter_map(move |event| {
        let level = voicing.level_in(schedule, &schedule.spans[event.span]);
        let length = match &event.what {
            What::Tone(tone) if level >= Level::Tones => tone_length(*tone),
            What::Call(call) if level >= Level::Calls => voicing.lengths.of(call_words(*call)),
            _ => return None,
        };
        (event.at + length > start).then(|| (event.at..event.at + length, &event.what))
    })
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
    })
}
