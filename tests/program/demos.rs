//! The demo sessions on the screen, read from their files and cued as for leading.

use crate::boathouse;
use crate::svg;

use std::path::Path;
use std::time::Duration;

use jiff::SignedDuration;

use class::cue::{SpeechSettings, plan_and_insert_cues};
use class::movement::Catalogue;
use class::schedule::{ChangeoverCosts, Schedule, Span, SpanPurpose};
use class::time::Tick;
use cli::session::open;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use stage::drawing::{ColourDepth, ScreenTheme};
use stage::lead::screen::draw;
use stage::lead::{ClassPhase, Moment, ScreenView};

const DEMOS: [&str; 4] = ["first-look", "frost-and-oars", "lunch-at-the-landing", "six-boats"];
const SIZES: [(u16, u16); 2] = [(80, 24), (160, 45)];

fn demo(name: &str) -> Schedule {
    let path = format!("{}/sessions/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    let checked = open(Path::new(&path), Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED).unwrap();
    let mut schedule = checked.schedule.expect("a demo without faults");
    plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings::default());
    schedule
}

fn drawn(moment: &Moment, (width, height): (u16, u16), colours: ColourDepth) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| draw(frame, moment, &ScreenTheme { colours })).unwrap();
    terminal.backend().buffer().clone()
}

fn rows(buffer: &Buffer) -> String {
    let area = buffer.area;
    let row = |y| (0..area.width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..area.height).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

/// Before the class; then, in the middle of the class, work, its last seconds and the next rest.
fn moments<'a>(schedule: &'a Schedule, machine: &'a [(String, String)]) -> Vec<(&'static str, Moment<'a>)> {
    let at = |tick: Tick| boathouse::running(schedule, tick, machine);
    let spans = &schedule.spans;
    let from = |first: usize, wanted: &dyn Fn(&Span) -> bool| {
        (first..spans.len()).chain(0..first).find(|&index| wanted(&spans[index]))
    };
    let longest =
        spans.iter().filter(|span| span.purpose == SpanPurpose::Work).map(|span| span.length()).max().unwrap();
    let long = Tick::seconds(30).min(longest);
    let work = from(spans.len() / 3, &|span| span.purpose == SpanPurpose::Work && span.length() >= long).unwrap();
    // A class may have no rests.
    let rest = from(work, &|span| span.purpose.is_rest());
    let work = &spans[work];
    let ready = ClassPhase::Ready { begins_in: None, waited: Duration::ZERO };
    let mut moments = vec![
        ("ready", Moment { phase: ready, ..at(Tick::ZERO) }),
        ("work", at(Tick(work.work_start().0 + 6_250))),
        ("last", at(Tick(work.end.0 - 4_000))),
    ];
    moments.extend(rest.map(|rest| ("rest", at(Tick(spans[rest].start.0 + 2_000)))));
    moments
}

#[test]
fn the_demo_sessions() {
    let machine = boathouse::machine();
    for name in DEMOS {
        let schedule = demo(name);
        for (scene, moment) in moments(&schedule, &machine) {
            let pictures = SIZES
                .iter()
                .map(|&size| format!("{} x {}\n{}", size.0, size.1, rows(&drawn(&moment, size, ColourDepth::Without))));
            insta::assert_snapshot!(format!("{name}_{scene}"), pictures.collect::<Vec<_>>().join("\n"));
        }
    }
}

/// Texts for the coach only must not change the far view: with or without these texts, every cell of the picture is the
/// same.
#[test]
fn the_far_view_shows_nothing_for_the_coach_only() {
    let machine = boathouse::machine();
    for name in DEMOS {
        let schedule = demo(name);
        let mut bare = (*schedule.session).clone();
        bare.look_after.clear();
        for station in bare.blocks.iter_mut().flat_map(|block| &mut block.stations) {
            station.faults.clear();
            let mut movement = (*station.movement).clone();
            (movement.easier, movement.harder) = (None, None);
            movement.cautions.clear();
            movement.faults.clear();
            (station.easier, station.harder) = (None, None);
            station.movement = std::sync::Arc::new(movement);
        }
        for block in &mut bare.blocks {
            block.note = None;
        }
        let bare = Schedule { session: std::sync::Arc::new(bare), ..schedule.clone() };
        for ((scene, told), (_, bare)) in moments(&schedule, &machine).into_iter().zip(moments(&bare, &[])) {
            let told = Moment {
                view: ScreenView::Far,
                message: Some("xylophone"),
                spare: Some(SignedDuration::from_secs(-95)),
                lost: Duration::from_secs(95),
                ..told
            };
            let bare = Moment { view: ScreenView::Far, message: None, spare: None, lost: Duration::ZERO, ..bare };
            for size in SIZES {
                let [told, bare] = [&told, &bare].map(|moment| rows(&drawn(moment, size, ColourDepth::Without)));
                assert!(told == bare, "{name}, {scene}:\n{told}\n{bare}");
            }
            // The coach's own view differs.
            let coach =
                |moment| rows(&drawn(&Moment { view: ScreenView::Coach, ..moment }, SIZES[0], ColourDepth::Without));
            if scene == "work" {
                assert_ne!(coach(told.clone()), coach(bare.clone()), "{name}");
            }
        }
    }
}

/// Pictures for people: `FORECALL_PICTURES=DIR cargo test --test demos pictures`.
#[test]
fn pictures() {
    let Some(folder) = std::env::var_os("FORECALL_PICTURES") else { return };
    let machine = boathouse::machine();
    for name in DEMOS {
        let schedule = demo(name);
        for (scene, moment) in moments(&schedule, &machine) {
            for size in SIZES {
                let path = Path::new(&folder).join(format!("{name}-{scene}-{}x{}.svg", size.0, size.1));
                std::fs::write(path, svg::svg(&drawn(&moment, size, ColourDepth::True))).unwrap();
            }
        }
    }
}
