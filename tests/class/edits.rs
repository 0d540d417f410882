//! Edits of a session file: an edit changes what it should, and every other byte stays the same.

use class::movement::Catalogue;
use class::session::edit::{EditError, SessionEdit, all_edited, edited};
use class::session::fault::{PathStep, ValuePath};
use class::session::read;
use proptest::prelude::*;

fn stations(block: usize) -> ValuePath {
    ValuePath(vec![PathStep::Field("blocks"), PathStep::Item(block), PathStep::Field("stations")])
}

fn block(block: usize) -> ValuePath {
    ValuePath(vec![PathStep::Field("blocks"), PathStep::Item(block)])
}

fn station(block: usize, station: usize) -> ValuePath {
    let mut path = stations(block);
    path.0.push(PathStep::Item(station));
    path
}

fn set(record: ValuePath, field: &'static str, value: &str) -> SessionEdit {
    SessionEdit::Set { record, field, value: value.to_owned() }
}

const WRITTEN: &str = r#"(
    title: "Land training", // for winter
    blocks: [
        // the long one
        (name: "Legs", work: "45s", stations: [
            // kit out first

            // both heels down
            "squat", // slow
            (move: "split-squat", sides: each_side), /* left first */
            "wall-sit"
        ]),
        (name: "Arms", work: "30s", stations: ["push-up", "row-bent-over"], note: "quiet"),
    ],
)
"#;

#[test]
fn a_value_is_replaced_in_place() {
    let text = edited(WRITTEN, &set(block(0), "work", "\"50s\"")).unwrap();
    assert_eq!(text, WRITTEN.replace("\"45s\"", "\"50s\""));
}

#[test]
fn a_new_field_goes_where_it_belongs() {
    let text = edited(WRITTEN, &set(block(1), "rest", "\"15s\"")).unwrap();
    assert_eq!(text, WRITTEN.replace("work: \"30s\",", "work: \"30s\", rest: \"15s\","));
    let text = edited(WRITTEN, &set(ValuePath::default(), "slot", "\"30m\"")).unwrap();
    assert_eq!(text, WRITTEN.replace("// for winter\n", "// for winter\n    slot: \"30m\",\n"));
}

#[test]
fn a_bare_station_becomes_a_record() {
    let text = edited(WRITTEN, &set(station(0, 2), "work", "\"20s\"")).unwrap();
    assert_eq!(text, WRITTEN.replace("\"wall-sit\"", "(move: \"wall-sit\", work: \"20s\")"));
}

#[test]
fn a_removed_field_leaves_no_comma() {
    let text = edited(WRITTEN, &SessionEdit::Clear { record: block(1), field: "note" }).unwrap();
    assert_eq!(text, WRITTEN.replace(", note: \"quiet\"", ""));
    let text = edited(WRITTEN, &SessionEdit::Clear { record: block(1), field: "work" }).unwrap();
    assert_eq!(text, WRITTEN.replace("work: \"30s\", ", ""));
    assert_eq!(edited(WRITTEN, &SessionEdit::Clear { record: block(1), field: "rounds" }).unwrap(), WRITTEN);
}

#[test]
fn a_station_moves_with_its_own_comments() {
    let down = SessionEdit::Move { list: stations(0), index: 0, into: stations(0), to: 2 };
    let text = edited(WRITTEN, &down).unwrap();
    let expected = WRITTEN
        .replace("            // both heels down\n            \"squat\", // slow\n", "")
        .replace("\"wall-sit\"\n", "\"wall-sit\",\n            // both heels down\n            \"squat\", // slow\n");
    assert_eq!(text, expected);
}

#[test]
fn a_station_moves_between_blocks_both_ways() {
    let away = SessionEdit::Move { list: stations(0), index: 2, into: stations(1), to: 1 };
    let text = edited(WRITTEN, &away).unwrap();
    let expected =
        WRITTEN.replace("            \"wall-sit\"\n", "").replace("[\"push-up\", ", "[\"push-up\", \"wall-sit\", ");
    assert_eq!(text, expected);
    let back = SessionEdit::Move { list: stations(1), index: 0, into: stations(0), to: 0 };
    let text = edited(WRITTEN, &back).unwrap();
    assert!(
        text.contains("            \"push-up\",\n            // both heels down\n            \"squat\", // slow\n")
    );
    assert!(text.contains("stations: [\"row-bent-over\"], note"));
}

#[test]
fn no_entry_becomes_part_of_a_line_comment() {
    let into_a_line = SessionEdit::Move { list: stations(0), index: 0, into: stations(1), to: 0 };
    let text = edited(WRITTEN, &into_a_line).unwrap();
    assert_eq!(text.matches("// slow").count(), 1);
    assert_eq!(text.matches("// both heels down").count(), 1);
}

#[test]
fn stations_are_inserted_at_every_place() {
    for (list, count) in [(0, 3), (1, 2)] {
        for index in 0..=count {
            let edit = SessionEdit::Insert { list: stations(list), index, value: "\"plank\"".into() };
            let text = edited(WRITTEN, &edit).unwrap();
            let out = SessionEdit::Remove { list: stations(list), index };
            let back = edited(&text, &out).unwrap();
            // A comma after the last entry may stay.
            let plain = |text: &str| text.replace("\"wall-sit\",", "\"wall-sit\"");
            assert_eq!(plain(&back), plain(WRITTEN), "{list} {index}: {text}");
        }
    }
}

#[test]
fn a_list_is_emptied_and_filled() {
    let edits = [
        SessionEdit::Remove { list: stations(1), index: 0 },
        SessionEdit::Remove { list: stations(1), index: 0 },
        SessionEdit::Insert { list: stations(1), index: 0, value: "\"plank\"".into() },
    ];
    let text = all_edited(WRITTEN, &edits).unwrap();
    assert_eq!(text, WRITTEN.replace("\"push-up\", \"row-bent-over\"", "\"plank\""));
}

#[test]
fn an_impossible_edit_is_refused() {
    let insert = |value: &str, index| SessionEdit::Insert { list: stations(0), index, value: value.into() };
    assert_eq!(edited("(title: \"x\", blocks: [", &insert("\"squat\"", 0)), Err(EditError::Faulty));
    assert_eq!(edited(WRITTEN, &insert("\"squat\"", 4)), Err(EditError::NotThere));
    assert_eq!(edited(WRITTEN, &insert("(move:", 0)), Err(EditError::BadValue));
    assert_eq!(edited(WRITTEN, &insert("\"a\", \"b\"", 0)), Err(EditError::BadValue));
    assert_eq!(edited(WRITTEN, &set(block(7), "work", "\"1m\"")), Err(EditError::NotThere));
    assert_eq!(edited(WRITTEN, &SessionEdit::Remove { list: block(0), index: 0 }), Err(EditError::NotThere));
}

/// Moves every station of every demo to every place of its block and makes it optional. The session that is read back
/// must be the expected one.
#[test]
fn demos_are_edited_and_read_back() {
    let catalogue = Catalogue::built_in();
    for file in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../sessions")).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let session = read(&text, catalogue).session.unwrap();
        for (at, planned) in session.blocks.iter().enumerate() {
            for index in 0..planned.stations.len() {
                for to in 0..planned.stations.len() {
                    let edit = SessionEdit::Move { list: stations(at), index, into: stations(at), to };
                    let edited = read(&edited(&text, &edit).unwrap(), catalogue).session.unwrap();
                    let mut meant = session.clone();
                    let moved = meant.blocks[at].stations.remove(index);
                    meant.blocks[at].stations.insert(to, moved);
                    assert_eq!(edited, meant);
                }
                let edit = set(station(at, index), "optional", "true");
                let edited = read(&edited(&text, &edit).unwrap(), catalogue).session.unwrap();
                let mut meant = session.clone();
                meant.blocks[at].stations[index].optional = true;
                assert_eq!(edited, meant);
            }
        }
    }
}

/// Text before, inside and after an entry, in usual and unusual layouts.
fn any_gap() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "",
        "",
        " ",
        "\n    ",
        "\r\n\t",
        "\n\n    ",
        "\n    // above\n    ",
        "\n// apart\n\n    // above\n    ",
        " /* beside */ ",
        " // behind\n    ",
        "/* /* nested */ [\"(, */",
        "\n    /* two\n lines */\n",
    ])
}

fn any_entry() -> impl Strategy<Value = String> {
    let value = prop::sample::select(vec![
        "\"squat\"",
        "\"a // b, [(\"",
        "r#\"raw \"),\"#",
        "(move: \"plank\", work: \"20s\")",
        "Some(\"lunge\")",
        "(\n        move: \"row\", // here\n        rest: \"5s\",\n    )",
    ]);
    (any_gap(), value, any_gap()).prop_map(|(before, value, behind)| format!("{before}{value}{behind}"))
}

fn any_list() -> impl Strategy<Value = (String, usize)> {
    (prop::collection::vec(any_entry(), 0..5), any::<bool>(), any_gap()).prop_map(|(entries, comma, gap)| {
        let comma = if comma && !entries.is_empty() { "," } else { "" };
        (format!("[{}{comma}{gap}]", entries.join(",")), entries.len())
    })
}

fn any_text() -> impl Strategy<Value = (String, [usize; 2])> {
    (any_list(), any_list(), any_gap(), any_gap()).prop_map(|((one, ones), (two, twos), before, behind)| {
        let text = format!(
            "// head\n(title: \"T\",{before}blocks: [(name: \"A\",{behind}stations: {one}), (stations: {two},{before}name: \"B\",)],{behind})\n// foot\n"
        );
        (text, [ones, twos])
    })
}

/// The comments of a text that are outside its values, sorted.
fn comments(text: &str) -> Vec<String> {
    let kinds = ["// head", "// foot", "// above", "// apart", "/* beside */", "// behind", "/* /* nested */ [\"(, */"];
    let kinds = kinds.into_iter().chain(["/* two\n lines */"]);
    kinds.flat_map(|kind| vec![kind.to_owned(); text.matches(kind).count()]).collect()
}

proptest! {
    #[test]
    fn any_layout_can_be_edited(
        (text, counts) in any_text(),
        from in (0..2_usize, any::<prop::sample::Index>()),
        to in (0..2_usize, any::<prop::sample::Index>()),
        what in 0..6,
    ) {
        let index = |(list, index): (usize, prop::sample::Index), more: usize| {
            (counts[list] + more > 0).then(|| (list, index.index(counts[list] + more)))
        };
        let edit = match what {
            0 => index(from, 1).map(|(list, index)| SessionEdit::Insert { list: stations(list), index, value: "\"new\"".into() }),
            1 => index(from, 0).map(|(list, index)| SessionEdit::Remove { list: stations(list), index }),
            2 => index(from, 0).map(|(list, index)| set(station(list, index), "work", "\"9s\"")),
            3 => Some(set(block(from.0), "work", "\"9s\"")),
            4 => Some(SessionEdit::Clear { record: block(from.0), field: "name" }),
            _ => index(from, 0).and_then(|(list, at)| {
                let more = usize::from(to.0 != list);
                let (into, to) = index((to.0, to.1), more)?;
                Some(SessionEdit::Move { list: stations(list), index: at, into: stations(into), to })
            }),
        };
        let edit = edit.unwrap_or_else(|| set(block(0), "work", "\"9s\""));
        let new = edited(&text, &edit);
        prop_assert!(new.is_ok(), "{edit:?}\n{text}\n{new:?}");
        let new = new.unwrap();
        match edit {
            SessionEdit::Remove { .. } | SessionEdit::Clear { .. } => {
                // The remaining comments were there before, in the same order.
                let mut left = text.chars();
                prop_assert!(new.chars().all(|c| left.any(|other| other == c)), "{edit:?}\n{text}\n{new}");
            }
            SessionEdit::Insert { .. } | SessionEdit::Set { .. } => {
                if !matches!(&edit, SessionEdit::Set { record, .. } if record.0.len() > 2) {
                    let mut kept = new.chars();
                    prop_assert!(text.chars().all(|c| kept.any(|other| other == c)), "{edit:?}\n{text}\n{new}");
                }
                prop_assert_eq!(comments(&text), comments(&new), "{:?}\n{}\n{}", edit, text, new);
            }
            SessionEdit::Move { .. } => prop_assert_eq!(comments(&text), comments(&new), "{:?}\n{}\n{}", edit, text, new),
        }
    }
}
