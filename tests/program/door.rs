//! The front door: its choices step by step, its screen at several sizes, and the real binary in a pseudo-terminal.
#![cfg(unix)]

use crate::cells;
use crate::pty;
use crate::svg;

use std::path::PathBuf;
use std::process::{Command, Stdio};

use class::compose::kit_text::{kinds, kit_list};
use class::compose::{ClassAim, ComposeRequest, compose};
use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use class::session::fault::Severity;
use class::time::Tick;
use cli::session::check_text;
use proptest::prelude::*;
use pty::{Home, Term, binary};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use rustix::process::Signal;
use stage::door::screen as picture;
use stage::door::{
    ComposeAnswers, ComposeField, DoorCommand, DoorContents, DoorEntry, DoorPage, DoorRequest, FrontDoor,
    ListedSession, NewClassSource, SessionAction, UnfinishedClass, matching_sessions,
};
use stage::drawing::{ColourDepth, ScreenTheme};
use stage::runtime::{Application, Clock, RunEnding, StepEffect, StepInput, SteppedClock};

const BROKEN: &str =
    "(title: \"Spring tide\", blocks: [\n    (name: \"A\", wrk: \"40s\", stations: [\"squat\"]),\n])\n";

fn listed(name: &str, text: &str) -> ListedSession {
    let checked = check_text(name.into(), text.into(), None, Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED);
    ListedSession::of(PathBuf::from(name), name.into(), text, &checked.report, checked.schedule.as_ref())
}

fn demo(name: &str) -> ListedSession {
    listed(name, &std::fs::read_to_string(format!("sessions/{name}")).unwrap())
}

fn starts() -> Vec<NewClassSource> {
    let demo = NewClassSource::Demo { name: "first-look", title: "First look".into(), length: Tick::seconds(90) };
    vec![NewClassSource::List("idea.txt".into()), NewClassSource::Composed, demo, NewClassSource::Starter]
}

/// Two classes in order, one with a fault.
fn found() -> DoorContents {
    let mut oars = demo("frost-and-oars.ron");
    oars.last = Some("2026-11-24".into());
    let classes = vec![oars, demo("lunch-at-the-landing.ron"), listed("spring.ron", BROKEN)];
    DoorContents {
        place: "/home/coach/classes".into(),
        unfinished: None,
        classes,
        starts: starts(),
        more: 0,
        kinds: kinds(Catalogue::built_in()),
    }
}

fn unfinished() -> UnfinishedClass {
    UnfinishedClass {
        id: "2026-11-24-1815".into(),
        words: "\"Frost and oars\" was cut off at 12:34 of 45:00, 3m ago".into(),
    }
}

fn press(door: &mut FrontDoor, presses: &[DoorCommand]) -> Vec<StepEffect> {
    let mut clock = SteppedClock::new("2026-11-25T18:00:00+00:00[UTC]".parse().unwrap());
    let inputs: Vec<_> = presses.iter().map(|press| StepInput::Press(*press)).collect();
    door.step(clock.read(), &inputs)
}

fn typed(text: &str) -> Vec<DoorCommand> {
    text.chars().map(DoorCommand::Letter).collect()
}

#[test]
fn enter_carries_out_the_chosen_action() {
    let file = |name: &str| PathBuf::from(name);
    for (rights, asked) in [
        (0, Some(DoorRequest::Lead(file("frost-and-oars.ron")))),
        (1, Some(DoorRequest::Rehearse(file("frost-and-oars.ron")))),
        (2, Some(DoorRequest::Plan(file("frost-and-oars.ron")))),
        (3, None),
        (4, Some(DoorRequest::Print(file("frost-and-oars.ron")))),
        // There is nothing further to the right.
        (9, Some(DoorRequest::Print(file("frost-and-oars.ron")))),
    ] {
        let mut door = FrontDoor::new(found());
        press(&mut door, &vec![DoorCommand::Right; rights]);
        let effects = press(&mut door, &[DoorCommand::Do]);
        assert_eq!(effects.is_empty(), asked.is_none());
        assert_eq!(door.page(), if asked.is_none() { DoorPage::Findings(0) } else { DoorPage::List });
        assert_eq!(door.take_request(), asked);
    }
}

#[test]
fn moving_to_another_class_chooses_lead_again() {
    let mut door = FrontDoor::new(found());
    press(&mut door, &[DoorCommand::Right, DoorCommand::Right, DoorCommand::Down]);
    assert_eq!(door.actions()[door.action()], SessionAction::Lead);
    press(&mut door, &[DoorCommand::Do]);
    assert_eq!(door.take_request(), Some(DoorRequest::Lead("lunch-at-the-landing.ron".into())));
}

#[test]
fn a_class_that_was_cut_off_comes_first() {
    let mut door = FrontDoor::new(DoorContents { unfinished: Some(unfinished()), ..found() });
    assert_eq!(door.shown()[0], DoorEntry::Unfinished);
    press(&mut door, &[DoorCommand::Do]);
    assert_eq!(door.take_request(), Some(DoorRequest::Resume("2026-11-24-1815".into())));
}

#[test]
fn a_file_with_a_fault_is_listed_and_can_only_be_checked() {
    let mut door = FrontDoor::new(found());
    press(&mut door, &[DoorCommand::Down, DoorCommand::Down]);
    let class = door.class().unwrap();
    assert_eq!((class.title.as_str(), class.outline.clone()), ("spring.ron", None));
    assert_eq!((class.findings[0].severity, class.findings[0].line), (Severity::Fault, Some(2)));
    assert_eq!(door.actions(), &SessionAction::FAULTY);
    assert_eq!(press(&mut door, &[DoorCommand::Do]), []);
    assert_eq!(door.page(), DoorPage::Findings(0));
    press(&mut door, &[DoorCommand::Back]);
    assert_eq!(door.page(), DoorPage::List);
}

#[test]
fn classes_are_found_by_name_by_movement_and_by_kit() {
    let classes = found().classes;
    let names = |typed: &str| {
        matching_sessions(typed, &classes).into_iter().map(|at| classes[at].name.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(names(""), ["frost-and-oars.ron", "lunch-at-the-landing.ron", "spring.ron"]);
    assert_eq!(names("lunch")[0], "lunch-at-the-landing.ron");
    assert_eq!(names("LUNCH")[0], "lunch-at-the-landing.ron");
    assert_eq!(names("sprng"), ["spring.ron"]);
    // A piece of kit that only one of them has.
    assert_eq!(names("box"), ["frost-and-oars.ron"]);
    assert_eq!(names("no such thing"), [""; 0]);
}

#[test]
fn escape_clears_the_search_text_and_then_leaves() {
    let mut door = FrontDoor::new(found());
    assert_eq!(press(&mut door, &typed("qq")), []);
    assert!(door.shown().is_empty() && door.message().is_some());
    // Nothing is chosen, so nothing happens.
    assert_eq!(press(&mut door, &[DoorCommand::Do, DoorCommand::Right, DoorCommand::Down, DoorCommand::PageUp]), []);
    assert_eq!(press(&mut door, &[DoorCommand::Back]), []);
    assert_eq!(door.shown().len(), 7);
    assert_eq!(press(&mut door, &[DoorCommand::Back]), [StepEffect::End(RunEnding::Done)]);
    assert_eq!(door.take_request(), None);
}

#[test]
fn keys_after_a_request_are_ignored() {
    let mut door = FrontDoor::new(found());
    press(&mut door, &[DoorCommand::Do, DoorCommand::Down, DoorCommand::Right, DoorCommand::Do]);
    assert_eq!(door.take_request(), Some(DoorRequest::Lead("frost-and-oars.ron".into())));
}

#[test]
fn a_new_class_is_chosen_once_it_is_written() {
    let mut door = FrontDoor::new(DoorContents { classes: vec![], ..found() });
    press(&mut door, &[DoorCommand::Down, DoorCommand::Down, DoorCommand::Do]);
    assert_eq!(door.take_request(), Some(DoorRequest::Begin(starts()[2].clone())));
    let now = DoorContents { classes: vec![listed("broken.ron", BROKEN), demo("first-look.ron")], ..found() };
    door.refresh(now, Some(&PathBuf::from("first-look.ron")), None);
    assert_eq!(door.class().map(|class| class.name.as_str()), Some("first-look.ron"));
    press(&mut door, &[DoorCommand::Do]);
    assert_eq!(door.take_request(), Some(DoorRequest::Lead("first-look.ron".into())));
}

/// The door with the form for a composed class open, after these keys.
fn wishing(presses: &[DoorCommand]) -> FrontDoor {
    let mut door = FrontDoor::new(DoorContents { classes: vec![], starts: vec![NewClassSource::Composed], ..found() });
    press(&mut door, &[DoorCommand::Do]);
    press(&mut door, presses);
    door
}

#[test]
fn the_compose_form_is_accepted_or_changed_line_by_line() {
    let wanted = |presses: &[DoorCommand]| match wishing(presses).take_request() {
        Some(DoorRequest::Compose(ComposeAnswers { slot, people, kit, aim })) => {
            Some((slot.0 / 60_000, people, kit, aim))
        }
        _ => None,
    };
    let usual = (45, 12, "mats".to_owned(), ClassAim::Conditioning);
    assert_eq!(wanted(&[DoorCommand::Do; 3]), None);
    assert_eq!(wanted(&[DoorCommand::Do; 4]), Some(usual.clone()));
    // Typed text replaces the text of the line; a number alone is minutes.
    let each = [
        typed("30"),
        vec![DoorCommand::Do],
        typed("8"),
        vec![DoorCommand::Next],
        typed("4 boxes, light kettlebell"),
        vec![DoorCommand::Down],
    ];
    let each = [each.concat(), vec![DoorCommand::Letter('S'), DoorCommand::Do]].concat();
    assert_eq!(wanted(&each), Some((30, 8, "4 boxes, light kettlebell".to_owned(), ClassAim::Strength)));
    // The arrow keys step by five minutes, one person, the next kit and the other aim.
    let arrows = [
        DoorCommand::Right,
        DoorCommand::Do,
        DoorCommand::Left,
        DoorCommand::Do,
        DoorCommand::Right,
        DoorCommand::Do,
        DoorCommand::Right,
        DoorCommand::Do,
    ];
    assert_eq!(wanted(&arrows), Some((50, 11, "mats, bands".to_owned(), ClassAim::Strength)));
    // Backspace keeps the rest.
    assert_eq!(
        wanted(&[
            DoorCommand::Rub,
            DoorCommand::Rub,
            DoorCommand::Letter('0'),
            DoorCommand::Do,
            DoorCommand::Do,
            DoorCommand::Do,
            DoorCommand::Do
        ]),
        Some((40, 12, "mats".to_owned(), ClassAim::Conditioning))
    );
}

#[test]
fn an_invalid_compose_form_is_not_composed() {
    for (line, wrong, says) in [
        (0, "5", "from 10m to 2h"),
        (0, "soon", "from 10m to 2h"),
        (1, "0", "1 to 1000"),
        (1, "many", "1 to 1000"),
        (2, "kettelbell", "did you mean kettlebell?"),
        (2, "kettlebell:huge", "not a load"),
    ] {
        let keys = [vec![DoorCommand::Down; line], typed(wrong), vec![DoorCommand::Do]].concat();
        let mut door = wishing(&keys);
        assert!(door.message().unwrap().contains(says), "{:?}", door.message());
        assert_eq!((door.page(), door.compose_form().line() as usize), (DoorPage::ComposeForm, line));
        // A wrong line that the coach skips is opened again at the end.
        press(&mut door, &[DoorCommand::Last, DoorCommand::Do]);
        assert_eq!((door.take_request(), door.compose_form().line() as usize), (None, line));
        press(&mut door, &[DoorCommand::Back]);
        assert_eq!(door.page(), DoorPage::List);
    }
}

/// A class can be composed for each kit that the arrow keys offer.
#[test]
fn every_kit_that_the_form_offers_makes_a_class() {
    let mut door = wishing(&[DoorCommand::Down, DoorCommand::Down]);
    let mut offered: Vec<String> = Vec::new();
    while !offered.iter().any(|kit| kit == door.compose_form().text(ComposeField::Kit)) {
        offered.push(door.compose_form().text(ComposeField::Kit).to_owned());
        press(&mut door, &[DoorCommand::Right]);
    }
    assert!(offered.len() > 5);
    let kinds = kinds(Catalogue::built_in());
    for (index, kit) in offered.iter().enumerate() {
        let aim = if index % 2 == 0 { ClassAim::Conditioning } else { ClassAim::Strength };
        let request = ComposeRequest {
            people: 12,
            kit: kit_list(kit, &kinds).unwrap(),
            aim,
            seed: 1,
            ..ComposeRequest::default()
        };
        let draft = compose(&request, Catalogue::built_in());
        assert!(draft.is_ok(), "{kit}, {aim}: {:?}", draft.err());
    }
}

/// Kit can be typed as a coach says it, and as it is written on the command line.
#[test]
fn kit_can_be_typed_as_a_coach_says_it() {
    let kinds = kinds(Catalogue::built_in());
    let one = |text: &str| kit_list(text, &kinds);
    assert_eq!(one("light kettlebells, 4 boxes, mats"), one("kettlebell:light:1,box:4,mat:1"));
    assert_eq!(one("2 Heavy Dumbbells each,"), one("dumbbell:heavy:2:each"));
    assert_eq!(one("3 bands each"), one("band:3:each"));
    assert_eq!(one(""), Ok(vec![]));
    for wrong in ["4", "4 4 boxes", "kettlebell:light:heavy", "box:0", "light", "oar"] {
        assert!(one(wrong).is_err(), "{wrong}");
    }
}

fn drawn(door: &FrontDoor, (width, height): (u16, u16)) -> String {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| picture::draw(frame, door, &ScreenTheme { colours: ColourDepth::Without })).unwrap();
    let buffer = terminal.backend().buffer();
    let row = |y| (0..width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

#[test]
fn the_front_door_at_every_size() {
    let with = |presses: &[DoorCommand]| {
        let mut door = FrontDoor::new(found());
        press(&mut door, presses);
        door
    };
    let doors = [
        ("list", FrontDoor::new(DoorContents { unfinished: Some(unfinished()), ..found() })),
        ("rehearse", with(&[DoorCommand::Right])),
        ("fault", with(&[DoorCommand::Down, DoorCommand::Down])),
        ("search", with(&typed("lunch"))),
        ("nothing", with(&typed("qq"))),
        ("findings", with(&[DoorCommand::Down, DoorCommand::Down, DoorCommand::Do])),
        ("keys", with(&[DoorCommand::Help])),
        ("start", with(&[DoorCommand::Last])),
        ("empty", FrontDoor::new(DoorContents { classes: vec![], ..found() })),
        ("wish", wishing(&[])),
        (
            "wish_wrong",
            wishing(
                &[&[DoorCommand::Down, DoorCommand::Down], typed("kettelbell").as_slice(), &[DoorCommand::Do]].concat(),
            ),
        ),
    ];
    for (name, door) in doors {
        let sizes = [(50, 12), (60, 18), (80, 24), (160, 45)];
        let pictures = sizes.map(|size| format!("{} x {}\n{}", size.0, size.1, drawn(&door, size)));
        insta::assert_snapshot!(format!("door_{name}"), pictures.join("\n"));
    }
}

fn any_press() -> impl Strategy<Value = DoorCommand> {
    use DoorCommand::{Back, Do, Down, First, Help, Last, Left, Letter, PageDown, PageUp, Right, Rub, Up};
    let keys = prop::sample::select(vec![Up, Down, PageUp, PageDown, First, Last, Left, Right, Do, Rub, Back, Help]);
    prop_oneof![3 => keys, 1 => any::<char>().prop_map(Letter), 1 => prop::sample::select(vec!['o', 'a', 'l', ' ']).prop_map(Letter)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_keys_at_any_size_do_no_harm(
        presses in prop::collection::vec(any_press(), 0..60),
        size in (1_u16..200, 1_u16..60),
        broke_off in any::<bool>(),
    ) {
        let mut door = FrontDoor::new(DoorContents { unfinished: broke_off.then(unfinished), more: 3, ..found() });
        for one in presses {
            press(&mut door, &[one]);
            prop_assert!(door.chosen() < door.shown().len().max(1));
            prop_assert!(door.action() < door.actions().len().max(1));
        }
        drawn(&door, size);
    }

    /// The chosen entry is always on the screen, with what Enter does.
    #[test]
    fn the_chosen_entry_is_always_visible(downs in 0_usize..7, height in 18_u16..60) {
        let mut door = FrontDoor::new(found());
        press(&mut door, &vec![DoorCommand::Down; downs]);
        let drawn = drawn(&door, (80, height));
        let does = match door.shown()[door.chosen()] {
            DoorEntry::Start(_) => "[create]",
            DoorEntry::Class(_) if door.actions() == SessionAction::FAULTY => "[check]",
            _ => "[lead]",
        };
        prop_assert!(drawn.contains(does), "{drawn}");
    }
}

/// A home with nothing in it.
fn empty() -> Home {
    Home(tempfile::tempdir().unwrap())
}

fn says(home: &Home) -> (String, Option<i32>) {
    let mut command = Command::new(binary());
    let output = command.env_clear().envs(home.environment()).current_dir(home.0.path()).stdin(Stdio::null()).output();
    let output = output.unwrap();
    (String::from_utf8(output.stdout).unwrap() + &String::from_utf8_lossy(&output.stderr), output.status.code())
}

#[test]
fn without_a_terminal_it_prints_the_same() {
    let home = Home::with(&std::fs::read_to_string("sessions/first-look.ron").unwrap());
    std::fs::write(home.0.path().join("spring.ron"), BROKEN).unwrap();
    // The file of the coach's movements is not a session.
    std::fs::write(home.0.path().join("movements.ron"), "[]").unwrap();
    let (said, code) = says(&home);
    assert_eq!(code, Some(0));
    assert!(said.starts_with("First look · 1:30 of 2:00 · 0:30 spare\n  A Warm up 0:15 · B Main"), "{said}");
    assert!(said.contains("spring.ron\n  2 faults\n  line 2: fault: a block has no field `wrk`"), "{said}");
    assert!(!said.contains("movements.ron"), "{said}");
    let nothing = says(&empty()).0;
    assert!(nothing.starts_with("No sessions here.\n\nNEW CLASS\n  composed for your slot"), "{nothing}");
    assert!(nothing.contains("  from the demo “First look”, 1:30: forecall new --demo first-look\n"), "{nothing}");
}

#[test]
fn the_folder_of_the_settings_is_listed_too() {
    let home = empty();
    let (own, config) = (home.0.path().join("club"), home.0.path().join(".config/forecall"));
    std::fs::create_dir_all(&own).unwrap();
    std::fs::create_dir_all(&config).unwrap();
    std::fs::copy("sessions/six-boats.ron", own.join("six.ron")).unwrap();
    std::fs::write(config.join("config.ron"), "(folder: \"~/club\")").unwrap();
    let (said, _) = says(&home);
    assert!(said.starts_with("Six boats · 40:45") && said.contains("club/six.ron"), "{said}");
}

/// Types keys one by one, and counts them.
struct Typist {
    term: Term,
    keys: usize,
}

impl Typist {
    fn type_keys(&mut self, keys: &[&str], sees: &str) {
        for key in keys {
            self.term.press(key);
            self.keys += 1;
        }
        self.term.see(sees);
    }
}

/// From an empty folder to the first work span of a composed class, counting the keys after `forecall` and Enter: once
/// with the form as it is, once with every line changed.
#[test]
fn seven_keys_from_an_empty_folder_to_the_first_work_of_a_composed_class() {
    let changed: &[&str] = &["3", "0", "\r", "8", "\r", "\x1b[C", "\r", "s", "\r"];
    for (answers, keys, slot) in [(&["\r"; 4] as &[&str], 7, "45:00"), (changed, 12, "30:00")] {
        let home = empty();
        let mut coach = Typist { term: Term::start(&home, binary(), &[], 80, 24), keys: 0 };
        coach.term.see("No classes in this folder yet");
        coach.type_keys(&["\r"], "COMPOSE A CLASS");
        coach.type_keys(answers, "-1.ron is saved");
        coach.term.see(&format!("of {slot}"));
        coach.type_keys(&["\r"], "space to start");
        coach.type_keys(&[" "], "Warm-up");
        coach.term.until("work", |text| text.contains("THEN") && !text.contains("NEXT"));
        assert_eq!(coach.keys, keys);
        assert!(coach.keys < 15);
        coach.term.press("q");
        coach.term.see("y ");
        coach.term.press("y");
        coach.term.see("last led");
        coach.term.press("\x1b");
        assert_eq!(coach.term.ends(), 0);
    }
}

#[test]
fn a_class_that_cannot_be_composed_leaves_the_form_open() {
    let home = empty();
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("No classes in this folder yet");
    term.press("\r");
    term.see("COMPOSE A CLASS");
    term.press("7\r");
    term.see("Enter a slot from 10m to 2h");
    term.press("\x7f20\r\r3 oars\r");
    term.see("no movement uses oars");
    term.press("\x1b[C");
    term.see("mat each");
    term.press("\x1b");
    term.see("[create]");
    term.press("\x03");
    assert_eq!(term.ends(), 0);
    assert!(!std::fs::read_dir(home.0.path()).unwrap().any(|file| file.unwrap().path().extension().is_some()));
}

#[test]
fn a_demo_is_led_with_four_keys() {
    let home = empty();
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("No classes in this folder yet");
    term.press("\x1b[B\r");
    term.see("first-look.ron is saved");
    term.press("\r");
    term.see("space to start");
    term.press(" ");
    term.until("work", |text| text.contains("THEN") && !text.contains("NEXT"));
    term.press("q");
    term.see("y ");
    term.press("y");
    // Back at the door, which knows that the class was led.
    term.see("last led");
    term.see("Left at 0:0");
    term.press("\x1b");
    assert_eq!(term.ends(), 0);
}

#[test]
fn a_newcomer_makes_mistakes() {
    let home = Home::with(&std::fs::read_to_string("sessions/first-look.ron").unwrap());
    std::fs::write(home.0.path().join("spring.ron"), BROKEN).unwrap();
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("[lead]");
    term.press("quit");
    term.see("Nothing matches");
    term.press("\r\r");
    term.press("\x7f\x7f\x7f\x7f");
    term.see("type to search");
    term.press("?");
    term.see("Leave at once");
    term.press("x");
    term.see("[lead]");
    term.press("\x1b[B");
    term.see("[check]");
    term.press("\r");
    term.see("fix:");
    term.resize(40, 10);
    term.see("Make the window");
    term.resize(160, 45);
    term.see("fix:");
    term.press("\x1b");
    term.see("[check]");
    // The file of a class is deleted just before the class is led.
    std::fs::remove_file(home.file()).unwrap();
    term.press("\x1b[A\r");
    term.see("cannot read class.ron");
    term.press("\x03");
    assert_eq!(term.ends(), 0);
}

#[test]
fn the_sheet_is_written_beside_the_session() {
    let home = Home::with(&std::fs::read_to_string("sessions/first-look.ron").unwrap());
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("[lead]");
    term.press("\x1b[C\x1b[C\x1b[C\x1b[C\r");
    term.see("class-sheet.pdf is saved");
    assert!(std::fs::read(home.0.path().join("class-sheet.pdf")).unwrap().starts_with(b"%PDF"));
    term.press("\x1b");
    assert_eq!(term.ends(), 0);
}

#[test]
fn a_list_becomes_a_class() {
    let home = empty();
    std::fs::write(home.0.path().join("idea.txt"), "Warm: 40s\nmarch tall\narm sweeps\n").unwrap();
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("from the list idea.txt");
    term.press("\r");
    term.see("idea.ron is saved");
    assert!(std::fs::read_to_string(home.0.path().join("idea.ron")).unwrap().contains("march-tall"));
    term.signal(Signal::TERM);
    assert_eq!(term.ends(), 128 + 15);
}

#[test]
fn a_signal_reaches_the_class_that_is_led_and_then_the_door() {
    let home = Home::with(&std::fs::read_to_string("sessions/first-look.ron").unwrap());
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    term.see("[lead]");
    term.press("\r");
    term.see("space to start");
    term.signal(Signal::TERM);
    assert_eq!(term.ends(), 128 + 15);
}

/// The README's picture, from a real run: `cargo test --test door picture -- --ignored` writes assets/door.svg.
#[test]
#[ignore = "writes a file of the repository"]
fn the_picture_of_the_front_door() {
    let home = empty();
    let folder = env!("CARGO_MANIFEST_DIR");
    for name in ["frost-and-oars", "lunch-at-the-landing", "six-boats"] {
        let file = format!("{name}.ron");
        std::fs::copy(format!("{folder}/sessions/{file}"), home.0.path().join(&file)).unwrap();
    }
    let mut term = Term::start(&home, binary(), &[], 100, 26);
    term.see("[lead]");
    term.press("\x1b[B");
    term.until("the second is chosen", |text| text.lines().skip(7).any(|line| line.contains("[lead]")));
    let picture = svg::svg(&cells::cells_of(term.seen.lock().unwrap().screen()));
    std::fs::write(format!("{folder}/assets/door.svg"), picture).unwrap();
    term.press("\x03");
    term.ends();
}

/// The README's walk through the front door, from a real run: the same command writes assets/walk.svg.
#[test]
#[ignore = "writes a file of the repository"]
fn the_picture_of_the_walk() {
    let home = empty();
    let mut term = Term::start(&home, binary(), &[], 80, 24);
    let mut frames = Vec::new();
    let mut shown = |term: &Term, seconds| {
        frames.push((cells::cells_of(term.seen.lock().unwrap().screen()), seconds));
    };
    term.see("No classes in this folder yet");
    shown(&term, 3);
    term.press("\r");
    term.see("COMPOSE A CLASS");
    shown(&term, 3);
    term.press("30\r8\r\x1b[C\x1b[C");
    term.see("light kettlebell each");
    shown(&term, 4);
    term.press("\r\r");
    term.see("-1.ron is saved");
    shown(&term, 4);
    term.press("\r");
    term.see("space to start");
    shown(&term, 3);
    term.press(" ");
    term.until("work", |text| text.contains("THEN") && !text.contains("NEXT"));
    shown(&term, 5);
    std::fs::write(format!("{}/assets/walk.svg", env!("CARGO_MANIFEST_DIR")), svg::walk(&frames)).unwrap();
    term.press("\x03");
    term.see("y ");
    term.press("y");
    term.see("[lead]");
    term.press("\x03");
    term.ends();
}
