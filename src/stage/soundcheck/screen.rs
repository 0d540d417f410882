//! The pages of a sound check.

use std::hash::{DefaultHasher, Hash, Hasher};

use crossterm::event::{KeyCode, KeyEvent};
use ratatui::Frame;
use ratatui::layout::{Alignment, Rect};
use strum::IntoEnumIterator;

use crate::drawing::canvas::{Canvas, ScreenLayout, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize};
use crate::drawing::palette::ScreenTheme;
use crate::lead::LeadCommand;
use crate::runtime::{KeyBinding, command_of_key};
use crate::soundcheck::{CoachAnswer, SoundCheck, SoundCheckPage, TestSound, test_sounds};
use class::check::sight::{ViewingConditions, metres};
use class::session::block_letter;
use class::words::{WORDS, fill};
use sound::{DeviceState, DeviceStatus};

/// The height of capitals on a screen of `columns` × `rows`, in rows: of the digits, and of the names. A letter of four
/// rows has eight dots, of which a capital takes seven.
pub fn capitals(columns: u16, rows: u16) -> (f64, f64) {
    let room = ScreenLayout::of(Rect::new(0, 0, columns, rows));
    (f64::from(room.digits) * 3.5, f64::from(room.name) * 3.5)
}

/// Hashes everything that the picture depends on: the same hash means the same picture.
pub fn fingerprint(check: &SoundCheck) -> u64 {
    let mut hasher = DefaultHasher::new();
    (check.page(), check.marked(), check.answers(), check.awake(), check.message(), check.key()).hash(&mut hasher);
    let blinks = check.page() == SoundCheckPage::Timing && check.blinks();
    (blinks, check.device_adjusted().map(|(status, dial)| (status.device.clone(), dial))).hash(&mut hasher);
    format!("{:?}", check.machine()).hash(&mut hasher);
    hasher.finish()
}

/// Draws the open page over the whole frame.
pub fn draw(frame: &mut Frame, check: &SoundCheck, look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    let (inner, words) = (canvas.layout.inner, &WORDS.soundcheck);
    canvas.put(inner.x, inner.y, &words.title, look.faint());
    let number = SoundCheckPage::iter().position(|page| page == check.page()).unwrap_or(0) + 1;
    let numbers = [("number", number.to_string()), ("count", SoundCheckPage::iter().count().to_string())];
    let mut fillings: Vec<(&str, &str)> = numbers.iter().map(|(name, value)| (*name, value.as_str())).collect();
    fillings.push(("name", name(check.page())));
    canvas.put_right(inner.right(), inner.y, &fill(&words.page, &fillings), look.text());
    let foot = inner.bottom().saturating_sub(1);
    keys(&mut canvas, foot, check);
    if let Some(message) = check.message() {
        canvas.put(inner.x, foot.saturating_sub(1), message, look.strong());
    }
    let mut body = below(inner, if canvas.layout.airy { 2 } else { 1 });
    body.height = foot.saturating_sub(body.y + 1);
    match check.page() {
        SoundCheckPage::Devices => devices(&mut canvas, body, check),
        SoundCheckPage::Sounds => sounds(&mut canvas, body, check),
        SoundCheckPage::Timing => timing(&mut canvas, body, check),
        SoundCheckPage::Call => call(&mut canvas, body, check),
        SoundCheckPage::Sight => sight(&mut canvas, body, check),
        SoundCheckPage::Keys => draw_key_test(&mut canvas, body, check),
        SoundCheckPage::Power => power(&mut canvas, body, check),
        SoundCheckPage::Verdict => verdict(&mut canvas, body, check),
    }
}

/// The name of a page.
fn name(page: SoundCheckPage) -> &'static str {
    let words = &WORDS.soundcheck.pages;
    match page {
        SoundCheckPage::Devices => &words.devices,
        SoundCheckPage::Sounds => &words.sounds,
        SoundCheckPage::Timing => &words.timing,
        SoundCheckPage::Call => &words.call,
        SoundCheckPage::Sight => &words.sight,
        SoundCheckPage::Keys => &words.keys,
        SoundCheckPage::Power => &words.power,
        SoundCheckPage::Verdict => &words.verdict,
    }
}

fn keys(canvas: &mut Canvas, y: u16, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck, canvas.look);
    let (space, play) = ("space", words.play.as_str());
    let (yes, no, dial) = (words.sounds.yes.as_str(), words.sounds.no.as_str(), ("+ -", words.earlier_later.as_str()));
    let mut keys: Vec<(&str, &str)> = match check.page() {
        SoundCheckPage::Devices => vec![("k", &words.devices.awake_key)],
        SoundCheckPage::Sounds => vec![(space, play), ("↑ ↓", &words.choose), ("y", yes), ("n", no)],
        SoundCheckPage::Timing if check.machine().devices.len() > 1 => vec![dial, ("e", &words.timing.other)],
        SoundCheckPage::Timing => vec![dial],
        SoundCheckPage::Sight => vec![("+ -", &words.sight.how)],
        SoundCheckPage::Call => vec![(space, play), ("y", yes), ("n", no)],
        SoundCheckPage::Keys | SoundCheckPage::Power => vec![],
        SoundCheckPage::Verdict => vec![(space, words.leave.as_str())],
    };
    if check.page() != SoundCheckPage::Verdict {
        keys.insert(0, (&words.turn_keys, &words.turn));
    }
    let mut x = canvas.layout.inner.x;
    for (label, short) in keys {
        x = canvas.put(x, y, label, look.strong()) + 1;
        x = canvas.put(x, y, short, look.faint()) + 2;
    }
}

/// Describes a device: its state, its format, and how many ms earlier its sound is sent (`dial`).
pub fn device_words(status: &DeviceStatus, dial: u64) -> String {
    let words = &WORDS.soundcheck.devices;
    let machine = &WORDS.lead.system;
    match &status.state {
        DeviceState::Opening => machine.opening.clone(),
        DeviceState::Lost => fill(&machine.lost, &[("device", &status.device)]),
        DeviceState::Missing(why) => fill(&machine.missing, &[("why", why)]),
        DeviceState::Playing => {
            let mut line = status.device.clone();
            if let Some(format) = status.format {
                let numbers = [("rate", format.rate.to_string()), ("channels", format.channels.to_string())];
                let numbers = numbers.each_ref().map(|(name, value)| (*name, value.as_str()));
                line = format!("{line}: {}", fill(&words.format, &numbers));
            }
            if dial > 0 { line + &fill(&words.dial, &[("dial", &dial.to_string())]) } else { line }
        }
    }
}

/// The name of a sound, and what it means in class.
pub fn sound_words(sound: TestSound) -> (String, &'static str) {
    let words = &WORDS.soundcheck.sounds;
    match sound {
        TestSound::Tone(signal) => {
            let name = signal.to_string();
            let about = words.tones.get(&name).map_or("", String::as_str);
            (name.replace('_', " "), about)
        }
        TestSound::Sentence => (words.sentence.clone(), &WORDS.soundcheck.sentence),
        TestSound::Left => (WORDS.screen.signs.left.to_lowercase(), &words.left),
        TestSound::Right => (WORDS.screen.signs.right.to_lowercase(), &words.right),
    }
}

fn devices(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.devices, canvas.look);
    let mut left = body;
    for status in &check.machine().devices {
        canvas.put(left.x, left.y, status.label, look.faint());
        let playing = status.state == DeviceState::Playing;
        let line = device_words(status, check.latency_of(&status.device));
        let rows = canvas.put_wrapped(beside(left, 10), &line, if playing { look.text() } else { look.strong() });
        left = below(left, rows + 1);
    }
    if check.machine().devices.len() < 2 {
        left = below(left, canvas.put_wrapped(left, &words.no_ear, look.faint()) + 1);
    }
    canvas.put_wrapped(left, if check.awake() { &words.awake } else { &words.asleep }, look.text());
}

fn sounds(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.sounds, canvas.look);
    let rows = canvas.put_wrapped(body, &words.how, look.text());
    let list = below(body, rows + u16::from(canvas.layout.airy));
    let all = test_sounds();
    let ends = list.height.saturating_sub(2).max(1);
    // Scroll a long list so that the mark stays visible.
    let first = check.marked().saturating_sub(usize::from(ends).saturating_sub(1));
    for (row, (index, sound)) in (0..ends).zip(all.iter().enumerate().skip(first)) {
        let (name, about) = sound_words(*sound);
        let marked = index == check.marked();
        let style = if marked { look.strong() } else { look.text() };
        canvas.put(list.x, list.y + row, if marked { "▸" } else { " " }, style);
        let x = canvas.put(list.x + 2, list.y + row, &name, style);
        canvas.put(x.max(list.x + 14) + 1, list.y + row, about, look.faint());
    }
    ask(canvas, below(list, list.height.saturating_sub(1)), &words.question, check.answers().0);
}

/// Draws a question, with the answer if there is one.
fn ask(canvas: &mut Canvas, area: Rect, question: &str, answer: CoachAnswer) {
    let (words, look) = (&WORDS.soundcheck.sounds, canvas.look);
    let said = match answer {
        CoachAnswer::None => {
            canvas.put_wrapped(area, question, look.strong());
            return;
        }
        CoachAnswer::Yes => &words.yes,
        CoachAnswer::No => &words.no,
    };
    let line = format!("{question} {}", fill(&words.answered, &[("answer", said)]));
    canvas.put_wrapped(area, &line, look.strong());
}

fn timing(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.timing, canvas.look);
    let Some((status, dial)) = check.device_adjusted() else {
        canvas.put_wrapped(body, &words.nothing, look.text());
        return;
    };
    let rows = canvas.put_wrapped(body, &words.how, look.text());
    let fillings = [("device", status.device.as_str()), ("dial", &dial.to_string())];
    let line = fill(&words.dial, &fillings);
    let rows = rows + canvas.put_wrapped(below(body, rows), &line, look.strong()) + 1;
    // Half as wide as the page, so that it can be seen from anywhere in the room.
    let mark = below(body, rows);
    let fill = if check.blinks() { "█" } else { "░" };
    let style = if check.blinks() { look.strong() } else { look.line() };
    let width = mark.width / 2;
    for y in mark.y..mark.bottom() {
        canvas.put(mark.x + mark.width / 4, y, &fill.repeat(usize::from(width)), style);
    }
}

fn call(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.call, canvas.look);
    ask(canvas, Rect { height: 2, ..body }, &words.question, check.answers().1);
    let mut left = below(body, 3);
    left = below(left, canvas.put_wrapped(left, &words.how, look.text()) + 1);
    for line in &words.todo {
        canvas.put(left.x, left.y, "·", look.faint());
        left = below(left, canvas.put_wrapped(beside(left, 2), line, look.text()));
    }
}

/// Says how large the letters look from the coach's distance, and from how far away they can be read.
pub fn sight_words(sight: &ViewingConditions) -> String {
    let words = &WORDS.soundcheck.sight;
    let (digits, names) = sight.arc_minutes();
    let minutes = |minutes: f64| format!("{minutes:.0}");
    fill(
        &words.reaches,
        &[
            ("distance", &metres(sight.distance)),
            ("digits", &fill(&words.digits, &[("minutes", &minutes(digits))])),
            ("names", &fill(&words.names, &[("minutes", &minutes(names))])),
            ("reach", &metres(sight.reading_distance())),
            ("height", &sight.height.to_string()),
        ],
    )
}

fn sight(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.sight, canvas.look);
    let Some(sight) = check.machine().sight else { return };
    let rows = canvas.put_wrapped(body, &sight_words(&sight), look.text());
    let small = sight.is_too_small();
    let more = if small { &words.too_small } else { &words.better };
    let rows = rows + canvas.put_wrapped(below(body, rows), more, if small { look.strong() } else { look.faint() });
    let mut left = below(body, rows + u16::from(canvas.layout.airy));
    let colours = left.height.min(3);
    let sample = Rect { height: left.height.saturating_sub(colours + 1), ..left };
    let rows = canvas.letter(sample, &words.sample, LetterSize::Large(canvas.layout.digits), look.text());
    left = below(left, rows);
    canvas.put_wrapped(left, &words.colours, look.faint());
    let strip = Rect { height: 1, y: left.bottom().saturating_sub(1), ..left };
    let each = strip.width / ScreenTheme::HUES;
    for block in 0..ScreenTheme::HUES {
        let (mut x, part) = (strip.x + block * each, each.saturating_sub(2) / 3);
        let block = usize::from(block);
        x = canvas.put(x, strip.y, &block_letter(block), look.on_hue(block));
        for fill in ["█", "═", "▒"] {
            x = canvas.put(x, strip.y, &fill.repeat(usize::from(part)), look.hue(block));
        }
    }
}

/// The name of a key.
fn key_words(key: KeyEvent) -> String {
    let code = match key.code {
        KeyCode::Char(' ') => "space".to_owned(),
        code => code.to_string(),
    };
    if key.modifiers.is_empty() { code } else { format!("{}+{code}", key.modifiers) }
}

fn draw_key_test(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let (words, look) = (&WORDS.soundcheck.keys, canvas.look);
    let rows = canvas.put_wrapped(body, &words.how, look.text());
    let left = below(body, rows + 1);
    let Some(key) = check.key() else {
        canvas.put(left.x, left.y, &words.waiting, look.faint());
        return;
    };
    let name = key_words(key);
    let largest = LetterSize::Large(canvas.layout.name);
    let room = Rect { height: left.height / 2, ..left };
    let rows = canvas.letter_in(room, &name, largest, Alignment::Left, FillStyle::Solid, look.strong());
    let meaning =
        command_of_key::<LeadCommand>(key).and_then(KeyBinding::of).map_or(words.nothing.as_str(), KeyBinding::long);
    let line = fill(&words.sent, &[("key", &name), ("meaning", meaning)]);
    canvas.put_wrapped(below(left, rows + 1), &line, look.text());
}

/// The state of the battery, and whether the laptop stays awake, in lines.
pub fn power_words(check: &SoundCheck) -> Vec<String> {
    let (words, machine) = (&WORDS.soundcheck.power, check.machine());
    let battery = match machine.battery {
        Some((percent, plugged)) => {
            let how = if plugged { &WORDS.lead.system.plugged_in } else { &WORDS.lead.system.not_plugged_in };
            fill(how, &[("percent", &percent.to_string())])
        }
        None => words.no_battery.clone(),
    };
    vec![battery, if machine.may_sleep { words.may_sleep.clone() } else { words.stays.clone() }]
}

fn power(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let look = canvas.look;
    let mut left = body;
    for line in power_words(check) {
        left = below(left, canvas.put_wrapped(left, &line, look.text()));
    }
    left = below(left, 1);
    let words = &WORDS.soundcheck.power;
    let plug_in = check.machine().battery.is_some_and(|(_, plugged)| !plugged).then_some(&words.plug_in);
    for line in plug_in.into_iter().chain(&words.todo) {
        canvas.put(left.x, left.y, "·", look.faint());
        left = below(left, canvas.put_wrapped(beside(left, 2), line, look.text()));
    }
}

fn verdict(canvas: &mut Canvas, body: Rect, check: &SoundCheck) {
    let look = canvas.look;
    let verdict = check.verdict();
    let words = &WORDS.soundcheck.verdict;
    let sign = match (verdict.lacks.is_empty(), verdict.open.is_empty()) {
        (true, true) => &words.ready,
        (true, false) => &words.nearly,
        (false, _) => &WORDS.soundcheck.pages.verdict,
    };
    let rows = canvas.letter(
        Rect { height: body.height / 2, ..body },
        sign,
        LetterSize::Large(canvas.layout.name),
        look.strong(),
    );
    canvas.put_wrapped(below(body, rows + 1), &verdict.line(), look.text());
}
