//! Any text as a session file: read, compiled, checked, its faults drawn.

#![no_main]

use cli::faults::{Style, render};
use cli::session::{checked, summary};
use class::movement::Catalogue;
use class::time::Tick;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let checked = checked("class.ron".to_owned(), text.to_owned(), None, Catalogue::built_in(), &[], &Costs::ESTIMATED);
    for placed in &checked.report.faults {
        for place in [&placed.place, &placed.beside].into_iter().flatten() {
            assert!(text.get(place.clone()).is_some(), "{place:?} is no place in the text");
        }
    }
    assert_eq!(checked.schedule.is_some(), checked.report.is_usable());
    let said = render(&checked, Style::Plain) + &summary(&checked);
    assert!(!said.contains(|c: char| c.is_control() && c != '\n'), "a terminal would obey {said:?}");
    render(&checked, Style::Coloured);
    if let Some(schedule) = &checked.schedule {
        let mut end = Tick::ZERO;
        for span in &schedule.spans {
            assert!(span.start == end && span.end > span.start, "spans are contiguous");
            end = span.end;
        }
    }
});
