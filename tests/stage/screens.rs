//! The screens as text, at several sizes and in every phase.

use crate::boathouse;
use crate::svg;

use std::sync::Arc;
use std::time::Duration;

use jiff::SignedDuration;

use class::change::{ChangeReach, Course};
use class::movement::{Movement, Sides};
use class::schedule::{Activity, Span, SpanPurpose, WorkingSide, compile};
use class::session::Station;
use class::time::Tick;
use proptest::prelude::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;
use stage::drawing::{ColourDepth, LetterSize, Lettering, SCALES, ScreenTheme};
use stage::lead::screen::{draw, fingerprint};
use stage::lead::{ClassChanges, ClassPhase, Moment, ScreenView};

fn drawn(moment: &Moment, (width, height): (u16, u16), colours: ColourDepth) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| draw(frame, moment, &ScreenTheme { colours })).unwrap();
    terminal.backend().buffer().clone()
}

/// The rows as text, without spaces at the end.
fn rows(buffer: &Buffer) -> String {
    let area = buffer.area;
    let row = |y| (0..area.width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..area.height).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

const SIZES: [(u16, u16); 5] = [(60, 18), (80, 24), (120, 35), (160, 45), (200, 60)];

/// The moments that each show a phase, drawn at every size. The others are variants of them, drawn at one size.
const PHASES: [&str; 13] = [
    "ready",
    "count_in",
    "gate",
    "settle",
    "work_left",
    "switch",
    "work",
    "last",
    "block_rest",
    "held",
    "offer",
    "stopped",
    "done",
];

#[test]
fn every_phase_at_every_size() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        let sizes = if PHASES.contains(&name) { &SIZES[..] } else { &SIZES[1..2] };
        let pictures = sizes
            .iter()
            .map(|&size| format!("{} x {}\n{}", size.0, size.1, rows(&drawn(&moment, size, ColourDepth::Without))));
        insta::assert_snapshot!(name, pictures.collect::<Vec<_>>().join("\n"));
    }
}

/// A class that a coach had to change: one station made longer, one skipped in its right side, one done again, one
/// movement replaced by another, and something cut. Returns where the class is now, and the course.
fn changed() -> (Tick, Course) {
    let start = |course: &Course, station: usize, round: u32| {
        let wanted = (1, Activity::Station(station), round, SpanPurpose::Work);
        let found = |span: &&Span| (span.block, span.activity, span.round, span.purpose) == wanted;
        course.schedule().spans.iter().find(found).expect("the class has this station").start
    };
    let right = |course: &Course, station: usize| {
        let first = start(course, station, 0);
        course.schedule().spans.iter().find(|span| span.start > first && span.side == WorkingSide::Right).unwrap().start
    };
    let mut course = Course::new(boathouse::schedule());
    course = course.adjust_length(Tick::seconds(5), 15_000, ChangeReach::Current).unwrap();
    course = course.next(right(&course, 1) + Tick::seconds(30));
    course = course.again(start(&course, 2, 0) + Tick::seconds(25));
    let now = start(&course, 3, 0) + Tick::seconds(15);
    let instead = Station { sides: Sides::LeftThenRight, ..course.schedule().session.blocks[1].stations[0].clone() };
    course = course.swap(now, 1, 2, instead);
    let end = course.schedule().total().saturating_sub(Tick::seconds(70));
    (now, course.cut(now, end).course)
}

/// Each change has a sign in both strips, in every set of colours. The far view does not show it to the class.
#[test]
fn what_was_changed_is_marked() {
    let (now, course) = changed();
    let (marks, debts) = (course.deviations(), course.side_debts());
    let changed =
        ClassChanges { plan: Some(course.plan()), deviations: &marks, debts: &debts, ..ClassChanges::default() };
    let moment = Moment { changed, ..boathouse::running(course.schedule(), now, &[]) };
    let pictures =
        SIZES.map(|size| format!("{} x {}\n{}", size.0, size.1, rows(&drawn(&moment, size, ColourDepth::Without))));
    insta::assert_snapshot!("changed", pictures.join("\n"));
    for (size, colours) in
        SIZES.into_iter().zip([ColourDepth::Sixteen, ColourDepth::Without, ColourDepth::Many, ColourDepth::True])
    {
        let strips = |moment: &Moment| rows(&drawn(moment, size, colours)).lines().skip(1).take(9).collect::<String>();
        let count = |text: &str| ["+", "−", "≠", "×"].map(|sign| text.matches(sign).count());
        let [longer, shorter, other, gone] = count(&strips(&moment));
        // Longer: the raise and the station done again. Shorter: the skipped station. Other: the replaced one. Gone:
        // the cut.
        assert!(longer >= 2 && shorter >= 1 && other >= 1 && gone >= 1, "{:?}\n{}", size, strips(&moment));
        let planned = Moment { changed: ClassChanges::default(), ..moment.clone() };
        assert_eq!(count(&strips(&planned)), [0; 4], "{size:?}");
        assert_ne!(fingerprint(&moment), fingerprint(&planned));
        let far = |moment: &Moment| rows(&drawn(&Moment { view: ScreenView::Far, ..moment.clone() }, size, colours));
        assert_eq!(far(&moment), far(&planned), "{size:?}");
    }
}

#[test]
fn a_small_terminal_says_what_it_needs() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    let moment = boathouse::running(&schedule, Tick::seconds(5), &machine);
    insta::assert_snapshot!("too_small", rows(&drawn(&moment, (40, 10), ColourDepth::Without)));
}

/// Without colours the screen has the same letters, and no colour at all.
#[test]
fn grey_shows_the_same() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        for size in [SIZES[1], SIZES[3]] {
            let grey = drawn(&moment, size, ColourDepth::Without);
            assert!(grey.content.iter().all(|cell| (cell.fg, cell.bg) == (Color::Reset, Color::Reset)), "{name}");
            for colours in [ColourDepth::True, ColourDepth::Many, ColourDepth::Sixteen] {
                assert_eq!(rows(&grey), rows(&drawn(&moment, size, colours)), "{name}");
            }
        }
    }
}

/// The far view shows the class no faults, alternatives, debts or messages.
#[test]
fn the_far_view_is_safe_for_the_class() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        let far = Moment {
            view: ScreenView::Far,
            message: Some("xylophone"),
            spare: Some(SignedDuration::from_secs(-95)),
            ..moment
        };
        let text = rows(&drawn(&far, (160, 45), ColourDepth::Without));
        for word in ["knee", "wrist", "horn", "over", "xylophone", "hand on the box", "lost"] {
            assert!(!text.contains(word), "{name} shows {word}");
        }
    }
}

/// The longest text of the pane is shown whole, page after page, on the usual terminal.
#[test]
fn the_pane_cuts_nothing() {
    let mut session = boathouse::session();
    let words: Vec<String> = (0..90).map(|n| format!("word{n:02}")).collect();
    let mut movement = (*session.blocks[0].stations[0].movement).clone();
    movement.guide = None;
    session.blocks[0].stations[0].movement = Arc::new(movement);
    session.blocks[0].stations[0].prompts = vec![words[..30].join(" "), words[30..60].join(" ")];
    session.blocks[0].stations[0].faults[0].fix = words[60..].join(" ");
    session.blocks[0].stations[0].work = class::session::WorkAmount::Time(Tick::seconds(120));
    let schedule = compile(Arc::new(session));
    let seen: String = (0..100)
        .map(|second| {
            rows(&drawn(&boathouse::running(&schedule, Tick::seconds(second), &[]), (80, 24), ColourDepth::True))
        })
        .collect();
    for word in words {
        assert!(seen.contains(&word), "{word}");
    }
}

/// The longest texts that the reader allows, with cues, are shown whole, page after page, at every usual size.
#[test]
fn the_longest_texts_are_all_seen() {
    let line = |tag: &str| {
        let words: String = (0..40).map(|n| format!("{tag}{n:02} ")).collect();
        let line: String = words.chars().take(class::session::limits::LINE).collect();
        // The limit may cut the last word.
        line[..line.rfind(' ').unwrap()].to_owned()
    };
    let mut session = boathouse::session();
    session.blocks.truncate(1);
    let station = &mut session.blocks[0].stations[0];
    let mut movement = (*station.movement).clone();
    movement.guide = None;
    movement.cautions.clear();
    station.movement = Arc::new(movement);
    station.prompts = ["pa", "pb", "pc", "pd", "pe", "pf"].map(line).to_vec();
    station.faults[0].fault = line("fa");
    station.faults[0].fix = line("fb");
    station.easier.as_mut().unwrap().what = line("ea");
    station.harder.as_mut().unwrap().what = line("ha");
    station.work = class::session::WorkAmount::Time(Tick::seconds(600));
    let tags = ["pa", "pb", "pc", "pd", "pe", "pf", "fa", "fb", "ea", "ha"];
    let mut schedule = compile(Arc::new(session));
    let voicing = class::cue::SpeechSettings { level: Some(class::session::SpeechLevel::Full), ..Default::default() };
    let cues = class::cue::plan_and_insert_cues(&mut schedule, Tick::ZERO, &voicing);
    for size in [(80, 24), (160, 45), (200, 60)] {
        // The pane is about this station until the last third.
        let seen: String = (0..400)
            .map(|second| {
                let moment = boathouse::running(&schedule, Tick::seconds(second), &[]);
                rows(&drawn(&Moment { cues: &cues, ..moment }, size, ColourDepth::Without))
            })
            .collect();
        for word in tags.iter().flat_map(|tag| line(tag).split(' ').map(str::to_owned).collect::<Vec<_>>()) {
            assert!(seen.contains(&word), "{word} at {size:?}");
        }
    }
}

/// The list shows what is said, with a mark that moves down, and what is left unsaid, with the reason. In the last
/// third the pane is about what comes next.
#[test]
fn the_list_of_what_is_said_has_its_mark_and_turns_to_what_comes() {
    let schedule = boathouse::schedule();
    let cues = boathouse::cues();
    let shown = |now: Tick| {
        let moment = Moment { cues, ..boathouse::running(&schedule, now, &[]) };
        rows(&drawn(&moment, (160, 45), ColourDepth::Without))
    };
    let work = schedule.spans.iter().position(|span| span.length() >= Tick::seconds(40)).unwrap();
    let span = &schedule.spans[work];
    let next = &schedule.spans[schedule.work_from(work + 1).unwrap()];
    let marks = |text: &str| text.matches('▸').count();
    let early = shown(span.work_start() + Tick::seconds(1));
    assert_eq!(marks(&early), 1, "{early}");
    let late = shown(Tick(span.end.0 - span.length().0 / 4));
    let setup = &schedule.station_of(next).unwrap().movement.setup;
    let word = setup.split_whitespace().last().unwrap();
    assert!(late.contains(word), "{word} of what comes next\n{late}");
}

/// Before the class the whole list is shown on the smallest terminal, with and without a start time.
#[test]
fn the_ready_screen_turns_its_pages() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for begins_in in [None, Some(Duration::from_secs(90))] {
        let ready = |waited| Moment {
            phase: ClassPhase::Ready { begins_in, waited },
            ..boathouse::running(&schedule, Tick::ZERO, &machine)
        };
        let seen: String = (0..60)
            .map(|second| rows(&drawn(&ready(Duration::from_secs(second)), (60, 18), ColourDepth::Without)))
            .collect();
        for (label, value) in &machine {
            for word in [label.as_str()].into_iter().chain(value.split(' ')) {
                assert!(seen.contains(word), "{label}: {value}");
            }
        }
        let mut pictures: Vec<String> = (0..60)
            .map(|second| rows(&drawn(&ready(Duration::from_secs(second)), (60, 18), ColourDepth::Without)))
            .collect();
        pictures.dedup();
        assert!((5..=12).contains(&pictures.len()), "a page stays a while: {}", pictures.len());
    }
}

/// Any text that a session may have: other scripts, wide and joined letters, right to left, very long, empty.
fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        Just("划船机 深蹲".to_owned()),
        Just("👩‍👩‍👧‍👦🏋🏽 e\u{301}\u{200b}".to_owned()),
        Just("תרגיל عربي".to_owned()),
        "[A-Za-zäöüÉ ]{1,14}",
        "\\PC{0,40}",
        "[a-zA-Z\t\n]{300}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn draws_anything_at_any_size(
        text in any_text(), more in any_text(), width in 1u16..250, height in 1u16..80, thousandth in 0u64..=1000,
        phase in 0usize..7, view in 0usize..4, colours in 0usize..4, spare in prop::option::of(any::<i64>()),
        any_time in any::<u64>().prop_map(Duration::from_millis), mirror: bool,
    ) {
        let mut session = boathouse::session();
        session.title.clone_from(&text);
        session.emergency = Some(more.clone());
        session.mirror = mirror;
        for block in &mut session.blocks {
            block.name.clone_from(&more);
            block.note = Some(text.clone());
            for station in &mut block.stations {
                station.short.clone_from(&text);
                station.prompts = vec![more.clone(), text.clone()];
                station.place = Some(text.clone());
                let movement = (*station.movement).clone();
                station.movement = Arc::new(Movement { name: more.clone(), setup: text.clone(), ..movement });
            }
        }
        let schedule = compile(Arc::new(session));
        let machine = [(text.clone(), more.clone())];
        let phase = [
            ClassPhase::Ready { begins_in: Some(Duration::from_millis(any_time.as_millis() as u64 % 100_000_000)), waited: any_time },
            ClassPhase::Ready { begins_in: None, waited: any_time },
            ClassPhase::CountIn { left: Duration::from_millis(any_time.as_millis() as u64 % 5000) }, ClassPhase::Running, ClassPhase::Gate { waited: any_time },
            ClassPhase::Paused { lasted: any_time, stopped: mirror }, ClassPhase::Done,
        ][phase];
        let view = [ScreenView::Coach, ScreenView::Far, ScreenView::Help, ScreenView::Quit][view];
        let colours = [ColourDepth::True, ColourDepth::Many, ColourDepth::Sixteen, ColourDepth::Without][colours];
        let now = Tick(schedule.total().0 * thousandth / 1000);
        let moment = Moment {
            phase, view, spare: spare.map(SignedDuration::from_millis), lost: any_time, message: Some(&text),
            ..boathouse::running(&schedule, now, &machine)
        };
        drawn(&moment, (width, height), colours);
    }

    /// No letter is lost, no line is wider than its room, and large lettering is no higher than its room.
    #[test]
    fn lettering_is_never_cut(text in any_text(), columns in 2u16..200, rows in 0u16..40, scale in 0usize..6) {
        let lettering = Lettering::fit(&text, columns, rows, LetterSize::Large(SCALES[scale]));
        let letters = |text: &str| text.split_whitespace().collect::<String>();
        let whole = if lettering.size == LetterSize::Plain { letters(&text) } else { letters(&text.to_uppercase()) };
        prop_assert_eq!(letters(&lettering.lines.concat()), whole);
        for line in &lettering.lines {
            prop_assert!(lettering.size.columns(line).unwrap() <= columns, "{:?}", lettering);
        }
        prop_assert!(lettering.size == LetterSize::Plain || lettering.rows() <= rows);
    }

    /// Two moments with the same face look the same.
    #[test]
    fn the_same_face_is_the_same_picture(at in 0u64..=1_000_000, more in 0u64..1100, held: bool, far: bool) {
        let schedule = boathouse::schedule();
        let view = if far { ScreenView::Far } else { ScreenView::Coach };
        let from = schedule.total().0 * at / 1_000_000;
        let moments = [from, from + more].map(|now| {
            let phase = if held { ClassPhase::Paused { lasted: Duration::from_millis(now), stopped: false } } else { ClassPhase::Running };
            let (spare, now) = (Some(SignedDuration::from_millis(40_000 - now as i64)), if held { from } else { now });
            Moment { phase, view, spare, ..boathouse::running(&schedule, Tick(now), &[]) }
        });
        if fingerprint(&moments[0]) == fingerprint(&moments[1]) {
            prop_assert_eq!(drawn(&moments[0], (80, 24), ColourDepth::True), drawn(&moments[1], (80, 24), ColourDepth::True));
        }
    }
}

/// The screen is not drawn without need: once a second in a rest, four times a second beside a tempo guide.
#[test]
fn the_face_changes_as_often_as_the_picture() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, faces) in [("rest", 3), ("work", 9), ("held", 1)] {
        let moments = boathouse::moments(&schedule, &machine);
        let (_, moment) = moments.into_iter().find(|(at, _)| *at == name).unwrap();
        let faces_seen = (0..2000).map(|ms| fingerprint(&Moment { now: Tick(moment.now.0 + ms), ..moment.clone() }));
        let mut faces_seen: Vec<u64> = if name == "held" { vec![fingerprint(&moment)] } else { faces_seen.collect() };
        faces_seen.dedup();
        assert!(faces_seen.len() <= faces && faces_seen.len() >= faces - 1, "{name}: {}", faces_seen.len());
    }
}

/// Writes pictures of every moment, for people to look at: `FORECALL_PICTURES=DIR cargo test --test screens pictures`.
#[test]
fn pictures() {
    let Some(folder) = std::env::var_os("FORECALL_PICTURES") else { return };
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        for size in SIZES {
            for colours in [ColourDepth::True, ColourDepth::Without] {
                let file = format!("{name}-{}x{}-{colours:?}.svg", size.0, size.1);
                let path = std::path::Path::new(&folder).join(file);
                std::fs::write(path, svg::svg(&drawn(&moment, size, colours))).unwrap();
            }
        }
    }
}
