//! Any text as a session file: read, compiled, checked, its faults drawn.

#![no_main]

use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use class::time::Tick;
use cli::faults::{FaultStyle, render};
use cli::session::{check_text, summary};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let catalogue = Catalogue::built_in();
    let checked = check_text("class.ron".to_owned(), text.to_owned(), None, catalogue, &[], &ChangeoverCosts::ESTIMATED);
    for placed in &checked.report.faults {
        for place in [&placed.place, &placed.related].into_iter().flatten() {
            assert!(text.get(place.clone()).is_some(), "{place:?} is no place in the text");
        }
    }
    assert_eq!(checked.schedule.is_some(), checked.report.is_usable());
    let said = render(&checked, FaultStyle::Plain) + &summary(&checked);
    assert!(!said.contains(|c: char| c.is_control() && c != '\n'), "a terminal would obey {said:?}");
    render(&checked, FaultStyle::Coloured);
    if let Some(schedule) = &checked.schedule {
        let mut end = Tick::ZERO;
        for span in &schedule.spans {
            assert!(span.start == end && span.end > span.start, "spans are contiguous");
            end = span.end;
        }
    }
});
