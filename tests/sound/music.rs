//! The coach's own music: files join without a gap, music is lowered under other sounds, falls silent when it must, and
//! never delays the class.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, LazyLock};
use std::time::{Duration, Instant};

use assert_no_alloc::assert_no_alloc;
use class::schedule::Audience;
use class::time::Tick;
use ebur128::{EbuR128, Mode};
use proptest::prelude::*;
use sound::music::{
    AHEAD, ATTACK, BRIDGE, FADE, LOUDNESS, MusicRequest, MusicRingReader, MusicRingWriter, PlaylistFeed, RELEASE,
    SWELL, StereoFrame, files, tape,
};
use sound::{
    AudioDevice, DeviceError, EngineSettings, EngineVolumes, FrameClock, LossNotifier, OpenedStream, Pcm, PlannedSound,
    PlaybackRun, RenderOrder, Renderer, RendererControl, Score, SoundBus, SoundContent, SoundEngine, SoundPlan,
    StreamCallback, ToneSamples, ToneSignal, loudness,
};
use tempfile::TempDir;

const RATE: u32 = 48_000;

/// Writes a file of 16 bits from left and right samples. 1 is full scale.
fn wav(path: &Path, rate: u32, frames: impl Iterator<Item = [f64; 2]>) -> PathBuf {
    let spec =
        hound::WavSpec { channels: 2, sample_rate: rate, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
    let mut writer = hound::WavWriter::create(path, spec).unwrap();
    for frame in frames {
        for sample in frame {
            writer.write_sample((sample * 32767.0).round() as i16).unwrap();
        }
    }
    writer.finalize().unwrap();
    path.to_owned()
}

fn feed(files: &[PathBuf], rate: u32) -> PlaylistFeed {
    PlaylistFeed::new(files.into(), 0, rate)
}

fn read(feed: &mut PlaylistFeed, frames: usize) -> Vec<StereoFrame> {
    let mut out = vec![[0.0; 2]; frames];
    let count = feed.read(&mut out);
    out.truncate(count);
    out
}

/// A device of two channels that plays music under a score.
struct Device {
    renderer: Renderer,
    conduct: RendererControl,
    levels: Arc<EngineVolumes>,
    deck: Arc<MusicRequest>,
    reel: MusicRingWriter,
    feed: PlaylistFeed,
}

impl Device {
    /// Music is in the ring buffer and should play. Frame 0 is the tick from which the sounds run.
    fn new(feed: PlaylistFeed, sounds: Vec<PlannedSound>) -> Device {
        let levels = Arc::new(EngineVolumes::default());
        let deck = Arc::new(MusicRequest::default());
        let (mut renderer, mut conduct) = Renderer::new(RATE, 2, levels.clone(), FrameClock::fixed(RATE));
        let (reel, tape): (MusicRingWriter, MusicRingReader) = tape(RATE, deck.clone());
        renderer.add_music(tape);
        let plan: SoundPlan = sounds.into_iter().collect();
        let score = Score::new(&plan, &PlaybackRun::from(Tick::ZERO), RATE, &ToneSamples::at(RATE), |ear| {
            ear == Audience::Class
        });
        let zero = -i64::try_from(Score::LEAD.0).unwrap() * 1_000_000;
        conduct.send(RenderOrder::Play { score: Arc::new(score), zero, on: 0 });
        deck.load(Some(0));
        deck.play(Some(0));
        Device { renderer, conduct, levels, deck, reel, feed }
    }

    fn play(&mut self, frames: usize) -> Vec<StereoFrame> {
        let mut out = vec![[0.0; 2]; frames];
        for part in out.chunks_mut(4_800) {
            self.reel.fill(&mut self.feed);
            let part = part.as_flattened_mut();
            assert_no_alloc(|| self.renderer.pull(part, None));
        }
        out
    }
}

fn sound(at: u64, what: SoundContent) -> PlannedSound {
    PlannedSound { at: Tick(at), audience: Audience::Class, what }
}

/// Something like a voice, levelled as all speech is.
fn buzz(seconds: f64) -> Pcm {
    let rate = 16_000;
    let samples = (0..(f64::from(rate) * seconds) as usize).map(|n| {
        let t = n as f64 / f64::from(rate);
        let harmonics: f64 = (1..12).map(|k| (TAU * 140.0 * f64::from(k) * t).sin()).sum();
        (harmonics * (0.6 + 0.4 * (t * 23.0).sin()) * 0.02) as f32
    });
    Pcm::levelled(rate, samples.collect()).expect("a buzz is sound")
}

/// Endless noise, the same every time.
fn noise() -> impl Iterator<Item = f64> {
    let mut state = 0x2545_f491_4f6c_dd1du64;
    std::iter::repeat_with(move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    })
}

fn lufs(frames: &[StereoFrame]) -> f64 {
    let mut meter = EbuR128::new(2, RATE, Mode::I).unwrap();
    meter.add_frames_f32(frames.as_flattened()).unwrap();
    meter.loudness_global().unwrap()
}

#[test]
fn two_halves_join_to_the_sample_at_the_rate_of_the_file_and_at_another() {
    let folder = tempfile::tempdir().unwrap();
    // 5 s in total, cut at an odd sample number. A whole number of waves, so that the end joins the start too.
    let (all, cut) = (5 * 44_100, 99_991);
    let wave = |n: usize| (TAU * 331.0 * n as f64 / 44_100.0).sin();
    let part = |range: std::ops::Range<usize>| range.map(|n| [0.4 * wave(n), 0.2 * wave(n)]);
    let first = wav(&folder.path().join("1.wav"), 44_100, part(0..cut));
    let second = wav(&folder.path().join("2.wav"), 44_100, part(cut..all));
    for rate in [44_100, 48_000, 96_000] {
        let out = read(&mut feed(&[first.clone(), second.clone()], rate), 3 * 5 * rate as usize);
        // The amplitude of each tenth of a second. Between the halves it may only change evenly.
        let heights: Vec<f64> = (out.chunks(rate as usize / 10))
            .map(|part| part.iter().map(|frame| f64::from(frame[0].abs())).fold(0.0, f64::max))
            .collect();
        let (low, high) = heights.iter().fold((1.0f64, 0.0f64), |(low, high), &at| (low.min(at), high.max(at)));
        assert!(high / low < 1.02, "halves of one sound have one level: {low} to {high}");
        let worst = out.iter().enumerate().skip(50).map(|(n, frame)| {
            let wanted = high * (TAU * 331.0 * n as f64 / f64::from(rate)).sin();
            (f64::from(frame[0]) - wanted).abs()
        });
        let worst = worst.fold(0.0, f64::max);
        assert!(worst < 0.02 * high, "at {rate}: off by {worst:.5} of {high:.3} in three rounds");
        // One frame too many or too few would be a step of at least this size.
        assert!(worst < TAU * 331.0 / f64::from(rate) * high);
        assert!(out.iter().all(|[left, right]| (left - 2.0 * right).abs() < 1e-3), "left and right stay apart");
    }
}

#[test]
fn every_kind_of_file_plays_a_second_of_its_sine() {
    // A sine of 440 Hz for 1 s, from the encoder of another program.
    for ending in ["wav", "flac", "mp3", "ogg", "m4a", "aac"] {
        let file =
            Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/music")).join(format!("one-second.{ending}"));
        let mut one = feed(std::slice::from_ref(&file), RATE);
        let out = read(&mut one, 2 * RATE as usize);
        assert_eq!(one.lines(), Vec::<String>::new(), "{ending}");
        let middle = &out[9_600..38_400];
        let rises = middle.windows(2).filter(|pair| pair[0][0] <= 0.0 && pair[1][0] > 0.0).count();
        assert!(rises.abs_diff(264) <= 1, "{ending}: {rises} waves in 0.6 s");
        assert!(middle.iter().all(|[left, right]| (left - right).abs() < 0.02), "{ending}: both channels");
        // Where the file starts again: no gap beyond what the format itself leaves.
        let gap = match ending {
            "wav" | "flac" | "mp3" | "ogg" => 0.002,
            _ => 0.08,
        };
        let silent = out[4_800..].chunk_by(|one, next| one[0].abs() < 1e-3 && next[0].abs() < 1e-3);
        let longest = silent.map(<[StereoFrame]>::len).max().unwrap() as f64 / f64::from(RATE);
        assert!(longest < gap, "{ending}: a gap of {:.1} ms", longest * 1000.0);
    }
}

#[test]
fn broken_files_are_left_out_and_each_is_reported_once() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let good = wav(&at("good.wav"), RATE, (0..24_000).map(|n| [0.3 * (TAU * 500.0 * f64::from(n) / 48e3).sin(); 2]));
    std::fs::write(at("rubbish.mp3"), noise().take(30_000).map(|x| (x * 127.0) as i8 as u8).collect::<Vec<u8>>())
        .unwrap();
    std::fs::write(at("empty.flac"), []).unwrap();
    std::fs::write(at("head.wav"), &std::fs::read(&good).unwrap()[..44]).unwrap();
    wav(&at("blink.wav"), RATE, (0..100).map(|_| [0.1; 2]));
    let broken = ["rubbish.mp3", "empty.flac", "head.wav", "blink.wav", "gone.ogg"];
    let list: Vec<PathBuf> = broken.iter().map(|name| at(name)).chain([good.clone()]).collect();
    let mut some = feed(&list, RATE);
    let out = read(&mut some, 100_000);
    assert_eq!(out.len(), 100_000, "a file that can be played repeats without end");
    let lines = some.lines();
    assert_eq!(lines.len(), broken.len(), "each is reported once, however often the list repeats: {lines:#?}");
    for (line, name) in lines.iter().zip(broken) {
        assert!(line.starts_with(&format!("Music: {name} is skipped: ")), "{line}");
    }
    // If no file can be played, the music ends with a message.
    let mut none = feed(&list[..5], RATE);
    assert_eq!(read(&mut none, 1_000).len(), 0);
    assert_eq!(read(&mut none, 1_000).len(), 0);
    assert_eq!(none.lines().pop().as_deref(), Some("No music: nothing in the list can be played"));
    assert_eq!(none.lines().len(), 0);
}

#[test]
fn files_with_bytes_changed_or_missing_end_and_do_no_harm() {
    let folder = tempfile::tempdir().unwrap();
    let mut random = noise();
    for ending in ["wav", "flac", "mp3", "ogg", "m4a", "aac"] {
        let whole = std::fs::read(
            Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/music")).join(format!("one-second.{ending}")),
        )
        .unwrap();
        for round in 0..12 {
            let mut bytes = whole.clone();
            let mut place = |below: usize| ((random.next().unwrap() + 1.0) / 2.0 * below as f64) as usize % below;
            if round % 3 == 0 {
                bytes.truncate(place(whole.len()));
            }
            // The sizes are in the header of a file.
            for _ in 0..6 {
                let at = if round % 2 == 0 { place(bytes.len().clamp(1, 400)) } else { place(bytes.len().max(1)) };
                if let Some(byte) = bytes.get_mut(at) {
                    *byte = place(256) as u8;
                }
            }
            let file = folder.path().join(format!("{round}.{ending}"));
            std::fs::write(&file, &bytes).unwrap();
            let begun = Instant::now();
            let out = read(&mut feed(&[file], RATE), 20_000);
            assert!(out.iter().flatten().all(|sample| sample.abs() <= 0.5), "{ending} {round}: over the limit");
            assert!(begun.elapsed() < Duration::from_secs(20), "{ending} {round}");
        }
    }
}

#[test]
fn a_long_file_takes_the_memory_of_two_seconds() {
    let folder = tempfile::tempdir().unwrap();
    let rate = 8_000;
    let long = numbered(folder.path(), "long.wav", rate, 600);
    let (mut reel, _tape) = tape(rate, Arc::new(MusicRequest::default()));
    let mut feed = feed(&[long], rate);
    assert_eq!(reel.capacity(), (AHEAD.as_secs() * u64::from(rate)) as usize);
    assert!(reel.fill(&mut feed), "full, and there is more");
    // The feed continues where the ring buffer ends: nothing else was decoded ahead.
    let ahead = (reel.capacity() / 1_024 * 1_024) as i64;
    let rest = numbers(&read(&mut feed, 599 * rate as usize));
    assert_eq!((rest[0], rest[rest.len() - 1]), (ahead % 20_000, (ahead + 599 * 8_000 - 1) % (600 * 8_000) % 20_000));
    assert!(rest.windows(2).filter(|pair| pair[1] != (pair[0] + 1) % 20_000).count() <= 1, "one jump, at the restart");
}

fn sine(n: u32) -> f64 {
    0.3 * (TAU * 300.0 * f64::from(n) / 48e3).sin()
}

/// Music that is only the difference between left and right. The score has no such difference, so the two can be
/// separated.
fn apart(folder: &Path) -> PathBuf {
    wav(&folder.join("apart.wav"), RATE, (0..480_000).map(|n| [sine(n), -sine(n)]))
}

/// The amplitude of that music in each 10 ms, which is three waves.
fn heights(out: &[StereoFrame]) -> Vec<f64> {
    let height = |part: &[StereoFrame]| {
        let energy: f64 = part.iter().map(|[left, right]| f64::from((left - right) / 2.0).powi(2)).sum();
        (2.0 * energy / part.len() as f64).sqrt()
    };
    out.chunks_exact(480).map(height).collect()
}

#[test]
fn music_is_down_before_anything_sounds_and_comes_up_after_it() {
    let folder = tempfile::tempdir().unwrap();
    let file = apart(folder.path());
    let spoken = buzz(2.0);
    let said = spoken.length().as_secs_f64();
    let pips = [9_000, 10_000, 11_000].map(|at| sound(at, SoundContent::Tone(ToneSignal::Pip)));
    let sounds = [vec![sound(3_000, SoundContent::Speech(spoken))], pips.to_vec()].concat();
    let mut device = Device::new(feed(&[file], RATE), sounds);
    let out = device.play(15 * RATE as usize);
    let heights = heights(&out);
    let full = heights[100];
    let decibels: Vec<f64> = heights.iter().map(|height| 20.0 * (height / full).log10()).collect();
    let at = |seconds: f64| decibels[(seconds * 100.0) as usize];
    let (attack, release) = (ATTACK.as_secs_f64(), RELEASE.as_secs_f64());
    let depth = 20.0 * f64::from(loudness::UNDER).log10();
    assert!((depth + 15.0).abs() < 0.01, "FAA Human Factors Design Standard: 15 dB over what else is heard");
    assert!(at(3.0 - attack - 0.03).abs() < 0.05, "full until the attack");
    assert!((at(3.0 - attack / 2.0) - depth / 2.0).abs() < 1.0, "evenly in decibels");
    for seconds in [3.0, 3.5, 3.0 + said - 0.02] {
        assert!((at(seconds) - depth).abs() < 0.1, "{:.2} dB at {seconds} s", at(seconds));
    }
    assert!((at(3.0 + said + release / 2.0) - depth / 2.0).abs() < 0.6);
    assert!(at(3.0 + said + release + 0.03).abs() < 0.05, "up again");
    // Music stays down between pips that are 1 s apart.
    for decibels in &decibels[900..1_110] {
        assert!((decibels - depth).abs() < 0.1, "{decibels} dB between pips");
    }
    assert!(BRIDGE > Duration::from_secs(1) && at(11.1 + release + 0.03).abs() < 0.05);
    // No click: the samples of the music change no faster than without ducking.
    let music: Vec<f32> = out.iter().map(|[left, right]| (left - right) / 2.0).collect();
    let step = |part: &[f32]| part.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
    assert!(step(&music[1_000..]) <= 1.01 * step(&music[48_000..96_000]));
}

#[test]
fn music_that_begins_during_a_tone_begins_ducked_and_at_its_volume() {
    let folder = tempfile::tempdir().unwrap();
    let tone = sound(0, SoundContent::Tone(ToneSignal::Start));
    let mut device = Device::new(feed(&[apart(folder.path())], RATE), vec![tone]);
    device.levels.set(SoundBus::Music, 0.5);
    let heights = heights(&device.play(2 * RATE as usize));
    let depth = |at: usize| heights[at] / heights[150];
    let wanted = f64::from(loudness::UNDER);
    assert!(heights[..50].iter().all(|height| *height < 1.02 * wanted * heights[150]), "down from the start");
    assert!((depth(25) / wanted - 1.0).abs() < 0.02);
}

#[test]
fn music_stays_under_speech_that_the_coach_has_set_softer() {
    let folder = tempfile::tempdir().unwrap();
    let file = apart(folder.path());
    for volume in [1.0f32, 0.49, 0.01] {
        let mut device =
            Device::new(feed(std::slice::from_ref(&file), RATE), vec![sound(2_000, SoundContent::Speech(buzz(2.0)))]);
        device.levels.set(SoundBus::Speech, volume);
        let heights = heights(&device.play(4 * RATE as usize));
        let wanted = f64::from(loudness::UNDER * volume);
        assert!((heights[250] / heights[100] / wanted - 1.0).abs() < 0.02, "at {volume}");
    }
}

#[test]
fn speech_is_fifteen_decibels_over_the_loudest_of_the_music() {
    let folder = tempfile::tempdir().unwrap();
    // Soft for 16 s, loud for 4 s, 14 dB apart. A level from the whole file alone would make the loud part too loud.
    let swell = |n: usize| if n < 16 * RATE as usize { 0.1 } else { 0.5 };
    let frames = noise().zip(noise().skip(12_345)).take(20 * RATE as usize).enumerate();
    let file = wav(&folder.path().join("swell.wav"), RATE, frames.map(|(n, (a, b))| [swell(n) * a, swell(n) * b]));
    let led = |music: f32| {
        let cue = vec![sound(18_000, SoundContent::Speech(buzz(1.5)))];
        let mut device = Device::new(feed(std::slice::from_ref(&file), RATE), cue);
        device.levels.set(SoundBus::Music, music);
        device.play(20 * RATE as usize)
    };
    let (both, speech) = (led(1.0), led(0.0));
    let music: Vec<StereoFrame> =
        both.iter().zip(&speech).map(|(both, speech)| [both[0] - speech[0], both[1] - speech[1]]).collect();
    let cue = 18 * RATE as usize..19 * RATE as usize;
    let over = lufs(&speech[cue.clone()]) - lufs(&music[cue]);
    assert!(over >= 15.0, "{over:.1} LU");
    // And the music is not too soft.
    let loud = lufs(&music[17 * RATE as usize - 24_000..18 * RATE as usize - 24_000]);
    assert!((LOUDNESS..=LOUDNESS + SWELL + 0.2).contains(&loud), "{loud:.1} LUFS in the loud part");
}

#[test]
fn a_file_of_any_loudness_is_brought_to_the_stated_loudness() {
    let folder = tempfile::tempdir().unwrap();
    for (name, height) in [("soft.wav", 0.05), ("loud.wav", 0.99)] {
        // Two sines on each channel: noise at full scale would reach the limit for peaks first.
        let sines = |n: u32, pitch: f64| height / 2.0 * (TAU * pitch * f64::from(n) / 48e3).sin();
        let frames = (0..480_000).map(|n| [sines(n, 400.0) + sines(n, 900.0), sines(n, 500.0) + sines(n, 1_300.0)]);
        let file = wav(&folder.path().join(name), RATE, frames);
        let out = read(&mut feed(&[file], RATE), 9 * RATE as usize);
        assert!((lufs(&out) - LOUDNESS).abs() < 0.3, "{name}: {:.1} LUFS", lufs(&out));
    }
}

/// Music in which every frame carries its number, modulo 20,000, as the ratio of left to right, at any level.
fn numbered(folder: &Path, name: &str, rate: u32, seconds: u32) -> PathBuf {
    let number = |n: u32| f64::from(n % 20_000) / 32_767.0;
    wav(&folder.join(name), rate, (0..seconds * rate).map(|n| [number(n), 0.5]))
}

/// The numbers of the frames that sound.
fn numbers(out: &[StereoFrame]) -> Vec<i64> {
    let sounding = out.iter().filter(|frame| frame[1].abs() > 1e-9);
    sounding.map(|[left, right]| (f64::from(*left) / f64::from(*right) * 16_384.0).round() as i64).collect()
}

/// Whether a number follows the one before. At the end of a fade one or two frames may be too soft to read.
fn follows((one, next): (i64, i64)) -> bool {
    (1..=3).contains(&(next - one).rem_euclid(20_000))
}

#[test]
fn a_pause_stops_music_at_once_and_music_resumes_with_the_next_sample() {
    let folder = tempfile::tempdir().unwrap();
    let file = numbered(folder.path(), "numbered.wav", RATE, 10);
    let mut device = Device::new(feed(&[file], RATE), vec![]);
    let mut heard = Vec::new();
    for round in 0..6usize {
        heard.extend(numbers(&device.play(30_000 + 77 * round)));
        let soft = round % 2 == 1;
        if soft {
            device.deck.play(None)
        } else {
            device.deck.hush()
        }
        let out = device.play(2 * RATE as usize);
        let within = if soft { FADE } else { Duration::from_millis(5) };
        let within = (within.as_secs_f64() * f64::from(RATE)) as usize + 2;
        assert!(out[within..].iter().all(|frame| *frame == [0.0; 2]), "silent within the fade");
        assert!(out[within * 3 / 4] != [0.0; 2], "and not with a click");
        heard.extend(numbers(&out));
        device.deck.play(Some(0));
    }
    assert!(heard.len() > 6 * 30_000);
    let pairs = || heard.windows(2).map(|pair| (pair[0], pair[1]));
    assert_eq!(pairs().find(|pair| !follows(*pair)), None, "nothing was lost, nothing played twice");
    assert!(pairs().filter(|(one, next)| (next - one).rem_euclid(20_000) != 1).count() <= 6);
}

#[test]
fn mute_silences_music_and_a_step_of_its_volume_is_a_ramp() {
    let folder = tempfile::tempdir().unwrap();
    let mut device = Device::new(feed(&[apart(folder.path())], RATE), vec![]);
    let full = heights(&device.play(48_000))[90];
    device.levels.set(SoundBus::Music, 0.25);
    let out = device.play(48_000);
    assert!((heights(&out)[50] / full - 0.25).abs() < 1e-3);
    let step = out.windows(2).map(|pair| (pair[1][0] - pair[0][0]).abs()).fold(0.0, f32::max);
    assert!(f64::from(step) < full * (TAU * 300.0 / 48e3 + 1.0 / 960.0), "no click: {step}");
    device.levels.mute(true);
    assert!(device.play(48_000)[961..].iter().all(|frame| *frame == [0.0; 2]));
}

#[test]
fn a_mono_device_has_both_channels_and_further_ones_none() {
    let folder = tempfile::tempdir().unwrap();
    let file = wav(&folder.path().join("l.wav"), RATE, (0..96_000).map(|n| [0.5 * f64::from(n % 2), 0.0]));
    let shape = |channels: u16| {
        let deck = Arc::new(MusicRequest::default());
        let (mut renderer, _conduct) =
            Renderer::new(RATE, channels, Arc::new(EngineVolumes::default()), FrameClock::fixed(RATE));
        let (mut reel, tape) = tape(RATE, deck.clone());
        renderer.add_music(tape);
        deck.load(Some(0));
        deck.play(Some(0));
        reel.fill(&mut feed(std::slice::from_ref(&file), RATE));
        let mut out = vec![0.0; 4_800 * usize::from(channels)];
        renderer.pull(&mut out, None);
        out[out.len() - 2 * usize::from(channels)..].to_vec()
    };
    let (mono, stereo, four) = (shape(1), shape(2), shape(4));
    let loud = stereo[0].max(stereo[2]);
    assert!(loud > 0.1 && stereo[1] == 0.0 && stereo[3] == 0.0);
    assert!((mono[0].max(mono[1]) - loud / 2.0).abs() < 1e-6);
    assert!(four[2..4] == [0.0; 2] && four[6..] == [0.0; 2]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_keys_make_a_frame_of_music_lost_or_played_twice(
        steps in prop::collection::vec((0u8..5, 1usize..6_000), 1..16)
    ) {
        static FOLDER: LazyLock<TempDir> = LazyLock::new(|| {
            let folder = tempfile::tempdir().unwrap();
            numbered(folder.path(), "n.wav", RATE, 5);
            folder
        });
        let mut device = Device::new(feed(&[FOLDER.path().join("n.wav")], RATE), vec![sound(500, SoundContent::Tone(ToneSignal::Opened))]);
        // The tone is on both channels and would hide the numbers.
        device.levels.set(SoundBus::Tones, 0.0);
        device.deck.hush();
        device.play(2_000);
        let mut heard = Vec::new();
        for (what, frames) in steps {
            match what {
                0 => device.deck.hush(),
                1 => device.deck.play(None),
                2 => drop(device.conduct.send(RenderOrder::Tick(ToneSignal::Taken))),
                _ => device.deck.play(Some(0)),
            }
            heard.extend(numbers(&device.play(frames)));
        }
        for pair in heard.windows(2) {
            prop_assert!(follows((pair[0], pair[1])), "{} after {}", pair[1], pair[0]);
        }
    }
}

#[test]
fn a_list_contains_only_regular_music_files_in_order() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    for name in ["b.MP3", "a.flac", "C.wav", ".hidden.wav", "notes.txt", "no-ending"] {
        std::fs::write(at(name), []).unwrap();
    }
    std::fs::create_dir(at("more.wav")).unwrap();
    std::fs::create_dir(at("empty")).unwrap();
    std::fs::write(at("more.wav").join("inside.ogg"), []).unwrap();
    #[cfg(unix)]
    assert!(std::process::Command::new("mkfifo").arg(at("pipe.mp3")).status().unwrap().success());
    let entries = [".", "notes.txt", "empty", "gone.mp3", "more.wav/inside.ogg", "pipe.mp3"].map(str::to_owned);
    let (found, lacking) = files(folder.path(), &entries);
    let names: Vec<String> = found.iter().map(|path| path.file_name().unwrap().to_string_lossy().into()).collect();
    assert_eq!(names, ["a.flac", "b.MP3", "C.wav", "inside.ogg"]);
    let lacking: Vec<String> = lacking.iter().map(|(entry, why)| format!("{} {why}", entries[*entry])).collect();
    assert_eq!(lacking.len(), if cfg!(unix) { 4 } else { 3 });
    assert!(lacking[0].starts_with("notes.txt is not a music file") && lacking[1].contains("without music files"));
    assert_eq!(lacking[2], "gone.mp3 does not exist or cannot be read");
}

/// A test device that pulls every 2 ms and passes on what it gets. When `lose` is set it is lost, once. After that it
/// has another rate.
struct TestDevice {
    out: Sender<Vec<StereoFrame>>,
    lose: Arc<AtomicBool>,
    rate: u32,
}

impl TestDevice {
    fn new() -> (Box<TestDevice>, Receiver<Vec<StereoFrame>>, Arc<AtomicBool>) {
        let (out, heard) = channel();
        let lose = Arc::new(AtomicBool::new(false));
        (Box::new(TestDevice { out, lose: lose.clone(), rate: 44_100 }), heard, lose)
    }
}

/// Ends the thread of a test device when dropped.
struct Stop(Arc<AtomicBool>);

impl Drop for Stop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl AudioDevice for TestDevice {
    fn open(
        &mut self,
        source: &mut dyn FnMut(u32, u16) -> StreamCallback,
        lost: LossNotifier,
    ) -> Result<OpenedStream, DeviceError> {
        let mut pull = source(self.rate, 2);
        self.rate = RATE;
        let ended = Stop(Arc::default());
        let (end, out, lose) = (ended.0.clone(), self.out.clone(), self.lose.clone());
        std::thread::spawn(move || {
            while !end.load(Ordering::Relaxed) {
                if lose.swap(false, Ordering::Relaxed) {
                    return lost.tell();
                }
                let mut buffer = vec![[0.0f32; 2]; 960];
                pull(buffer.as_flattened_mut(), Some(Duration::from_millis(20)));
                let _ = out.send(buffer);
                std::thread::park_timeout(Duration::from_millis(2));
            }
        });
        Ok(OpenedStream { name: "bench".to_owned(), buffer: None, stream: Box::new(ended) })
    }
}

#[test]
fn the_engine_changes_from_list_to_list_and_never_mixes_them() {
    let folder = tempfile::tempdir().unwrap();
    // Each list sounds on its own channel.
    let one = wav(&folder.path().join("one.wav"), RATE, (0..96_000).map(|n| [sine(n), 0.0]));
    let two = wav(&folder.path().join("two.wav"), RATE, (0..96_000).map(|n| [0.0, sine(n)]));
    let (device, heard, _) = TestDevice::new();
    let music = vec![[one].as_slice().into(), [two].as_slice().into()];
    let engine = SoundEngine::on(device, None, &EngineSettings { music, ..EngineSettings::default() });
    let begun = Instant::now();
    // Waits until the channel sounds, or for None until nothing sounds, and returns everything heard until then.
    let until = |channel: Option<usize>| {
        let mut all: Vec<StereoFrame> = Vec::new();
        loop {
            assert!(begun.elapsed() < Duration::from_secs(30), "waited for {channel:?}");
            let buffer = heard.recv_timeout(Duration::from_secs(10)).expect("the device pulls");
            let loud = |channel: usize| buffer.iter().any(|frame| frame[channel] > 0.1);
            let done = match channel {
                Some(channel) => loud(channel),
                None => buffer.iter().all(|frame| *frame == [0.0; 2]),
            };
            all.extend(buffer);
            if done {
                return all;
            }
        }
    };
    let quiet = until(None);
    assert!(quiet.iter().all(|frame| *frame == [0.0; 2]), "nothing plays before it is asked for");
    for list in [0, 1, 0] {
        engine.music(Some(list));
        let all = until(Some(list));
        let first = all.iter().position(|frame| frame[list] > 0.0).unwrap();
        assert!(all[first..].iter().all(|frame| frame[1 - list] == 0.0), "not a frame of the other list after it");
    }
    engine.silence();
    until(None);
    engine.music(Some(0));
    until(Some(0));
    engine.music(None);
    until(None);
    assert_eq!(engine.reports(), []);
}

#[test]
fn music_comes_back_with_a_device_that_was_lost() {
    let folder = tempfile::tempdir().unwrap();
    let one = wav(&folder.path().join("one.wav"), RATE, (0..96_000).map(|n| [sine(n); 2]));
    let (device, heard, lose) = TestDevice::new();
    let settings = EngineSettings { music: vec![[one].as_slice().into()], ..EngineSettings::default() };
    let engine = SoundEngine::on(device, None, &settings);
    engine.music(Some(0));
    // True if it is heard within 10 s.
    let is_heard = || {
        let begun = Instant::now();
        let mut buffers = std::iter::from_fn(|| heard.recv_timeout(Duration::from_secs(10)).ok());
        buffers.any(|buffer| buffer.iter().any(|frame| frame[0] > 0.1) || begun.elapsed() > Duration::from_secs(10))
            && begun.elapsed() < Duration::from_secs(10)
    };
    assert!(is_heard());
    lose.store(true, Ordering::Relaxed);
    let begun = Instant::now();
    let mut told = Vec::new();
    while told.len() < 2 {
        told.extend(engine.reports());
        assert!(begun.elapsed() < Duration::from_secs(10), "lost and back are both reported");
        std::thread::park_timeout(Duration::from_millis(5));
    }
    heard.try_iter().for_each(drop);
    assert!(is_heard(), "music is back by itself too");
}
