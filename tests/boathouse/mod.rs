//! An invented class at a community boathouse, built by hand, and the moments at which screens are drawn.
// Several runners have this module, so it is public in each.
#![allow(unreachable_pub)]
#![allow(dead_code, reason = "each test and bench uses a part of it")]

use std::sync::{Arc, LazyLock};
use std::time::Duration;

use jiff::SignedDuration;

use class::cue::{PlannedCue, SpeechSettings, plan_and_insert_cues};
use class::movement::{
    Caution, CautionAlternative, Correction, KitItem, Load, Movement, Muscle, NeededKit, Pattern, Position, Region,
    Sides, TempoGuide, Tier,
};
use class::schedule::{Activity, Schedule, Span, SpanPurpose, compile};
use class::session::{
    Block, BlockFormat, BlockKind, BlockStart, KitAmount, OwnedKit, Session, SpeechLevel, Station, TransitionMode,
    WorkAmount,
};
use class::time::{FirstPhase, Tempo, Tick};
use stage::lead::{ClassChanges, ClassPhase, Keymap, Moment, ScreenView, ShownOffer};

pub fn movement(name: &str, short: &str, position: Position, kit: &[(&str, Option<Load>)], sides: Sides) -> Movement {
    Movement {
        id: name.to_lowercase().replace(' ', "-"),
        name: name.to_owned(),
        short: short.to_owned(),
        said: None,
        also: Vec::new(),
        pattern: Pattern::Hinge,
        position,
        kit: kit.iter().map(|&(item, load)| NeededKit { item: KitItem(item.to_owned()), load, count: 1 }).collect(),
        sides,
        prime: vec![Muscle::Hamstrings],
        helping: Vec::new(),
        loaded: true,
        skill: false,
        guide: Some(TempoGuide {
            tempo: Tempo { counts: [2, 1, 2, 0] },
            starts: FirstPhase::Lower,
            lower: "lower".to_owned(),
            lift: "lift".to_owned(),
        }),
        setup: "Stand a foot's length in front of the box, feet under your hips".to_owned(),
        prompts: vec!["front heel heavy".to_owned(), "long back, ribs over hips".to_owned()],
        faults: vec![Correction { fault: "knee falling in".to_owned(), fix: "spread the floor".to_owned() }],
        easier: Some(Tier { what: "hand on the box".to_owned(), movement: None }),
        harder: Some(Tier { what: "three seconds down".to_owned(), movement: None }),
        cautions: vec![
            Caution { region: Region::Wrist, instead: CautionAlternative::Text("bell by the horn".to_owned()) },
            Caution {
                region: Region::Knee,
                instead: CautionAlternative::Movement {
                    id: "bell-deadlift".to_owned(),
                    name: "Kettlebell deadlift".to_owned(),
                },
            },
            Caution { region: Region::Balance, instead: CautionAlternative::LeaveOut },
        ],
    }
}

pub fn station(movement: Movement, seconds: u64) -> Station {
    Station {
        work: WorkAmount::Time(Tick::seconds(seconds)),
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

pub fn block(name: &str, kind: BlockKind, format: BlockFormat, rounds: u32, stations: Vec<Station>) -> Block {
    Block {
        name: name.to_owned(),
        kind,
        format,
        rounds,
        stations,
        round_rest: Tick::seconds(30),
        rest_after: Tick::seconds(75),
        transitions: TransitionMode::Inside,
        start: BlockStart::Auto,
        briefing: Tick::ZERO,
        focus: Vec::new(),
        aim: None,
        allow: Vec::new(),
        music: Arc::default(),
        calls: Vec::new(),
        level: SpeechLevel::Changes,
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
            guide: row.guide.map(|guide| TempoGuide {
                starts: FirstPhase::Lift,
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
    let reps = |reps: u32, station: Station| Station { work: WorkAmount::Reps(reps), ..station };
    let mut hinge = block(
        "Hinge",
        BlockKind::Main,
        BlockFormat::Circuit,
        2,
        vec![rest(0, station(squat(), 60)), station(row(), 45), station(bug(), 50), station(swing(), 40)],
    );
    hinge.start = BlockStart::OnKey;
    hinge.briefing = Tick::seconds(45);
    hinge.note = Some("Show the hinge with the stick first; ask who is new".to_owned());
    let at_place = |place: &str, station: Station| Station { place: Some(place.to_owned()), ..station };
    let rotation = block(
        "Round the hall",
        BlockKind::Main,
        BlockFormat::Rotation,
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
        BlockKind::Main,
        BlockFormat::Amrap { time: Tick::seconds(480) },
        1,
        vec![reps(10, station(swing(), 0)), reps(8, station(squat(), 0)), reps(12, station(carry(), 0))],
    );
    let minutes = block(
        "Minutes",
        BlockKind::Main,
        BlockFormat::Emom { every: Tick::MINUTE },
        3,
        vec![reps(6, station(swing(), 0))],
    );
    Session {
        title: "Frost and oars".to_owned(),
        slot: Some(Tick::seconds(45 * 60)),
        people: Some(12),
        look_after: vec![Region::Wrist],
        kit: vec![
            OwnedKit { item: KitItem("kettlebell".to_owned()), load: Some(Load::Heavy), amount: KitAmount::Each(1) },
            OwnedKit { item: KitItem("box".to_owned()), load: None, amount: KitAmount::Shared(4) },
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
        music_in_pause: false,
        allow: Vec::new(),
        blocks: vec![
            block(
                "Raise",
                BlockKind::WarmUp,
                BlockFormat::Circuit,
                1,
                vec![station(march(), 40), station(march(), 40)],
            ),
            hinge,
            rotation,
            own_pace,
            minutes,
            block("Let go", BlockKind::CoolDown, BlockFormat::Circuit, 1, vec![station(bug(), 60)]),
        ],
    }
}

pub fn schedule() -> Schedule {
    compile(Arc::new(session()))
}

/// The cues of [`schedule`] at the usual level, said and unsaid.
pub fn cues() -> &'static [PlannedCue] {
    static CUES: LazyLock<Vec<PlannedCue>> =
        LazyLock::new(|| plan_and_insert_cues(&mut schedule(), Tick::ZERO, &SpeechSettings::default()));
    &CUES
}

static LIST: Keymap = Keymap::LIST;

/// A running moment of a schedule; everything else is as in a class that goes well.
pub fn running<'a>(schedule: &'a Schedule, now: Tick, machine: &'a [(String, String)]) -> Moment<'a> {
    Moment {
        schedule,
        now,
        phase: ClassPhase::Running,
        ends_at: Some("18:59".to_owned()),
        spare: Some(SignedDuration::from_secs(40)),
        lost: Duration::ZERO,
        cues: &[],
        level: SpeechLevel::Changes,
        muted: false,
        view: ScreenView::Coach,
        changed: ClassChanges::default(),
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

const LOSE: ShownOffer = ShownOffer {
    words: "cut 2:35: leave something out",
    detail: Some("Dead bug, round 2 of Hinge"),
    ends_at: None,
    spare: Some(SignedDuration::from_secs(-35)),
    index: 1,
    count: 11,
};

/// A moment of [`schedule`] in every phase, by name.
pub fn moments<'a>(schedule: &'a Schedule, machine: &'a [(String, String)]) -> Vec<(&'static str, Moment<'a>)> {
    let at = |now: u64| Moment { cues: cues(), ..running(schedule, Tick(now), machine) };
    let work = |span: &Span| span.purpose == SpanPurpose::Work;
    let squat = first(schedule, |span| work(span) && span.switch_start().is_some());
    let row = first(schedule, |span| work(span) && span.block == 1 && span.activity == Activity::Station(1));
    let row_right = first(schedule, |span| span.start > row.start && work(span));
    let swing = first(schedule, |span| work(span) && span.block == 1 && span.activity == Activity::Station(3));
    let bug = first(schedule, |span| work(span) && span.block == 1 && span.activity == Activity::Station(2));
    let before_bug = first(schedule, |span| span.end == bug.start);
    let briefing = first(schedule, |span| span.purpose == SpanPurpose::Briefing);
    let block_rest = first(schedule, |span| span.purpose == SpanPurpose::BlockRest);
    let turn = first(schedule, |span| work(span) && span.activity == Activity::Turn(1));
    let own_pace = first(schedule, |span| work(span) && span.activity == Activity::AllAtOwnPace);
    let minutes = first(schedule, |span| work(span) && span.block == 4);
    let phase = |phase: ClassPhase, moment: Moment<'a>| Moment { phase, ..moment };
    let view = |view: ScreenView, moment: Moment<'a>| Moment { view, ..moment };
    let held = ClassPhase::Paused { lasted: Duration::from_millis(42_300), stopped: false };
    vec![
        (
            "ready",
            phase(ClassPhase::Ready { begins_in: Some(Duration::from_secs(750)), waited: Duration::ZERO }, at(0)),
        ),
        ("ready_on_key", phase(ClassPhase::Ready { begins_in: None, waited: Duration::ZERO }, at(0))),
        ("count_in", phase(ClassPhase::CountIn { left: Duration::from_millis(3_400) }, at(0))),
        ("briefing", at(briefing.start.0 + 10_000)),
        (
            "gate",
            Moment {
                lost: Duration::from_secs(12),
                ..phase(ClassPhase::Gate { waited: Duration::from_secs(12) }, at(squat.start.0))
            },
        ),
        ("work_left", at(squat.work_start().0 + 5_200)),
        ("switch", at(squat.switch_start().unwrap().0 + 500)),
        ("work_right", at(squat.right_start().unwrap().0 + 5_200)),
        ("settle", at(bug.start.0.min(bug.end.0) + bug.settle.0 / 2)),
        ("settle_side", at(row_right.start.0 + row_right.settle.0 / 2)),
        ("settle_row", at(row.start.0 + row.settle.0 / 2)),
        ("work_row", at(row.work_start().0 + 6_500)),
        ("work", at(swing.work_start().0 + 8_250)),
        ("last", at(row_right.end.0 - 7_000)),
        ("last_left", at(squat.switch_start().unwrap().0 - 3_000)),
        ("rest", at(before_bug.start.0 + 3_000)),
        ("block_rest", at(block_rest.start.0 + 12_000)),
        ("turn", at(turn.start.0 + 20_000)),
        ("own_pace", at(own_pace.start.0 + 75_000)),
        ("minutes", at(minutes.start.0 + 12_000)),
        ("held", Moment { lost: Duration::from_millis(62_300), ..phase(held, at(swing.start.0 + 15_000)) }),
        (
            "held_over",
            Moment {
                spare: Some(SignedDuration::from_secs(-155)),
                lost: Duration::from_secs(185),
                ..phase(held, at(swing.start.0 + 15_000))
            },
        ),
        ("offer", Moment { offer: Some(LOSE), ..at(swing.work_start().0 + 8_250) }),
        ("offer_rest", Moment { offer: Some(LOSE), ..at(before_bug.start.0 + 3_000) }),
        ("offer_held", Moment { offer: Some(LOSE), ..phase(held, at(swing.start.0 + 15_000)) }),
        ("over", Moment { spare: Some(SignedDuration::from_secs(-155)), ..at(swing.work_start().0 + 8_250) }),
        (
            "stopped",
            phase(
                ClassPhase::Paused { lasted: Duration::from_millis(42_300), stopped: true },
                at(swing.start.0 + 15_000),
            ),
        ),
        ("done_as_planned", phase(ClassPhase::Done, at(schedule.total().0))),
        (
            "done",
            Moment {
                lost: Duration::from_millis(62_300),
                changed: ClassChanges { changes: 5, marks: 2, ..ClassChanges::default() },
                ..phase(ClassPhase::Done, at(schedule.total().0))
            },
        ),
        ("far_work", view(ScreenView::Far, at(squat.work_start().0 + 5_200))),
        ("far_last", view(ScreenView::Far, at(row_right.end.0 - 7_000))),
        ("far_rest", view(ScreenView::Far, at(block_rest.start.0 + 12_000))),
        ("help", view(ScreenView::Help, at(swing.start.0 + 15_000))),
        ("quit", view(ScreenView::Quit, at(swing.start.0 + 15_000))),
        (
            "message",
            Moment {
                message: Some("The sound device is gone. The class continues without sound. Plug the device in again."),
                muted: true,
                spare: Some(SignedDuration::from_secs(-95)),
                ..at(swing.start.0 + 15_000)
            },
        ),
    ]
}
