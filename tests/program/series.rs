//! Series: the classes of the next weeks, made from one.

use std::path::Path;
use std::process::{Command, Output};
use std::sync::Arc;

use class::check::{advice::advise, check};
use class::compose::{ClassAim, ComposeRequest, compose};
use class::movement::{Catalogue, KitItem, Load};
use class::schedule::compile;
use class::series::{
    BlockWork, DayArg, ProgressionVariable, SeriesError, SeriesRequest, SeriesWeek, WeekStep, dates, days_of, plan,
};
use class::session::fault::Severity;
use class::session::{BlockKind, KitAmount, OwnedKit, Session, WorkAmount, read};
use class::time::Tick;
use jiff::civil::{Date, date};

const WINTER: &str = r#"(
    title: "Winter", slot: "45m", people: 2,
    kit: [
        (item: "kettlebell", load: light, each: 1), (item: "kettlebell", load: heavy, each: 1),
        (item: "band", each: 1), (item: "mat", each: 1),
    ],
    blocks: [
        (name: "Raise", kind: warm_up, work: "40s", rest_after: "40s", stations: ["march-tall", "arm-sweeps", "hip-circles"]),
        // The bells stand along the wall.
        (name: "Legs", work: "40s", rest: "20s", rounds: 3, rest_after: "60s", stations: [
            "bell-deadlift", "squat-goblet", "split-squat",
        ]),
        (name: "Arms", work: "40s", rest: "20s", rounds: 2, rest_after: "60s", stations: ["row-band-standing", "chest-press-band"]),
        (name: "Down", kind: cool_down, work: "50s", stations: ["childs-pose", "cat-cow"]),
    ],
)
"#;

fn ask(days: &str, weeks: u32) -> SeriesRequest {
    let days: Vec<DayArg> = days.split(',').map(|day| day.parse().unwrap()).collect();
    SeriesRequest { weeks, days: days_of(&days), from: date(2026, 12, 1), nights: 2 }
}

fn warnings(week: &SeriesWeek) -> Vec<String> {
    let mut found = check(&week.schedule);
    found.extend(advise(&week.schedule));
    found.into_iter().filter(|fault| fault.severity <= Severity::Warning).map(|fault| fault.message).collect()
}

/// Computed by hand. In the class as it was led, one round of Legs was left out, and 130 s of 160 s of Arms were done:
///
/// - Legs: 3 rounds x 3 stations x 40 s = 360 s planned, 240 s done: 67 %, under 90 %. 240/360 x 3 rounds = 2 rounds,
///   fewer than 3, so the block gets 2 rounds.
/// - Arms: 2 x 2 x 40 s = 160 s planned, 130 s done: 81 %, under 90 %. 130/160 x 2 rounds = 1.6, rounded to 2, so the
///   rounds stay. 40 s x 130/160 = 32.5 s, rounded down to 30 s.
///
/// From there: week 2 lowers one count slower (2-0-1-1 becomes 3-0-1-1). Week 3 takes the deadlift's harder option.
/// Week 4 is easier by one round in each block. Week 5 continues from week 3 with 5 s more work (45 s and 35 s). Week 6
/// adds a round to the first of the two blocks, which have equally few: Legs, 3 instead of 2.
///
/// The days: from Tuesday 1 December 2026 on, the first class is on Thursday 3 and the second on Monday 7, then the
/// same days each week.
#[test]
fn a_series_continues_from_a_class_that_was_done_in_part() {
    let done = [
        BlockWork { name: "Legs".into(), planned: Tick::seconds(360), done: Tick::seconds(240) },
        BlockWork { name: "Arms".into(), planned: Tick::seconds(160), done: Tick::seconds(130) },
        BlockWork { name: "Raise".into(), planned: Tick::seconds(120), done: Tick::seconds(20) },
    ];
    let weeks = plan(WINTER, Catalogue::built_in(), &ask("mon,thu", 6), &done).unwrap();
    let steps: Vec<WeekStep> = weeks.iter().map(|week| week.step).collect();
    let advance = WeekStep::Advance;
    assert_eq!(
        steps,
        [
            WeekStep::Begin,
            advance(ProgressionVariable::Tempo),
            advance(ProgressionVariable::Tier),
            WeekStep::Easier,
            advance(ProgressionVariable::Work),
            advance(ProgressionVariable::Rounds),
        ]
    );
    let block = |week: usize, name: &str| {
        weeks[week - 1].schedule.session.blocks.iter().find(|block| block.name == name).unwrap().clone()
    };
    let rounds: Vec<(u32, u32)> =
        (1..=6).map(|week| (block(week, "Legs").rounds, block(week, "Arms").rounds)).collect();
    assert_eq!(rounds, [(2, 2), (2, 2), (2, 2), (1, 1), (2, 2), (3, 2)]);
    let work = |week, name| match block(week, name).stations[0].work {
        WorkAmount::Time(work) => work.0 / 1000,
        WorkAmount::Reps(_) => 0,
    };
    let works: Vec<(u64, u64)> = (1..=6).map(|week| (work(week, "Legs"), work(week, "Arms"))).collect();
    assert_eq!(works, [(40, 30), (40, 30), (40, 30), (40, 30), (45, 35), (45, 35)]);
    let tempo = |week: usize, at: usize| block(week, "Legs").stations[at].tempo.unwrap().to_string();
    assert_eq!((tempo(1, 1), tempo(2, 1), tempo(6, 1)), ("2-0-1-0".into(), "3-0-1-0".into(), "3-0-1-0".into()));
    assert_eq!(block(2, "Legs").stations[0].movement.id, "bell-deadlift");
    assert_eq!(block(3, "Legs").stations[0].movement.id, "deadlift-staggered");
    assert_eq!(weeks[0].dates, [date(2026, 12, 3), date(2026, 12, 7)]);
    assert_eq!(weeks[5].dates, [date(2027, 1, 7), date(2027, 1, 11)]);
    for week in &weeks {
        assert!(week.text.contains("// The bells stand along the wall."), "{}", week.text);
        assert!(week.text.contains(&format!("\"Winter, week {}\"", week.number)));
        assert_eq!(warnings(week), [""; 0], "{}", week.text);
        assert_eq!(block(week.number as usize, "Raise"), block(1, "Raise"));
    }
}

#[test]
fn a_series_from_a_class_done_as_planned_begins_unchanged() {
    let done = [BlockWork { name: "Legs".into(), planned: Tick::seconds(360), done: Tick::seconds(330) }];
    let weeks = plan(WINTER, Catalogue::built_in(), &ask("mon", 1), &done).unwrap();
    assert_eq!(weeks[0].text, WINTER.replace("\"Winter\"", "\"Winter, week 1\""));
}

#[test]
fn days_with_too_few_nights_between_them_are_refused() {
    for (days, weeks, fault) in [
        ("mon,tue", 1, Some("only 1 night between monday and tuesday")),
        ("sun,mon", 2, Some("only 1 night between sunday and monday")),
        ("mon,wed,fri", 4, None),
        ("sat", 4, None),
    ] {
        match plan(WINTER, Catalogue::built_in(), &ask(days, weeks), &[]) {
            Err(SeriesError::TooSoon(why)) => {
                let why = why.to_string();
                assert!(why.contains(fault.unwrap()) && why.contains("quadriceps"), "{why}")
            }
            other => assert!(fault.is_none() && other.is_ok(), "{days}: {other:?}"),
        }
    }
    assert_eq!(dates(&ask("sat,mon", 1)), [[date(2026, 12, 5), date(2026, 12, 7)]]);
}

#[test]
fn loads_rise_only_if_the_session_has_heavier_kit() {
    let step = |weeks: &[SeriesWeek]| {
        weeks.iter().find(|week| week.step == WeekStep::Advance(ProgressionVariable::Load)).cloned()
    };
    let weeks = plan(WINTER, Catalogue::built_in(), &ask("mon", 12), &[]).unwrap();
    let heavier = step(&weeks).unwrap();
    assert!(heavier.changes.iter().any(|change| change.contains("heavy kettlebell")), "{:?}", heavier.changes);
    let light =
        WINTER.replace("load: heavy", "load: light").replacen("(item: \"kettlebell\", load: light, each: 1), ", "", 1);
    let weeks = plan(&light, Catalogue::built_in(), &ask("mon", 12), &[]).unwrap();
    assert_eq!(step(&weeks), None);
}

/// The values of the six variables, over all stations of the main blocks.
fn variables(session: &Session) -> [Vec<String>; 6] {
    let mut all: [Vec<String>; 6] = Default::default();
    for block in session.blocks.iter().filter(|block| block.kind == BlockKind::Main) {
        all[3].push(block.rounds.to_string());
        for station in &block.stations {
            all[0].push(format!("{:?}", station.tempo));
            all[1].push(station.movement.id.clone());
            all[2].push(format!("{:?}", station.work));
            all[4].push(format!("{:?}", station.rest));
            all[5].push(format!("{:?}", station.kit));
        }
    }
    all
}

#[test]
fn one_variable_at_a_time_and_every_week_checks_clean() {
    let owned = |item: &str, load, count| OwnedKit { item: KitItem(item.into()), load, amount: KitAmount::Each(count) };
    let kit = vec![
        owned("kettlebell", Some(Load::Light), 1),
        owned("kettlebell", Some(Load::Heavy), 1),
        owned("band", None, 1),
        owned("mat", None, 1),
    ];
    for (seed, aim) in [(1, ClassAim::Strength), (2, ClassAim::Conditioning), (3, ClassAim::Conditioning)] {
        let request = ComposeRequest { people: 6, kit: kit.clone(), aim, seed, ..ComposeRequest::default() };
        let draft = compose(&request, Catalogue::built_in()).unwrap();
        let weeks = plan(&draft.text, Catalogue::built_in(), &ask("tue,fri", 9), &[]).unwrap();
        let mut before = variables(&weeks[0].schedule.session);
        for week in &weeks {
            assert_eq!(warnings(week), [""; 0], "week {}\n{}", week.number, week.text);
            let reading = read(&week.text, Catalogue::built_in());
            assert_eq!(reading.faults, []);
            assert_eq!(compile(Arc::new(reading.session.unwrap())), week.schedule);
            assert!(week.schedule.total() <= request.slot);
            let now = variables(&week.schedule.session);
            let changed: Vec<usize> = (0..6).filter(|&at| now[at] != before[at]).collect();
            match week.step {
                WeekStep::Begin | WeekStep::Same => assert_eq!(changed, [0; 0]),
                WeekStep::Easier => assert_eq!(week.number % 4, 0),
                // A new movement brings its own tempo and kit.
                WeekStep::Advance(ProgressionVariable::Tier) => {
                    assert!(changed.contains(&1) && !changed.contains(&2) && !changed.contains(&3))
                }
                WeekStep::Advance(variable) => assert_eq!(changed, [variable as usize]),
            }
            if week.step != WeekStep::Easier {
                before = now;
            }
        }
    }
}

/// By hand: 2 x 100 s of pulling and 4 x 60 s of pushing are 200 s and 240 s, a ratio of 5/6. One round fewer of each
/// would be 100 s and 180 s, a ratio of 5/9. `check` warns below 2/3, so the fourth week takes a fifth of the work
/// instead.
#[test]
fn an_easier_week_checks_as_clean_as_the_class() {
    const UNEVEN: &str = "(title: \"U\", slot: \"40m\", people: 2, kit: [(item: \"band\", each: 1), (item: \"mat\", each: 1)], blocks: [
        (name: \"Raise\", kind: warm_up, work: \"40s\", rest_after: \"40s\", stations: [\"march-tall\", \"arm-sweeps\", \"hip-circles\"]),
        (name: \"Pull\", work: \"100s\", rest: \"30s\", rounds: 2, rest_after: \"60s\", stations: [\"row-band-standing\"]),
        (name: \"Push\", work: \"60s\", rest: \"30s\", rounds: 4, rest_after: \"60s\", stations: [\"chest-press-band\"]),
        (name: \"Down\", kind: cool_down, work: \"50s\", stations: [\"childs-pose\", \"cat-cow\"]),
    ])";
    let weeks = plan(UNEVEN, Catalogue::built_in(), &ask("mon", 4), &[]).unwrap();
    let fourth = &weeks[3];
    assert_eq!(fourth.step, WeekStep::Easier);
    assert!(fourth.changes.iter().all(|change| change.ends_with("a fifth less work")), "{:?}", fourth.changes);
    let of = |week: &SeriesWeek| (warnings(week), week.schedule.total());
    let ((before, longer), (now, shorter)) = (of(&weeks[2]), of(fourth));
    assert!(now.len() <= before.len() && shorter < longer, "{before:?} {now:?}");
}

#[test]
fn a_class_that_cannot_be_advanced_is_refused_with_the_reason() {
    let easy = "(title: \"Easy\", blocks: [(name: \"Down\", kind: cool_down, work: \"50s\", stations: [\"cat-cow\"])])";
    assert_eq!(plan(easy, Catalogue::built_in(), &ask("mon", 2), &[]), Err(SeriesError::Nothing));
    assert!(matches!(plan("(", Catalogue::built_in(), &ask("mon", 2), &[]), Err(SeriesError::Faulty(_))));
    assert!("moon".parse::<DayArg>().is_err());
}

fn forecall(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_forecall"));
    command.args(arguments).current_dir(folder).env_clear().env("HOME", folder).output().unwrap()
}

fn printed(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

#[test]
fn files_and_a_calendar_are_written_all_or_none() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("winter.ron"), WINTER).unwrap();
    let arguments = ["series", "winter.ron", "--weeks", "5", "--days", "mon,thu", "--from", "2026-12-01", "-o", "next"];
    let with_calendar = [&arguments[..], &["--as", "ics", "--at", "18:15"]].concat();
    let output = forecall(folder.path(), &with_calendar);
    assert_eq!(output.status.code(), Some(0), "{}", printed(&output));
    insta::assert_snapshot!("series-winter", printed(&output));
    let next = folder.path().join("next");
    let mut files: Vec<String> =
        std::fs::read_dir(&next).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    files.sort();
    assert_eq!(files.len(), 11, "{files:?}");
    assert_eq!((files[0].as_str(), files[10].as_str()), ("winter-2026-12-03.ron", "winter-series.ics"));
    let calendar = std::fs::read_to_string(next.join("winter-series.ics")).unwrap();
    assert_eq!(calendar.matches("BEGIN:VEVENT").count(), 10);
    assert!(calendar.contains("DTSTART:20261203T181500\r\n"), "{calendar}");
    let first = forecall(&next, &["check", "winter-2026-12-03.ron", "--strict"]);
    assert_eq!(first.status.code(), Some(0), "{}", printed(&first));

    // If one file exists already, no file is written.
    std::fs::remove_file(next.join("winter-2026-12-03.ron")).unwrap();
    let again = forecall(folder.path(), &arguments);
    assert_eq!(again.status.code(), Some(2), "{}", printed(&again));
    assert!(printed(&again).contains("already exists"), "{}", printed(&again));
    assert!(!next.join("winter-2026-12-03.ron").exists());
    for (wrong, says) in [
        (["series", "winter.ron", "--days", "moon"], "days are mon"),
        (["series", "winter.ron", "--days", "mon,tue"], "only 1 night"),
        (["series", "gone.ron", "--days", "mon"], "cannot read gone.ron"),
    ] {
        let output = forecall(folder.path(), &wrong);
        assert!(output.status.code() != Some(0) && printed(&output).contains(says), "{}", printed(&output));
    }
    let _: Date = date(2026, 12, 1);
}
