//! A class on paper. `tests/judges.sh` checks with other programs that the PDF is valid and where its text is.

use std::sync::Arc;

use class::movement::Catalogue;
use class::schedule::{Schedule, compile};
use class::session::read;
use jiff::civil::time;
use paper::sheet::{PaperSize, cards, cards_pdf, html, kit_list, plain, run_sheet, run_sheet_pdf};

fn class(text: &str) -> Schedule {
    compile(Arc::new(read(text, Catalogue::built_in()).session.expect("a session without faults")))
}

fn demos() -> [Schedule; 4] {
    [
        include_str!("../../sessions/first-look.ron"),
        include_str!("../../sessions/frost-and-oars.ron"),
        include_str!("../../sessions/lunch-at-the-landing.ron"),
        include_str!("../../sessions/six-boats.ron"),
    ]
    .map(class)
}

#[test]
fn a_sheet_tells_the_time_of_day_of_every_station() {
    let sheet = run_sheet(&demos()[1], Some(time(18, 15, 0, 0)), false, None);
    assert!(sheet.facts.starts_with("18:15:00 to 18:59:10 · 44:10 in total · 0:50 spare"), "{}", sheet.facts);
    let line = sheet.blocks[1].lines.iter().find(|line| line.movement == "Kettlebell deadlift").unwrap();
    // After 6:30: eight times 40 s, 40 s of rest, 30 s of briefing.
    assert_eq!((line.begins.as_str(), line.length.as_str()), ("18:21:30", ""));
    assert!(sheet.blocks[1].about[0].contains("· 0:45 work ·"), "a length that all stations share is written once");
    assert_eq!(line.prompts.len(), 2);
    // The second round starts 5 times 60 s later, less a rest of 15 s, plus 60 s between rounds.
    assert!(sheet.blocks[1].about[0].contains("· round 2 at 18:27:15 ·"), "{:?}", sheet.blocks[1].about);
}

#[test]
fn the_times_of_a_class_continue_after_midnight() {
    let sheet = run_sheet(&demos()[1], Some(time(23, 50, 0, 0)), false, None);
    assert!(sheet.facts.starts_with("23:50:00 to 00:34:10"), "{}", sheet.facts);
}

#[test]
fn the_strip_shows_the_whole_class() {
    for schedule in demos() {
        let sheet = run_sheet(&schedule, None, false, None);
        let total: u64 = sheet.strip.iter().map(|stretch| stretch.length.0).sum();
        assert_eq!(total, schedule.total().0);
        let letters = sheet.strip.iter().filter(|stretch| stretch.letter.is_some()).count();
        assert_eq!(letters, schedule.session.blocks.len());
    }
}

#[test]
fn kit_is_counted_by_how_much_is_needed_at_once() {
    // 24 people in groups of four: four bells of each load at their stations, and nobody uses both.
    let kit = kit_list(&demos()[3].session);
    assert!(kit.contains(&"4 × kettlebell, heavy (have 8)".to_owned()), "{kit:?}");
    assert!(kit.contains(&"4 × kettlebell, light (have 8)".to_owned()), "{kit:?}");
}

/// What applies to a whole block, and its lines in short.
fn told(block: &str) -> (Vec<String>, Vec<String>) {
    let schedule = class(&format!(r#"(title: "t", blocks: [(name: "x", {block})])"#));
    let sheet = run_sheet(&schedule, None, false, Some(0));
    let line = |line: &paper::sheet::SheetLine| {
        format!("{} {} {} [{}]", line.begins, line.movement, line.length, line.again.join(" "))
    };
    (sheet.blocks[0].about.clone(), sheet.blocks[0].lines.iter().map(line).collect())
}

#[test]
fn a_repeated_station_is_one_line_with_its_times() {
    // Calculated by hand: 30 s of work and 10 s of rest, so a station starts every 40 s.
    let (about, lines) = told(r#"work: "30s", rest: "10s", stations: ["squat", "squat", "squat", "plank", "squat"]"#);
    assert_eq!(about, ["5 stations · 0:30 work · 0:10 rest"]);
    assert_eq!(lines, ["0:00 Squat  [0:40 1:20]", "2:00 Plank  []", "2:40 Squat  []"]);
    // Straight sets: all sets of a station before the next station, 20 s of rest between sets.
    let (_, lines) = told(r#"format: sets, work: "30s", rest: "20s", rounds: 3, stations: ["squat", "plank"]"#);
    assert_eq!(lines[0], "0:00 Squat  [0:50 1:40]");
    // Where lengths differ, each line has its own.
    let (about, lines) = told(r#"work: "30s", stations: ["squat", (move: "plank", work: "20s")]"#);
    assert_eq!(about, ["2 stations"]);
    assert_eq!(lines, ["0:00 Squat 0:30 []", "0:30 Plank 0:20 []"]);
}

#[test]
fn the_times_of_many_rounds_are_shortened() {
    let (about, _) = told(r#"work: "10s", rounds: 40, stations: ["squat", "plank"]"#);
    let start = "2 stations × 40 rounds · 0:10 work · rounds 2 to 40 at 0:20, 0:40, ";
    assert!(about[0].starts_with(start), "{about:?}");
    assert!(about[0].ends_with(" and so on to 13:00") && about[0].matches(':').count() < 16, "{about:?}");
}

#[test]
fn a_demo_is_on_as_few_pages_as_possible() {
    let pages = |index: usize, paper, prompts| {
        let sheet = run_sheet(&demos()[index], Some(time(18, 15, 0, 0)), false, prompts);
        let pdf = run_sheet_pdf(&sheet, paper).unwrap();
        (pdf.pages, pdf.prompts_left_out)
    };
    // The classes take 90 s, 20 min and 45 min. A sheet of Letter is 50 points shorter than one of A4.
    assert_eq!(pages(0, PaperSize::A4, None), (1, false));
    assert_eq!(pages(2, PaperSize::A4, None), (1, true));
    assert_eq!(pages(1, PaperSize::A4, None), (2, true));
    assert_eq!(pages(3, PaperSize::A4, None), (2, false));
    assert_eq!(pages(0, PaperSize::Letter, None), (1, false));
    assert_eq!(pages(1, PaperSize::Letter, Some(0)), (2, false));
    // All prompts that were asked for are printed, however many pages they need.
    assert!(pages(1, PaperSize::A4, Some(5)).0 > 2 && !pages(1, PaperSize::A4, Some(5)).1);
}

#[test]
fn the_longest_possible_texts_make_a_document() {
    use class::session::limits;
    let words = |count: usize| "nine more ".repeat(count / 10);
    let (title, note) = (words(limits::NAME), words(limits::NOTE));
    let stations: Vec<String> = (0..200).map(|n| format!(r#"(name: "{n} {}", prompts: [])"#, words(70))).collect();
    let text = format!(
        r#"(title: "{title}", blocks: [(name: "{}", note: "{note}", work: "30s", stations: [{}])])"#,
        "W".repeat(limits::NAME),
        stations.join(", ")
    );
    let schedule = class(&text);
    let sheet = run_sheet(&schedule, None, true, None);
    assert!(run_sheet_pdf(&sheet, PaperSize::Letter).unwrap().pages > 20);
    let some = &cards(&schedule)[..20];
    assert!(cards_pdf("cards", some, PaperSize::A4).unwrap().pages >= 20);
}

#[test]
fn every_demo_gives_the_same_document_each_time() {
    for schedule in demos() {
        for paper in [PaperSize::A4, PaperSize::Letter] {
            let sheet = run_sheet(&schedule, None, true, None);
            let pdf = run_sheet_pdf(&sheet, paper).unwrap();
            assert!(pdf.bytes.starts_with(b"%PDF-") && pdf.missing.is_empty());
            assert_eq!(pdf.bytes, run_sheet_pdf(&sheet, paper).unwrap().bytes);
        }
        let cards = cards(&schedule);
        let stations: usize = schedule.session.blocks.iter().map(|block| block.stations.len()).sum();
        assert_eq!(cards.len(), stations);
        assert_eq!(cards_pdf("cards", &cards, PaperSize::A4).unwrap().pages, stations, "a page each");
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
fn letters_of_every_kind_are_set_or_reported_missing() {
    let long = "m".repeat(80);
    let text = format!(
        r#"(title: "שלום <b> & 漢字 🦆", blocks: [(name: "عربى", work: "30s", note: "{}", stations: [(name: "{long}"), (name: "שתיים 漢")])])"#,
        "word ".repeat(190)
    );
    let schedule = class(&text);
    let sheet = run_sheet(&schedule, None, false, None);
    let pdf = run_sheet_pdf(&sheet, PaperSize::A4).unwrap();
    assert!(pdf.missing.contains(&'漢') && !pdf.missing.contains(&'ש'), "{:?}", pdf.missing);
    assert!(html(&sheet).contains("&lt;b&gt; &amp;") && !html(&sheet).contains("<b> &"));
    assert!(plain(&sheet).contains("שתיים"));
    cards_pdf("cards", &cards(&schedule), PaperSize::Letter).unwrap();
}

#[test]
fn a_title_of_three_hundred_letters_is_a_fault() {
    let text = format!(r#"(title: "{}", blocks: [(name: "x", work: "30s", stations: ["squat"])])"#, "m".repeat(300));
    let read = read(&text, Catalogue::built_in());
    assert!(read.session.is_none() && read.faults.len() == 1, "{:?}", read.faults);
}
