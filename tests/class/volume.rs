//! The volume of classes, against values computed by hand.

use crate::classes;

use class::movement::{Catalogue, Muscle, Pattern, Sides};
use class::schedule::{Schedule, SpanPurpose, compile};
use class::session::{BlockFormat, WorkAmount, read};
use class::time::{Tempo, Tick};
use class::training_volume::{VolumeTotals, volume, volume_between};
use classes::{any_session, block, session, station, station_of};
use proptest::prelude::*;

fn class(text: &str) -> Schedule {
    let reading = read(&format!("(title: \"Boat bay\", {text})"), Catalogue::built_in());
    compile(reading.session.unwrap_or_else(|| panic!("{:?}", reading.faults)).into())
}

fn muscles(part: &VolumeTotals) -> Vec<(Muscle, u64)> {
    part.muscles_by_time().into_iter().map(|(muscle, time)| (muscle, time.0 / 1000)).collect()
}

#[test]
fn two_published_circuits_have_their_published_figures() {
    // 20 s of work and 10 s of rest, eight times, are 230 s: Tabata et al. 1996, Med Sci Sports Exerc 28:1327.
    let sprints =
        class(r#"blocks: [(name: "B", format: intervals(count: 8), work: "20s", rest: "10s", stations: ["squat"])]"#);
    let class_of = volume(&sprints).class;
    assert_eq!((class_of.work, class_of.rest), (Tick::seconds(160), Tick::seconds(70)));
    // 160 / 230 = 69.565 %.
    assert_eq!(class_of.density(), Some(70));
    // Twelve stations of 30 s with 10 s between are 470 s: Klika and Jordan 2013, ACSM's Health & Fitness Journal
    // 17(3):8.
    let stations = (0..12).map(|at| {
        let mut station = station(&format!("station-{at}"), Tick::seconds(30));
        station.rest = Tick::seconds(10);
        station
    });
    let circuit = volume(&compile(session(vec![block(BlockFormat::Circuit, stations.collect())]))).class;
    assert_eq!((circuit.work, circuit.rest), (Tick::seconds(360), Tick::seconds(110)));
    // 360 / 470 = 76.596 %.
    assert_eq!(circuit.density(), Some(77));
}

#[test]
fn the_volume_of_a_class_agrees_with_a_sum_by_hand() {
    let class = class(
        r#"blocks: [
        (name: "Raise", kind: warm_up, work: "60s", rest_after: "30s", stations: ["march-tall"]),
        (name: "Legs", work: "44s", rest: "16s", rounds: 2, transitions: added, tempo: "2-0-2-0", stations: [
            "squat",
            (move: "split-squat", sides: left_then_right),
        ])]"#,
    );
    let volume = volume(&class);
    let [raise, legs] = &volume.blocks[..] else { panic!() };
    // A march has no repetitions and does not load any muscle.
    assert_eq!((raise.work, raise.rest, raise.reps), (Tick::seconds(60), Tick::ZERO, 0));
    assert_eq!(muscles(raise), []);
    // Two rounds: 44 s of squats, and 44 s minus a switch of 2 s (our estimate) of split squats. Three rests of 16 s.
    assert_eq!(legs.work, Tick::seconds(88 + 84));
    assert_eq!(legs.rest, Tick::seconds(3 * 16 + 2 * 2));
    // 44 s / 4 s = 11 squats; 21 s / 4 s = 5 split squats on each side.
    assert_eq!(legs.reps, 2 * 11 + 2 * 2 * 5);
    assert_eq!(legs.patterns[&Pattern::Squat], Tick::seconds(88));
    assert_eq!(legs.patterns[&Pattern::Lunge], Tick::seconds(84));
    // Both have quadriceps and glutes as prime movers in the catalogue.
    assert_eq!(muscles(legs), [(Muscle::Quadriceps, 172), (Muscle::Glutes, 172)]);
    // The rest between the blocks counts for the class, and for no block.
    assert_eq!(volume.class.rest, legs.rest + Tick::seconds(30));
    assert_eq!(volume.class.work + volume.class.rest, class.total());
}

/// Three groups rotate through three stations: each person is at each station once.
#[test]
fn a_rotation_is_shared_by_its_groups() {
    let mut squat = station("squat", Tick::seconds(60));
    squat.tempo = Some(Tempo { counts: [2, 0, 2, 0] });
    let catalogue = Catalogue::built_in();
    squat.movement = catalogue.get("squat").unwrap().clone();
    let hold = || station("hold", Tick::seconds(60));
    let class = compile(session(vec![block(BlockFormat::Rotation, vec![squat, hold(), hold()])]));
    let settled: Tick = class.spans.iter().map(|span| span.settle).sum();
    let of_class = volume(&class).class;
    assert_eq!(of_class.work, Tick::seconds(180) - settled);
    // Each station gets a third of the work; the first one gets the remainder too.
    assert!(of_class.muscles[&Muscle::Quadriceps].0.abs_diff(of_class.work.0 / 3) <= 6);
    // 15 repetitions in 60 s, and 13 where 8 s go into walking to the next station (our estimate). The three turns have
    // 15, 13 and 13, so each person has 13.
    assert_eq!(of_class.reps, (15 + 13 + 13) / 3);
}

#[test]
fn a_part_of_a_span_counts_up_to_its_end() {
    let mut lunge = classes::movement("lunge", class::movement::Position::Standing);
    lunge.sides = Sides::LeftThenRight;
    let class = compile(session(vec![block(
        BlockFormat::Circuit,
        vec![station_of(lunge, WorkAmount::Time(Tick::seconds(42)))],
    )]));
    let work = |from, until| volume_between(&class, Tick::seconds(from), Tick::seconds(until)).class.work;
    // The left side works until 20 s, the switch lasts until 22 s, the right side works until 42 s.
    assert_eq!(work(0, 42), Tick::seconds(40));
    assert_eq!(work(0, 21), Tick::seconds(20));
    assert_eq!(work(21, 42), Tick::seconds(20));
    assert_eq!(work(5, 30), Tick::seconds(15 + 8));
    assert_eq!(work(30, 10), Tick::ZERO);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]
    #[test]
    fn nothing_is_lost_or_counted_twice(session in any_session(), from in 0u64..600_000, length in 0u64..600_000) {
        let class = compile(session);
        let whole = volume(&class);
        prop_assert_eq!(whole.class.work + whole.class.rest, class.total());
        let between: Tick = class.spans.iter().filter(|span| span.purpose == SpanPurpose::BlockRest).map(|span| span.length()).sum();
        prop_assert_eq!(whole.blocks.iter().map(|part| part.rest).sum::<Tick>() + between, whole.class.rest);
        prop_assert_eq!(whole.class.patterns.values().copied().sum::<Tick>(), whole.class.work);
        let total = class.total();
        let (from, until) = (Tick(from).min(total), Tick(from + length).min(total));
        let parts = [(Tick::ZERO, from), (from, until), (until, total)].map(|(from, until)| volume_between(&class, from, until).class);
        prop_assert_eq!(parts.iter().map(|part| part.work).sum::<Tick>(), whole.class.work);
        prop_assert_eq!(parts.iter().map(|part| part.rest).sum::<Tick>(), whole.class.rest);
    }
}
