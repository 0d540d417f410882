//! A class on paper. Whether a PDF is sound, and where its text stands, `tests/judges.sh` asks of programs of others.

use std::sync::Arc;

use forecall::movement::Catalogue;
use forecall::schedule::{Schedule, compile};
use forecall::session::read;
use forecall::sheet::{Paper, cards, cards_pdf, html, kit_list, plain, run_sheet, run_sheet_pdf};
use jiff::civil::time;

fn class(text: &str) -> Schedule {
    compile(Arc::new(read(text, Catalogue::built_in()).session.expect("a session without faults")))
}

fn demos() -> [Schedule; 4] {
    [
        include_str!("../sessions/first-look.ron"),
        include_str!("../sessions/frost-and-oars.ron"),
        include_str!("../sessions/lunch-at-the-landing.ron"),
        include_str!("../sessions/six-boats.ron"),
    ]
    .map(class)
}

#[test]
fn a_sheet_tells_the_time_of_day_of_every_station() {
    let sheet = run_sheet(&demos()[1], Some(time(18, 15, 0, 0)), false);
    assert!(sheet.facts.starts_with("18:15:00 to 18:59:10 · 44:10 in all · 0:50 to spare"), "{}", sheet.facts);
    let line = sheet.blocks[1].lines.iter().find(|line| line.movement == "Kettlebell deadlift").unwrap();
    // Six minutes and thirty seconds in: eight times 40 s, 40 s of rest, 30 s of briefing.
    assert_eq!((line.begins.as_str(), line.length.as_str()), ("18:21:30", "0:45"));
    assert_eq!(line.prompts.len(), 2);
    // The second round begins six stations of a minute later, less a rest of 15 s and with the 60 s between rounds.
    assert!(sheet.blocks[1].about.iter().any(|line| line.ends_with("18:27:15")), "{:?}", sheet.blocks[1].about);
}

#[test]
fn a_class_past_midnight_goes_on_in_the_morning() {
    let sheet = run_sheet(&demos()[1], Some(time(23, 50, 0, 0)), false);
    assert!(sheet.facts.starts_with("23:50:00 to 00:34:10"), "{}", sheet.facts);
}

#[test]
fn the_strip_is_the_whole_class() {
    for schedule in demos() {
        let sheet = run_sheet(&schedule, None, false);
        let total: u64 = sheet.strip.iter().map(|stretch| stretch.length.0).sum();
        assert_eq!(total, schedule.total().0);
        let letters = sheet.strip.iter().filter(|stretch| stretch.letter.is_some()).count();
        assert_eq!(letters, schedule.session.blocks.len());
    }
}

#[test]
fn kit_is_counted_as_it_is_needed_at_once() {
    // 24 people in groups of four: four bells of each load at their stations, never both in one hand.
    let kit = kit_list(&demos()[3].session);
    assert!(kit.contains(&"4 of 8 × kettlebell, heavy".to_owned()), "{kit:?}");
    assert!(kit.contains(&"4 of 8 × kettlebell, light".to_owned()), "{kit:?}");
}

#[test]
fn every_demo_is_a_document_the_same_each_time() {
    for schedule in demos() {
        for paper in [Paper::A4, Paper::Letter] {
            let sheet = run_sheet(&schedule, None, true);
            let pdf = run_sheet_pdf(&sheet, paper).unwrap();
            assert!(pdf.bytes.starts_with(b"%PDF-") && pdf.missing.is_empty());
            assert_eq!(pdf.bytes, run_sheet_pdf(&sheet, paper).unwrap().bytes);
        }
        let cards = cards(&schedule);
        let stations: usize = schedule.session.blocks.iter().map(|block| block.stations.len()).sum();
        assert_eq!(cards.len(), stations);
        assert_eq!(cards_pdf("cards", &cards, Paper::A4).unwrap().pages, stations, "a page each");
    }
}

#[test]
fn a_rotation_leads_from_card_to_card_and_back() {
    let cards = cards(&demos()[3]);
    let crews: Vec<_> = cards.iter().filter(|card| card.next.is_some()).collect();
    assert_eq!(crews.len(), 6);
    for (at, card) in crews.iter().enumerate() {
        let next = crews[(at + 1) % 6];
        assert!(card.next.as_ref().unwrap().starts_with(&format!("{} {}", next.number, next.movement)));
    }
}

#[test]
fn letters_of_every_kind_are_set_or_told() {
    let long = "m".repeat(80);
    let text = format!(
        r#"(title: "שלום <b> & 漢字 🦆", blocks: [(name: "عربى", work: "30s", note: "{}", stations: [(name: "{long}"), (name: "שתיים 漢")])])"#,
        "word ".repeat(190)
    );
    let schedule = class(&text);
    let sheet = run_sheet(&schedule, None, false);
    let pdf = run_sheet_pdf(&sheet, Paper::A4).unwrap();
    assert!(pdf.missing.contains(&'漢') && !pdf.missing.contains(&'ש'), "{:?}", pdf.missing);
    assert!(html(&sheet).contains("&lt;b&gt; &amp;") && !html(&sheet).contains("<b> &"));
    assert!(plain(&sheet).contains("שתיים"));
    cards_pdf("cards", &cards(&schedule), Paper::Letter).unwrap();
}
