//! Class time converted to the clock of an export, compared with a count of every millisecond and one example by hand.

use class::recording::{ExportClock, TimeStop, recording_time};
use class::time::Tick;
use proptest::prelude::*;

fn stood(at: u64, length: u64) -> TimeStop {
    TimeStop { at: Tick(at), length: Tick(length) }
}

/// A class begins at 18:00:00. It waits 20 s at a block's first tick, 60 s into the class, and is paused for 15 s at 90
/// s. On the wall clock, the block begins at 1:20, what follows the pause begins at 2:05 (90 + 20 + 15), and the class
/// of 120 s is over at 2:35. The recording showed 0:40.5 when the coach marked 1:00 of class time, which ran again at
/// 1:20 on the wall clock. So the recording began 39.5 s into the class: the first block ends at 0:20.5 of the
/// recording, and the class is over at 1:55.5.
#[test]
fn a_class_with_a_wait_and_a_pause_computed_by_hand() {
    let wall = ExportClock::real_time(Tick::ZERO, [stood(60_000, 20_000), stood(90_000, 15_000)]);
    let at = |clock: &ExportClock, seconds| (clock.ends(Tick::seconds(seconds)), clock.begins(Tick::seconds(seconds)));
    let seconds = |ends, begins| (Some(Tick::seconds(ends)), Some(Tick::seconds(begins)));
    assert_eq!(at(&wall, 0), seconds(0, 0));
    assert_eq!(at(&wall, 60), seconds(60, 80));
    assert_eq!(at(&wall, 90), seconds(110, 125));
    assert_eq!(at(&wall, 120), seconds(155, 155));
    let camera = wall.clone().synced_to_recording(Tick::seconds(60), Tick(40_500));
    assert_eq!(camera.time_before_zero(Tick::ZERO), Tick(39_500));
    assert_eq!(camera.begins(Tick::seconds(30)), None);
    assert_eq!(at(&camera, 60), (Some(Tick(20_500)), Some(Tick(40_500))));
    assert_eq!(camera.ends(Tick::seconds(120)), Some(Tick(115_500)));
    // If the recording has only the end of a span, the span begins with the recording. Speech stops when the class is
    // paused.
    assert_eq!(camera.stretch(Tick::ZERO, Tick::seconds(60)), Some((Tick::ZERO, Tick(20_500))));
    assert_eq!(camera.stretch(Tick::ZERO, Tick::seconds(30)), None);
    assert_eq!(camera.unbroken(Tick(89_000), Tick(91_000)), Some((Tick(69_500), Tick(70_500))));
    // Without its pauses the class is as planned.
    assert_eq!(at(&ExportClock::class_time(Tick::ZERO), 90), seconds(90, 90));
    // The recording began before the class.
    let early = wall.synced_to_recording(Tick::ZERO, Tick(72_500));
    assert_eq!((early.begins(Tick::ZERO), early.time_before_zero(Tick::ZERO)), (Some(Tick(72_500)), Tick::ZERO));
}

#[test]
fn a_time_of_a_recording_is_read_in_the_form_that_is_shown() {
    for (text, ms) in [("0", 0), ("72.5", 72_500), ("1:12.5", 72_500), ("00:01:12.050", 72_050), ("1:00:00", 3_600_000)]
    {
        assert_eq!(recording_time(text), Ok(Tick(ms)), "{text}");
    }
    for text in ["", ".", "1:", ":5", "1:60", "1:2:3:4", "-1", "+1", "1.2345", "1.", "1e3", "1:12,5", "100000:00"] {
        assert!(recording_time(text).is_err(), "{text}");
    }
}

/// Up to twelve places at which class time halts in a class of at most 400 ticks, in any order; a place may come twice.
fn places() -> impl Strategy<Value = Vec<TimeStop>> {
    prop::collection::vec((0u64..400, 0u64..50).prop_map(|(at, length)| stood(at, length)), 0..12)
}

proptest! {
    #[test]
    fn every_tick_agrees_with_a_count_by_milliseconds(from in 0u64..200, places in places()) {
        let clock = ExportClock::real_time(Tick(from), places.clone());
        // The wall clock moves by one for each tick of class time, and by one for each millisecond for which class time
        // halts.
        let mut wall = 0;
        for at in from..450 {
            prop_assert_eq!(clock.ends(Tick(at)), Some(Tick(wall)));
            if at > from {
                wall += places.iter().filter(|stood| stood.at.0 == at).map(|stood| stood.length.0).sum::<u64>();
            }
            prop_assert_eq!(clock.begins(Tick(at)), Some(Tick(wall)));
            wall += 1;
        }
    }

    #[test]
    fn time_never_goes_back_and_every_pause_keeps_its_length(
        places in places(), a in 0u64..500, b in 0u64..500, mark in 0u64..500, camera in 0u64..2_000,
    ) {
        let clock = ExportClock::real_time(Tick::ZERO, places.clone()).synced_to_recording(Tick(mark), Tick(camera));
        prop_assert_eq!(clock.begins(Tick(mark)), Some(Tick(camera)));
        let (first, last) = (a.min(b), a.max(b));
        if let (Some(begins), Some(ends)) = (clock.begins(Tick(first)), clock.ends(Tick(last))) {
            let between = places.iter().filter(|stood| stood.at.0 > 0 && first < stood.at.0 && stood.at.0 < last);
            let held: u64 = between.map(|stood| stood.length.0).sum();
            if first < last {
                prop_assert_eq!(ends.0 - begins.0, last - first + held);
            } else {
                prop_assert!(ends <= begins);
            }
        }
        if let Some((begins, ends)) = clock.stretch(Tick(first), Tick(last)) {
            prop_assert!(begins <= ends || first == last);
        }
    }
}
