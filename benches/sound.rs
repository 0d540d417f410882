//! The cost of sound: rendering compared with real time and with `sox -n synth` in the same run; and the time from the
//! start of the engine, and from a key, to the first sound heard.

use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use class::schedule::Audience;
use class::time::Tick;
use sound::{
    AudioDevice, DeviceError, EngineSettings, LossNotifier, OpenedStream, PlannedSound, PlaybackRun, Score,
    SoundContent, SoundEngine, SoundPlan, StreamCallback, ToneSamples, ToneSignal, render,
};

const RATE: u32 = 48_000;
const LENGTH: u64 = 45 * 60;
/// How much sound the program asks a device for at a time, and how much a sound server holds in addition.
const PERIOD: Duration = Duration::from_millis(100);

fn tone(at: u64, signal: ToneSignal) -> PlannedSound {
    PlannedSound { at: Tick(at), audience: Audience::Class, what: SoundContent::Tone(signal) }
}

/// A class of 45 minutes: the same tones in each minute.
fn class() -> SoundPlan {
    let minute =
        [(0, ToneSignal::Start), (45_000, ToneSignal::Rest), (57_000, ToneSignal::Pip), (58_000, ToneSignal::Pip)];
    (0..LENGTH / 60).flat_map(|at| minute.map(|(tick, signal)| tone(at * 60_000 + tick, signal))).collect()
}

/// One tone right after the other, so that there is never a pause to skip.
fn unbroken() -> SoundPlan {
    (0..LENGTH * 10).map(|at| tone(at * 100, ToneSignal::Pip)).collect()
}

fn rendering(name: &str, plan: &SoundPlan) -> f64 {
    let score = Arc::new(Score::new(plan, &PlaybackRun::from(Tick::ZERO), RATE, &ToneSamples::at(RATE), |_| true));
    let frames = u64::from(RATE) * LENGTH;
    let best = (0..3).map(|_| {
        let begun = Instant::now();
        let sum: f32 = render(score.clone(), 0..frames).map(f32::abs).sum();
        assert!(sum > 0.0);
        begun.elapsed().as_secs_f64()
    });
    let best = best.fold(f64::INFINITY, f64::min);
    println!("{name}: {:.0} ms, {:.0} times real time", best * 1000.0, LENGTH as f64 / best);
    best
}

fn sox() -> Option<f64> {
    let length = LENGTH.to_string();
    let best = (0..3).map(|_| {
        let begun = Instant::now();
        let synth = ["-n", "-r", "48000", "-c", "1", "-t", "raw", "-e", "float", "-b", "32", "/dev/null", "synth"];
        let done = Command::new("sox").args(synth).args([&length, "sine", "1000"]).status();
        done.ok().filter(std::process::ExitStatus::success).map(|_| begun.elapsed().as_secs_f64())
    });
    best.collect::<Option<Vec<f64>>>().map(|all| all.into_iter().fold(f64::INFINITY, f64::min))
}

/// A device that asks for a period at a time, on time, and reports when it gets a sound that is not silence.
struct Device(Sender<Instant>, Arc<Mutex<Option<Instant>>>);

struct Stop(Arc<AtomicBool>);

impl Drop for Stop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl AudioDevice for Device {
    fn open(
        &mut self,
        source: &mut dyn FnMut(u32, u16) -> StreamCallback,
        _: LossNotifier,
    ) -> Result<OpenedStream, DeviceError> {
        let (mut pull, sounds) = (source(RATE, 1), self.0.clone());
        let ended = Arc::new(AtomicBool::new(false));
        let end = ended.clone();
        let first = self.1.clone();
        std::thread::spawn(move || {
            let mut buffer = vec![0f32; RATE as usize / 10];
            let begun = Instant::now();
            first.lock().expect("no thread panics").get_or_insert(begun);
            for period in 1.. {
                if end.load(Ordering::Relaxed) {
                    return;
                }
                // What is given now is heard after the period before it.
                pull(&mut buffer, Some(PERIOD));
                if let Some(at) = buffer.iter().position(|sample| *sample != 0.0) {
                    let heard = Instant::now() + PERIOD + Duration::from_secs_f64(at as f64 / f64::from(RATE));
                    // At the end nobody listens any more.
                    let _ = sounds.send(heard);
                }
                std::thread::sleep((begun + PERIOD * period).saturating_duration_since(Instant::now()));
            }
        });
        Ok(OpenedStream { name: "bench".to_owned(), buffer: None, stream: Box::new(Stop(ended)) })
    }
}

fn answering() {
    let (sounds, heard) = channel();
    let begun = Instant::now();
    let engine = SoundEngine::on(Box::new(Device(sounds, Arc::default())), None, &EngineSettings::default());
    let empty = Arc::new(SoundPlan::default());
    engine.play(&empty, PlaybackRun::from(Tick::ZERO), begun);
    engine.tick(ToneSignal::Pip);
    let first = heard.recv().expect("a sound");
    println!("engine started to first sound heard: {:.0} ms", first.duration_since(begun).as_secs_f64() * 1000.0);
    let mut took: Vec<f64> = (0..20u64)
        .map(|turn| {
            // Start at any place in a period. The last sound is over by then.
            std::thread::sleep(Duration::from_millis(700 + turn * 7));
            while heard.try_recv().is_ok() {}
            let pressed = Instant::now();
            let plan: Arc<SoundPlan> = Arc::new((0..200).map(|at| tone(at * 5, ToneSignal::Phase)).collect());
            engine.play(&plan, PlaybackRun::from(Tick::ZERO), pressed);
            let first = heard.recv().expect("a sound").duration_since(pressed).as_secs_f64() * 1000.0;
            engine.silence();
            first
        })
        .collect();
    took.sort_by(f64::total_cmp);
    println!(
        "key to new score heard, at 100 ms a period: {:.0} to {:.0} ms, median {:.0} ms",
        took[0],
        took[took.len() - 1],
        took[took.len() / 2]
    );
}

fn main() {
    rendering("45 minutes of a class", &class());
    let best = rendering("45 minutes without a pause", &unbroken());
    match sox() {
        Some(sox) => {
            println!("sox -n synth, a sine of this length: {:.0} ms; {:.1} times as long", sox * 1000.0, sox / best)
        }
        None => println!("sox is not installed"),
    }
    answering();
}
