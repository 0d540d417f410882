//! The sound check: its arithmetic, its pages on a stepped clock, and the real binary in a pseudo-terminal.
#![cfg(unix)]

use crate::pty;

use std::process::{Command, Stdio};
use std::time::Duration;

use class::check::sight::{ViewingConditions, arc_minutes};
use class::schedule::Audience;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use pty::{Home, Term, binary};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use sound::voice::SpeechProgress;
use sound::{DeviceLatencies, DeviceState, DeviceStatus, StreamFormat, ToneSignal};
use stage::drawing::ScreenTheme;
use stage::runtime::ClockTime;
use stage::soundcheck::screen as picture;
use stage::soundcheck::{CoachAnswer, SoundCheck, SoundCheckOrder, SoundCheckPage, SystemStatus, test_sounds, verdict};
use strum::IntoEnumIterator;

fn playing(label: &'static str, device: &str) -> DeviceStatus {
    let format = StreamFormat { rate: 48_000, channels: 2, buffer: Some(4_800) };
    DeviceStatus { label, device: device.to_owned(), state: DeviceState::Playing, format: Some(format) }
}

fn sight(distance: u32) -> ViewingConditions {
    // The heights of the digits and names, in rows, on a screen of 24 rows.
    ViewingConditions { distance, height: 174, rows: 24, digits: 7.0, names: 3.5 }
}

fn machine() -> SystemStatus {
    SystemStatus {
        devices: vec![playing("sound", "Hall speaker"), playing("earpiece", "Headset")],
        voice: Some(SpeechProgress { done: 1, failed: 0, of: 1 }),
        battery: Some((80, true)),
        may_sleep: false,
        sight: Some(sight(4_000)),
    }
}

/// A check with a clock and keys.
struct Desk {
    check: SoundCheck,
    machine: SystemStatus,
    now: u64,
}

impl Desk {
    fn new(dials: DeviceLatencies) -> Desk {
        Desk { check: SoundCheck::new(dials, false, machine()), machine: machine(), now: 0 }
    }

    fn press(&mut self, code: KeyCode) -> Vec<SoundCheckOrder> {
        self.check.step(
            ClockTime(Duration::from_millis(self.now)),
            self.machine.clone(),
            &[KeyEvent::new(code, KeyModifiers::NONE)],
        )
    }

    fn step(&mut self, ms: u64) -> Vec<SoundCheckOrder> {
        self.now += ms;
        self.check.step(ClockTime(Duration::from_millis(self.now)), self.machine.clone(), &[])
    }

    fn to(&mut self, page: SoundCheckPage) -> Vec<SoundCheckOrder> {
        let mut effects = Vec::new();
        while self.check.page() != page {
            effects = self.press(KeyCode::Tab);
        }
        effects
    }

    fn shown(&self, columns: u16, rows: u16) -> String {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| picture::draw(frame, &self.check, &ScreenTheme::default())).unwrap();
        let cells = terminal.backend().buffer().clone();
        let row = |y| (0..columns).map(|x| cells[(x, y)].symbol()).collect::<String>().trim_end().to_owned();
        (0..rows).map(row).collect::<Vec<_>>().join("\n")
    }
}

#[test]
fn the_size_of_lettering_follows_the_standard() {
    // Heights in millimetres, distances in metres, and their minutes of arc: ISO 9241-3 by the formula of NUREG-0700.
    for (height, distance, minutes) in [(18.62, 4.0, 16.0), (23.27, 4.0, 20.0), (25.60, 4.0, 22.0), (46.54, 8.0, 20.0)]
    {
        let found = arc_minutes(height, distance * 1000.0);
        assert!((found - minutes).abs() < 0.01, "{height} mm at {distance} m: {found}");
    }
    // A row of 24 on 174 mm is 7.25 mm; names of three and a half rows are 25.4 mm.
    let (digits, names) = sight(4_000).arc_minutes();
    assert!((names - 21.8).abs() < 0.1 && (digits - 43.6).abs() < 0.2, "{digits} {names}");
    assert!(!sight(5_400).is_too_small() && sight(5_500).is_too_small());
    assert!(sight(4_000).reading_distance().abs_diff(5_453) < 10, "{}", sight(4_000).reading_distance());
}

#[test]
fn each_sound_can_be_played_in_order() {
    let mut desk = Desk::new(DeviceLatencies::default());
    desk.to(SoundCheckPage::Sounds);
    let played: Vec<SoundCheckOrder> = (0..test_sounds().len()).flat_map(|_| desk.press(KeyCode::Char(' '))).collect();
    for signal in ToneSignal::iter() {
        assert!(played.contains(&SoundCheckOrder::Tone(signal, None)), "{signal}");
    }
    for effect in [
        SoundCheckOrder::Sentence,
        SoundCheckOrder::Tone(ToneSignal::Start, Some(0)),
        SoundCheckOrder::Tone(ToneSignal::Start, Some(1)),
    ] {
        assert!(played.contains(&effect), "{effect:?}");
    }
    assert_eq!(played.len(), test_sounds().len());
    assert_eq!(desk.check.marked(), 0, "and from the first again");
}

#[test]
fn blink_and_click_meet_by_ten_milliseconds() {
    let mut dials = DeviceLatencies::default();
    dials.set("Hall speaker", Duration::from_millis(100));
    let mut desk = Desk::new(dials);
    desk.now = 700;
    let first = |effects: &[SoundCheckOrder]| {
        effects.iter().find(|effect| matches!(effect, SoundCheckOrder::Clicks { .. })).cloned()
    };
    // The engine was started with this dial, so the clicks are not sent any earlier than the dial says.
    let clicks = |first, ears, earlier| {
        Some(SoundCheckOrder::Clicks { first: ClockTime(Duration::from_millis(first)), ears, earlier })
    };
    assert_eq!(first(&desk.to(SoundCheckPage::Timing)), clicks(3_200, Audience::Class, 0));
    assert!(desk.check.blinks());
    assert_eq!(desk.check.changes_in(), Some(Duration::from_millis(200)));
    desk.step(200);
    assert!(!desk.check.blinks());
    assert_eq!(desk.check.changes_in(), Some(Duration::from_millis(2_300)));
    assert_eq!(first(&desk.press(KeyCode::Char('+'))), clicks(3_200, Audience::Class, 10));
    desk.step(2_300);
    assert!(desk.check.blinks());
    for _ in 0..3 {
        desk.press(KeyCode::Char('-'));
    }
    assert_eq!(first(&desk.press(KeyCode::Char('-'))), clicks(5_700, Audience::Class, -30));
    // The other device has its own latency.
    assert_eq!(first(&desk.press(KeyCode::Char('e'))), clicks(5_700, Audience::Coach, 0));
    assert_eq!(first(&desk.press(KeyCode::Char('+'))), clicks(5_700, Audience::Coach, 10));
    let left = desk.press(KeyCode::Tab);
    let Some(SoundCheckOrder::Keep(kept)) = left.first() else { panic!("{left:?}") };
    assert_eq!(kept.of("Hall speaker"), Duration::from_millis(70));
    assert_eq!(kept.of("Headset"), Duration::from_millis(10));
    // Device latencies that are saved already are not saved again.
    desk.press(KeyCode::BackTab);
    assert!(!desk.press(KeyCode::Tab).iter().any(|effect| matches!(effect, SoundCheckOrder::Keep(_))));
}

#[test]
fn a_latency_stays_within_its_limits() {
    let mut desk = Desk::new(DeviceLatencies::default());
    desk.to(SoundCheckPage::Timing);
    desk.press(KeyCode::Char('-'));
    assert_eq!(desk.check.device_adjusted().unwrap().1, 0);
    for _ in 0..300 {
        desk.press(KeyCode::Char('+'));
    }
    assert_eq!(desk.check.device_adjusted().unwrap().1, 2_000);
}

#[test]
fn a_key_of_a_remote_control_is_only_named() {
    let mut desk = Desk::new(DeviceLatencies::default());
    desk.to(SoundCheckPage::Keys);
    for (code, says) in [
        (KeyCode::PageDown, "does nothing in class"),
        (KeyCode::Right, "End this station or rest now"),
        (KeyCode::Char('q'), "End the class for good"),
        (KeyCode::Enter, "Start, pause, resume"),
    ] {
        assert_eq!(desk.press(code), []);
        assert_eq!(desk.check.page(), SoundCheckPage::Keys);
        let shown = desk.shown(80, 24).replace('\n', " ");
        assert!(shown.contains(says), "{code}: {shown}");
    }
}

#[test]
fn the_last_line_says_what_is_not_ready() {
    let ready = |machine: &SystemStatus| verdict(machine, CoachAnswer::Yes, CoachAnswer::None);
    assert_eq!(ready(&machine()).line(), "Ready.");
    let without = |state: DeviceState| {
        let mut machine = machine();
        machine.devices[0] = DeviceStatus { state, device: String::new(), format: None, ..machine.devices[0].clone() };
        ready(&machine).line()
    };
    assert_eq!(without(DeviceState::Missing("no sound device".into())), "Not ready: no sound (no sound device).");
    assert_eq!(without(DeviceState::Opening), "Not ready: the sound is still connecting.");
    let mut low = machine();
    low.battery = Some((29, false));
    assert_eq!(ready(&low).line(), "Not ready: the battery is at 29 % and not plugged in.");
    low.battery = Some((30, false));
    low.voice = Some(SpeechProgress { done: 0, failed: 1, of: 1 });
    low.sight = Some(sight(8_000));
    assert_eq!(ready(&low).line(), "Not ready: the voice does not speak; the screen cannot be read from 8 m.");
    let mut open = machine();
    open.may_sleep = true;
    let line = verdict(&open, CoachAnswer::None, CoachAnswer::No).line();
    assert_eq!(
        line,
        "Not ready: the other end does not hear the tones. Still to check: that the laptop stays awake; that everything \
         is heard at the back."
    );
}

#[test]
fn the_coach_chooses_the_distance() {
    let mut desk = Desk::new(DeviceLatencies::default());
    desk.to(SoundCheckPage::Sight);
    for _ in 0..8 {
        desk.press(KeyCode::Char('+'));
    }
    desk.step(1_000);
    assert_eq!(desk.check.machine().sight.unwrap().distance, 8_000);
    assert!(desk.check.verdict().line().contains("cannot be read from 8 m"));
}

#[test]
fn the_pages() {
    let mut desk = Desk::new(DeviceLatencies::default());
    let mut pages = String::new();
    for page in SoundCheckPage::iter() {
        desk.to(page);
        pages += &format!("---- {page:?}\n{}\n", desk.shown(80, 24));
    }
    insta::assert_snapshot!("pages", pages);
    // Every page can be drawn in a terminal of any size.
    for page in SoundCheckPage::iter().collect::<Vec<_>>().into_iter().rev() {
        while desk.check.page() != page {
            desk.press(KeyCode::BackTab);
        }
        for (columns, rows) in [(1, 1), (20, 5), (60, 18), (160, 45), (300, 90)] {
            desk.shown(columns, rows);
        }
    }
}

#[test]
fn without_a_terminal_the_check_is_printed_in_lines() {
    let home = Home::with("");
    let mut command = Command::new(binary());
    command.arg("soundcheck").args(["--device", "no such device"]);
    let output = command.env_clear().envs(home.environment()).stdin(Stdio::null()).output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("class end: the class is over"), "{said}");
    let last = said.lines().last().unwrap();
    assert!(last.starts_with("Not ready: no sound (no sound device"), "{said}");
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn the_sound_check_works_without_any_device() {
    let home = Home::with("");
    let mut term = Term::start(&home, binary(), &["soundcheck", "--device", "no such device"], 80, 24);
    term.see("1 of 8: devices");
    term.see("no sound device");
    for page in ["2 of 8", "3 of 8", "4 of 8", "5 of 8", "6 of 8"] {
        term.press("\t");
        term.see(page);
    }
    term.press(" ");
    term.see("It sends space");
    term.press("\t\t");
    term.see("8 of 8");
    term.press("q");
    assert_eq!(term.ends(), 1);
    assert!(term.text().contains("Not ready: no sound"), "{}", term.text());
}
