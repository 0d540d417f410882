//! Placing the cues of one stretch: first those for the class, then those for the coach's ear around them.

use std::ops::Range;

use super::candidates::Candidate;
use super::known;
use super::planner::Placement;
use super::speak::{Anew, Fate, PlannedCue, Reason, Voicing, tone_length};
use super::stretch::Stretch;
use super::unit::{Fixed, GAP, GRID, Unit};
use super::unsaid::{Obstacle, obstacle};
use super::words::call_words;
use crate::schedule::{Audience, Cue, Schedule, What};
use crate::session::Level;
use crate::time::Tick;

/// A sound: when it sounds, and which tone or call it is. None for a cue.
type Sounds<'a> = (Range<Tick>, Option<&'a What>);

/// Places the cues of a class, stretch by stretch, from the first stretch still to come.
pub(super) struct Placer<'a> {
    schedule: &'a Schedule,
    anew: Anew,
    voicing: &'a Voicing,
    /// All cues said, or planned to be said, up to the present stretch.
    spoken: Vec<(Range<Tick>, Cue)>,
}

impl<'a> Placer<'a> {
    pub fn new(schedule: &'a Schedule, anew: Anew, voicing: &'a Voicing) -> Placer<'a> {
        let past = schedule.events.partition_point(|event| event.at < anew.from);
        let spoken = schedule.events[..past].iter().filter_map(|event| {
            let What::Cue(cue) = &event.what else { return None };
            Some((event.at..event.at + cue.length, cue.clone()))
        });
        let broken_off = |sounds: &Range<Tick>| anew.breaks_off && sounds.end > anew.from;
        let spoken = spoken.filter(|(sounds, _)| !broken_off(sounds)).collect();
        Placer { schedule, anew, voicing, spoken }
    }

    /// Places the cues of the next stretch. The cues for the class do not depend on whether the coach has an earpiece.
    pub fn place(&mut self, stretch: &Stretch, mut candidates: Vec<Candidate>) -> Vec<PlannedCue> {
        let ticks = stretch.ticks(self.schedule);
        let reach = ticks.start.less(GAP)..ticks.end + GAP;
        let near = self.spoken.iter().rev().take_while(|(sounds, _)| sounds.end > reach.start);
        let earlier: Vec<(Range<Tick>, Cue)> = near.cloned().collect();
        let said_before = |candidate: &Candidate| {
            let within = earlier.iter().filter(|(sounds, _)| sounds.start >= ticks.start);
            within.into_iter().any(|(_, cue)| candidate.is(cue))
        };
        let mut fixed: Vec<Sounds> = self.heard(&reach).collect();
        fixed.extend(earlier.iter().filter(|(_, cue)| cue.audience == Audience::Class).map(cue_sounds));

        let floor: Vec<usize> = (0..candidates.len())
            .filter(|&id| candidates[id].audience == Audience::Class && !said_before(&candidates[id]))
            .collect();
        let mut planned = self.plan_unit(stretch, &fixed, &candidates, &floor);
        fixed.extend(planned.iter().filter_map(|(_, cue)| Some((said(cue)?, None))));
        fixed.extend(earlier.iter().filter(|(_, cue)| cue.audience == Audience::Coach).map(cue_sounds));
        let ear: Vec<usize> = (0..candidates.len())
            .filter(|&id| candidates[id].audience == Audience::Coach && !said_before(&candidates[id]))
            .collect();
        for &id in &ear {
            let Some(ahead_of) = candidates[id].ahead_of else { continue };
            let at = planned.iter().find(|(floor, _)| *floor == ahead_of).and_then(|(_, cue)| said(cue));
            if let (Some(at), Some(lead)) = (at, self.voicing.ear) {
                candidates[id].wish = candidates[ahead_of].wish.ahead(at.start, lead);
            }
        }
        planned.extend(self.plan_unit(stretch, &fixed, &candidates, &ear));

        let mut planned: Vec<PlannedCue> = planned.into_iter().map(|(_, cue)| cue).collect();
        planned.sort_by_key(|cue| said(cue).map_or(cue.window.start, |sounds| sounds.start));
        planned.iter_mut().for_each(|cue| self.say(cue));
        planned
    }

    /// Plans some of the candidates around the fixed sounds. Returns each cue with the index of its candidate.
    fn plan_unit(
        &self,
        stretch: &Stretch,
        fixed: &[Sounds],
        candidates: &[Candidate],
        ids: &[usize],
    ) -> Vec<(usize, PlannedCue)> {
        if ids.is_empty() {
            return Vec::new();
        }
        let within = stretch.ticks(self.schedule);
        let work = stretch.work.map(|work| &self.schedule.spans[work]);
        let level = self.voicing.level_in(self.schedule, &self.schedule.spans[stretch.spans.start]);
        let is_speech = |what: &Option<&What>| !matches!(what, Some(What::Tone(_)));
        let wish = |&id: &usize| {
            let mut wish = candidates[id].wish.clone();
            wish.window.start = wish.window.start.max(self.anew.from);
            wish
        };
        let unit = Unit {
            work: work.map_or(within.start..within.start, |work| work.start..work.end),
            within,
            fixed: (fixed.iter().map(|(sounds, what)| Fixed { sounds: sounds.clone(), speech: is_speech(what) }))
                .collect(),
            talk_room: talk_room(self.schedule.session.talk_room, level),
            step: GRID,
            wishes: ids.iter().map(wish).collect(),
        };
        let placement = known::placement(&unit);
        let planned = ids.iter().enumerate().map(|(place, &id)| {
            let Candidate { kind, audience, sentence, wish, .. } = candidates[id].clone();
            let (text, fate) = match placement.placed[place] {
                Some(placed) => {
                    let terse = sentence.terse.filter(|_| placed.terse).zip(wish.terse);
                    let (text, length) = terse.unwrap_or((sentence.full, wish.full));
                    (text, Fate::Said { at: placed.at, length })
                }
                None => (sentence.full, Fate::Unsaid(reason(&unit, &placement, place, fixed))),
            };
            let span = stretch.spans.start;
            (id, PlannedCue { span, kind, audience, rank: wish.rank, window: wish.window, text, fate })
        });
        planned.collect()
    }

    /// Records a cue as said. A sentence that would repeat the one before is left unsaid, unless it must be said.
    fn say(&mut self, cue: &mut PlannedCue) {
        let Some(sounds) = said(cue) else { return };
        let before = self.spoken.iter().rev().find(|(_, before)| before.audience == cue.audience);
        if cue.rank > 0 && before.is_some_and(|(_, before)| before.text == cue.text) {
            cue.fate = Fate::Unsaid(Reason::Repeated);
            return;
        }
        let length = sounds.end - sounds.start;
        self.spoken.push((sounds, Cue { kind: cue.kind, audience: cue.audience, length, text: cue.text.clone() }));
    }

    /// The tones and calls that sound within these ticks, at the levels of their spans.
    fn heard(&self, reach: &Range<Tick>) -> impl Iterator<Item = Sounds<'a>> {
        let (schedule, voicing) = (self.schedule, self.voicing);
        // No tone or call lasts as long as 3 s.
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
            (event.at + length > start).then(|| (event.at..event.at + length, Some(&event.what)))
        })
    }
}

/// The coach's share of the work time, in percent. At the fullest level the program speaks in the coach's place, and
/// leaves only three quarters of the share (est.).
fn talk_room(asked: u8, level: Level) -> u8 {
    if level == Level::Full { (u16::from(asked) * 3 / 4) as u8 } else { asked }
}

/// When a planned cue sounds. None when it is unsaid.
fn said(cue: &PlannedCue) -> Option<Range<Tick>> {
    match cue.fate {
        Fate::Said { at, length } => Some(at..at + length),
        Fate::Unsaid(_) => None,
    }
}

fn cue_sounds<'a>((sounds, _): &(Range<Tick>, Cue)) -> Sounds<'a> {
    (sounds.clone(), None)
}

/// Why a cue of a unit is not said.
fn reason(unit: &Unit, placement: &Placement, id: usize, fixed: &[Sounds]) -> Reason {
    match obstacle(unit, placement, id) {
        Some(Obstacle::Fixed(index)) => match fixed[index].1 {
            Some(What::Call(call)) => Reason::Call(*call),
            Some(What::Tone(tone)) => Reason::Tone(*tone),
            Some(What::Cue(_)) | None => Reason::Cues,
        },
        Some(Obstacle::Cues) => Reason::Cues,
        Some(Obstacle::TalkRoom) => Reason::TalkRoom,
        Some(Obstacle::Quiet) => Reason::Quiet,
        Some(Obstacle::NoRoom) | None => Reason::NoRoom,
    }
}
