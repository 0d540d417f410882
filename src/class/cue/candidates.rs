//! The cues that should be said in a stretch of a class, each with its earliest, best and latest time.

use std::collections::HashMap;
use std::ops::Range;

use super::SpeechSettings;
use super::changeover_words::changeover_phrases;
use super::planning_unit::WantedCue;
use super::wording::{CueSentence, WordingChooser, alternative, as_written, tiers};
use super::work_stretch::WorkStretch;
use crate::movement::Caution;
use crate::schedule::{Activity, Audience, Changeover, Cue, CueKind, Schedule, Span, SpanPurpose, WorkingSide};
use crate::session::{SpeechLevel, Station};
use crate::time::Tick;

/// A cue that should be said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct CueCandidate {
    pub kind: CueKind,
    pub audience: Audience,
    pub sentence: CueSentence,
    pub wish: WantedCue,
    /// For an early cue to the coach: the index of the candidate that says the same to the class.
    pub ahead_of: Option<usize>,
}

impl CueCandidate {
    /// Whether a cue is this candidate, in either wording.
    pub(super) fn says_same_as(&self, cue: &Cue) -> bool {
        let text = cue.text == self.sentence.full || self.sentence.terse.as_ref() == Some(&cue.text);
        text && cue.kind == self.kind && cue.audience == self.audience
    }
}

/// The least time between the end of a must-say cue and its boundary (est.).
struct LeadTimes;

impl LeadTimes {
    const SIDE: Tick = Tick::seconds(3);
    const NEXT: Tick = Tick::seconds(6);
    const KIT: Tick = Tick::seconds(8);
    const POSITION: Tick = Tick::seconds(8);
    const KIT_AND_POSITION: Tick = Tick::seconds(12);
    const PLACE: Tick = Tick::seconds(12);

    fn of(change: &Changeover, moves_on: bool) -> Tick {
        let kit = !change.down.is_empty() || !change.up.is_empty();
        let position = change.position.is_some() || !change.off.is_empty() || !change.onto.is_empty();
        match (kit, position) {
            _ if change.place.is_some() || moves_on => LeadTimes::PLACE,
            (true, true) => LeadTimes::KIT_AND_POSITION,
            (true, false) => LeadTimes::KIT,
            (false, true) => LeadTimes::POSITION,
            (false, false) if change.movement => LeadTimes::NEXT,
            (false, false) => LeadTimes::SIDE,
        }
    }

    /// In a short span the lead is at most a third of the span.
    fn at_most_third(lead: Tick, span: Tick) -> Tick {
        if span < SHORT { lead.min(Tick(span.0 / 3)) } else { lead }
    }
}

/// A span shorter than this is a short one.
const SHORT: Tick = Tick::seconds(30);
/// The earliest time to say what comes next, before its start (est.). People forget what is said earlier.
const NEXT_FROM: Tick = Tick::seconds(40);
/// The best time to say what comes next, before its start: where the call "fifteen" would be.
const NEXT_BEST: Tick = Tick::seconds(15);
/// The best time to announce a span for the other side, before its start: after "ten", before the pips (est.).
const SIDE_BEST: Tick = Tick::seconds(7);
/// For the switch within a span: the earliest start of its cue, and the best end, before the switch (est.).
const SWITCH_FROM: Tick = Tick::seconds(20);
const SWITCH_BEST: Tick = Tick::seconds(4);
/// How long after the start of a span speech may begin (est.): after the tone, the gap and a breath.
const AFTER_TONE: Tick = Tick(1500);
/// The shortest rest that is announced (est.).
const REST_FROM: Tick = Tick::seconds(15);
/// Cues about the beginning of a span are said within this time from its start (est.).
const OPENING: Tick = Tick::seconds(20);
/// Technique, easier and harder options and faults are not said this close to the end of the work (est.).
const CLOSING: Tick = Tick::seconds(10);
/// The shortest work for a technique cue, and for a second one (est.).
const TECHNIQUE_FROM: Tick = Tick::seconds(20);
const TECHNIQUE_TWICE_FROM: Tick = Tick::seconds(60);

/// The ranks of cues. A cue with a higher rank gives way first. Rank 0 must be said.
mod rank {
    pub(super) const MUST: u8 = 0;
    /// Safety, and the length of a rest.
    pub(super) const SAFETY: u8 = 1;
    pub(super) const COUNT: u8 = 2;
    pub(super) const SETUP: u8 = 3;
    pub(super) const TECHNIQUE: u8 = 4;
    pub(super) const TIER: u8 = 5;
    /// What the coach sees anyway, and second prompts.
    pub(super) const EXTRA: u8 = 6;
}

/// Goes through a class from its first stretch, so that wordings and prompts take turns in the order of the file.
pub(super) struct CueWriter<'a> {
    schedule: &'a Schedule,
    voicing: &'a SpeechSettings,
    chooser: WordingChooser,
    /// How often each station has come so far, by block and index.
    worked: HashMap<(usize, usize), usize>,
    found: Vec<CueCandidate>,
    /// The level of the block for which a cue is being written.
    level: SpeechLevel,
    /// The last sentence of each kind for each audience, so that it is not repeated at once.
    last: HashMap<(CueKind, Audience), String>,
}

impl<'a> CueWriter<'a> {
    pub(super) fn new(schedule: &'a Schedule, voicing: &'a SpeechSettings) -> CueWriter<'a> {
        let chooser = WordingChooser::new(schedule.session.seed);
        let level = SpeechLevel::default();
        CueWriter { schedule, voicing, chooser, worked: HashMap::new(), found: Vec::new(), level, last: HashMap::new() }
    }

    /// All cues that should be said in the next stretch.
    pub(super) fn stretch(&mut self, stretch: &WorkStretch) -> Vec<CueCandidate> {
        let schedule = self.schedule;
        self.level = self.voicing.level_in(schedule, &schedule.spans[stretch.spans.start]);
        if let Some(work) = stretch.work.map(|work| &schedule.spans[work]) {
            self.switch(work);
            self.last_of_class(stretch, work);
            if let (Some(station), Activity::Station(index)) = (schedule.station_of(work), work.activity) {
                // Left and right of a station count as one occurrence.
                let times = self.worked.entry((work.block, index)).or_default();
                let occurrence = if work.side == WorkingSide::Right { times.saturating_sub(1) } else { *times };
                *times = occurrence + 1;
                self.alternatives(work, station, occurrence);
                self.coaching(work, station, occurrence);
            }
        }
        self.rest(stretch);
        self.next(stretch);
        std::mem::take(&mut self.found)
    }

    /// Whether this audience hears cues at the present level.
    fn reaches(&self, audience: Audience) -> bool {
        match audience {
            Audience::Class => self.level >= SpeechLevel::Changes,
            Audience::Coach => self.level > SpeechLevel::Silent && self.voicing.ear.is_some(),
        }
    }

    /// Adds the cue for what comes next: another station, the other side, or the same station again.
    fn next(&mut self, stretch: &WorkStretch) {
        let spans = &self.schedule.spans;
        let Some((index, to)) = stretch.next.map(|next| (next, &spans[next])) else { return };
        let from = stretch.work.map(|work| &spans[work]);
        let change = &to.change;
        let moves_on = matches!(to.activity, Activity::Turn(_)) && change.movement;
        let same = from.is_some() && !change.movement && changeover_phrases(change).is_empty();
        let side = change.side.filter(|_| change.is_side_only());
        let ticks = stretch.ticks(self.schedule);
        let after_work = stretch.after_work(self.schedule);
        // The next station is not announced before the switch of the running one.
        let mut switch_at = from.and_then(Span::switch_start).unwrap_or(ticks.start);
        // Cues that lead to a block are said at that block's level. But if the block before it is at a lower level,
        // nothing is said during its work, only in the rest after it.
        if self.level < SpeechLevel::Changes {
            switch_at = after_work.map_or(ticks.end, |rest| rest.start);
        }
        self.level = self.voicing.level_in(self.schedule, to);
        let part = spans[index - 1].start.max(switch_at);
        let lead = LeadTimes::at_most_third(LeadTimes::of(change, moves_on), to.start.saturating_sub(part));
        // The coach speaks during a briefing: the cue ends before it, unless the class begins with the briefing.
        let briefing = spans[stretch.spans.clone()].iter().find(|span| span.purpose == SpanPurpose::Briefing);
        let (boundary, latest) = match briefing.filter(|briefing| briefing.start > ticks.start) {
            Some(briefing) => (briefing.start, briefing.start),
            None => (to.start, to.start.saturating_sub(lead)),
        };
        let earliest = switch_at.max(boundary.saturating_sub(NEXT_FROM));
        // In a rest, the best time leaves enough time for the changes; in a short rest, it is at once.
        let rested = after_work.map_or(Tick::ZERO, |rest| rest.start + AFTER_TONE);
        let short_rest = after_work.is_some_and(|rest| boundary.saturating_sub(rest.start) < SHORT);
        let (kind, rank, sentence, best) = match side {
            Some(side) => (CueKind::Side, rank::MUST, self.chooser.side(to, side), SIDE_BEST),
            None if same => {
                let Some(again) = self.chooser.again(self.schedule, to) else { return };
                (CueKind::Next, rank::COUNT, again, NEXT_BEST)
            }
            None => (CueKind::Next, rank::MUST, self.chooser.next(self.schedule, from, to), NEXT_BEST),
        };
        let ideal = |length: Tick| {
            if short_rest {
                rested
            } else {
                boundary.saturating_sub(best).min(latest.saturating_sub(length)).max(rested)
            }
        };
        self.add((kind, Audience::Class, rank), sentence, earliest..latest, ideal);
    }

    /// Adds the cue for the switch of sides within a span.
    fn switch(&mut self, work: &Span) {
        let Some(switch_at) = work.switch_start() else { return };
        let sentence = self.chooser.side(work, WorkingSide::Right);
        let latest = switch_at.saturating_sub(LeadTimes::at_most_third(LeadTimes::SIDE, work.length()));
        let window = work.start.max(switch_at.saturating_sub(SWITCH_FROM))..latest;
        let ideal = |length: Tick| switch_at.saturating_sub(SWITCH_BEST).min(latest).saturating_sub(length);
        self.add((CueKind::Side, Audience::Class, rank::MUST), sentence, window, ideal);
    }

    /// Adds the cue for the length of the rest after a round, a set or a block.
    fn rest(&mut self, stretch: &WorkStretch) {
        let Some(rest) = stretch.after_work(self.schedule) else { return };
        let kind = match rest.purpose {
            SpanPurpose::BlockRest => CueKind::BlockEnd,
            SpanPurpose::RoundRest => CueKind::RoundEnd,
            _ => return,
        };
        if rest.length() >= REST_FROM {
            let sentence = self.chooser.rest(self.schedule, rest);
            let window = rest.start..rest.end.min(rest.start + OPENING);
            self.add((kind, Audience::Class, rank::SAFETY), sentence, window, |_| rest.start + AFTER_TONE);
        }
    }

    fn last_of_class(&mut self, stretch: &WorkStretch, work: &Span) {
        if stretch.next.is_none() && stretch.spans.start > 0 {
            let sentence = self.chooser.class_end(work);
            let window = work.start..work.end.min(work.start + OPENING);
            let ideal = |_| work.work_start().max(work.start + AFTER_TONE);
            self.add((CueKind::ClassEnd, Audience::Class, rank::COUNT), sentence, window, ideal);
        }
    }

    /// Adds the alternatives for regions to look after, the first time a station comes.
    fn alternatives(&mut self, work: &Span, station: &Station, occurrence: usize) {
        if occurrence > 0 || work.side == WorkingSide::Right {
            return;
        }
        let minded = |caution: &&Caution| self.schedule.session.look_after.contains(&caution.region);
        let mut cautions: Vec<&Caution> = station.movement.cautions.iter().filter(minded).collect();
        while let Some(&first) = cautions.first() {
            let (alike, others): (Vec<&Caution>, Vec<&Caution>) =
                cautions.iter().partition(|caution| caution.instead == first.instead);
            cautions = others;
            let window = work.start..work.end.min(work.start + OPENING);
            let ideal = |_| work.work_start().max(work.start + AFTER_TONE);
            self.add((CueKind::Tier, Audience::Class, rank::SAFETY), alternative(&alike), window, ideal);
        }
    }

    /// Adds set-up, technique, easier and harder options, and faults. They are for the class at the fullest level,
    /// otherwise for the coach's ear.
    fn coaching(&mut self, work: &Span, station: &Station, occurrence: usize) {
        let for_class = self.level == SpeechLevel::Full;
        let audience = if for_class { Audience::Class } else { Audience::Coach };
        let length = work.length();
        if !(for_class || self.voicing.ear.is_some()) || length < TECHNIQUE_FROM {
            return;
        }
        let from = work.work_start().max(work.start + AFTER_TONE);
        let window = from..work.end.saturating_sub(CLOSING);
        let part = |of_ten: u64| Tick(work.start.0 + length.0 * of_ten / 10);
        if occurrence == 0 && work.side != WorkingSide::Right {
            let opening = work.start..work.end.min(work.start + OPENING);
            let setup = as_written(&station.movement.setup);
            self.add((CueKind::Technique, audience, rank::SETUP), setup, opening, |_| work.start + AFTER_TONE);
        }
        let times = if length >= TECHNIQUE_TWICE_FROM { 2 } else { 1 };
        for time in 0..times {
            let Some(prompt) = turn(&station.prompts, occurrence * times + time) else { break };
            let (rank, ideal) = if time == 0 { (rank::TECHNIQUE, part(3)) } else { (rank::EXTRA, part(6)) };
            self.add((CueKind::Technique, audience, rank), as_written(prompt), window.clone(), |_| ideal);
        }
        if let Some(sentence) = tiers(station, occurrence) {
            self.add((CueKind::Tier, audience, rank::TIER), sentence, window.clone(), |_| part(4));
        }
        if self.voicing.ear.is_some()
            && let Some(fault) = turn(&station.faults, occurrence)
        {
            let sentence = self.chooser.watch(work, fault);
            self.add((CueKind::Fault, Audience::Coach, rank::EXTRA), sentence, window, |_| part(6));
        }
    }

    /// Adds a candidate of a kind, for an audience, with a rank. `ideal` gives the best start from the length. A
    /// must-say cue is also added for the coach, earlier, if the coach has an earpiece with a lead.
    fn add(
        &mut self,
        (kind, audience, rank): (CueKind, Audience, u8),
        sentence: CueSentence,
        window: Range<Tick>,
        ideal: impl Fn(Tick) -> Tick,
    ) {
        let early = self.voicing.ear.filter(|lead| rank == rank::MUST && *lead > Tick::ZERO);
        let early = early.filter(|_| self.reaches(Audience::Coach));
        if sentence.full.is_empty() || (!self.reaches(audience) && early.is_none()) {
            return;
        }
        let repeated = self.last.insert((kind, audience), sentence.full.clone()).as_ref() == Some(&sentence.full);
        if repeated && rank != rank::MUST {
            return;
        }
        let full = self.voicing.lengths.of(&sentence.full);
        let terse = sentence.terse.as_deref().map(|terse| self.voicing.lengths.of(terse)).filter(|terse| *terse < full);
        let wish = WantedCue { rank, window, ideal: ideal(full), full, terse };
        let candidate = CueCandidate { kind, audience, sentence, wish, ahead_of: None };
        if let Some(lead) = early {
            let wish = candidate.wish.earlier_for_ear(candidate.wish.ideal, lead);
            let ahead_of = self.reaches(audience).then_some(self.found.len() + 1);
            self.found.push(CueCandidate { audience: Audience::Coach, wish, ahead_of, ..candidate.clone() });
        }
        if self.reaches(audience) {
            self.found.push(candidate);
        }
    }
}

/// The entry of a list that comes next, in the order of the file.
fn turn<T>(list: &[T], count: usize) -> Option<&T> {
    list.get(count % list.len().max(1))
}
