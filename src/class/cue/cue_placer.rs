//! Placing the cues of one stretch: first those for the class, then those for the coach's ear around them.

use std::ops::Range;

use super::candidates::CueCandidate;
use super::obstacle::{CueObstacle, obstacle};
use super::placement_cache;
use super::plan_cues::{CueOutcome, PlannedCue, ReplanPoint, SpeechSettings, UnsaidReason, tone_length};
use super::planner::UnitPlacement;
use super::planning_unit::{FixedSound, GAP, GRID, PlanningUnit};
use super::words::call_words;
use super::work_stretch::WorkStretch;
use crate::schedule::{Audience, Cue, EventContent, Schedule};
use crate::session::SpeechLevel;
use crate::time::Tick;

/// A sound: when it sounds, and which tone or call it is. None for a cue.
type TimedSound<'a> = (Range<Tick>, Option<&'a EventContent>);

/// Places the cues of a class, stretch by stretch, from the first stretch still to come.
pub(super) struct CuePlacer<'a> {
    schedule: &'a Schedule,
    replan: ReplanPoint,
    voicing: &'a SpeechSettings,
    /// All cues said, or planned to be said, up to the present stretch.
    spoken: Vec<(Range<Tick>, Cue)>,
}

impl<'a> CuePlacer<'a> {
    pub(super) fn new(schedule: &'a Schedule, anew: ReplanPoint, voicing: &'a SpeechSettings) -> CuePlacer<'a> {
        let past = schedule.events.partition_point(|event| event.at < anew.from);
        let spoken = schedule.events[..past].iter().filter_map(|event| {
            let EventContent::Cue(cue) = &event.what else { return None };
            Some((event.at..event.at + cue.length, cue.clone()))
        });
        let broken_off = |sounds: &Range<Tick>| anew.breaks_off && sounds.end > anew.from;
        let spoken = spoken.filter(|(sounds, _)| !broken_off(sounds)).collect();
        CuePlacer { schedule, replan: anew, voicing, spoken }
    }

    /// Places the cues of the next stretch. The cues for the class do not depend on whether the coach has an earpiece.
    pub(super) fn place(&mut self, stretch: &WorkStretch, mut candidates: Vec<CueCandidate>) -> Vec<PlannedCue> {
        let ticks = stretch.ticks(self.schedule);
        let reach = ticks.start.saturating_sub(GAP)..ticks.end + GAP;
        let near = self.spoken.iter().rev().take_while(|(sounds, _)| sounds.end > reach.start);
        let earlier: Vec<(Range<Tick>, Cue)> = near.cloned().collect();
        let said_before = |candidate: &CueCandidate| {
            let within = earlier.iter().filter(|(sounds, _)| sounds.start >= ticks.start);
            within.into_iter().any(|(_, cue)| candidate.says_same_as(cue))
        };
        let mut fixed: Vec<TimedSound> = self.audible_sounds(&reach).collect();
        fixed.extend(earlier.iter().filter(|(_, cue)| cue.audience == Audience::Class).map(cue_sounds));

        let floor: Vec<usize> = (0..candidates.len())
            .filter(|&id| candidates[id].audience == Audience::Class && !said_before(&candidates[id]))
            .collect();
        let mut planned = self.plan_unit(stretch, &fixed, &candidates, &floor);
        fixed.extend(planned.iter().filter_map(|(_, cue)| Some((spoken_range(cue)?, None))));
        fixed.extend(earlier.iter().filter(|(_, cue)| cue.audience == Audience::Coach).map(cue_sounds));
        let ear: Vec<usize> = (0..candidates.len())
            .filter(|&id| candidates[id].audience == Audience::Coach && !said_before(&candidates[id]))
            .collect();
        for &id in &ear {
            let Some(ahead_of) = candidates[id].ahead_of else { continue };
            let at = planned.iter().find(|(floor, _)| *floor == ahead_of).and_then(|(_, cue)| spoken_range(cue));
            if let (Some(at), Some(lead)) = (at, self.voicing.ear) {
                candidates[id].wish = candidates[ahead_of].wish.earlier_for_ear(at.start, lead);
            }
        }
        planned.extend(self.plan_unit(stretch, &fixed, &candidates, &ear));

        let mut planned: Vec<PlannedCue> = planned.into_iter().map(|(_, cue)| cue).collect();
        planned.sort_by_key(|cue| spoken_range(cue).map_or(cue.window.start, |sounds| sounds.start));
        planned.iter_mut().for_each(|cue| self.mark_spoken(cue));
        planned
    }

    /// Plans some of the candidates around the fixed sounds. Returns each cue with the index of its candidate.
    fn plan_unit(
        &self,
        stretch: &WorkStretch,
        fixed: &[TimedSound],
        candidates: &[CueCandidate],
        ids: &[usize],
    ) -> Vec<(usize, PlannedCue)> {
        if ids.is_empty() {
            return Vec::new();
        }
        let within = stretch.ticks(self.schedule);
        let work = stretch.work.map(|work| &self.schedule.spans[work]);
        let level = self.voicing.level_in(self.schedule, &self.schedule.spans[stretch.spans.start]);
        let is_speech = |what: &Option<&EventContent>| !matches!(what, Some(EventContent::Tone(_)));
        let wish = |&id: &usize| {
            let mut wish = candidates[id].wish.clone();
            wish.window.start = wish.window.start.max(self.replan.from);
            wish
        };
        let unit = PlanningUnit {
            work: work.map_or(within.start..within.start, |work| work.start..work.end),
            within,
            fixed: (fixed.iter().map(|(sounds, what)| FixedSound { sounds: sounds.clone(), speech: is_speech(what) }))
                .collect(),
            talk_room: talk_room(self.schedule.session.talk_room, level),
            step: GRID,
            wanted: ids.iter().map(wish).collect(),
        };
        let placement = placement_cache::cached_placement(&unit);
        let planned = ids.iter().enumerate().map(|(place, &id)| {
            let CueCandidate { kind, audience, sentence, wish, .. } = candidates[id].clone();
            let (text, fate) = match placement.placed[place] {
                Some(placed) => {
                    let terse = sentence.terse.filter(|_| placed.terse).zip(wish.terse);
                    let (text, length) = terse.unwrap_or((sentence.full, wish.full));
                    (text, CueOutcome::Spoken { at: placed.at, length })
                }
                None => (sentence.full, CueOutcome::LeftUnsaid(reason(&unit, &placement, place, fixed))),
            };
            let span = stretch.spans.start;
            (id, PlannedCue { span, kind, audience, rank: wish.rank, window: wish.window, text, outcome: fate })
        });
        planned.collect()
    }

    /// Records a cue as said. A sentence that would repeat the one before is left unsaid, unless it must be said.
    fn mark_spoken(&mut self, cue: &mut PlannedCue) {
        let Some(sounds) = spoken_range(cue) else { return };
        let before = self.spoken.iter().rev().find(|(_, before)| before.audience == cue.audience);
        if cue.rank > 0 && before.is_some_and(|(_, before)| before.text == cue.text) {
            cue.outcome = CueOutcome::LeftUnsaid(UnsaidReason::Repeated);
            return;
        }
        let length = sounds.end - sounds.start;
        self.spoken.push((sounds, Cue { kind: cue.kind, audience: cue.audience, length, text: cue.text.clone() }));
    }

    /// The tones and calls that sound within these ticks, at the levels of their spans.
    fn audible_sounds(&self, reach: &Range<Tick>) -> impl Iterator<Item = TimedSound<'a>> {
        let (schedule, voicing) = (self.schedule, self.voicing);
        // No tone or call lasts as long as 3 s.
        let from = reach.start.saturating_sub(Tick::seconds(3));
        let first = schedule.events.partition_point(|event| event.at < from);
        let (start, end) = (reach.start, reach.end);
        schedule.events[first..].iter().take_while(move |event| event.at < end).filter_map(move |event| {
            let level = voicing.level_in(schedule, &schedule.spans[event.span]);
            let length = match &event.what {
                EventContent::Tone(tone) if level >= SpeechLevel::Tones => tone_length(*tone),
                EventContent::Call(call) if level >= SpeechLevel::Calls => voicing.lengths.of(call_words(*call)),
                _ => return None,
            };
            (event.at + length > start).then(|| (event.at..event.at + length, Some(&event.what)))
        })
    }
}

/// The coach's share of the work time, in percent. At the fullest level the program speaks in the coach's place, and
/// leaves only three quarters of the share (est.).
fn talk_room(asked: u8, level: SpeechLevel) -> u8 {
    if level == SpeechLevel::Full { (u16::from(asked) * 3 / 4) as u8 } else { asked }
}

/// When a planned cue sounds. None when it is unsaid.
fn spoken_range(cue: &PlannedCue) -> Option<Range<Tick>> {
    match cue.outcome {
        CueOutcome::Spoken { at, length } => Some(at..at + length),
        CueOutcome::LeftUnsaid(_) => None,
    }
}

fn cue_sounds<'a>((sounds, _): &(Range<Tick>, Cue)) -> TimedSound<'a> {
    (sounds.clone(), None)
}

/// Why a cue of a unit is not said.
fn reason(unit: &PlanningUnit, placement: &UnitPlacement, id: usize, fixed: &[TimedSound]) -> UnsaidReason {
    match obstacle(unit, placement, id) {
        Some(CueObstacle::Fixed(index)) => match fixed[index].1 {
            Some(EventContent::Call(call)) => UnsaidReason::Call(*call),
            Some(EventContent::Tone(tone)) => UnsaidReason::Tone(*tone),
            Some(EventContent::Cue(_)) | None => UnsaidReason::Cues,
        },
        Some(CueObstacle::Cues) => UnsaidReason::Cues,
        Some(CueObstacle::TalkRoom) => UnsaidReason::TalkRoom,
        Some(CueObstacle::Quiet) => UnsaidReason::Quiet,
        Some(CueObstacle::NoRoom) | None => UnsaidReason::NoRoom,
    }
}
