//! Fit, against values computed by hand and against a search through every choice.

use crate::classes;

use class::change::{Course, FamilyKind, SpanFamily, best_lengths};
use class::schedule::{SpanPurpose, compile};
use class::session::{BlockFormat, BlockKind};
use class::time::Tick;
use classes::{any_session, block, session, station};
use proptest::prelude::*;

fn family(stretch: FamilyKind, count: u64, length: u64, allowed: impl IntoIterator<Item = u64>) -> SpanFamily {
    let allowed = allowed.into_iter().map(Tick::seconds).collect();
    SpanFamily { stretch, count, length: Tick::seconds(length), allowed, spans: vec![] }
}

/// 18 × 60 s of work, two block rests of 60 s, a cool-down of 6:00.
fn worked_by_hand() -> Vec<SpanFamily> {
    vec![
        family(FamilyKind::Work, 18, 60, (40..=75).step_by(5)),
        family(FamilyKind::BlockRest(BlockKind::Main), 2, 60, (30..=90).step_by(5)),
        family(FamilyKind::Protected(3), 1, 360, (300..=480).step_by(15)),
    ]
}

/// The fitted lengths, in seconds, when the class gets `gained` seconds longer (below zero: shorter).
fn fitted(families: &[SpanFamily], gained: i64) -> Vec<u64> {
    let planned: u64 = families.iter().map(|family| family.count * family.length.0).sum();
    best_lengths(families, planned as i64 + gained * 1000).iter().map(|length| length.0 / 1000).collect()
}

#[test]
fn values_worked_by_hand() {
    let families = worked_by_hand();
    assert_eq!(fitted(&families, 0), [60, 60, 360]);
    assert_eq!(fitted(&families, -180), [50, 60, 360]);
    assert_eq!(fitted(&families, -120), [55, 45, 360]);
    assert_eq!(fitted(&families, -240), [45, 60, 360]);
    assert_eq!(fitted(&families, 120), [65, 60, 360]);
    // With everything at its shortest, the class is still 20 s late.
    assert_eq!(fitted(&families, -500), [40, 30, 300]);
    let shortest = 18 * 40 + 2 * 30 + 300;
    assert_eq!(shortest as i64 - (18 * 60 + 2 * 60 + 360 - 500), 20);
}

/// The allowed lengths follow from the lengths in the file.
#[test]
fn lengths_in_reach() {
    let seconds = |stretch: FamilyKind, length: u64, step: u64| -> Vec<u64> {
        stretch.allowed(Tick::seconds(length), Tick::seconds(step)).iter().map(|tick| tick.0 / 1000).collect()
    };
    let every = |from: u64, to: u64, step: usize| (from..=to).step_by(step).collect::<Vec<u64>>();
    assert_eq!(seconds(FamilyKind::Work, 60, 5), every(40, 75, 5));
    assert_eq!(seconds(FamilyKind::Rest, 60, 5), every(30, 90, 5));
    assert_eq!(seconds(FamilyKind::Protected(0), 360, 15), every(300, 480, 15));
    // A length below the floor (20 s of work, 15 s of rest) stays as in the file.
    assert_eq!(seconds(FamilyKind::Work, 15, 5), [15]);
    assert_eq!(seconds(FamilyKind::Work, 20, 5), [20, 25]);
    assert_eq!(seconds(FamilyKind::Rest, 10, 5), [10, 15]);
    // Whole repetitions: 8 of 4 s, from 2/3 to 5/4.
    assert_eq!(seconds(FamilyKind::Work, 32, 4), [24, 28, 32, 36, 40]);
}

fn any_family() -> impl Strategy<Value = SpanFamily> {
    let stretch = prop_oneof![
        Just(FamilyKind::Work),
        Just(FamilyKind::Rest),
        Just(FamilyKind::BlockRest(BlockKind::Main)),
        Just(FamilyKind::Protected(0)),
    ];
    (stretch, 1u64..6, 4u64..40, prop::collection::btree_set(1u64..40, 0..6), 1u64..4).prop_map(
        |(stretch, count, length, mut others, unit)| {
            others.insert(length);
            family(stretch, count, length * unit, others.into_iter().map(|tick| tick * unit))
        },
    )
}

/// The objective as documented, for one choice. Lower is better. The last part prefers longer lengths, those of the
/// first family before those of the second.
fn objective(families: &[SpanFamily], lengths: &[i128], time: i128) -> (Vec<i128>, Vec<i128>) {
    let with = || families.iter().zip(lengths);
    let change = |family: &SpanFamily, length: i128| (length - i128::from(family.length.0)).abs();
    let sum: i128 = with().map(|(family, length)| i128::from(family.count) * length).sum();
    let protected: i128 = with()
        .filter(|(family, _)| matches!(family.stretch, FamilyKind::Protected(_)))
        .map(|(family, &length)| i128::from(family.count) * change(family, length))
        .sum();
    let changed = with().filter(|(family, length)| **length != i128::from(family.length.0)).count() as i128;
    let squares: i128 = with()
        .map(|(family, &length)| {
            let weight = match family.stretch {
                FamilyKind::BlockRest(_) => 1,
                FamilyKind::Rest => 2,
                FamilyKind::Work => 4,
                FamilyKind::Protected(_) => 8,
            };
            let p = 1000 * change(family, length) / i128::from(family.length.0);
            i128::from(family.count) * weight * p * p
        })
        .sum();
    let under = (time - sum).max(0);
    let parts = vec![(sum - time).max(0), protected, (time - sum - 30_000).max(0), changed, squares, under];
    (parts, lengths.iter().map(|length| -length).collect())
}

/// Every possible choice of lengths.
fn every_choice(families: &[SpanFamily]) -> Vec<Vec<i128>> {
    families.iter().fold(vec![vec![]], |choices, family| {
        let more = |choice: Vec<i128>| {
            family.allowed.iter().map(move |length| {
                let mut longer = choice.clone();
                longer.push(i128::from(length.0));
                longer
            })
        };
        choices.into_iter().flat_map(more).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2500, ..ProptestConfig::default() })]

    #[test]
    fn no_choice_is_better(
        families in prop::collection::vec(any_family(), 1..5),
        share in 0u64..1300,
        odd in -3000i64..3000,
    ) {
        let planned: u64 = families.iter().map(|family| family.count * family.length.0).sum();
        let time = (planned * share / 1000) as i64 + odd;
        let found: Vec<i128> = best_lengths(&families, time).iter().map(|length| i128::from(length.0)).collect();
        let best = every_choice(&families)
            .into_iter()
            .min_by_key(|choice| objective(&families, choice, i128::from(time)))
            .unwrap();
        prop_assert_eq!(found, best);
    }
}

#[test]
fn no_families_give_no_lengths() {
    assert_eq!(best_lengths(&[], 0), []);
    assert_eq!(best_lengths(&[], -5000), []);
    assert_eq!(best_lengths(&[], 5000), []);
}

/// Three blocks of six stations of 60 s with 60 s between the blocks and a cool-down of three times two minutes.
fn hand_worked_class() -> Course {
    let six = || (0..6).map(|n| station(&format!("move-{n}"), Tick::seconds(60))).collect::<Vec<_>>();
    let mut blocks: Vec<_> = (0..3).map(|_| block(BlockFormat::Circuit, six())).collect();
    for block in &mut blocks[..2] {
        block.rest_after = Tick::seconds(60);
    }
    let calm = (0..3).map(|n| station(&format!("calm-{n}"), Tick::seconds(120))).collect();
    let mut cool_down = block(BlockFormat::Circuit, calm);
    cool_down.kind = BlockKind::CoolDown;
    // A first span that is running, so that all other spans are still to come.
    let mut first = block(BlockFormat::Circuit, vec![station("march", Tick::seconds(120))]);
    first.kind = BlockKind::WarmUp;
    Course::new(compile(session([vec![first], blocks, vec![cool_down]].concat())))
}

fn lengths(course: &Course, purpose: SpanPurpose, block: impl Fn(usize) -> bool) -> Vec<u64> {
    let spans = course.schedule().spans.iter().filter(|span| span.purpose == purpose && block(span.block));
    spans.map(|span| span.length().0 / 1000).collect()
}

#[test]
fn a_class_is_fitted_to_its_end() {
    let course = hand_worked_class();
    let now = Tick::seconds(30);
    assert_eq!(course.schedule().total(), Tick::seconds(120 + 18 * 60 + 2 * 60 + 360));
    let cases =
        [(-180, 50, 60, 360), (-120, 55, 45, 360), (-240, 45, 60, 390), (-500, 40, 30, 300), (120, 65, 60, 390)];
    for (gained, work, rest, cool_down) in cases {
        let end = Tick((course.schedule().total().0 as i64 + gained * 1000) as u64);
        let fit = course.fit(now, end);
        let schedule = fit.course.schedule();
        assert_eq!(lengths(&fit.course, SpanPurpose::Work, |block| (1..4).contains(&block)), [work; 18], "{gained}");
        assert_eq!(lengths(&fit.course, SpanPurpose::BlockRest, |_| true), [rest; 2], "{gained}");
        assert_eq!(
            lengths(&fit.course, SpanPurpose::Work, |block| block == 4).iter().sum::<u64>(),
            cool_down,
            "{gained}"
        );
        assert_eq!(fit.late, schedule.total().saturating_sub(end), "{gained}");
        assert_eq!(fit.late, if gained == -500 { Tick::seconds(20) } else { Tick::ZERO }, "{gained}");
        // The time left over went to the cool-down.
        assert_eq!(fit.early, Tick::ZERO, "{gained}");
        assert_eq!(schedule.spans[0], course.schedule().spans[0]);
    }
}

#[test]
fn fits_do_not_add_up() {
    let course = hand_worked_class();
    let now = Tick::seconds(30);
    let total = course.schedule().total();
    let shorter = course.fit(now, total.saturating_sub(Tick::seconds(240))).course;
    assert_eq!(shorter.fit(now, total).course.schedule(), course.schedule());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn the_past_stays_and_no_length_leaves_its_range(
        session in any_session(),
        at in 0u64..1000,
        share in 500u64..1500,
    ) {
        let course = Course::new(compile(session));
        let now = Tick(course.schedule().total().0 * at / 1000);
        let left = course.schedule().total() - now;
        let end = now + Tick(left.0 * share / 1000);
        let fit = course.fit(now, end);
        let (before, after) = (course.schedule(), fit.course.schedule());
        let current = before.span_at(now).unwrap_or(before.spans.len());
        prop_assert_eq!(&before.spans[..(current + 1).min(before.spans.len())], &after.spans[..(current + 1).min(before.spans.len())]);
        prop_assert_eq!(before.spans.len(), after.spans.len());
        for (old, new) in before.spans.iter().zip(&after.spans).skip(current + 1) {
            prop_assert_eq!((old.purpose, old.activity, old.gate), (new.purpose, new.activity, new.gate));
            // No length goes below a half or above one and a half times.
            prop_assert!(new.length().0 * 2 + 2 >= old.length().0 && new.length().0 * 2 <= old.length().0 * 3 + 2000);
            let (left, right) = new.by_side();
            if left > Tick::ZERO && right > Tick::ZERO {
                prop_assert_eq!(left, right);
            }
        }
        let side = |schedule: &class::schedule::Schedule| {
            let sides = schedule.spans.iter().map(|span| span.by_side());
            sides.fold((0, 0), |(l, r), (left, right)| (l + left.0, r + right.0))
        };
        prop_assert_eq!(side(before).0 == side(before).1, side(after).0 == side(after).1);
        prop_assert_eq!(fit.late, after.total().saturating_sub(end));
        prop_assert_eq!(fit.early, end.saturating_sub(after.total()));
        if before.total() == end {
            prop_assert_eq!(before, after);
        }
    }
}
