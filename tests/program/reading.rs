//! Reading works for any text: nothing panics, every fault has its place in the text, and nothing takes long.
//!
//! The texts are arbitrary characters, and sessions and faulty files with bytes and tokens removed, inserted and moved.
//! RON itself decides which texts are well written.

use std::fs;
use std::io::Write;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::str::FromStr;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use class::session::fault::FaultCode;
use class::session::fields::{FieldInfo, RecordKind};
use class::session::tree::{FileTree, TreeNode, TreeValue};
use class::session::{limits, parse};
use class::time::Tick;
use cli::faults::{FaultStyle, render};
use cli::session::{CheckedSession, check_text, summary};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use strum::IntoEnumIterator;

/// Sessions without faults and faulty ones.
static FILES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = |name| fs::read_dir(root.join(name)).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<PathBuf> = folder("sessions").chain(folder("tests/faulty")).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "ron"));
    paths.sort();
    paths.iter().map(|path| fs::read_to_string(path).unwrap()).collect()
});

/// Pieces that have a meaning in a session file, or look as if they had one.
const PIECES: &[&str] = &[
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'",
    ",",
    ":",
    "\\",
    "//",
    "/*",
    "*/",
    "\n",
    "\r\n",
    "\t",
    "\u{a0}",
    "#",
    "#![",
    "r#\"",
    "\"#",
    "b\"",
    "Some(",
    "None",
    "true",
    "-",
    "-1",
    "0",
    "0x1F",
    "1_000",
    "1.5",
    "1e308",
    "4294967295",
    "9223372036854775808",
    "title:",
    "blocks:",
    "stations:",
    "work:",
    "rest:",
    "rounds:",
    "sides:",
    "format:",
    "transitions:",
    "cautions:",
    "faults:",
    "emom(",
    "ladder(rungs:",
    "fixed(\"10s\")",
    "each_side",
    "\"45s\"",
    "\"1:30\"",
    "\"2-0-2-0\"",
    "\"squat\"",
    "\"\"",
    "\"\\u{1b}[2J\"",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{e9}",
    "\u{1f6f6}",
    "\u{0}",
];

fn check(text: &str) -> CheckedSession {
    check_text("class.ron".to_owned(), text.to_owned(), None, Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED)
}

/// The conditions that hold for every text.
fn holds(text: &str) -> Result<(), TestCaseError> {
    let checked = check(text);
    for placed in &checked.report.faults {
        for place in [&placed.place, &placed.related].into_iter().flatten() {
            prop_assert!(text.get(place.clone()).is_some(), "{place:?} of {:?}", placed.fault);
        }
    }
    prop_assert_eq!(checked.schedule.is_some(), checked.report.is_usable());
    let told = render(&checked, FaultStyle::Plain);
    prop_assert_eq!(told.is_empty(), checked.report.faults.is_empty());
    // A terminal would act on these characters.
    let obeyed = |c: char| c.is_control() && c != '\n';
    let said = told + &summary(&checked);
    prop_assert!(!said.contains(obeyed), "{said:?}");
    render(&checked, FaultStyle::Coloured);
    if let Some(schedule) = &checked.schedule {
        let mut end = Tick::ZERO;
        for span in &schedule.spans {
            prop_assert_eq!(span.start, end);
            prop_assert!(span.end > span.start);
            end = span.end;
        }
    }
    well_written(text)
}

/// The tree accepts every text that RON accepts as a session.
fn well_written(text: &str) -> Result<(), TestCaseError> {
    let Some(tree) = FileTree::read(text) else { return Ok(()) };
    for fault in &tree.faults {
        prop_assert!(text.get(fault.place.clone()).is_some(), "{fault:?}");
    }
    if let Some(root) = &tree.root {
        inside(text, root, &(0..text.len()))?;
    }
    if parse(text).is_ok() {
        prop_assert!(tree.root.is_some());
        prop_assert_eq!(&tree.faults, &vec![]);
    }
    Ok(())
}

/// Every value is inside the text and inside the value around it.
fn inside(text: &str, node: &TreeNode, around: &Range<usize>) -> Result<(), TestCaseError> {
    let place = &node.place;
    prop_assert!(text.get(place.clone()).is_some(), "{place:?}");
    prop_assert!(around.start <= place.start && place.end <= around.end, "{place:?} is not in {around:?}");
    match &node.value {
        TreeValue::Perhaps(Some(inner)) => inside(text, inner, place),
        TreeValue::List(items) | TreeValue::Tuple(_, items) => {
            items.iter().try_for_each(|item| inside(text, item, place))
        }
        TreeValue::Record(_, fields) => fields.iter().try_for_each(|field| {
            prop_assert!(text.get(field.name.place.clone()).is_some(), "{:?}", field.name);
            inside(text, &field.node, place)
        }),
        _ => Ok(()),
    }
}

/// Splits a text into pieces: words, numbers, texts in quotes, white space, single marks.
fn tokens(text: &str) -> Vec<&str> {
    let mut tokens = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let run = |belongs: fn(char) -> bool| rest.find(|c| !belongs(c)).unwrap_or(rest.len());
        let end = match first {
            '"' => rest[1..].find('"').map_or(rest.len(), |end| end + 2),
            c if c.is_whitespace() => run(char::is_whitespace),
            c if c.is_alphanumeric() || c == '_' => run(|c| c.is_alphanumeric() || c == '_'),
            c => c.len_utf8(),
        };
        tokens.push(&rest[..end]);
        rest = &rest[end..];
    }
    tokens
}

/// A random change to a file. Places are fractions of its length.
#[derive(Clone, Debug)]
enum Slip {
    TakeOutBytes(f64, usize),
    PutInByte(f64, u8),
    SwapBytes(f64, f64),
    TakeOutTokens(f64, usize),
    PutIn(f64, &'static str),
    SwapTokens(f64, f64),
    Repeat(f64, usize),
    CutOff(f64),
}

fn slip() -> impl Strategy<Value = Slip> {
    let at = || 0.0..1.0;
    prop_oneof![
        (at(), 1..30usize).prop_map(|(at, count)| Slip::TakeOutBytes(at, count)),
        (at(), any::<u8>()).prop_map(|(at, byte)| Slip::PutInByte(at, byte)),
        (at(), at()).prop_map(|(one, other)| Slip::SwapBytes(one, other)),
        (at(), 1..6usize).prop_map(|(at, count)| Slip::TakeOutTokens(at, count)),
        (at(), prop::sample::select(PIECES)).prop_map(|(at, piece)| Slip::PutIn(at, piece)),
        (at(), at()).prop_map(|(one, other)| Slip::SwapTokens(one, other)),
        (at(), 1..40usize).prop_map(|(at, count)| Slip::Repeat(at, count)),
        at().prop_map(Slip::CutOff),
    ]
}

fn slipped(text: &str, slip: &Slip) -> String {
    let of = |share: f64, length: usize| ((length as f64 * share) as usize).min(length.saturating_sub(1));
    let mut bytes = text.as_bytes().to_vec();
    let mut tokens = tokens(text);
    if tokens.is_empty() {
        return String::new();
    }
    match *slip {
        Slip::TakeOutBytes(at, count) => {
            let at = of(at, bytes.len());
            bytes.drain(at..(at + count).min(bytes.len()));
        }
        Slip::PutInByte(at, byte) => bytes.insert(of(at, bytes.len()), byte),
        Slip::SwapBytes(one, other) => {
            let (one, other) = (of(one, bytes.len()), of(other, bytes.len()));
            bytes.swap(one, other);
        }
        Slip::CutOff(at) => bytes.truncate(of(at, bytes.len())),
        Slip::TakeOutTokens(at, count) => {
            let at = of(at, tokens.len());
            tokens.drain(at..(at + count).min(tokens.len()));
            return tokens.concat();
        }
        Slip::PutIn(at, piece) => {
            tokens.insert(of(at, tokens.len()), piece);
            return tokens.concat();
        }
        Slip::SwapTokens(one, other) => {
            let (one, other) = (of(one, tokens.len()), of(other, tokens.len()));
            tokens.swap(one, other);
            return tokens.concat();
        }
        Slip::Repeat(at, count) => {
            let at = of(at, tokens.len());
            let again = tokens[at..(at + count).min(tokens.len())].to_vec();
            tokens.splice(at..at, again);
            return tokens.concat();
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A file with some random changes.
fn slips() -> impl Strategy<Value = String> {
    (0..FILES.len(), prop::collection::vec(slip(), 1..6))
        .prop_map(|(file, slips)| slips.iter().fold(FILES[file].clone(), |text, slip| slipped(&text, slip)))
}

/// A file written in another way that nearly always has the same meaning to RON.
fn rewritten() -> impl Strategy<Value = String> {
    (0..FILES.len(), prop::collection::vec(0..40u8, 1..400)).prop_map(|(file, ways)| {
        let mut text = String::new();
        for (token, way) in tokens(&FILES[file]).into_iter().zip(ways.iter().cycle()) {
            let is_text = token.len() > 1 && token.starts_with('"') && token.ends_with('"') && !token.contains('\\');
            let is_number = token.bytes().all(|byte| byte.is_ascii_digit());
            let is_space = token.trim().is_empty();
            match way {
                0 if is_text => text += &format!("r#{token}#"),
                1 if is_text => text += &format!("r{token}"),
                2 if is_text => text += &format!("Some({token})"),
                3 if is_text => text += &format!("\"\\u{{41}}{}", &token[1..]),
                4 if is_text => text += &format!("\"\\x41\u{e9}{}", &token[1..]),
                5 if is_number => text += &format!("Some({token})"),
                6 if is_number => text += &format!("+{token}"),
                7 if is_number => text += &format!("{token}_"),
                8 if is_number => text += "0x1_F",
                9 if is_number => text += "0b11",
                10 if is_space => text += "\r\n/* a \u{1f6f6} /* b */ c */ // d\n",
                11 if is_space => text += "\u{2028}\u{b}",
                12 if token == "]" || token == ")" => text += &format!(",{token}"),
                13 if token.starts_with(|c: char| c.is_ascii_lowercase()) => text += &format!("r#{token}"),
                _ => text += token,
            }
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text(text in any::<String>()) {
        holds(&text)?;
    }

    #[test]
    fn any_pieces(pieces in prop::collection::vec(prop::sample::select(PIECES), 0..60)) {
        holds(&pieces.concat())?;
        holds(&format!("(title: \"a\", blocks: [(name: \"b\", work: \"30s\", stations: [\"squat\", {}", pieces.concat()))?;
    }

    #[test]
    fn any_slips(text in slips()) {
        holds(&text)?;
    }

    #[test]
    fn any_rewriting(text in rewritten()) {
        holds(&text)?;
    }
}

#[test]
fn the_conditions_hold_for_every_file() {
    for text in FILES.iter() {
        holds(text).unwrap();
    }
}

/// Without enough well-written texts, the tree would hardly be tested.
#[test]
fn many_rewritings_are_well_written() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let texts = (0..200).map(|_| rewritten().new_tree(&mut runner).unwrap().current());
    let well = texts.filter(|text| parse(text).is_ok()).count();
    assert!(well >= 50, "{well} of 200");
}

/// Checks a malicious text. It must end in a fault within a short time.
#[track_caller]
fn bomb(text: &str) -> CheckedSession {
    let begun = Instant::now();
    let checked = check(text);
    let told = render(&checked, FaultStyle::Plain);
    let took = begun.elapsed();
    assert!(!checked.report.is_usable(), "{}", summary(&checked));
    assert!(told.len() < 1_000_000, "{} bytes told", told.len());
    // The limit allows for a slow, busy computer and a build without optimisation. Quadratic time would take minutes.
    assert!(took < Duration::from_secs(30), "took {took:?}");
    checked
}

fn codes(checked: &CheckedSession) -> Vec<FaultCode> {
    checked.report.faults.iter().map(|placed| placed.fault.code).collect()
}

/// A session of one block with a field and a list of stations.
fn with(field: &str, stations: &str) -> String {
    format!("(title: \"Bomb\", blocks: [(name: \"A\", {field}, stations: [{stations}])])")
}

#[test]
fn deeply_nested_brackets_end_in_a_fault() {
    for (open, close) in [("(", ")"), ("[", "]"), ("{", "}"), ("Some(", ")"), ("a(", ")"), ("(a:", ")"), ("{1:", "}")] {
        for deep in [65, 129, 1_000, 100_000] {
            for text in [open.repeat(deep), format!("{}{}", open.repeat(deep), close.repeat(deep))] {
                let codes = [codes(&bomb(&text)), codes(&bomb(&with("work: \"30s\"", &text)))];
                for codes in codes {
                    let told = |code| codes.contains(&code);
                    assert!(
                        told(FaultCode::TooDeep) || told(FaultCode::Syntax) || told(FaultCode::WrongKind),
                        "{codes:?}"
                    );
                }
            }
        }
    }
    let balanced = with("work: \"30s\"", &format!("{}{}", "[".repeat(10_000), "]".repeat(10_000)));
    assert_eq!(codes(&bomb(&balanced)), [FaultCode::TooDeep]);
    bomb(&"/*".repeat(60_000));
}

#[test]
fn huge_numbers_end_in_a_fault() {
    for (number, code) in [
        ("4294967295", FaultCode::NumberRange),
        ("9223372036854775807", FaultCode::NumberRange),
        ("-9223372036854775808", FaultCode::NumberRange),
        ("0", FaultCode::NumberRange),
        ("9223372036854775808", FaultCode::WrongKind),
        ("340282366920938463463374607431768211456", FaultCode::WrongKind),
        ("1e308", FaultCode::WrongKind),
        ("1e999999999", FaultCode::WrongKind),
        ("inf", FaultCode::WrongKind),
        ("NaN", FaultCode::WrongKind),
    ] {
        assert_eq!(codes(&bomb(&with(&format!("work: \"30s\", rounds: {number}"), "\"squat\""))), [code], "{number}");
    }
    bomb(&with(&format!("work: \"30s\", rounds: {}", "9".repeat(1_000_000)), "\"squat\""));
    for length in ["99999999999h", "999999999999999999999999s", "1e308s", "9:99:99:99"] {
        assert_eq!(
            codes(&bomb(&with(&format!("work: \"{length}\""), "\"squat\""))),
            [FaultCode::BadLength],
            "{length}"
        );
    }
}

#[test]
fn a_session_that_expands_too_far_ends_in_a_fault() {
    let many = "\"squat\",".repeat(1_000);
    for format in
        ["circuit", "sets", "intervals(count: 10000)", "amrap(time: \"23h\")", "emom(every: \"1m\")", "rotation"]
    {
        let text = with(&format!("work: \"45s\", rest: \"0s\", rounds: 1000, format: {format}"), &many);
        let codes = codes(&bomb(&text));
        assert!(codes.contains(&FaultCode::TooMuch), "{format}: {codes:?}");
    }
    let rungs = "\"1s\",".repeat(20_000);
    bomb(&with(&format!("rounds: 1000, format: ladder(rungs: [{rungs}], way: both)"), &many));
    assert!(codes(&bomb(&with("work: \"1s\"", &"\"squat\",".repeat(300_000)))).contains(&FaultCode::ListTooLong));
    let blocks = "(name: \"A\", work: \"1s\", stations: [\"squat\"]),".repeat(20_000);
    assert!(codes(&bomb(&format!("(title: \"Bomb\", blocks: [{blocks}])"))).contains(&FaultCode::ListTooLong));
}

/// Very many faults, of every kind that could get slower with each fault before it.
#[test]
fn the_time_for_many_faults_is_proportional_to_their_number() {
    let numbered = |count: usize, piece: fn(usize) -> String| (0..count).map(piece).collect::<String>();
    let fields = |count| numbered(count, |n| format!("f{n}:1,"));
    bomb(&format!("({})", fields(20_000)));
    bomb(&format!("({})", "title:\"a\",".repeat(20_000)));
    bomb(&with(&fields(20_000), "\"squat\""));
    bomb(&with("work: \"1s\"", &format!("({})", fields(20_000))));
    // Beyond the limit of the tree, only RON reads the text.
    bomb(&format!("({})", fields(400_000)));
    for station in
        ["1,", "(),", "\"no-such\",", "(move:\"squat\",x:1,work:\"0s\"),", "squat,", "(name:\"\",work:1),", "#,"]
    {
        bomb(&with("work: \"1s\"", &station.repeat(10_000)));
        bomb(&with("work: \"1s\"", &format!("{station}\n").repeat(10_000)));
    }
    bomb(&with(&format!("work: \"1s\", focus: [{}]", "x,".repeat(60_000)), "\"squat\""));
    bomb(&with(&format!("work: \"1s\", note: \"{}\"", "\\q".repeat(60_000)), "\"squat\""));
}

#[test]
fn a_file_of_the_largest_size_is_read() {
    let most = usize::try_from(limits::FILE).unwrap();
    // Only some kinds of pieces, so that a build without optimisation is fast enough.
    for piece in
        [" ", "\n", "a", "1", "\"", "\\", "'", ",", ":", "(", "[", "//", "/*", "\"\n", "#\n", "a:1,", "\u{e9}", "\0"]
    {
        let text = piece.repeat(most / 64 / piece.len());
        bomb(&text);
        let open = with("work: \"30s\"", "");
        bomb(&format!("{}{}", &open[..open.len() - 3], &text[..text.len() - 2 * open.len()]));
    }
    assert_eq!(codes(&bomb(&" ".repeat(most + 1))), [FaultCode::FileTooLarge]);
}

fn forecall(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Writing fails when the program has already ended. The result is checked below.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn printed(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn the_exit_code_of_check_shows_what_it_found() {
    let code = |arguments: &[&str], input: &str| forecall(arguments, input).status.code();
    let good = with("work: \"40s\"", "\"squat\"");
    assert_eq!(code(&["check", "-"], &good), Some(0));
    assert_eq!(code(&["check", "-"], &with("work: \"40s\", rounds: 0", "\"squat\"")), Some(1));
    assert_eq!(code(&["check", "sessions/first-look.ron", "tests/faulty/work_not_said.ron"], ""), Some(1));
    assert_eq!(code(&["check", "sessions/no-such.ron"], ""), Some(2));
    assert_eq!(code(&["check", "sessions/no-such.ron", "tests/faulty/work_not_said.ron"], ""), Some(2));
    assert_eq!(code(&["check"], ""), Some(2));
    // A class with only warnings can be led.
    let output = forecall(&["check", "tests/faulty/named_twice.ron"], "");
    let codes = (printed(&output).contains("warning["), printed(&output).contains("fault["), output.status.code());
    assert!(matches!(codes, (_, true, Some(1)) | (true, false, Some(0))), "{codes:?}");
    // A byte order mark is not part of the text.
    assert_eq!(code(&["check", "-"], &format!("\u{feff}{good}")), Some(0));
}

#[test]
fn check_prints_json() {
    let text =
        "(\n    title: \"\u{e9}\", blocks: [(name: \"A\", rounds: 0, work: \"40s\", stations: [\"squat\"])],\n)\n";
    let output = forecall(&["check", "--json", "-"], text);
    assert_eq!(output.status.code(), Some(1));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let file = &json["files"][0];
    assert_eq!(
        (&json["version"], &file["file"], &file["usable"]),
        (&1.into(), &"standard input".into(), &false.into())
    );
    let fault = &file["faults"][0];
    assert_eq!((&fault["severity"], &fault["code"]), (&"fault".into(), &"number_range".into()));
    // Counted by hand on the second line: the letter with its accent is one column.
    let at = serde_json::json!({ "line": 2, "column": 46, "end_line": 2, "end_column": 47 });
    assert_eq!(fault["at"], at);

    let output = forecall(&["check", "--json", "-"], &with("work: \"40s\"", "\"squat\""));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((&json["files"][0]["usable"], &json["files"][0]["total_ms"]), (&true.into(), &40_000.into()));
}

#[test]
fn check_looks_after_the_regions_that_it_is_given() {
    let text = with("work: \"40s\"", "(name: \"Oar press\", cautions: [(wrist, leave_out)]), (name: \"Oar hold\")");
    let alone = forecall(&["check", "-"], &text);
    assert_eq!((alone.status.code(), printed(&alone).contains("no_alternative")), (Some(0), false));
    assert_eq!(forecall(&["check", "--look-after", "wirst", "-"], &text).status.code(), Some(2));
    let text = fs::read_to_string("tests/faulty/minded_and_nothing_instead.ron").unwrap();
    let (before, after) = text.split_once("look_after: [").unwrap();
    let (regions, after) = after.split_once("]").unwrap();
    let unminded = format!("{before}look_after: []{after}");
    assert!(!printed(&forecall(&["check", "-"], &unminded)).contains("[no_alternative]"));
    let asked = regions.replace(' ', "");
    assert!(printed(&forecall(&["check", "--look-after", &asked, "-"], &unminded)).contains("no_alternative"));
}

/// A session with an example of a field in its record, and the other fields that the record needs.
fn example(record: RecordKind, field: &FieldInfo) -> String {
    let given = format!("{}: {}", field.name, field.example);
    let others = |names: &[&str]| -> String {
        let fields = names.iter().filter(|name| **name != field.name).filter_map(|name| record.field(name));
        fields.map(|other| format!(", {}: {}", other.name, other.example)).collect()
    };
    let station = |what: &str| with("work: \"45s\"", what);
    let only_described = field.meaning.contains("Only with `name`");
    match record {
        RecordKind::Session => format!("({given}{})", others(&["title", "blocks"])),
        RecordKind::Block if field.name == "reps" => {
            format!("(title: \"T\", blocks: [({given}{})])", others(&["name", "stations"]))
        }
        RecordKind::Block => format!("(title: \"T\", blocks: [({given}{})])", others(&["name", "work", "stations"])),
        RecordKind::Station if field.name == "name" || only_described => {
            station(&format!("({given}{})", others(&["name"])))
        }
        RecordKind::Station => station(&format!("({given}{})", others(&["move"]))),
        RecordKind::Owned if field.name == "shared" => {
            format!("(title: \"T\", kit: [({given}{})]{}", others(&["item"]), &station("\"squat\"")[14..])
        }
        RecordKind::Owned => {
            format!("(title: \"T\", kit: [({given}{})]{}", others(&["item", "each"]), &station("\"squat\"")[14..])
        }
        RecordKind::Allowance => {
            format!("(title: \"T\", allow: [({given}{})]{}", others(&["rule", "why"]), &station("\"squat\"")[14..])
        }
        RecordKind::Kit => station(&format!("(move: \"squat\", kit: [({given}{})])", others(&["item"]))),
        RecordKind::Correction => {
            station(&format!("(move: \"squat\", faults: [({given}{})])", others(&["fault", "fix"])))
        }
        RecordKind::Tier => station(&format!("(move: \"squat\", easier: ({given}{}))", others(&["what"]))),
        RecordKind::Emom => with(&format!("work: \"45s\", format: emom({given})"), "\"squat\""),
        RecordKind::Amrap => with(&format!("reps: 8, format: amrap({given})"), "\"squat\""),
        RecordKind::Ladder => with(&format!("format: ladder({given}{})", others(&["rungs"])), "\"squat\""),
        RecordKind::Intervals => {
            with(&format!("work: \"45s\", format: intervals({given}{})", others(&["count"])), "\"squat\"")
        }
    }
}

#[test]
fn every_field_that_explain_names_is_accepted() {
    let overview = printed(&forecall(&["explain"], ""));
    let mut named = 0;
    let mut record = None;
    let mut wrong = String::new();
    for line in overview.lines() {
        if let Ok(heading) = RecordKind::from_str(line) {
            record = Some(heading);
        } else if let Some(line) = line.strip_prefix("  ") {
            let record = record.unwrap();
            let field = record.field(line.split_whitespace().next().unwrap()).unwrap();
            named += 1;
            let text = example(record, field);
            let checked = check(&text);
            if !checked.report.is_usable() {
                wrong += &format!("{record}.{}\n{}\n", field.name, render(&checked, FaultStyle::Plain));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert_eq!(named, RecordKind::iter().map(|record| record.fields().len()).sum::<usize>());

    let asked = forecall(&["explain", "block.rest"], "");
    let example = format!("example     rest: {}", RecordKind::Block.field("rest").unwrap().example);
    assert!(printed(&asked).contains(&example) && asked.status.success());
    assert_eq!(forecall(&["explain", "no-such"], "").status.code(), Some(1));
}

#[test]
fn faults_as_people_read_them() {
    for name in ["many_faults_of_all_kinds", "quote_missing", "field_written_twice", "slot_exceeded"] {
        let output = forecall(&["check", &format!("tests/faulty/{name}.ron")], "");
        insta::assert_snapshot!(name, printed(&output));
    }
}
