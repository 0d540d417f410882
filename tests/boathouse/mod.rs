//! An invented class at a community boathouse, built by hand, and the moments at which screens are drawn.

#![allow(dead_code, reason = "each test and bench uses a part of it")]

use std::sync::{Arc, LazyLock};

use class::cue::{PlannedCue, Voicing, cue_up};
use class::movement::{
    Caution, Correction, Guide, Instead, Item, KitNeed, Load, Movement, Muscle, Pattern, Position, Region, Sides, Tier,
};
use class::schedule::{Doing, Purpose, Schedule, Span, compile};
use class::session::{Amount, Block, Format, Kind, KitOwned, Level, Session, Start, Station, Transitions, Work};
use class::time::{Starts, Tempo, Tick};
use stage::lead::{Changed, Keymap, Moment, Offered, Phase, View};

pub fn movement(name: &str, short: &str, position: Position, kit: &[(&str, Option<Load>)], sides: Sides) -> Movement {
    Movement {
        id: name.to_lowercase().replace(' ', "-"),
        name: name.to_owned(),
        short: short.to_owned(),
        said: None,
        also: Vec::new(),
        pattern: Pattern::Hinge,
        position,
        kit: kit.iter().map(|&(item, load)| KitNeed { item: Item(item.to_owned()), load, count: 1 }).collect(),
        sides,
        prime: vec![Muscle::Hamstrings],
        helping: Vec::new(),
        loaded: true,
        skill: false,
        guide: Some(Guide {
            tempo: Tempo { counts: [2, 1, 2, 0] },
            starts: Starts::Lower,
            lower: "lower".to_owned(),
            lift: "lift".to_owned(),
        }),
        setup: "Stand a foot's length in front of the box, feet under your hips".to_owned(),
        prompts: vec!["front heel heavy".to_owned(), "long back, ribs over hips".to_owned()],
        faults: vec![Correction { fault: "knee falling in".to_owned(), fix: "spread the floor".to_owned() }],
        easier: Some(Tier { what: "hand on the box".to_owned(), movement: None }),
        harder: Some(Tier { what: "three seconds down".to_owned(), movement: None }),
        cautions: vec![
            Caution { region: Region::Wrist, instead: Instead::Text("bell by the horn".to_owned()) },
            Caution {
                region: Region::Knee,
                instead: Instead::Movement { id: "bell-deadlift".to_owned(), name: "Kettlebell deadlift".to_owned() },
            },
            Caution { region: Region::Balance, instead: Instead::LeaveOut },
        ],
    }
}

pub fn station(movement: Movement, seconds: u64) -> Station {
    Station {
        work: Work::Time(Tick::seconds(seconds)),
        sides: movement.sides,
        tempo: movement.guide.as_ref().map(|guide| guide.tempo),
        rest: Tick::seconds(10),
        kit: movement.kit.clone(),
        place: None,
        short: movement.short.clone(),
        prompts: movement.prompts.clone(),
        faults: movement.faults.clone(),
        easier: movement.easier.clone(),
        harder: movement.harder.clone(),
        variant: None,
        optional: false,
        click: false,
        movement: Arc::new(movement),
    }
}

pub fn block(name: &str, kind: Kind, format: Format, rounds: u32, stations: Vec<Station>) -> Block {
    Block {
        name: name.to_owned(),
        kind,
        format,
        rounds,
        stations,
        round_rest: Tick::seconds(30),
        rest_after: Tick::seconds(75),
        transitions: Transitions::Inside,
        start: Start::Auto,
        briefing: Tick::ZERO,
        focus: Vec::new(),
        aim: None,
        allow: Vec::new(),
        music: Arc::default(),
        calls: Vec::new(),
        level: Level::Changes,
        note: None,
    }
}

/// A session with several formats, every way to use the sides, and names of different lengths.
pub fn session() -> Session {
    let bell = [("kettlebell", Some(Load::Heavy))];
    let squat = || movement("Split squat", "SPLIT SQUAT", Position::Standing, &bell, Sides::LeftThenRight);
    let swing = || movement("Two-hand swing", "SWING", Position::Standing, &bell, Sides::Together);
    let row = || {
        let row = movement("Row, bent over", "BENT ROW", Position::Standing, &[("band", None)], Sides::EachSide);
        Movement {
            guide: row.guide.map(|guide| Guide {
                starts: Starts::Lift,
                lower: "return".into(),
                lift: "pull".into(),
                ..guide
            }),
            ..row
        }
    };
    let bug = || {
        let bug = movement("Dead bug", "DEAD BUG", Position::Supine, &[("mat", None)], Sides::Alternating);
        Movement { guide: None, ..bug }
    };
    let march = || movement("March tall", "MARCH TALL", Position::Standing, &[], Sides::Alternating);
    let carry = || {
        let carry = movement("Suitcase carry", "SUITCASE CARRY", Position::Standing, &bell, Sides::Together);
        Movement { guide: None, ..carry }
    };
    let rest = |rest: u64, station: Station| Station { rest: Tick::seconds(rest), ..station };
    let reps = |reps: u32, station: Station| Station { work: Work::Reps(reps), ..station };
    let mut hinge = block(
        "Hinge",
        Kind::Main,
        Format::Circuit,
        2,
        vec![rest(0, station(squat(), 60)), station(row(), 45), station(bug(), 50), station(swing(), 40)],
    );
    hinge.start = Start::OnKey;
    hinge.briefing = Tick::seconds(45);
    hinge.note = Some("Show the hinge with the stick first; ask who is new".to_owned());
    let at_place = |place: &str, station: Station| Station { place: Some(place.to_owned()), ..station };
    let rotation = block(
        "Round the hall",
        Kind::Main,
        Format::Rotation,
        1,
        vec![
            at_place("bay one", station(swing(), 60)),
            at_place("bay two", station(carry(), 60)),
            at_place("mats", station(bug(), 60)),
            at_place("stairs", station(march(), 60)),
        ],
    );
    let own_pace = block(
        "Own pace",
        Kind::Main,
        Format::Amrap { time: Tick::seconds(480) },
        1,
        vec![reps(10, station(swing(), 0)), reps(8, station(squat(), 0)), reps(12, station(carry(), 0))],
    );
    let minutes =
        block("Minutes", Kind::Main, Format::Emom { every: Tick::MINUTE }, 3, vec![reps(6, station(swing(), 0))]);
    Session {
        title: "Frost and oars".to_owned(),
        slot: Some(Tick::seconds(45 * 60)),
        people: Some(12),
        mind: vec![Region::Wrist],
        kit: vec![
            KitOwned { item: Item("kettlebell".to_owned()), load: Some(Load::Heavy), amount: Amount::Each(1) },
            KitOwned { item: Item("box".to_owned()), load: None, amount: Amount::Shared(4) },
        ],
        floor: None,
        one_weight: false,
        emergency: Some(
            "Boathouse, 3 Slipway Lane, gate code 4471\nDefibrillator: wall by the boat bay doors\nCall 112".to_owned(),
        ),
        mirror: false,
        seed: 1,
        talk_room: 80,
        music: Arc::default(),
        music_in_hold: false,
        allow: Vec::new(),
        blocks: vec![
            block("Raise", Kind::WarmUp, Format::Circuit, 1, vec![station(march(), 40), station(march(), 40)]),
            hinge,
            rotation,
            own_pace,
            minutes,
            block("Let go", Kind::CoolDown, Format::Circuit, 1, vec![station(bug(), 60)]),
        ],
    }
}

pub fn schedule() -> Schedule {
    compile(Arc::new(session()))
}

/// The cues of [`schedule`] at the usual level, said and unsaid.
pub fn cues() -> &'static [PlannedCue] {
    static CUES: LazyLock<Vec<PlannedCue>> = LazyLock::new(|| cue_up(&mut schedule(), Tick::ZERO, &Voicing::default()));
    &CUES
}

static LIST: Keymap = Keymap::LIST;

/// A running moment of a schedule; everything else is as in a class that goes well.
pub fn running<'a>(schedule: &'a Schedule, now: Tick, machine: &'a [(String, String)]) -> Moment<'a> {
    Moment {
        schedule,
        now,
        phase: Phase::Running,
        ends_at: Some("18:59".to_owned()),
        spare_ms: Some(40_000),
        lost_ms: 0,
        cues: &[],
        level: Level::Changes,
        muted: false,
        view: View::Coach,
        changed: Changed::default(),
        offer: None,
        message: None,
        machine,
        keymap: &LIST,
    }
}

pub fn machine() -> Vec<(String, String)> {
    [("sound", "built-in speaker"), ("voice", "built in, English"), ("power", "mains, 84 %")]
        .map(|(label, value)| (label.to_owned(), value.to_owned()))
        .to_vec()
}

fn first(schedule: &Schedule, wanted: impl Fn(&Span) -> bool) -> Span {
    schedule.spans.iter().find(|span| wanted(span)).expect("the class has such a span").clone()
}

const LOSE: Offered = Offered {
    words: "cut 2:35: leave something out",
    detail: Some("Dead bug, round 2 of Hinge"),
    ends_at: None,
    spare_ms: Some(-35_000),
    index: 1,
    count: 11,
};

/// A moment of [`schedule`] in every phase, by name.
pub fn moments<'a>(schedule: &'a Schedule, machine: &'a [(String, String)]) -> Vec<(&'static str, Moment<'a>)> {
    let at = |now: u64| Moment { cues: cues(), ..running(schedule, Tick(now), machine) };
    let work = |span: &Span| span.purpose == Purpose::Work;
    let squat = first(schedule, |span| work(span) && span.switch_at().is_some());
    let row = first(schedule, |span| work(span) && span.block == 1 && span.doing == Doing::Station(1));
    let row_right = first(schedule, |span| span.start > row.start && work(span));
    let swing = first(schedule, |span| work(span) && span.block == 1 && span.doing == Doing::Station(3));
    let bug = first(schedule, |span| work(span) && span.block == 1 && span.doing == Doing::Station(2));
    let before_bug = first(schedule, |span| span.end == bug.start);
    let briefing = first(schedule, |span| span.purpose == Purpose::Briefing);
    let block_rest = first(schedule, |span| span.purpose == Purpose::BlockRest);
    let turn = first(schedule, |span| work(span) && span.doing == Doing::Turn(1));
    let own_pace = first(schedule, |span| work(span) && span.doing == Doing::AllAtOwnPace);
    let minutes = first(schedule, |span| work(span) && span.block == 4);
    let phase = |phase: Phase, moment: Moment<'a>| Moment { phase, ..moment };
    let view = |view: View, moment: Moment<'a>| Moment { view, ..moment };
    let held = Phase::Held { for_ms: 42_300, stopped: false };
    vec![
        ("ready", phase(Phase::Ready { begins_in_ms: Some(750_000), waited_ms: 0 }, at(0))),
        ("ready_on_key", phase(Phase::Ready { begins_in_ms: None, waited_ms: 0 }, at(0))),
        ("count_in", phase(Phase::CountIn { left_ms: 3_400 }, at(0))),
        ("briefing", at(briefing.start.0 + 10_000)),
        ("gate", Moment { lost_ms: 12_000, ..phase(Phase::Gate { waited_ms: 12_000 }, at(squat.start.0)) }),
        ("work_left", at(squat.working_from().0 + 5_200)),
        ("switch", at(squat.switch_at().unwrap().0 + 500)),
        ("work_right", at(squat.right_at().unwrap().0 + 5_200)),
        ("settle", at(bug.start.0.min(bug.end.0) + bug.settle.0 / 2)),
        ("settle_side", at(row_right.start.0 + row_right.settle.0 / 2)),
        ("settle_row", at(row.start.0 + row.settle.0 / 2)),
        ("work_row", at(row.working_from().0 + 6_500)),
        ("work", at(swing.working_from().0 + 8_250)),
        ("last", at(row_right.end.0 - 7_000)),
        ("last_left", at(squat.switch_at().unwrap().0 - 3_000)),
        ("rest", at(before_bug.start.0 + 3_000)),
        ("block_rest", at(block_rest.start.0 + 12_000)),
        ("turn", at(turn.start.0 + 20_000)),
        ("own_pace", at(own_pace.start.0 + 75_000)),
        ("minutes", at(minutes.start.0 + 12_000)),
        ("held", Moment { lost_ms: 62_300, ..phase(held, at(swing.start.0 + 15_000)) }),
        ("held_over", Moment { spare_ms: Some(-155_000), lost_ms: 185_000, ..phase(held, at(swing.start.0 + 15_000)) }),
        ("offer", Moment { offer: Some(LOSE), ..at(swing.working_from().0 + 8_250) }),
        ("offer_rest", Moment { offer: Some(LOSE), ..at(before_bug.start.0 + 3_000) }),
        ("offer_held", Moment { offer: Some(LOSE), ..phase(held, at(swing.start.0 + 15_000)) }),
        ("over", Moment { spare_ms: Some(-155_000), ..at(swing.working_from().0 + 8_250) }),
        ("stopped", phase(Phase::Held { for_ms: 42_300, stopped: true }, at(swing.start.0 + 15_000))),
        ("done_as_planned", phase(Phase::Done, at(schedule.total().0))),
        (
            "done",
            Moment {
                lost_ms: 62_300,
                changed: Changed { changes: 5, flags: 2, ..Changed::default() },
                ..phase(Phase::Done, at(schedule.total().0))
            },
        ),
        ("far_work", view(View::Far, at(squat.working_from().0 + 5_200))),
        ("far_last", view(View::Far, at(row_right.end.0 - 7_000))),
        ("far_rest", view(View::Far, at(block_rest.start.0 + 12_000))),
        ("help", view(View::Help, at(swing.start.0 + 15_000))),
        ("quit", view(View::Quit, at(swing.start.0 + 15_000))),
        (
            "message",
            Moment {
                message: Some("The sound device is gone. The class continues without sound. Plug the device in again."),
                muted: true,
                spare_ms: Some(-95_000),
                ..at(swing.start.0 + 15_000)
            },
        ),
    ]
}
