//! The cue planner against brute force, and what must be true of the cues of every class.

use crate::classes;

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::{Arc, LazyLock};
use std::time::{Duration, Instant};

use class::cue::{
    CueOutcome, FixedSound, PlacedCue, PlacementScore, PlannedCue, PlanningUnit, RANKS, SpeechLengths, SpeechPace,
    SpeechSettings, UnitPlacement, WantedCue, call_words, plan, plan_and_insert_cues, texts, tone_length,
};
use class::movement::{Catalogue, KitItem, NeededKit};
use class::schedule::{Audience, Cue, CueKind, EventContent, Schedule, ScheduleEvent, SpanPurpose, Tone, compile};
use class::session::list::MovementList;
use class::session::write::{SessionHeading, write_session};
use class::session::{Block, BlockFormat, Session, SpeechLevel, Station, read};
use class::time::Tick;
use classes::{any_session, block, session, station};
use proptest::prelude::*;
use sound::ToneSignal;
use sound::voice::{self, EspeakVoice, Voice, VoiceFault};

/// The planner's objective, written a second time from its definition: no grid walk, no branching, all in ticks. None
/// when a hard rule is broken.
fn judge(unit: &PlanningUnit, placed: &[Option<PlacedCue>]) -> Option<PlacementScore> {
    let mut score = PlacementScore::default();
    let mut spoken: Vec<(u64, u64)> = Vec::new();
    let (mut must, mut others) = (0, 0);
    for (wish, placed) in unit.wanted.iter().zip(placed) {
        let Some(placed) = placed else {
            match wish.rank {
                0 => score.must_unsaid += 1,
                rank => score.unsaid[usize::from(rank) - 1] += 1,
            }
            continue;
        };
        let length = if placed.terse { wish.terse? } else { wish.full };
        let (start, end) = (placed.at.0, placed.at.0 + length.0);
        if start < wish.window.start.0.max(unit.within.start.0) || end > wish.window.end.0.min(unit.within.end.0) {
            return None;
        }
        if !(start - unit.within.start.0).is_multiple_of(unit.step.0) {
            return None;
        }
        spoken.push((start, end));
        score.terse += u32::from(placed.terse);
        let ideal = (wish.ideal.0 - unit.within.start.0 + unit.step.0 / 2) / unit.step.0;
        score.off += ((start - unit.within.start.0) / unit.step.0).abs_diff(ideal);
        if start >= unit.work.start.0 && start < unit.work.end.0 {
            *(if wish.rank == 0 { &mut must } else { &mut others }) += length.0;
        }
    }
    let interval = |fixed: &FixedSound| (fixed.sounds.start.0, fixed.sounds.end.0);
    let fixed: Vec<(u64, u64)> = unit.fixed.iter().map(interval).collect();
    let speech: Vec<(u64, u64)> = unit.fixed.iter().filter(|fixed| fixed.speech).map(interval).collect();
    for (index, a) in spoken.iter().enumerate() {
        for b in spoken[index + 1..].iter().chain(&fixed) {
            if a.1 + 700 > b.0 && b.1 + 700 > a.0 {
                return None;
            }
        }
    }
    let work = unit.work.end.0 - unit.work.start.0;
    let within_work =
        |&(start, end): &(u64, u64)| end.min(unit.work.end.0).saturating_sub(start.max(unit.work.start.0));
    let fixed_speech: u64 = speech.iter().map(within_work).sum();
    let room =
        (i128::from(work) * i128::from(100 - unit.talk_room) / 100) - i128::from(fixed_speech) - i128::from(must);
    if others > 0 && i128::from(others) > room.max(0) {
        return None;
    }
    // A quiet stretch can be moved earlier until it begins at the start of the work or at the end of a sound.
    let ends = spoken.iter().chain(&fixed).map(|&(_, end)| end).chain([unit.work.start.0]);
    let quiet = ends
        .filter(|&from| from >= unit.work.start.0 && from + 12_000 <= unit.work.end.0)
        .any(|from| spoken.iter().chain(&fixed).all(|&(start, end)| end <= from || start >= from + 12_000));
    score.no_quiet = work >= 40_000 && !quiet;
    Some(score)
}

/// The best placement by trying all of them.
fn brute_force(unit: &PlanningUnit) -> UnitPlacement {
    fn extend(
        unit: &PlanningUnit,
        placed: &mut Vec<Option<PlacedCue>>,
        best: &mut Option<(PlacementScore, Vec<(u64, bool)>)>,
    ) {
        let Some(wish) = unit.wanted.get(placed.len()) else {
            if let Some(score) = judge(unit, placed) {
                let order = placed.iter().map(|p| p.map_or((u64::MAX, true), |p| (p.at.0, p.terse))).collect();
                if best.as_ref().is_none_or(|best| (&score, &order) < (&best.0, &best.1)) {
                    *best = Some((score, order));
                }
            }
            return;
        };
        placed.push(None);
        extend(unit, placed, best);
        placed.pop();
        let steps = (wish.window.start.0.saturating_sub(unit.within.start.0) / unit.step.0)
            ..=(wish.window.end.0.saturating_sub(unit.within.start.0) / unit.step.0);
        for step in steps {
            let at = Tick(unit.within.start.0 + step * unit.step.0);
            for (length, terse) in [(Some(wish.full), false), (wish.terse, true)] {
                let Some(length) = length else { continue };
                if at < wish.window.start || at + length > wish.window.end {
                    continue;
                }
                if unit.fixed.iter().any(|f| at.0 < f.sounds.end.0 + 700 && f.sounds.start.0 < (at + length).0 + 700) {
                    continue;
                }
                // Cues that overlap now overlap in every continuation.
                let clash = placed.iter().zip(&unit.wanted).any(|(other, of)| {
                    other.is_some_and(|other| {
                        let ends = other.at + if other.terse { of.terse.unwrap_or(of.full) } else { of.full };
                        at.0 < ends.0 + 700 && other.at.0 < (at + length).0 + 700
                    })
                });
                if !clash {
                    placed.push(Some(PlacedCue { at, terse }));
                    extend(unit, placed, best);
                    placed.pop();
                }
            }
        }
    }
    let mut best = None;
    extend(unit, &mut Vec::new(), &mut best);
    let (score, order) = best.expect("saying nothing is always possible");
    let placed =
        order.into_iter().map(|(at, terse)| (at != u64::MAX).then_some(PlacedCue { at: Tick(at), terse })).collect();
    UnitPlacement { score, placed }
}

const START: u64 = 60_000;

fn any_wish(length: u64, step: u64) -> impl Strategy<Value = WantedCue> {
    let steps = length / step;
    (0u8..=3, 0..steps, 1u64..=7, 0u64..=8, 5u64..60, prop::option::of(3u64..30)).prop_map(
        move |(rank, from, wide, ideal, full, terse)| {
            let at = |steps: u64| Tick(START + steps * step);
            WantedCue {
                rank,
                window: at(from)..Tick(START + (from + wide) * step + 350),
                ideal: Tick((at(from).0 + ideal * step + 37).saturating_sub(step).max(START)),
                full: Tick(full * 100),
                terse: terse.map(|terse| Tick(terse.min(full) * 100)),
            }
        },
    )
}

fn any_unit() -> impl Strategy<Value = PlanningUnit> {
    (prop::sample::select(vec![1000u64, 1500, 2500]), 12u64..70, prop::sample::select(vec![0u64, 5, 15, 40]))
        .prop_flat_map(|(step, work, rest)| {
            let length = (work + rest) * 1000;
            let fixed = prop::collection::vec((0..length / 100, 1u64..15, any::<bool>()), 0..5).prop_map(|fixed| {
                let one = |(at, long, speech)| {
                    let start = START + at * 100;
                    FixedSound { sounds: Tick(start)..Tick(start + long * 100), speech }
                };
                fixed.into_iter().map(one).collect::<Vec<_>>()
            });
            let talk_room = prop::sample::select(vec![0u8, 50, 80, 90, 100]);
            let briefing = prop::bool::weighted(0.1);
            (fixed, talk_room, prop::collection::vec(any_wish(length, step), 0..=5), briefing).prop_map(
                move |(fixed, talk_room, wishes, briefing)| PlanningUnit {
                    within: Tick(START)..Tick(START + length),
                    work: Tick(START)..Tick(START + if briefing { 0 } else { work * 1000 }),
                    fixed,
                    talk_room,
                    step: Tick(step),
                    wanted: wishes,
                },
            )
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// Compares the whole objective and the placement, on a coarse grid.
    #[test]
    fn the_planner_agrees_with_brute_force(unit in any_unit()) {
        prop_assert!(unit.wanted.iter().all(|wish| usize::from(wish.rank) <= RANKS));
        let planned = plan(&unit);
        prop_assert_eq!(judge(&unit, &planned.placed), Some(planned.score.clone()));
        prop_assert_eq!(planned, brute_force(&unit));
    }
}

/// A class with its cues planned from the beginning.
fn cued(session: Arc<Session>, level: Option<SpeechLevel>, ear: Option<Tick>) -> (Schedule, Vec<PlannedCue>) {
    let mut schedule = compile(session);
    let planned =
        plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings { level, ear, ..SpeechSettings::default() });
    (schedule, planned)
}

/// Everything that can be heard, in order of start.
fn heard(schedule: &Schedule, level: SpeechLevel) -> Vec<(Range<Tick>, &EventContent)> {
    let sounds = schedule.events.iter().filter_map(|event| {
        let length = match &event.what {
            EventContent::Tone(_) if level < SpeechLevel::Tones => return None,
            EventContent::Call(_) if level < SpeechLevel::Calls => return None,
            EventContent::Tone(tone) => tone_length(*tone),
            EventContent::Call(call) => SpeechPace::BUILT_IN.reserve(call_words(*call)),
            EventContent::Cue(cue) => cue.length,
        };
        Some((event.at..event.at + length, &event.what))
    });
    sounds.collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, ..ProptestConfig::default() })]

    #[test]
    fn cues_keep_their_distance_and_leave_the_coach_time_to_speak(
        session in any_session(),
        level in prop::sample::select(vec![SpeechLevel::Changes, SpeechLevel::Full]),
        ear in prop::option::of((0u64..5).prop_map(Tick::seconds)),
    ) {
        let (schedule, planned) = cued(session, Some(level), ear);
        let sounds = heard(&schedule, level);
        for (index, (cue, what)) in sounds.iter().enumerate() {
            if !matches!(what, EventContent::Cue(_)) {
                continue;
            }
            // No sound lasts as long as 30 s.
            let near = |other: &&(Range<Tick>, &EventContent)| other.0.start < cue.end + Tick::SECOND;
            let after = sounds[index + 1..].iter().take_while(near);
            let before = sounds[..index].iter().rev().take_while(|other| other.0.start + Tick::seconds(30) > cue.start);
            for (other, _) in after.chain(before) {
                prop_assert!(other.end.0 + 700 <= cue.start.0 || cue.end.0 + 700 <= other.start.0, "{cue:?} {other:?}");
            }
        }
        let quarters = if level == SpeechLevel::Full { 3 } else { 4 };
        let talk_room = u64::from(schedule.session.talk_room) * quarters / 4;
        for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
            let within = |at: Tick| span.start <= at && at < span.end;
            let total = |audience: Audience, must: bool| -> u64 {
                let of_rank = planned.iter().filter(|cue| cue.audience == audience && (cue.rank == 0) == must);
                of_rank.filter_map(|cue| match cue.outcome {
                    CueOutcome::Spoken { at, length } if within(at) => Some(length.0),
                    _ => None,
                }).sum()
            };
            let calls: u64 = sounds.iter().filter(|(sound, what)| within(sound.start) && matches!(what, EventContent::Call(_)))
                .map(|(sound, _)| sound.end.min(span.end).0 - sound.start.0).sum();
            let share = span.length().0 * (100 - talk_room) / 100;
            let floor = total(Audience::Class, true) + calls;
            let others = total(Audience::Class, false);
            prop_assert!(others == 0 || floor + others <= share);
            // The cues in the coach's ear fit into the time that the cues for the class leave free.
            let (ear, others_there) = (total(Audience::Coach, true), total(Audience::Coach, false));
            prop_assert!(others_there == 0 || floor + others + ear + others_there <= share);
        }
        for cue in &planned {
            if let CueOutcome::Spoken { at, length } = cue.outcome {
                prop_assert!(cue.window.start <= at && at + length <= cue.window.end);
            }
        }
        for audience in [Audience::Class, Audience::Coach] {
            let said: Vec<&Cue> = schedule.events.iter().filter_map(|event| match &event.what {
                EventContent::Cue(cue) if cue.audience == audience => Some(cue),
                _ => None,
            }).collect();
            // A must-say cue is said, even if the same cue was said before and there was no time for the one between.
            let must = |cue: &Cue| matches!(cue.kind, CueKind::Next | CueKind::Side);
            prop_assert!(said.windows(2).all(|pair| pair[0].text != pair[1].text || must(pair[1])));
        }
        prop_assert!(schedule.events.is_sorted_by_key(|event| event.at));
    }

    /// The past cues stay, and planning twice at the same moment gives the same plan.
    #[test]
    fn planning_again_from_a_tick_keeps_the_cues_already_said(session in any_session(), share in 0u64..100) {
        let (schedule, _) = cued(session, None, None);
        let from = Tick(schedule.total().0 * share / 100);
        let voicing = SpeechSettings::default();
        let mut again = schedule.clone();
        plan_and_insert_cues(&mut again, from, &voicing);
        let past = |schedule: &Schedule| -> Vec<ScheduleEvent> {
            schedule.events.iter().take_while(|event| event.at < from).cloned().collect()
        };
        prop_assert_eq!(past(&again), past(&schedule));
        let mut once_more = again.clone();
        plan_and_insert_cues(&mut once_more, from, &voicing);
        prop_assert_eq!(once_more, again);
    }
}

/// The leads are our estimates: a must-say cue ends at least that long before the change it announces.
#[test]
fn must_say_cues_end_their_lead_before_their_boundary() {
    let lay = |change: fn(&mut Station)| {
        let mut stations = vec![station("march", Tick::seconds(60)), station("press", Tick::seconds(60))];
        change(&mut stations[1]);
        let (schedule, planned) = cued(session(vec![block(BlockFormat::Circuit, stations)]), None, None);
        let next = planned.iter().find(|cue| cue.kind == CueKind::Next).expect("a next station");
        let CueOutcome::Spoken { at, length } = next.outcome else { panic!("unsaid: {next:?}") };
        assert_eq!(next.rank, 0);
        schedule.spans[1].start.saturating_sub(at + length)
    };
    assert!(lay(|_| ()) >= Tick::seconds(6));
    assert!(
        lay(|station| station.kit = vec![NeededKit { item: KitItem("band".into()), load: None, count: 1 }])
            >= Tick::seconds(8)
    );
    assert!(lay(|station| station.place = Some("window".into())) >= Tick::seconds(12));
}

#[test]
fn each_level_says_more_than_the_one_below() {
    let mut stations = vec![station("march", Tick::seconds(60)), station("press", Tick::seconds(60))];
    stations[1].kit = vec![NeededKit { item: KitItem("kettlebell".into()), load: None, count: 1 }];
    let class = session(vec![block(BlockFormat::Circuit, stations)]);
    let said = |level| {
        let (_, planned) = cued(Arc::clone(&class), Some(level), None);
        planned.iter().filter(|cue| matches!(cue.outcome, CueOutcome::Spoken { .. })).count()
    };
    assert_eq!((said(SpeechLevel::Silent), said(SpeechLevel::Tones), said(SpeechLevel::Calls)), (0, 0, 0));
    assert!(said(SpeechLevel::Changes) >= 1);
    assert!(said(SpeechLevel::Full) > said(SpeechLevel::Changes));
}

/// Another seed gives other wordings; the same file always gives the same class.
#[test]
fn the_seed_chooses_between_wordings() {
    let texts = |seed| -> Vec<String> {
        let stations = (0..8).map(|index| station(&format!("station-{index}"), Tick::seconds(40))).collect();
        let class = Session { seed, ..Session::clone(&session(vec![block(BlockFormat::Circuit, stations)])) };
        cued(Arc::new(class), None, None).1.into_iter().map(|cue| cue.text).collect()
    };
    assert_eq!(texts(3), texts(3));
    assert!((0..5).any(|seed| texts(seed) != texts(seed + 1)));
}

/// No tone sounds longer than the time the planner keeps free for it.
#[test]
fn no_tone_sounds_longer_than_the_planner_keeps_free() {
    for tone in
        [Tone::Pip, Tone::Start, Tone::Rest, Tone::Switch, Tone::BlockEnd, Tone::ClassEnd, Tone::Rep, Tone::Phase]
    {
        let samples = ToneSignal::from(tone).samples(48_000).len() as u64;
        assert!(samples <= tone_length(tone).0 * 48, "{tone}");
    }
}

/// The classes that come with the program.
const DEMO_CLASSES: [(&str, &str); 4] = [
    ("first-look", include_str!("../../sessions/first-look.ron")),
    ("frost-and-oars", include_str!("../../sessions/frost-and-oars.ron")),
    ("lunch-at-the-landing", include_str!("../../sessions/lunch-at-the-landing.ron")),
    ("six-boats", include_str!("../../sessions/six-boats.ron")),
];

/// Everything that must be said is said, and no sentence is said twice in a row.
#[test]
fn every_must_say_cue_of_the_demo_classes_is_said() {
    for (name, text) in DEMO_CLASSES {
        let class = read(text, Catalogue::built_in()).session.expect("no fault");
        let (schedule, planned) = cued(Arc::new(class), None, None);
        let unsaid = |cue: &&PlannedCue| cue.rank == 0 && matches!(cue.outcome, CueOutcome::LeftUnsaid(_));
        assert_eq!(planned.iter().find(unsaid), None, "{name}");
        let said: Vec<&str> = schedule
            .events
            .iter()
            .filter_map(|event| match &event.what {
                EventContent::Cue(cue) => Some(cue.text.as_str()),
                _ => None,
            })
            .collect();
        assert!(!said.is_empty() && said.windows(2).all(|pair| pair[0] != pair[1]), "{name}");
    }
}

/// Every text that may be said in the demo classes.
fn demo_texts() -> BTreeSet<String> {
    let classes = DEMO_CLASSES.map(|(_, text)| read(text, Catalogue::built_in()).session.expect("no fault"));
    classes.into_iter().flat_map(|class| texts(&compile(Arc::new(class)))).collect()
}

/// A voice on this computer: its name, its pace, and how long it takes for every text of the demo classes.
type Heard = (&'static str, SpeechPace, BTreeMap<String, Duration>);

/// The built-in voice, and espeak-ng if it is installed.
static VOICES: LazyLock<Vec<Heard>> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a folder");
    let mut voices: Vec<(&str, SpeechPace, Box<dyn Voice>)> =
        vec![("espeak-ng", SpeechPace::ESPEAK, Box::new(EspeakVoice::new("en-gb", voice::VoiceSpeed::default())))];
    #[cfg(not(target_vendor = "apple"))]
    voices.push((
        "built-in",
        SpeechPace::BUILT_IN,
        Box::new(voice::PicoVoice::new(folder.path(), voice::VoiceSpeed::default())),
    ));
    let mut heard = Vec::new();
    'voices: for (name, pace, mut voice) in voices {
        let mut lengths = BTreeMap::new();
        for text in demo_texts() {
            match voice.say(&text, Instant::now() + Duration::from_secs(20)) {
                Ok(pcm) => drop(lengths.insert(text, pcm.length())),
                Err(VoiceFault::Missing(_)) => continue 'voices,
                Err(fault) => panic!("{name}: {text}: {fault}"),
            }
        }
        heard.push((name, pace, lengths));
    }
    heard
});

/// With the true lengths of the voices, speech never overlaps with any other sound.
#[test]
fn nothing_overlaps_at_the_true_lengths_of_the_voices() {
    for (voice, pace, lengths) in VOICES.iter() {
        let mut known = SpeechLengths::at(*pace);
        known.learn(lengths.clone());
        for (name, text) in DEMO_CLASSES {
            let class = Arc::new(read(text, Catalogue::built_in()).session.expect("no fault"));
            for (level, ear) in
                [(None, None), (Some(SpeechLevel::Full), None), (Some(SpeechLevel::Full), Some(Tick::seconds(5)))]
            {
                let mut schedule = compile(Arc::clone(&class));
                plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings { level, ear, lengths: known.clone() });
                // In seconds, from the spoken samples.
                let mut over = (0.0, "nothing");
                let mut spoken = 0;
                for event in &schedule.events {
                    let at = event.at.0 as f64 / 1000.0;
                    let (text, is_cue) = match &event.what {
                        EventContent::Tone(tone) => {
                            assert!(at >= over.0, "{voice}, {name}: {} runs into the {tone} tone at {at}", over.1);
                            continue;
                        }
                        EventContent::Call(call) => (call_words(*call), false),
                        EventContent::Cue(cue) => (cue.text.as_str(), true),
                    };
                    let length =
                        lengths.get(text).unwrap_or_else(|| panic!("not among the texts: {text}")).as_secs_f64();
                    assert!(at >= over.0, "{voice}, {name}: {} runs into {text} at {at}", over.1);
                    assert!(!is_cue || spoken == 0 || at >= over.0 + 0.699, "{voice}, {name}: {text} too soon at {at}");
                    over = (at + length, text);
                    spoken += 1;
                }
                assert!(spoken > 5, "{name}");
            }
        }
    }
}

/// The estimated lengths against the true ones, over every text of the demo classes. A voice that is not installed is
/// left out.
#[test]
fn the_estimated_lengths_are_near_those_of_the_voices() {
    for (name, pace, lengths) in VOICES.iter() {
        let error =
            |(text, spoken): (&String, &Duration)| (pace.estimate(text).0 as f64 / 1000.0 - spoken.as_secs_f64()).abs();
        let mut errors: Vec<f64> = lengths.iter().map(error).collect();
        let short =
            lengths.iter().filter(|(text, spoken)| u128::from(pace.reserve(text).0) < spoken.as_millis()).count();
        errors.sort_by(f64::total_cmp);
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        let p95 = errors[errors.len() * 95 / 100];
        println!(
            "{name}: {} texts, mean error {mean:.3} s, 95th percentile {p95:.3} s, {short} over the reserve",
            errors.len()
        );
        assert!(mean < 0.18 && p95 < 0.45 && short * 50 <= errors.len(), "{name}");
    }
}

/// The coach hears every must-say cue at least the lead earlier than the class. The cues for the class are the same
/// with and without an earpiece.
#[test]
fn the_coach_hears_must_say_cues_earlier() {
    let lead = Tick::seconds(5);
    for (name, text) in DEMO_CLASSES {
        let class = Arc::new(read(text, Catalogue::built_in()).session.expect("no fault"));
        let (_, alone) = cued(Arc::clone(&class), None, None);
        let (_, both) = cued(class, None, Some(lead));
        let of = |audience: Audience| both.iter().filter(move |cue| cue.audience == audience);
        assert_eq!(of(Audience::Class).cloned().collect::<Vec<_>>(), alone, "{name}");
        let mut early = 0;
        for cue in of(Audience::Coach).filter(|cue| cue.rank == 0) {
            let CueOutcome::Spoken { at, .. } = cue.outcome else { continue };
            let floor = of(Audience::Class).find_map(|other| match other.outcome {
                CueOutcome::Spoken { at, .. } if other.span == cue.span && other.kind == cue.kind => Some(at),
                _ => None,
            });
            assert!(floor.is_some_and(|floor| at + lead <= floor), "{name}: {cue:?} {floor:?}");
            early += 1;
        }
        let must = of(Audience::Class).filter(|cue| cue.rank == 0).count();
        // In the shortest spans, an earlier cue would fall into the span before.
        assert!(name == "first-look" || early * 20 >= must * 19, "{name}: {early} of {must}");
    }
}

/// During the work of a block with a low level, the next block is not announced; in the rest after it, it is. A block
/// with a low level is not announced at all.
#[test]
fn cues_that_prepare_a_block_are_said_at_the_level_of_that_block() {
    let blocks = |levels: [SpeechLevel; 2], rest: u64| {
        let mut names = ["march", "press"].into_iter();
        let mut blocks = levels.map(|level| {
            let name = names.next().expect("two blocks");
            Block { level, ..block(BlockFormat::Circuit, vec![station(name, Tick::seconds(60))]) }
        });
        blocks[0].rest_after = Tick::seconds(rest);
        let (schedule, planned) = cued(session(blocks.to_vec()), None, None);
        let next = planned.into_iter().find(|cue| cue.kind == CueKind::Next);
        next.map(|cue| match cue.outcome {
            CueOutcome::Spoken { at, .. } => schedule.spans[schedule.span_at(at).expect("a span")].purpose,
            CueOutcome::LeftUnsaid(reason) => panic!("{reason:?}"),
        })
    };
    assert_eq!(blocks([SpeechLevel::Tones, SpeechLevel::Changes], 30), Some(SpanPurpose::BlockRest));
    assert_eq!(blocks([SpeechLevel::Changes, SpeechLevel::Tones], 30), None);
    assert_eq!(blocks([SpeechLevel::Changes, SpeechLevel::Changes], 5), Some(SpanPurpose::Work));
}

/// A class that is saved and read again by another process gets the same cues.
#[test]
fn a_class_saved_and_read_again_has_the_same_cues() {
    let folder = tempfile::tempdir().expect("a folder");
    let heading = SessionHeading { title: "Steady".to_owned(), ..SessionHeading::default() };
    let starter = write_session(&heading, &MovementList::starter(Catalogue::built_in()));
    let classes = DEMO_CLASSES.map(|(name, text)| (name, text.to_owned()));
    for (name, text) in classes.into_iter().chain([("starter", starter)]) {
        let class = read(&text, Catalogue::built_in()).session.expect("no fault");
        let here: Vec<(String, Option<u64>)> = (cued(Arc::new(class), Some(SpeechLevel::Full), None).1.into_iter())
            .map(|cue| match cue.outcome {
                CueOutcome::Spoken { at, .. } => (cue.text, Some(at.0)),
                CueOutcome::LeftUnsaid(_) => (cue.text, None),
            })
            .collect();
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("saved");
        let shown = std::process::Command::new(env!("CARGO_BIN_EXE_forecall"))
            .args(["show", "--cues", "--level", "full", "--json"])
            .arg(&path)
            .env("HOME", folder.path())
            .output()
            .expect("forecall");
        let shown: serde_json::Value = serde_json::from_slice(&shown.stdout).expect("JSON");
        let there = shown["cues"].as_array().expect("cues").iter();
        let there: Vec<_> =
            there.map(|cue| (cue["text"].as_str().expect("words").to_owned(), cue["at_ms"].as_u64())).collect();
        assert_eq!(here, there, "{name}");
    }
}

/// In a rotation, only the people at one station have sides: the class is not told which side comes first.
#[test]
fn cues_of_a_rotation_name_no_side() {
    let text = std::fs::read_to_string("sessions/six-boats.ron").unwrap();
    let session = class::session::read(&text, class::movement::Catalogue::built_in()).session.unwrap();
    let mut session = session;
    for block in session.blocks.iter_mut().filter(|block| block.format == class::session::BlockFormat::Rotation) {
        block.stations[0].sides = class::movement::Sides::LeftThenRight;
    }
    let mut schedule = class::schedule::compile(std::sync::Arc::new(session));
    let rotation = |span: usize, schedule: &class::schedule::Schedule| {
        matches!(schedule.spans[span].activity, class::schedule::Activity::Turn(_))
    };
    class::cue::plan_and_insert_cues(&mut schedule, Tick::ZERO, &class::cue::SpeechSettings::default());
    let said = schedule.events.iter().filter(|event| rotation(event.span, &schedule));
    let cues: Vec<&str> = said
        .filter_map(|event| match &event.what {
            EventContent::Cue(cue) => Some(cue.text.as_str()),
            _ => None,
        })
        .collect();
    assert!(!cues.is_empty());
    assert!(cues.iter().all(|cue| !cue.contains("left")), "{cues:?}");
}
