//! Finds movements by words with typing mistakes, and by their properties.

use class::movement::{
    Catalogue, EXACT, Movement, MovementQuery, Muscle, Pattern, Position, Region, Suitability, find,
};
use proptest::prelude::*;

fn query(words: &str) -> MovementQuery {
    MovementQuery { words: words.to_owned(), ..MovementQuery::default() }
}

fn ids(query: &MovementQuery) -> Vec<&'static str> {
    find(Catalogue::built_in(), query).iter().map(|hit| hit.movement.id.as_str()).collect()
}

fn first(words: &str) -> Option<&'static str> {
    ids(&query(words)).first().copied()
}

#[test]
fn an_empty_query_finds_everything_in_order() {
    let all: Vec<&str> = Catalogue::built_in().iter().map(|movement| movement.id.as_str()).collect();
    assert_eq!(ids(&MovementQuery::default()), all);
}

#[test]
fn a_name_as_written_is_found_first() {
    for movement in Catalogue::built_in().iter() {
        for name in [&movement.id, &movement.name, &movement.name.to_uppercase()].into_iter().chain(&movement.also) {
            let hits = find(Catalogue::built_in(), &query(name));
            assert_eq!((hits[0].movement.id.as_str(), hits[0].fit), (movement.id.as_str(), EXACT), "{name}");
        }
    }
}

#[test]
fn words_with_many_typing_mistakes_are_found() {
    for (typed, id) in [
        ("spilt sqaut", "split-squat"),
        ("splitsquat", "split-squat"),
        ("squat split", "split-squat"),
        ("goblet", "squat-goblet"),
        ("gobsqt", "squat-goblet"),
        ("pressups", "push-up"),
        ("Press-Ups", "push-up"),
        ("kettle bell swing", "bell-swing"),
        ("swings", "bell-swing"),
        ("romanian dedlift", "deadlift-romanian"),
        ("farmers walk", "farmer-carry"),
        ("half kneeling pres", "half-kneeling-press"),
        ("bycicle", "bicycle-crunch"),
        ("chair triceps dip", "box-dip"),
        ("crunchés", "crunch"),
    ] {
        assert_eq!(first(typed), Some(id), "{typed}");
    }
    assert_eq!(first("xylophone"), None);
    assert_eq!(first(&"squat ".repeat(100_000)).map(str::len), Some(5));
}

#[test]
fn a_word_may_be_a_muscle_a_pattern_a_position_or_a_kind_of_kit() {
    for (typed, holds) in [
        ("hamstrings", (|m| m.prime.contains(&Muscle::Hamstrings)) as fn(&Movement) -> bool),
        ("hinge", |m| m.pattern == Pattern::Hinge),
        ("side lying", |m| m.position == Position::SideLying),
        ("kettlebell", |m| m.kit.iter().any(|need| need.item.0 == "kettlebell")),
        ("band biceps", |m| m.prime.contains(&Muscle::Biceps) && m.kit.iter().any(|need| need.item.0 == "band")),
    ] {
        let hits = find(Catalogue::built_in(), &query(typed));
        assert!(holds(hits[0].movement), "{typed}: {}", hits[0].movement.id);
    }
}

#[test]
fn a_movement_must_match_every_field_of_the_query() {
    let query = MovementQuery {
        pattern: Some(Pattern::Push),
        position: Some(Position::Standing),
        kit: Some("Band".to_owned()),
        muscle: Some(Muscle::Triceps),
        ..MovementQuery::default()
    };
    assert_eq!(ids(&query), ["chest-press-band", "press-band"], "the prime mover first");
    let bare =
        MovementQuery { kit: Some("none".to_owned()), position: Some(Position::Supine), ..MovementQuery::default() };
    assert!(ids(&bare).contains(&"glute-bridge") && !ids(&bare).contains(&"floor-press"));
}

#[test]
fn for_a_region_to_look_after_suitable_movements_come_first_and_none_is_hidden() {
    let query = MovementQuery { look_after: vec![Region::Wrist, Region::Supine], ..MovementQuery::default() };
    let hits = find(Catalogue::built_in(), &query);
    assert_eq!(hits.len(), Catalogue::built_in().len());
    assert!(hits.is_sorted_by_key(|hit| hit.suits()));
    for hit in &hits {
        let cautioned =
            hit.movement.cautions.iter().filter(|caution| query.look_after.contains(&caution.region)).count();
        assert_eq!(hit.alternatives.len(), cautioned);
        assert_eq!(hit.suits() == Suitability::AsItIs, cautioned == 0);
    }
}

/// A name with one letter swapped with the next, left out, doubled or changed.
fn mistyped() -> impl Strategy<Value = (usize, String)> {
    let names: Vec<(usize, String)> = Catalogue::built_in()
        .iter()
        .enumerate()
        .flat_map(|(index, movement)| [(index, movement.name.clone()), (index, movement.id.clone())])
        .collect();
    (prop::sample::select(names), any::<prop::sample::Index>(), 0..4u8, "[a-z]").prop_map(
        |((index, name), at, kind, other)| {
            let mut letters: Vec<char> = name.chars().collect();
            let at = at.index(letters.len() - 1);
            match kind {
                0 => letters.swap(at, at + 1),
                1 => drop(letters.remove(at)),
                2 => letters.insert(at, letters[at]),
                _ => letters[at] = other.chars().next().unwrap_or('x'),
            }
            (index, letters.into_iter().collect())
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_name_with_one_typing_mistake_is_found((index, typed) in mistyped()) {
        let meant = Catalogue::built_in().iter().nth(index).expect("a movement");
        let found = ids(&query(&typed));
        let place = found.iter().position(|id| *id == meant.id);
        prop_assert!(place.is_some_and(|place| place < 5), "{typed}: {} at {place:?} of {:?}", meant.id, &found[..found.len().min(6)]);
    }

    #[test]
    fn any_text_can_be_searched(words in "\\PC{0,60}") {
        let hits = find(Catalogue::built_in(), &query(&words));
        prop_assert!(hits.iter().all(|hit| (1..=EXACT).contains(&hit.fit)));
    }
}
