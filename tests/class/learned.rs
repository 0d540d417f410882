//! The times that are learned from measured transitions.

use std::collections::BTreeSet;
use std::sync::Arc;

use class::movement::Catalogue;
use class::schedule::{
    ChangeoverCosts, GROUP, KitChange, LearnedTransitions, PositionChange, SampleSubject, TransitionKind,
    TransitionSample, compile, compile_with,
};
use class::session::read;
use class::time::Tick;

fn kit_swap() -> TransitionKind {
    TransitionKind { kit: Some(KitChange::KitSwap), ..TransitionKind::default() }
}

fn samples(kind: TransitionKind, who: SampleSubject, took: &[u64]) -> Vec<TransitionSample> {
    took.iter().map(|&ms| TransitionSample { kind, took: Tick(ms), who }).collect()
}

/// Worked out by hand. Nearest rank: of n sorted values, the one with rank ceil(0.75 n). The definition is common
/// knowledge in statistics (ISO 3534-1 defines the quantiles of a sample).
#[test]
fn three_of_four_are_ready() {
    let learned = |who, took: &[u64]| {
        LearnedTransitions::from_samples(samples(kit_swap(), who, took), GROUP)
            .measured_need(kit_swap())
            .map(|measured| measured.needs)
    };
    // Five: rank ceil(3.75) = 4.
    assert_eq!(learned(SampleSubject::Group, &[4_000, 9_000, 5_000, 7_000, 6_000]), Some(Tick(7_000)));
    // Eight: rank 6.
    assert_eq!(learned(SampleSubject::Group, &[1, 2, 3, 4, 5, 5_999, 7_000, 8_000]), Some(Tick(6_000)));
    // The coach alone: 7.0 s times 1.5 is 10.5 s.
    assert_eq!(learned(SampleSubject::Coach, &[4_000, 9_000, 5_000, 7_000, 6_000]), Some(Tick(10_500)));
    // Rounded up to the next half second: 6.1 s becomes 6.5 s.
    assert_eq!(learned(SampleSubject::Group, &[6_100; 5]), Some(Tick(6_500)));
    assert_eq!(learned(SampleSubject::Group, &[6_000; 4]), None);
}

#[test]
fn coach_and_group_count_together() {
    let mut all = samples(kit_swap(), SampleSubject::Coach, &[4_000, 4_000, 4_000]);
    all.extend(samples(kit_swap(), SampleSubject::Group, &[8_000, 8_000]));
    let learned = LearnedTransitions::from_samples(all, GROUP);
    // 6, 6, 6, 8, 8: rank 4.
    assert_eq!(
        learned.measured_need(kit_swap()).map(|measured| (measured.needs, measured.samples)),
        Some((Tick(8_000), 5))
    );
}

#[test]
fn kinds_of_transition_differ_in_their_names() {
    let names: BTreeSet<String> = TransitionKind::all().map(|kind| kind.to_string()).collect();
    assert_eq!(names.len(), 4 * 5 * 4);
    for kind in TransitionKind::all() {
        assert_eq!(kind.to_string().parse(), Ok(kind));
    }
    let kind = TransitionKind { position: Some(PositionChange::ToFloor), ..kit_swap() };
    assert_eq!(kind.to_string(), "kit_swap+to_floor");
    assert!("kit_swap+".parse::<TransitionKind>().is_err());
}

#[test]
fn a_class_is_laid_out_with_the_learned_times() {
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../sessions/frost-and-oars.ron")).unwrap();
    let schedule = compile(Arc::new(read(&text, Catalogue::built_in()).session.unwrap()));
    let slow = LearnedTransitions::from_samples(
        TransitionKind::all().flat_map(|kind| samples(kind, SampleSubject::Group, &[11_000; 5])).collect::<Vec<_>>(),
        GROUP,
    );
    let costs = ChangeoverCosts { learned: slow, ..ChangeoverCosts::ESTIMATED };
    let again = compile_with(schedule.session.clone(), &costs);
    assert_eq!(again.spans.len(), schedule.spans.len());
    for span in again.spans.iter().skip(1).filter(|span| span.change.movement) {
        assert_eq!(span.change.needs, Tick(11_000));
    }
    assert!(again.spans.iter().zip(&schedule.spans).any(|(slow, fast)| slow.settle > fast.settle));
}
