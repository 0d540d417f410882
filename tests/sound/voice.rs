//! Voices: hostile text, failures, loudness, and the cache of speech.

use std::fs;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant, SystemTime};

use proptest::prelude::*;
use sound::voice::{Speech, SpeechCache, SpeechSetup, Voice, VoiceChoice, VoiceFault, VoiceSpeed, text};
use sound::{Pcm, loudness};

const CUE: &str = "Next: split squat, left first. Bell down. Stand a long step away from the wall.";

fn soon() -> Instant {
    Instant::now() + Duration::from_secs(20)
}

fn voice(name: &str, folder: &tempfile::TempDir) -> Box<dyn Voice> {
    name.parse::<VoiceChoice>().expect("a voice").voice(folder.path(), VoiceSpeed::default())
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

/// Texts that anybody could write into a session file.
fn hostile() -> Vec<String> {
    let mut texts: Vec<String> = [
        "",
        " ",
        "\0",
        "\u{7}\u{1b}[31mred\u{1b}[0m",
        "<volume level=\"500\">loud",
        "</speed><speed level=\"1\">slow",
        "<play file=\"/etc/hostname\"/>",
        "a & b < c > d",
        "[[f'i:]]",
        "[[slnc 60000]]",
        "\u{1f3cb}\u{fe0f}",
        "🏋🏋🏋 go",
        "$(touch spoken)",
        "; touch spoken",
        "-h",
        "--help",
        "é à ü ß œ – … ×",
        "\u{202e}sdrawkcab",
        "...",
        "\"'\"'",
        "\\\\",
        "99999999999999999999999999999999999999",
    ]
    .map(str::to_owned)
    .to_vec();
    texts.extend([
        "a".repeat(10_000),
        "hold ".repeat(2_000),
        "7".repeat(10_000),
        "<".repeat(10_000),
        "\n".repeat(10_000),
    ]);
    texts
}

fn samples(pcm: &Pcm) -> Vec<f32> {
    pcm.samples.iter().map(|&sample| f32::from(sample) / 32_768.0).collect()
}

/// Loudness by ITU-R BS.1770 as the crate ebur128 measures it, for speech of 3 s or more.
fn loud(pcm: &Pcm) -> f64 {
    let mut meter = ebur128::EbuR128::new(1, pcm.rate, ebur128::Mode::I).expect("a meter");
    meter.add_frames_f32(&samples(pcm)).expect("frames");
    meter.loudness_global().expect("a loudness")
}

/// Checks that a clip is trimmed at both ends, at the program's loudness and below the ceiling.
fn is_levelled(name: &str, pcm: &Pcm) {
    assert!(pcm.length() > Duration::from_secs(3), "{name}: {:?}", pcm.length());
    assert!((loud(pcm) - loudness::TARGET).abs() <= 1.0, "{name}: {} LUFS", loud(pcm));
    let samples = samples(pcm);
    assert!(samples.iter().all(|sample| sample.abs() <= loudness::CEILING + 0.001), "{name}: over the ceiling");
    for end in [samples.first(), samples.last()] {
        assert!(end.is_some_and(|sample| *sample != 0.0), "{name}: silence is left at an end");
    }
}

/// Calls and cues of a class, some of them very short.
const CUES: [&str; 14] = [
    "Ten.",
    "Go.",
    "Rest.",
    "Halfway.",
    "Next: goblet squat.",
    "Switch sides.",
    "Last round.",
    "Thirty seconds rest.",
    "Next: plank, on your elbows.",
    "Push the floor away; keep the hips level.",
    "Left leg in front, right arm forward.",
    "Two rounds done. One minute, then the last block.",
    "Swap with your partner in five.",
    "Easier: hands on the bench.",
];

/// The loudness of a clip by ITU-R BS.1770 with the gate of EBU R 128, repeated to at least 3 s, as the program levels
/// it.
fn lufs_repeated(pcm: &Pcm) -> f64 {
    let mut meter = ebur128::EbuR128::new(1, pcm.rate, ebur128::Mode::I).expect("a meter");
    for _ in 0..=3 * pcm.rate as usize / pcm.samples.len() {
        meter.add_frames_i16(&pcm.samples).expect("samples");
    }
    meter.loudness_global().expect("a loudness")
}

/// How long a clip is quieter than -50 dBFS before and after the speech, in ms.
fn silence(pcm: &Pcm) -> [f64; 2] {
    let heard = |sample: &i16| sample.unsigned_abs() > 104;
    let first = pcm.samples.iter().position(heard).expect("speech");
    let last = pcm.samples.iter().rev().position(heard).expect("speech");
    [first, last].map(|samples| samples as f64 * 1000.0 / f64::from(pcm.rate))
}

/// Checks that a voice says every cue the same way twice, at the program's loudness, without silence around it.
fn speaks_well(voice: &mut dyn Voice) {
    for cue in CUES {
        let pcm = voice.say(cue, soon()).unwrap_or_else(|fault| panic!("{cue:?}: {fault}"));
        assert!(pcm == voice.say(cue, soon()).expect("again"), "{cue:?} comes out differently");
        let loud = lufs_repeated(&pcm);
        assert!((loud - loudness::TARGET).abs() <= 1.0, "{} {cue:?}: {loud:.2} LUFS", voice.name());
        assert!(pcm.samples.iter().all(|sample| sample.unsigned_abs() < 32_767), "{cue:?} clips");
        let around = silence(&pcm);
        assert!(around.iter().all(|&ms| ms < 60.0), "{} {cue:?}: silence of {around:?} ms", voice.name());
    }
}

#[test]
fn the_built_in_voice_says_short_cues_too() {
    speaks_well(&mut *voice("own", &folder()));
}

#[test]
fn the_built_in_voice_always_says_a_text_the_same_way() {
    let folder = folder();
    let once = voice("own", &folder).say(CUE, soon()).expect("speech");
    // Earlier speech changes nothing.
    for between in ["Ten.", "Switch sides. Other foot in front."] {
        voice("own", &folder).say(between, soon()).expect("speech");
    }
    let again = voice("own", &folder).say(CUE, soon()).expect("speech");
    assert!(once == again);
    is_levelled("own", &once);
}

#[test]
fn hostile_text_is_said_or_refused() {
    let folder = folder();
    for name in ["own", "espeak-ng", "flite"] {
        let mut voice = voice(name, &folder);
        if let Err(VoiceFault::Missing(program)) = voice.say(CUE, soon()) {
            println!("skipped: {program} is not installed");
            continue;
        }
        for text in hostile() {
            let start: String = text.chars().take(30).collect();
            match voice.say(&text, soon()) {
                Ok(pcm) => assert!(pcm.length() <= Pcm::LONGEST, "{name}: {start:?}"),
                Err(VoiceFault::Silent) => {}
                Err(fault) => panic!("{name}: {start:?}: {fault}"),
            }
        }
        assert_eq!(voice.say("", soon()), Err(VoiceFault::Silent), "{name}");
        assert_eq!(voice.say("\u{1f3cb}", soon()), Err(VoiceFault::Silent), "{name}");
    }
}

#[test]
fn all_voices_are_equally_loud() {
    let folder = folder();
    for name in ["espeak-ng", "flite"] {
        match voice(name, &folder).say(CUE, soon()) {
            Ok(pcm) => is_levelled(name, &pcm),
            Err(VoiceFault::Missing(program)) => println!("skipped: {program} is not installed"),
            Err(fault) => panic!("{name}: {fault}"),
        }
    }
}

#[test]
fn a_missing_voice_is_named_in_the_message() {
    let folder = folder();
    let fault = voice("command:no-such-voice-program", &folder).say(CUE, soon());
    assert_eq!(fault, Err(VoiceFault::Missing("no-such-voice-program".into())));
}

#[test]
fn names_of_voices() {
    for name in ["own", "espeak-ng", "espeak-ng:en-us", "flite", "flite:slt", "say", "command:cat 'a file'"] {
        assert!(name.parse::<VoiceChoice>().is_ok(), "{name}");
    }
    for name in
        ["", "owl", "own:er", "espeak-ng:", "espeak-ng:--path", "flite:-o", "command:", "command: ", "command:a 'b"]
    {
        assert!(name.parse::<VoiceChoice>().is_err(), "{name}");
    }
}

proptest! {
    #[test]
    fn cleaned_text_is_short_and_plain(raw in "\\PC{0,50}|[\\x00-\\x7f]{0,400}|[0-9]{200,400}|[a-z]{200,400}|.{0,400}") {
        for clean in [text::plain(&raw), text::ascii(&raw), text::markup(&raw), text::unbracketed(&raw)] {
            prop_assert!(clean.chars().count() <= text::LONGEST);
            prop_assert!(!clean.chars().any(char::is_control));
            prop_assert!(!clean.contains("  ") && clean.trim() == clean);
        }
        prop_assert!(text::ascii(&raw).is_ascii());
        prop_assert!(!text::markup(&raw).contains(['<', '>', '&', '\\', '"']));
        prop_assert!(!text::unbracketed(&raw).contains(['[', ']']));
    }
}

#[cfg(unix)]
mod programs {
    use super::*;

    /// How many children of this process run a program of this name, counting those that have ended.
    #[cfg(target_os = "linux")]
    fn children(name: &str) -> usize {
        let me = std::process::id().to_string();
        let processes = fs::read_dir("/proc").expect("processes").filter_map(Result::ok);
        let stats = processes.filter_map(|process| fs::read_to_string(process.path().join("stat")).ok());
        let is_mine = |stat: &String| {
            let Some((before, after)) = stat.rsplit_once(") ") else { return false };
            before.ends_with(&format!("({name}")) && after.split(' ').nth(1) == Some(me.as_str())
        };
        stats.filter(is_mine).count()
    }

    fn say(line: &str, patience: Duration) -> (Result<Pcm, VoiceFault>, Duration) {
        let began = Instant::now();
        let said = voice(&format!("command:{line}"), &folder()).say(CUE, began + patience);
        (said, began.elapsed())
    }

    #[test]
    fn a_voice_that_hangs_is_ended_at_its_deadline() {
        for line in ["sleep 30", "sh -c 'sleep 30 & sleep 30'", "sh -c 'exec >&-; exec sleep 30'"] {
            let (said, took) = say(line, Duration::from_millis(200));
            assert_eq!(said, Err(VoiceFault::TooLate), "{line}");
            assert!(took < Duration::from_secs(5), "{line}: {took:?}");
        }
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn no_voice_process_is_left_running() {
        for (line, name) in [("dd if=/dev/zero", "dd"), ("tail -f /dev/null", "tail"), ("false", "false")] {
            say(line, Duration::from_millis(300)).0.expect_err(line);
            assert_eq!(children(name), 0, "{line}");
        }
    }

    #[test]
    fn a_voice_that_fails_floods_or_writes_rubbish_gives_no_speech() {
        assert_eq!(say("sh -c 'exit 3'", Duration::from_secs(20)).0, Err(VoiceFault::Failed(" (3)".into())));
        assert_eq!(say("true", Duration::from_secs(20)).0, Err(VoiceFault::NotSound));
        assert_eq!(say("cat", Duration::from_secs(20)).0, Err(VoiceFault::NotSound));
        let (flood, took) = say("yes", Duration::from_secs(10));
        assert!(matches!(flood, Err(VoiceFault::TooMuch | VoiceFault::TooLate)), "{flood:?}");
        assert!(took < Duration::from_secs(15), "{took:?}");
    }

    #[test]
    fn no_shell_sees_the_text() {
        let place = folder();
        let (heard, touched) = (place.path().join("heard"), place.path().join("touched"));
        let text = format!("$(touch {0}); touch {0}", touched.display());
        let line = format!("command:tee '{}'", heard.display());
        assert_eq!(voice(&line, &place).say(&text, soon()), Err(VoiceFault::NotSound));
        assert_eq!(fs::read_to_string(heard).expect("what was heard"), text::plain(&text));
        assert!(!touched.exists());
    }

    #[test]
    fn a_wav_with_any_byte_of_its_header_wrong_does_no_harm() {
        let place = folder();
        let file = place.path().join("speech.wav");
        let spec = hound::WavSpec {
            channels: 2,
            sample_rate: 22_050,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let mut writer = hound::WavWriter::create(&file, spec).expect("a file");
        for frame in 0..4 * 22_050u32 {
            // A buzz on the left channel only.
            writer.write_sample(if frame % 50 < 25 { 3_000i16 } else { -3_000 }).expect("a sample");
            writer.write_sample(0i16).expect("a sample");
        }
        writer.finalize().expect("a file");
        let line = format!("cat '{}'", file.display());
        let whole = say(&line, Duration::from_secs(20)).0.expect("speech");
        assert_eq!((whole.rate, whole.samples.len()), (22_050, 4 * 22_050));
        is_levelled("command", &whole);

        let bytes = fs::read(&file).expect("bytes");
        for at in 0..44 {
            for wrong in [0, 0x7f, 0xff] {
                let mut bytes = bytes.clone();
                bytes[at] = wrong;
                fs::write(&file, &bytes).expect("a file");
                if let Ok(pcm) = say(&line, Duration::from_secs(20)).0 {
                    assert!(pcm.length() <= Pcm::LONGEST, "byte {at}: {wrong}");
                }
            }
        }
    }
}

/// A clip that differs from those with another pitch.
fn clip(pitch: i16) -> Pcm {
    Pcm::from_samples(16_000, (0..1_000).map(|at| at % 7 * pitch).collect()).expect("a clip")
}

/// Sets the age of every clip.
fn age(folder: &tempfile::TempDir, seconds: u64) {
    for entry in fs::read_dir(folder.path()).expect("a folder") {
        let file = fs::File::options().append(true).open(entry.expect("an entry").path()).expect("a clip");
        file.set_modified(SystemTime::now() - Duration::from_secs(seconds)).expect("a time");
    }
}

#[test]
fn speech_is_stored_by_voice_and_text() {
    let folder = folder();
    let cache = SpeechCache::new(folder.path(), SpeechCache::USUAL_BOUND);
    cache.put("own", "ten", &clip(1)).expect("kept");
    assert_eq!(cache.get("own", "ten"), Some(clip(1)));
    // Joined without lengths, the second pair would be the same letters.
    for (voice, text) in [("own", "Ten"), ("ownt", "en"), ("flite", "ten"), ("", "")] {
        assert_eq!(cache.get(voice, text), None, "{voice} {text}");
    }
}

#[test]
fn the_clip_used_longest_ago_is_deleted_first() {
    let folder = folder();
    // Enough space for two clips of 2,000 bytes with their headers, not for three.
    let cache = SpeechCache::new(folder.path(), 5_000);
    cache.put("own", "one", &clip(1)).expect("kept");
    age(&folder, 200);
    cache.put("own", "two", &clip(2)).expect("kept");
    fs::write(folder.path().join("other.txt"), [0; 9_000]).expect("written");
    cache.trim().expect("trimmed");
    assert_eq!((cache.get("own", "two"), cache.get("own", "one")), (Some(clip(2)), Some(clip(1))));
    age(&folder, 100);
    assert!(cache.get("own", "one").is_some());
    cache.put("own", "three", &clip(3)).expect("kept");
    cache.trim().expect("trimmed");
    let kept = ["one", "two", "three"].map(|text| cache.get("own", text).is_some());
    assert_eq!(kept, [true, false, true]);
    assert!(folder.path().join("other.txt").exists());
}

#[test]
fn a_broken_clip_counts_as_missing() {
    let folder = folder();
    let cache = SpeechCache::new(folder.path(), SpeechCache::USUAL_BOUND);
    cache.put("own", "ten", &clip(1)).expect("kept");
    let path = fs::read_dir(folder.path()).expect("a folder").next().expect("one").expect("a clip").path();
    let whole = fs::read(&path).expect("bytes");
    for length in 0..whole.len() {
        fs::write(&path, &whole[..length]).expect("written");
        assert_eq!(cache.get("own", "ten"), None, "{length} bytes");
    }
    for at in 0..whole.len() {
        let mut garbled = whole.clone();
        garbled[at] ^= 0x10;
        fs::write(&path, &garbled).expect("written");
        assert_eq!(cache.get("own", "ten"), None, "byte {at}");
    }
    fs::write(&path, b"rubbish".repeat(1_000)).expect("written");
    assert_eq!(cache.get("own", "ten"), None);
}

/// A voice that waits for permission before each text, and fails at texts that start with `mumble`.
struct Let(Receiver<()>);

impl Voice for Let {
    fn name(&self) -> String {
        "let".into()
    }

    fn say(&mut self, text: &str, _: Instant) -> Result<Pcm, VoiceFault> {
        self.0.recv().map_err(|_| VoiceFault::Missing("the test".into()))?;
        if text.starts_with("mumble") { Err(VoiceFault::Failed(String::new())) } else { Ok(clip(1)) }
    }
}

fn speech(cache: Option<SpeechCache>) -> (std::sync::mpsc::Sender<()>, Speech) {
    let (let_it, lets) = channel();
    (let_it, Speech::start(SpeechSetup { voice: Box::new(Let(lets)), cache }))
}

/// Waits until this many texts are made or have failed.
fn settled(speech: &Speech, count: usize) {
    let began = Instant::now();
    while speech.ready().done + speech.ready().failed < count {
        assert!(began.elapsed() < Duration::from_secs(20), "{:?}", speech.ready());
        std::thread::yield_now();
    }
}

#[test]
fn no_class_waits_for_speech() {
    let (let_it, speech) = speech(None);
    speech.prepare(["ten", "switch", "ten"]);
    assert_eq!((speech.get("ten"), speech.ready().done, speech.ready().of), (None, 0, 2));
    let_it.send(()).expect("a voice");
    settled(&speech, 1);
    assert_eq!((speech.get("ten"), speech.get("switch")), (Some(clip(1)), None));
    // Each text is made only once.
    speech.prepare(["ten"]);
    let_it.send(()).expect("a voice");
    settled(&speech, 2);
    assert_eq!((speech.ready().done, speech.ready().of), (2, 2));
}

#[test]
fn a_voice_that_fails_is_reported_once_and_not_used_again() {
    let (let_it, speech) = speech(None);
    speech.prepare(["mumble"]);
    let_it.send(()).expect("a voice");
    settled(&speech, 1);
    assert_eq!(speech.reports().len(), 1);
    drop(let_it);
    speech.prepare(["ten", "switch", "halfway"]);
    settled(&speech, 4);
    assert_eq!((speech.ready().done, speech.ready().failed), (0, 4));
    let reports = speech.reports();
    assert!(reports.len() == 1 && reports[0].contains("does not work"), "{reports:?}");
}

#[test]
fn texts_that_a_voice_refuses_do_not_give_it_up() {
    let (let_it, speech) = speech(None);
    let long = format!("mumble {}", "on and on ".repeat(30));
    // The voice fails twice as often as it may in a row, and each time it is tested with a word that it says.
    let texts = [&long, "mumble b", "mumble c", "mumble d", "mumble e", "mumble f", "ten"];
    for _ in 0..texts.len() + 2 {
        let_it.send(()).expect("a voice");
    }
    speech.prepare(texts);
    settled(&speech, texts.len());
    assert_eq!((speech.ready().done, speech.ready().failed), (1, 6));
    let reports = speech.reports();
    assert_eq!(reports.len(), 1, "{reports:?}");
    assert!(reports[0].contains("mumble on and on") && reports[0].len() < 120, "{reports:?}");
}

#[test]
fn a_voice_that_stops_speaking_is_given_up() {
    let (let_it, speech) = speech(None);
    let texts = ["mumble a", "mumble b", "mumble c", "ten", "switch"];
    for _ in 0..3 {
        let_it.send(()).expect("a voice");
    }
    drop(let_it);
    speech.prepare(texts);
    settled(&speech, texts.len());
    assert_eq!((speech.ready().done, speech.ready().failed), (0, 5));
    let reports = speech.reports();
    assert!(reports.len() == 2 && reports[1].contains("does not work"), "{reports:?}");
}

#[test]
fn speech_of_an_earlier_class_needs_no_voice() {
    let folder = folder();
    let cache = SpeechCache::new(folder.path(), SpeechCache::USUAL_BOUND);
    let (let_it, first) = speech(Some(cache.clone()));
    let_it.send(()).expect("a voice");
    first.prepare(["ten"]);
    settled(&first, 1);
    let (let_it, second) = speech(Some(cache));
    drop(let_it);
    second.prepare(["ten"]);
    settled(&second, 1);
    assert_eq!(second.get("ten"), Some(clip(1)));
}

#[test]
fn an_unusable_cache_folder_only_stores_nothing() {
    let folder = folder();
    let file = folder.path().join("file");
    fs::write(&file, "no folder").expect("written");
    let (let_it, speech) = speech(Some(SpeechCache::new(&file.join("speech"), SpeechCache::USUAL_BOUND)));
    let_it.send(()).expect("a voice");
    let_it.send(()).expect("a voice");
    speech.prepare(["ten", "switch"]);
    settled(&speech, 2);
    assert_eq!((speech.ready().done, speech.reports().len()), (2, 1));
}
