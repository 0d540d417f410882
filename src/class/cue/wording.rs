//! The sentences of the cues, made from the word list and the class.

use super::changeover_words::{changeover_phrases, side_word};
use super::numbers::{length_words, number_and_unit, number_words};
use crate::movement::{Caution, CautionAlternative, Correction, Sides};
use crate::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use crate::session::{BlockFormat, Station, WorkAmount};
use crate::words::{WORDS, fill};

/// A sentence, with a terse wording for when there is little time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct CueSentence {
    pub full: String,
    pub terse: Option<String>,
}

impl CueSentence {
    fn full_only(full: &str) -> CueSentence {
        CueSentence { full: capital(full), terse: None }
    }

    fn with_terse(self, terse: &str) -> CueSentence {
        let terse = capital(terse);
        let shorter = terse.len() < self.full.len() && !terse.is_empty();
        CueSentence { terse: shorter.then_some(terse), ..self }
    }
}

/// Chooses between wordings by the class's seed. It never chooses the same wording of a list twice in a row.
pub(super) struct WordingChooser {
    seed: u64,
    /// For each list, the wording used last.
    used: Vec<&'static str>,
}

impl WordingChooser {
    pub(super) fn new(seed: u64) -> WordingChooser {
        WordingChooser { seed, used: Vec::new() }
    }

    /// A wording of a list for a span. It depends on the span's place in the session and not on its tick, so that a
    /// live change does not alter the wordings elsewhere.
    fn choose(&mut self, list: &'static [String], span: &Span) -> &'static str {
        let used = self.used.iter().position(|used| list.iter().any(|wording| wording == used));
        let last = used.map(|place| self.used.swap_remove(place));
        let fresh: Vec<&'static String> = list.iter().filter(|wording| Some(wording.as_str()) != last).collect();
        let doing = match span.activity {
            Activity::Station(station) => station as u64,
            Activity::Turn(turn) => turn as u64,
            Activity::AllAtOwnPace | Activity::Nothing => 0,
        };
        let place = [span.block as u64, u64::from(span.round), doing, u64::from(span.side == WorkingSide::Right)];
        let number = place.iter().fold(self.seed, |number, part| mix_bits(number ^ mix_bits(*part)));
        let wording = fresh[(number % fresh.len() as u64) as usize];
        self.used.push(wording);
        wording
    }

    /// What comes next, with everything that has to be changed for it. A must-say cue.
    pub(super) fn next(&mut self, schedule: &Schedule, from: Option<&Span>, to: &Span) -> CueSentence {
        let words = &WORDS.cue.sentences;
        let block = schedule.block_of(to);
        let turns = matches!(to.activity, Activity::Turn(_));
        if turns && from.is_some_and(|from| from.block == to.block) {
            return CueSentence::full_only(self.choose(&words.rotate, to))
                .with_terse(self.choose(&words.rotate_terse, to));
        }
        let (what, terse) = next_work_words(schedule, from, to);
        let number = number_words(u64::from(to.round) + 1);
        let wording = match from {
            None => &words.first,
            Some(from) if from.block != to.block => self.choose(&words.next_block, to),
            // Sets are not announced as rounds: the station changes.
            Some(from) if from.round < to.round && block.format != BlockFormat::Sets => {
                self.choose(if to.round + 1 == schedule.passes(to) { &words.last_round } else { &words.next_round }, to)
            }
            Some(_) => self.choose(&words.next, to),
        };
        let begins_sentence = wording.contains(". {what}");
        let what = if begins_sentence { capital(&what) } else { what };
        let full = fill(wording, &[("what", &what), ("block", &block.name), ("number", &number)]);
        CueSentence::full_only(&full).with_terse(&terse)
    }

    /// The same station again, with the number of the round. None when there is only one round.
    pub(super) fn again(&mut self, schedule: &Schedule, to: &Span) -> Option<CueSentence> {
        let total = schedule.passes(to);
        if to.round >= total || total < 2 {
            return None;
        }
        let (number, total) = (number_words(u64::from(to.round) + 1), number_words(u64::from(total)));
        let fillings = [("number", number.as_str()), ("total", total.as_str())];
        let full = fill(self.choose(&WORDS.cue.sentences.again, to), &fillings);
        Some(CueSentence::full_only(&full).with_terse(&fill(&WORDS.cue.sentences.again_terse, &fillings)))
    }

    /// The other side comes next.
    pub(super) fn side(&mut self, span: &Span, side: WorkingSide) -> CueSentence {
        let side = [("side", side_word(side).unwrap_or_default())];
        let full = fill(self.choose(&WORDS.cue.sentences.side, span), &side);
        CueSentence::full_only(&full).with_terse(&fill(self.choose(&WORDS.cue.sentences.side_terse, span), &side))
    }

    /// The length of a rest after a set, a round or a block.
    pub(super) fn rest(&mut self, schedule: &Schedule, rest: &Span) -> CueSentence {
        let words = &WORDS.cue.sentences;
        let list = match rest.purpose {
            SpanPurpose::BlockRest => &words.block_end,
            _ if schedule.block_of(rest).format == BlockFormat::Sets => &words.set_end,
            _ => &words.round_end,
        };
        let length = length_words(rest.length());
        let wording = self.choose(list, rest);
        let begins_sentence = wording.contains(". {length}");
        let full = fill(wording, &[("length", &if begins_sentence { capital(&length) } else { length.clone() })]);
        CueSentence::full_only(&full).with_terse(&fill(&words.rest_terse, &[("length", &length)]))
    }

    /// The last station has begun.
    pub(super) fn class_end(&mut self, span: &Span) -> CueSentence {
        CueSentence::full_only(self.choose(&WORDS.cue.sentences.class_end, span))
    }

    /// A fault to watch for, for the coach's ear.
    pub(super) fn watch(&mut self, span: &Span, correction: &Correction) -> CueSentence {
        let fillings = [("fault", correction.fault.as_str()), ("fix", correction.fix.as_str())];
        CueSentence::full_only(&fill(self.choose(&WORDS.cue.sentences.watch, span), &fillings))
            .with_terse(&correction.fix)
    }
}

/// The first station of the class, with the kit for it: `First, march on the spot, forty seconds`. It is said in the
/// count-in, since no span comes before. None for a class that opens with a briefing: it is then said in the briefing.
pub(super) fn opening(schedule: &Schedule) -> Option<CueSentence> {
    let first = schedule.spans.first().filter(|span| span.purpose == SpanPurpose::Work)?;
    let (whole, terse) = next_work_words(schedule, None, first);
    let first = |what: &str| fill(&WORDS.cue.sentences.first, &[("what", what)]);
    Some(CueSentence::full_only(&first(&whole)).with_terse(&terse))
}

/// What the program says about the first station before the class begins, in full wording.
pub fn opening_words(schedule: &Schedule) -> Option<String> {
    opening(schedule).map(|sentence| sentence.full)
}

/// What is done in a span, in full and in terse wording. The full wording has the movement, the changes for it, the
/// side that begins and, if that is new, how long or how often.
fn next_work_words(schedule: &Schedule, from: Option<&Span>, to: &Span) -> (String, String) {
    let words = &WORDS.cue.sentences;
    let block = schedule.block_of(to);
    let (name, short) = match (schedule.station_of(to), to.activity) {
        (Some(station), _) => (station.movement.spoken_name().to_owned(), short_name(station)),
        (None, Activity::AllAtOwnPace) => {
            let names: Vec<&str> = block.stations.iter().map(|station| station.movement.spoken_name()).collect();
            (fill(&words.own_pace, &[("movements", &listed(&names))]), words.own_pace_terse.clone())
        }
        (None, _) => (words.rotation.clone(), words.rotation.clone()),
    };
    let mut changes = changeover_phrases(&to.change);
    if let Some(side) = first_side(to).filter(|_| to.change.side.is_none()) {
        changes.push(fill(&WORDS.cue.changes.first_side, &[("side", side)]));
    }
    // A bare name would sound like an order, so it gets a "next". With changes that is not needed.
    let terse = match changes.as_slice() {
        [] => fill(&words.next_terse, &[("what", &short)]),
        changes => format!("{short}, {}", changes.join(", ")),
    };
    let new_amount = from.is_none_or(|from| from.block != to.block || amount(schedule, from) != amount(schedule, to));
    let amount = new_amount.then(|| amount(schedule, to));
    let full = [vec![name], changes, amount.into_iter().collect()].concat().join(", ");
    (full, terse)
}

/// How long or how often a station is done, in words.
fn amount(schedule: &Schedule, span: &Span) -> String {
    let station = schedule.station_of(span);
    let amount = match station.map(|station| station.work) {
        Some(WorkAmount::Reps(reps)) => number_and_unit(u64::from(reps), &WORDS.cue.sentences.reps),
        _ => length_words(span.length()),
    };
    let by_side = station.is_some_and(|station| match station.work {
        WorkAmount::Reps(_) => station.sides != Sides::Together,
        WorkAmount::Time(_) => station.sides == Sides::EachSide,
    });
    if by_side { fill(&WORDS.cue.sentences.a_side, &[("amount", &amount)]) } else { amount }
}

/// The side that begins, when everybody does the same station. None in a rotation, where only some people have sides.
fn first_side(span: &Span) -> Option<&'static str> {
    if !matches!(span.activity, Activity::Station(_)) {
        return None;
    }
    match span.side {
        WorkingSide::LeftThenRight { .. } => side_word(WorkingSide::Left),
        side => side_word(side),
    }
}

/// The shorter of a station's spoken name and its short name on the screen.
fn short_name(station: &Station) -> String {
    let name = station.movement.spoken_name();
    if station.short.len() < name.len() { capital(&station.short.to_lowercase()) } else { name.to_owned() }
}

/// The alternative for these regions. All must have the same alternative.
pub(super) fn alternative(alike: &[&Caution]) -> CueSentence {
    let words = &WORDS.cue.sentences;
    let regions: Vec<&str> = alike.iter().map(|caution| WORDS.cue.regions[&caution.region].said.as_str()).collect();
    let instead = match alike.first().map(|caution| &caution.instead) {
        Some(CautionAlternative::Movement { name, .. }) => fill(&words.instead, &[("movement", name)]),
        Some(CautionAlternative::Text(text)) => text.clone(),
        Some(CautionAlternative::LeaveOut) => words.leave_out.clone(),
        None => String::new(),
    };
    CueSentence::full_only(&fill(
        &words.alternative,
        &[("regions", &either(&regions, &words.list_or)), ("instead", &instead)],
    ))
}

/// These parts joined by "or". Words that all of them begin with are said once: `for sore knees or hips`.
fn either(parts: &[&str], or: &str) -> String {
    let words: Vec<Vec<&str>> = parts.iter().map(|part| part.split(' ').collect()).collect();
    let Some((first, others)) = words.split_first() else { return String::new() };
    // Every part keeps a word of its own.
    let most = words.iter().map(|words| words.len() - 1).min().unwrap_or(0);
    let alike = |place: &usize| others.iter().all(|other| other[*place] == first[*place]);
    let shared = (0..most).take_while(alike).count();
    let others = others.iter().map(|other| other[shared..].join(" "));
    std::iter::once(first.join(" ")).chain(others).collect::<Vec<_>>().join(or)
}

/// The easier and harder options of a station: both the first time, then alternating. `occurrence` counts from 0.
pub(super) fn tiers(station: &Station, occurrence: usize) -> Option<CueSentence> {
    let words = &WORDS.cue.sentences;
    let easier = station.easier.as_ref().map(|tier| fill(&words.easier, &[("easier", &tier.what)]));
    let harder = station.harder.as_ref().map(|tier| fill(&words.harder, &[("harder", &tier.what)]));
    if let (Some(easy), Some(hard), Some(terse), 0) = (&station.easier, &station.harder, &easier, occurrence) {
        let both = fill(&words.tiers, &[("easier", &easy.what), ("harder", &hard.what)]);
        return Some(CueSentence::full_only(&both).with_terse(terse));
    }
    let one = if occurrence % 2 == 1 { harder.or(easier) } else { easier.or(harder) };
    one.map(|sentence| CueSentence::full_only(&sentence))
}

/// A text of the catalogue or of the coach, as a sentence.
pub(super) fn as_written(text: &str) -> CueSentence {
    CueSentence::full_only(text.trim().trim_end_matches('.'))
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{}{}{last}", first.join(", "), WORDS.cue.sentences.list_end),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

/// Spreads a number over all 64 bits (the mixing step of the SplitMix64 generator).
fn mix_bits(number: u64) -> u64 {
    let number = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let number = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let number = (number ^ (number >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    number ^ (number >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_all_parts_begin_with_are_said_once() {
        assert_eq!(either(&["for sore knees"], " or "), "for sore knees");
        assert_eq!(either(&["for sore knees", "for sore hips"], " or "), "for sore knees or hips");
        assert_eq!(either(&["if you are one", "if you want two"], " or "), "if you are one or want two");
        assert_eq!(either(&["for sore knees", "if you are"], " or "), "for sore knees or if you are");
        assert_eq!(either(&["same", "same"], " or "), "same or same");
    }
}
