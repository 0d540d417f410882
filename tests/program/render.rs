//! A class as a sound file. `tests/judges_of_sound.sh` checks the files with other programs.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::sync::Arc;
use std::time::Duration;

use class::cue::{SpeechLengths, SpeechSettings, audible_events, opening_words, plan_and_insert_cues};
use class::movement::Catalogue;
use class::schedule::{Audience, EventContent, Schedule, compile};
use class::session::read;
use class::time::Tick;
use ebur128::{EbuR128, Mode};
use sound::plan_of;
use sound::render::{
    CEILING, ClassTrack, FormatError, Loudness, SoundFormat, SoundKind, TARGET, TrackOptions, measure, write,
};
use sound::{Pcm, PlaybackRun, Score, SoundPlan, ToneSamples, render};
use stage::lead::{ClassOpening, Conductor, LeadCommand};
use stage::runtime::{Clock, StepEffect, StepInput, SteppedClock, UpcomingSounds};
use symphonia::core::audio::SampleBuffer;

/// Two stations with a switch of sides, calls and every kind of sound, 33 s long.
const SHORT: &str = r#"(title: "Short", blocks: [
    (name: "One", work: "14s", rest: "5s", stations: ["squat", (move: "split-squat", sides: left_then_right)]),
])"#;

fn class(text: &str) -> Schedule {
    compile(Arc::new(read(text, Catalogue::built_in()).session.expect("a session without faults")))
}

fn everybody(_: Audience) -> bool {
    true
}

/// A voice: a low hum, longer for a longer text, with its own pitch for each length.
fn hum(text: &str) -> Option<Pcm> {
    let frames = 1_600 + 640 * text.len();
    let wave = |n: usize| (n as f64 * (0.05 + text.len() as f64 / 1e3)).sin() * 9_000.0;
    Pcm::from_samples(16_000, (0..frames).map(|n| wave(n) as i16).collect())
}

/// The speech settings by which a class is planned for the hum.
fn voicing(schedule: &Schedule) -> SpeechSettings {
    let mut lengths = SpeechLengths::default();
    let texts = class::cue::texts(schedule);
    lengths.learn(texts.into_iter().filter_map(|text| Some((text.clone(), hum(&text)?.length()))));
    SpeechSettings { lengths, ..SpeechSettings::default() }
}

/// A class that the hum speaks to.
fn hummed(text: &str) -> (Schedule, SpeechSettings) {
    let mut schedule = class(text);
    let voicing = voicing(&schedule);
    plan_and_insert_cues(&mut schedule, Tick::ZERO, &voicing);
    (schedule, voicing)
}

fn track(
    schedule: &Schedule,
    voicing: &SpeechSettings,
    say: impl Fn(&str) -> Option<Pcm>,
    want: &TrackOptions,
) -> ClassTrack {
    ClassTrack::new(schedule, &plan_of(&audible_events(schedule, voicing), &say), everybody, want)
}

fn at(rate: u32) -> TrackOptions {
    TrackOptions { rate, count_in: None }
}

fn written(track: &ClassTrack, format: SoundFormat, gain: f32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut last = 0;
    write(track, format, gain, &mut bytes, &mut |done| {
        assert!(done > last);
        last = done;
        true
    })
    .unwrap();
    assert_eq!(last, track.frames(), "the watch sees the end");
    bytes
}

fn samples(wav: &[u8]) -> Vec<i16> {
    hound::WavReader::new(wav).unwrap().into_samples().map(Result::unwrap).collect()
}

/// A file as another decoder reads it.
fn decoded(bytes: &[u8], ending: &str) -> Vec<i16> {
    let mut hint = symphonia::core::probe::Hint::new();
    hint.with_extension(ending);
    let source = Box::new(std::io::Cursor::new(bytes.to_vec()));
    let stream = symphonia::core::io::MediaSourceStream::new(source, Default::default());
    let probed = symphonia::default::get_probe().format(&hint, stream, &Default::default(), &Default::default());
    let mut reader = probed.unwrap().format;
    let track = reader.default_track().unwrap().clone();
    let mut decoder = symphonia::default::get_codecs().make(&track.codec_params, &Default::default()).unwrap();
    let mut all = Vec::new();
    while let Ok(packet) = reader.next_packet() {
        let sound = decoder.decode(&packet).unwrap();
        let mut buffer = SampleBuffer::<i16>::new(sound.capacity() as u64, *sound.spec());
        buffer.copy_interleaved_ref(sound);
        all.extend_from_slice(buffer.samples());
    }
    all
}

/// The chunks of a RIFF file, by the specification: name, length, content, padded to an even length.
fn chunks(mut bytes: &[u8]) -> Vec<(String, &[u8])> {
    let mut chunks = Vec::new();
    while !bytes.is_empty() {
        let length = u32::from_le_bytes(bytes[4..8].try_into().unwrap()) as usize;
        chunks.push((String::from_utf8(bytes[..4].to_vec()).unwrap(), &bytes[8..8 + length]));
        bytes = &bytes[8 + length + length % 2..];
    }
    chunks
}

/// Frame and label of every cue point.
fn cue_points(wav: &[u8]) -> Vec<(u64, String)> {
    let riff = chunks(wav);
    assert_eq!((riff.len(), riff[0].0.as_str(), &riff[0].1[..4]), (1, "RIFF", b"WAVE".as_slice()));
    let all = chunks(&riff[0].1[4..]);
    let number = |bytes: &[u8], at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let cue = all.iter().find(|(name, _)| name == "cue ").unwrap().1;
    assert_eq!(cue.len() as u32, 4 + 24 * number(cue, 0));
    let lists = all.iter().filter(|(name, content)| name == "LIST" && content.starts_with(b"adtl"));
    let labels: Vec<_> = lists.flat_map(|(_, content)| chunks(&content[4..])).collect();
    let points = cue[4..].chunks(24).map(|point| {
        assert_eq!(&point[8..12], b"data");
        assert_eq!(number(point, 4), number(point, 20));
        let of_point = labels.iter().find(|(name, label)| name == "labl" && label[..4] == point[..4]);
        let text = of_point.unwrap().1[4..].strip_suffix(b"\0").unwrap();
        (u64::from(number(point, 20)), String::from_utf8(text.to_vec()).unwrap())
    });
    points.collect()
}

#[test]
fn every_onset_in_the_file_is_within_a_frame_of_its_tick_at_any_rate() {
    let schedule = class(SHORT);
    // Two tones on one tick are one onset. "Ten" is a tone if nobody speaks.
    let tones = schedule.events.iter().filter(|event| match event.what {
        EventContent::Tone(_) => true,
        EventContent::Call(call) => call == class::schedule::TimeCall::Ten,
        EventContent::Cue(_) => false,
    });
    let mut due: Vec<u64> = tones.map(|event| event.at.0).collect();
    due.dedup();
    assert!(due.len() >= 12, "{due:?}");
    for rate in [8_000, 11_025, 16_000, 44_100, 48_000, 96_000] {
        let track = track(&schedule, &SpeechSettings::default(), |_| None, &at(rate));
        let samples = samples(&written(&track, SoundFormat::Wav, 1.0));
        assert_eq!(samples.len() as u64, track.frames());
        let gap = rate as usize / 5;
        let mut found = Vec::new();
        let mut quiet = gap;
        for (frame, sample) in samples.iter().enumerate() {
            if *sample == 0 {
                quiet += 1;
            } else {
                if quiet >= gap {
                    found.push(frame);
                }
                quiet = 0;
            }
        }
        assert_eq!(found.len(), due.len(), "at {rate}");
        for (frame, at) in found.iter().zip(&due) {
            let wanted = *at as f64 * f64::from(rate) / 1000.0;
            assert!((*frame as f64 - wanted).abs() <= 1.0, "at {at} ms and {rate} Hz: frame {frame}, not {wanted}");
        }
    }
}

/// The parts of the plan that the conductor has played when a class is led: the opening words, then the whole class.
/// Each part comes with its time on the clock.
fn led(text: &str, voicing: &SpeechSettings) -> Vec<(u64, UpcomingSounds)> {
    let wall = "2026-01-10T18:10:00+00:00[UTC]".parse().unwrap();
    let mut clock = SteppedClock::new(wall);
    let opening = ClassOpening { voicing: voicing.clone(), ..ClassOpening::default() };
    let mut conductor = Conductor::new(class(text), opening, clock.read());
    let mut parts = Vec::new();
    let mut step = |inputs: &[StepInput<LeadCommand>], clock: &mut SteppedClock| {
        let now = clock.read();
        let at = Tick::of(now.at.0).0;
        for effect in conductor.step(now, inputs) {
            if let StepEffect::Play(part) = effect {
                parts.push((at, part));
            }
        }
    };
    step(&[StepInput::Press(LeadCommand::Go)], &mut clock);
    for _ in 0..200 {
        clock.step(Duration::from_millis(100));
        step(&[], &mut clock);
    }
    parts
}

#[test]
fn the_file_has_the_samples_of_the_class_as_led() {
    let (schedule, voicing) = hummed(SHORT);
    let parts = led(SHORT, &voicing);
    let (_, part) = parts.iter().find(|(_, part)| part.events.len() > 1).expect("the class is played");
    assert_eq!(part.events, audible_events(&schedule, &voicing), "what sounds is what the conductor asks for");
    let plan: SoundPlan = plan_of(&part.events, &hum);
    for rate in [44_100, 48_000] {
        let score =
            Arc::new(Score::new(&plan, &PlaybackRun::from(Tick::ZERO), rate, &ToneSamples::at(rate), everybody));
        let lead = Score::frame(Score::LEAD, rate, 1000);
        let gain = 0.77;
        let track = track(&schedule, &voicing, hum, &at(rate));
        let heard = render(score, lead..lead + track.frames());
        let wanted: Vec<i16> = heard.map(|sample| (sample * gain * 32768.0).round() as i16).collect();
        assert!(samples(&written(&track, SoundFormat::Wav, gain)) == wanted, "at {rate}");
    }
}

#[test]
fn a_count_in_names_the_first_station_and_counts_as_lead_does() {
    let (schedule, voicing) = hummed(SHORT);
    let words = opening_words(&schedule).and_then(|text| hum(&text)).unwrap();
    let parts = led(SHORT, &voicing);
    let [(opened, opening), (asked, counted)] = parts.as_slice() else { panic!("{parts:?}") };
    // The conductor has the words said at once. Later it orders the pips and the class, with the time of their start.
    assert_eq!(opening.events.len(), 1);
    let plain = track(&schedule, &voicing, hum, &at(48_000));
    let want = TrackOptions { rate: 48_000, count_in: Some(Some(words.clone())) };
    let counted_in = track(&schedule, &voicing, hum, &want);
    let before = counted_in.frames() - plain.frames();
    assert_eq!(before, (asked + Tick::of(counted.after).0 - opened) * 48);
    let (plain_samples, samples) =
        (samples(&written(&plain, SoundFormat::Wav, 1.0)), samples(&written(&counted_in, SoundFormat::Wav, 1.0)));
    assert!(samples[before as usize..] == plain_samples);
    assert!(samples[..100].iter().any(|sample| *sample != 0), "the words come first");
    for second in [3, 2, 1] {
        let pip = (before - second * 48_000) as usize;
        assert!(samples[pip - 480..pip].iter().all(|sample| *sample == 0), "silence before pip {second}");
        assert!(samples[pip..pip + 2].iter().any(|sample| *sample != 0), "pip {second}");
    }
    let moved: Vec<u64> = plain.markers.iter().map(|mark| mark.frame + before).collect();
    assert_eq!(counted_in.markers[0].frame, 0);
    assert_eq!(counted_in.markers[1..].iter().map(|mark| mark.frame).collect::<Vec<_>>(), moved);
    let nobody = track(&schedule, &voicing, hum, &TrackOptions { rate: 48_000, count_in: Some(None) });
    assert_eq!(nobody.frames() - plain.frames(), 5 * 48_000);
}

#[test]
fn tones_and_speech_rendered_apart_add_up_to_the_whole() {
    let (schedule, voicing) = hummed(SHORT);
    let whole = track(&schedule, &voicing, hum, &at(48_000));
    let of = |track: &ClassTrack| samples(&written(track, SoundFormat::Wav, 1.0));
    let (all, tones, speech) = (of(&whole), of(&whole.only(SoundKind::Tones)), of(&whole.only(SoundKind::Speech)));
    assert_eq!((all.len(), tones.len()), (tones.len(), speech.len()));
    assert!(tones.iter().any(|sample| *sample != 0) && speech.iter().any(|sample| *sample != 0));
    for (at, all) in all.iter().enumerate() {
        // Each is rounded separately.
        let sum = i32::from(tones[at]) + i32::from(speech[at]);
        assert!((i32::from(*all) - sum).abs() <= 1, "frame {at}: {all}, not {sum}");
    }
}

#[test]
fn every_span_has_a_cue_point_with_its_label() {
    let text = r#"(title: "Öl — שלום\u{0}\n漢字 🦆", blocks: [
        (name: "A", work: "10s", rest: "5s", rounds: 2, stations: [(name: "Hop; \"one\"\r\n\u{1b}[2J two"), (name: "Ruder, 速い 🚣")]),
    ])"#;
    let Some(session) = read(text, Catalogue::built_in()).session else {
        // Control characters are a fault in a file, so the other unusual characters are tested.
        return every_label(
            r#"(title: "Öl — שלום 漢字 🦆", blocks: [
            (name: "A", work: "10s", rest: "5s", rounds: 2, stations: [(name: "Hop; \"one\" <&>"), (name: "Ruder, 速い 🚣")]),
        ])"#,
        );
    };
    drop(session);
    every_label(text);
}

fn every_label(text: &str) {
    let schedule = class(text);
    for rate in [44_100, 48_000] {
        let track = track(&schedule, &SpeechSettings::default(), |_| None, &at(rate));
        let points = cue_points(&written(&track, SoundFormat::Wav, 1.0));
        assert_eq!(points.len(), schedule.spans.len());
        for ((frame, label), span) in points.iter().zip(&schedule.spans) {
            let wanted = (span.start.0 as f64 * f64::from(rate) / 1000.0).round();
            assert_eq!(*frame as f64, wanted, "{label}");
            assert!(!label.chars().any(char::is_control) && label.starts_with('A'), "{label:?}");
        }
        assert!(points.iter().any(|(_, label)| label.contains("🚣, round 2 of 2")), "{points:?}");
        assert!(points.iter().any(|(_, label)| label == "A rest"), "{points:?}");
    }
}

#[test]
fn flac_has_the_same_samples_for_any_length_of_its_last_frame() {
    let (schedule, voicing) = hummed(r#"(title: "t", blocks: [(name: "b", work: "6s", stations: ["squat"])])"#);
    // Different rates leave last frames of different lengths, from 1 sample to nearly 4096.
    for rate in (8_000..8_200).step_by(13).chain([44_100, 48_000, 88_200, 96_000]) {
        let track = track(&schedule, &voicing, hum, &at(rate));
        let (wav, flac) = (written(&track, SoundFormat::Wav, 0.9), written(&track, SoundFormat::Flac, 0.9));
        assert!(decoded(&flac, "flac") == samples(&wav), "at {rate}: {} frames", track.frames());
        assert!(flac.len() < wav.len() / 2);
    }
}

/// The loudness of decoded samples, by the same meter. It checks the gain, not the meter.
fn heard(samples: &[i16], rate: u32) -> Loudness {
    let mut meter = EbuR128::new(1, rate, Mode::I | Mode::TRUE_PEAK).unwrap();
    meter.add_frames_i16(samples).unwrap();
    Loudness { lufs: meter.loudness_global().unwrap(), peak: 20.0 * meter.true_peak(0).unwrap().log10() }
}

#[test]
fn loudness_is_brought_to_the_target_and_peaks_stay_under_the_ceiling() {
    let (schedule, voicing) = hummed(SHORT);
    let track = track(&schedule, &voicing, hum, &at(48_000));
    let measured = measure(&track, &mut |_| true).unwrap().unwrap();
    for format in [SoundFormat::Wav, SoundFormat::Opus] {
        let levelled = measured.levelled(format);
        let bytes = written(&track, format, levelled.gain);
        let samples = match format {
            SoundFormat::Opus => opus(&bytes),
            _ => samples(&bytes),
        };
        assert_eq!(samples.len() as u64, track.frames(), "{format:?}");
        let heard = heard(&samples, 48_000);
        assert!(heard.peak <= CEILING, "{format:?}: {heard:?}");
        assert!((heard.lufs - levelled.loudness.lufs).abs() < 0.3, "{format:?}: {heard:?}, not {levelled:?}");
        assert!(levelled.limited_by_peaks || (heard.lufs - TARGET).abs() < 0.3, "{format:?}: {heard:?}");
    }
    assert!(measure(&track.only(SoundKind::Tones), &mut |_| false).is_err(), "the watch stops it");
}

/// An Opus file decoded by the crate that wrote it. `tests/judges_of_sound.sh` checks Opus files with ffmpeg.
fn opus(bytes: &[u8]) -> Vec<i16> {
    let mut reader = opus_pure::OggOpusReader::new(bytes).unwrap();
    let mut decoder = reader.head().decoder(48_000).unwrap();
    let mut trim = opus_pure::Trim::new(reader.head(), 48_000, 1).unwrap();
    let mut block = vec![0.0; opus_pure::MAX_PACKET_SAMPLES];
    let mut all: Vec<i16> = Vec::new();
    for packet in reader.packets() {
        let packet = packet.unwrap();
        let count = decoder.decode(&packet.data, opus_pure::MAX_PACKET_SAMPLES, &mut block).unwrap();
        let kept = trim.keep(&packet, &block[..count]);
        all.extend(kept.iter().map(|sample| (sample * 32768.0).round().clamp(-32768.0, 32767.0) as i16));
    }
    all
}

#[test]
fn a_class_that_a_format_cannot_hold_is_refused_before_rendering() {
    let day = class(r#"(title: "t", blocks: [(name: "b", work: "1h", rounds: 23, stations: ["squat"])])"#);
    let long = track(&day, &SpeechSettings::default(), |_| None, &at(48_000));
    assert_eq!(SoundFormat::Wav.fits(&long), Err(FormatError::TooLong));
    assert_eq!(SoundFormat::Flac.fits(&long), Ok(()));
    let odd = track(&day, &SpeechSettings::default(), |_| None, &at(11_025));
    assert_eq!((SoundFormat::Opus.fits(&odd), SoundFormat::Wav.fits(&odd)), (Err(FormatError::Rate), Ok(())));
}

/// The command in a folder, with its own home folder.
fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_forecall"));
    command.current_dir(folder).arg("render").args(arguments).env_clear().env("HOME", folder.join("home"));
    command.stdin(Stdio::null());
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("short.ron"), SHORT).unwrap();
    folder
}

#[test]
fn a_file_is_written_whole_or_not_at_all() {
    let folder = folder();
    let here = folder.path();
    let done = run(here, &["short.ron", "--voice", "none"]);
    assert!(done.status.success() && said(&done).starts_with("short.wav: 0:34, -1"), "{}", said(&done));
    let wav = fs::read(here.join("short.wav")).unwrap();
    // An existing file is overwritten only with `--force`.
    fs::write(here.join("kept.wav"), "mine").unwrap();
    let refused = run(here, &["short.ron", "--voice", "none", "-o", "kept.wav"]);
    assert!(refused.status.code() == Some(2) && said(&refused).contains("--force"), "{}", said(&refused));
    assert_eq!(fs::read(here.join("kept.wav")).unwrap(), b"mine");
    assert!(run(here, &["short.ron", "--voice", "none", "-o", "kept.wav", "--force"]).status.success());
    assert!(fs::read(here.join("kept.wav")).unwrap() == wav);
    // An output that cannot be written is reported before anything is read.
    let nowhere = run(here, &["not-there.ron", "-o", "no/such/folder/a.wav"]);
    assert!(nowhere.status.code() == Some(2) && said(&nowhere).contains("cannot write no/such"), "{}", said(&nowhere));
    // A pipe gets the same bytes.
    let piped = run(here, &["short.ron", "--voice", "none", "-o", "-"]);
    assert!(piped.status.success() && piped.stdout == wav);
    let names = fs::read_dir(here).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name != "home").collect();
    names.sort();
    assert_eq!(names, ["kept.wav", "short.ron", "short.wav"]);
}

#[test]
fn wrong_options_are_refused_with_help() {
    let folder = folder();
    let here = folder.path();
    for (arguments, code, words) in [
        (["-o", "a.mp3", "--voice", "none"].as_slice(), 2, "cannot tell the format of a.mp3"),
        (&["--as", "opus", "--rate", "44100", "--voice", "none"], 2, "8000, 12000, 16000, 24000 and 48000"),
        (&["--rate", "100"], 2, "8000..=96000"),
        (&["--only", "speech", "--voice", "none"], 1, "nothing would be heard"),
        (&["--only", "tones", "--audience", "coach", "--voice", "none"], 1, "nothing would be heard"),
        (&["--level", "silent", "--voice", "none"], 1, "nothing would be heard"),
        (&["--voice", "command:/no/such/program"], 2, "--voice none"),
        (&["--level", "loud"], 2, "loud"),
    ] {
        let output = run(here, &[["short.ron"].as_slice(), arguments].concat());
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", said(&output));
        assert!(said(&output).contains(words), "{arguments:?}: {}", said(&output));
    }
    assert_eq!(fs::read_dir(here).unwrap().filter(|entry| entry.as_ref().unwrap().path().is_file()).count(), 1);
}

#[test]
fn a_closed_pipe_is_not_a_failure() {
    let folder = folder();
    let mut child = command(folder.path(), &["short.ron", "--voice", "none", "-o", "-"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success() && output.stderr.is_empty(), "{}", said(&output));
}

#[cfg(unix)]
#[test]
fn a_signal_leaves_nothing_behind() {
    let folder = folder();
    let here = folder.path();
    let long = r#"(title: "Long", blocks: [(name: "b", work: "10s", rest: "5s", rounds: 1000, stations: ["squat"])])"#;
    fs::write(here.join("long.ron"), long).unwrap();
    let mut child = command(here, &["long.ron", "--voice", "none", "-o", "long.flac"]).spawn().unwrap();
    let begun = || {
        fs::read_dir(here).unwrap().any(|entry| entry.unwrap().file_name().to_string_lossy().starts_with(".forecall-"))
    };
    while !begun() && child.try_wait().unwrap().is_none() {
        std::thread::yield_now();
    }
    let id = rustix::process::Pid::from_child(&child);
    rustix::process::kill_process(id, rustix::process::Signal::INT).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(130));
    assert!(!begun() && !here.join("long.flac").exists());
}
