//! Lengths, tempo and beats against published values and exact arithmetic.

use class::time::{Beats, FirstPhase, LengthFault, Tempo, TempoFault, Tick, clock, parse_length, spoken_length};
use proptest::prelude::*;

/// ISO 8601 examples, and the same lengths as people write them.
#[test]
fn lengths_are_read_in_every_usual_way() {
    for (text, millis) in [
        ("PT7M50S", 470_000),
        ("PT0.5S", 500),
        ("PT1H30M", 5_400_000),
        ("PT1M30S", 90_000),
        ("45s", 45_000),
        ("1m30s", 90_000),
        ("1m 30s", 90_000),
        ("1:30", 90_000),
        ("27:00", 1_620_000),
        ("1:00:00", 3_600_000),
        ("0s", 0),
        ("24h", 86_400_000),
        ("0.001s", 1),
    ] {
        assert_eq!(parse_length(text), Ok(Tick(millis)), "{text}");
    }
}

#[test]
fn a_text_that_is_not_a_length_is_refused_with_the_reason() {
    for (text, fault) in [
        ("", LengthFault::Shape),
        ("45", LengthFault::Shape),
        ("soon", LengthFault::Shape),
        ("1:3", LengthFault::Shape),
        ("1:60", LengthFault::Shape),
        ("1:2:3:4", LengthFault::Shape),
        (":30", LengthFault::Shape),
        ("-5s", LengthFault::Negative),
        ("25h", LengthFault::TooLong),
        ("P1Y", LengthFault::TooLong),
        ("0.0001s", LengthFault::TooFine),
        ("4\u{666}s", LengthFault::Shape),
    ] {
        assert_eq!(parse_length(text), Err(fault), "{text}");
    }
}

#[test]
fn a_tempo_is_four_counts() {
    assert_eq!("2-0-2-0".parse(), Ok(Tempo { counts: [2, 0, 2, 0] }));
    assert_eq!("2-0-2".parse::<Tempo>(), Err(TempoFault::Shape));
    assert_eq!("2-0-2-0-0".parse::<Tempo>(), Err(TempoFault::Shape));
    assert_eq!("2-x-2-0".parse::<Tempo>(), Err(TempoFault::Shape));
    assert_eq!("31-0-0-0".parse::<Tempo>(), Err(TempoFault::TooLong));
    assert_eq!("0-0-0-0".parse::<Tempo>(), Err(TempoFault::Empty));
}

/// A deadlift lifts first and a squat lowers first. The guide begins with the same phase as the movement.
#[test]
fn the_phases_begin_where_the_movement_begins() {
    let tempo: Tempo = "3-1-2-0".parse().unwrap();
    let names = |starts| tempo.phases(starts).map(|(phase, at, length)| (phase, at.0 / 1000, length.0 / 1000));
    assert_eq!(names(FirstPhase::Lower), [(0, 0, 3), (1, 3, 1), (2, 4, 2), (3, 6, 0)]);
    assert_eq!(names(FirstPhase::Lift), [(2, 0, 2), (3, 2, 0), (0, 2, 3), (1, 5, 1)]);
}

proptest! {
    #[test]
    fn a_written_length_is_read_back(millis in 0u64..=86_400_000) {
        prop_assert_eq!(parse_length(&spoken_length(Tick(millis))), Ok(Tick(millis)));
        let whole = Tick(millis / 1000 * 1000);
        prop_assert_eq!(parse_length(&clock(whole)), Ok(whole));
    }

    #[test]
    fn reading_any_text_ends(text in ".{0,60}") {
        let _ = parse_length(&text);
        let _ = text.parse::<Tempo>();
    }

    /// Each beat is within half a tick of its exact place, at any distance from the start: errors do not add up.
    #[test]
    fn beats_do_not_drift(start in 0u64..10_000_000, num in 1u64..100_000, den in 1u64..1000, k in 0u64..1_000_000) {
        let beat = Beats::new(Tick(start), num, den).at(k);
        let twice_off = (i128::from(beat.0 - start) * i128::from(den) - i128::from(k) * i128::from(num)) * 2;
        prop_assert!(twice_off.abs() <= i128::from(den));
    }

    #[test]
    fn whole_beats_fit_and_one_more_does_not(num in 1u64..100_000, den in 1u64..1000, length in 0u64..10_000_000) {
        let beats = Beats::new(Tick::ZERO, num, den);
        let whole = u128::from(beats.count_within(Tick(length)));
        let (num, den, length) = (u128::from(num), u128::from(den), u128::from(length));
        prop_assert!(whole * num <= length * den);
        prop_assert!((whole + 1) * num > length * den);
    }
}
