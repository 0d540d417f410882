//! Rendering one hour of class with speech, compared with real time and with the time that `sox` takes for a plain tone
//! of the same length. Both run alternately, and the fastest of three runs counts. Rendering has to take less than a
//! 500th of the hour on one core, and less than `sox`.

use std::collections::HashMap;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use class::cue::{SpeechLengths, SpeechSettings, audible_events, plan_and_insert_cues, texts};
use class::movement::Catalogue;
use class::schedule::{Schedule, compile};
use class::session::{Session, read};
use class::time::Tick;
use sound::Pcm;
use sound::plan_of;
use sound::render::{ClassTrack, SoundFormat, TrackOptions, measure, write};

const RATE: u32 = 48_000;

fn main() -> io::Result<()> {
    let folder = tempfile::tempdir()?;
    let (schedule, speech) = hour();
    let track = track(&schedule, &speech);
    let length = track.frames() as f64 / f64::from(RATE);
    println!("{:.0} minutes, {} cue points, {} texts", length / 60.0, track.markers.len(), speech.len());
    let (mut ours, mut theirs) = (Duration::MAX, Duration::MAX);
    for _ in 0..3 {
        let began = Instant::now();
        whole(&schedule, &speech, SoundFormat::Wav, &folder.path().join("class.wav"))?;
        ours = ours.min(began.elapsed());
        let began = Instant::now();
        if !sox(&folder.path().join("tone.wav"), length) {
            println!("sox is not installed, so there is nothing to compare with");
            continue;
        }
        theirs = theirs.min(began.elapsed());
    }
    let tell = |what: &str, took: Duration| println!("{what:22} {took:9.1?} {:8.0}x", length / took.as_secs_f64());
    tell("sox, plain tone", theirs);
    tell("wav, whole", ours);
    let began = Instant::now();
    let loudness = measure(&track, &mut |_| true).map_err(io::Error::other)?;
    tell("  measuring only", began.elapsed());
    for (what, format) in
        [("  wav only", SoundFormat::Wav), ("  flac only", SoundFormat::Flac), ("  opus only", SoundFormat::Opus)]
    {
        let began = Instant::now();
        let mut count = Count(0);
        write(&track, format, 1.0, &mut count, &mut |_| true).map_err(io::Error::other)?;
        tell(what, began.elapsed());
        println!("{:22} {:6.1} MB", "", count.0 as f64 / 1e6);
    }
    println!("{loudness:?}");
    Ok(())
}

/// Everything that the command does once it has its speech.
fn whole(schedule: &Schedule, speech: &HashMap<String, Pcm>, format: SoundFormat, path: &Path) -> io::Result<()> {
    let track = track(schedule, speech);
    let loudness = measure(&track, &mut |_| true).map_err(io::Error::other)?;
    let gain = loudness.map_or(1.0, |loudness| loudness.levelled(format).gain);
    let mut file = BufWriter::new(File::create(path)?);
    write(&track, format, gain, &mut file, &mut |_| true).map_err(io::Error::other)?;
    file.flush()
}

fn track(schedule: &Schedule, speech: &HashMap<String, Pcm>) -> ClassTrack {
    let mut lengths = SpeechLengths::default();
    lengths.learn(speech.iter().map(|(text, pcm)| (text.clone(), pcm.length())));
    let voicing = SpeechSettings { lengths, ..SpeechSettings::default() };
    let mut schedule = schedule.clone();
    plan_and_insert_cues(&mut schedule, Tick::ZERO, &voicing);
    let plan = plan_of(&audible_events(&schedule, &voicing), &|text: &str| speech.get(text).cloned());
    ClassTrack::new(&schedule, &plan, |_| true, &TrackOptions { rate: RATE, count_in: None })
}

/// The blocks of the 45-minute demo, repeated until they last an hour, and noise in place of speech, as long as the
/// built-in voice takes.
fn hour() -> (Schedule, HashMap<String, Pcm>) {
    let text = include_str!("../sessions/frost-and-oars.ron");
    let once = read(text, Catalogue::built_in()).session.expect("the demo class has no fault");
    let of = |count: usize| {
        let blocks = once.blocks.iter().cycle().take(count).cloned().collect();
        compile(Arc::new(Session { blocks, ..once.clone() }))
    };
    let count = (1..).find(|count| of(*count).total() >= Tick::seconds(3600)).unwrap_or(1);
    let schedule = of(count);
    let lengths = SpeechLengths::default();
    let speech = texts(&schedule).into_iter().filter_map(|text| {
        let mut state = 1u32;
        let mut noise = |_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 18) as i16 - 8_192
        };
        let pcm = Pcm::from_samples(16_000, (0..lengths.of(&text).0 * 16).map(&mut noise).collect())?;
        Some((text, pcm))
    });
    let speech = speech.collect();
    (schedule, speech)
}

fn sox(path: &Path, seconds: f64) -> bool {
    let mut command = Command::new("sox");
    command.args(["-n", "-r", "48000", "-c", "1", "-b", "16"]).arg(path);
    command.args(["synth", &seconds.to_string(), "sine", "1000", "vol", "0.5"]).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

/// Counts bytes and discards them.
struct Count(u64);

impl Write for Count {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0 += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
