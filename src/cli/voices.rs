//! `forecall voices`: what can speak here.

use std::io::Write;
use std::time::{Duration, Instant};

use super::{Stop, dirs};
use class::time::Tick;
use sound::voice::{Choice, Pace, Pcm, VoiceFault};
use sound::{Engine, Plan, Run, Settings, Sound, Sounding};

/// List the voices that speak here, and hear them
#[derive(Debug, clap::Args)]
#[command(
    after_help = "`forecall lead --voice NAME` speaks with one of them. espeak-ng and flite take one of their own voices \
    behind a colon: espeak-ng:en-us. A program of your own that reads a text and writes a WAV is command:PROGRAM."
)]
pub struct Args {
    /// Hear each of them, or those named
    #[arg(long)]
    play: bool,
    /// What they say
    #[arg(long, default_value = "Next: split squat, left first. Bell down.")]
    text: String,
    /// Only these
    names: Vec<String>,
}

/// How long a voice may take for the sentence.
const PATIENCE: Duration = Duration::from_secs(10);

/// Lists them, each tried with the sentence.
pub fn run(args: &Args, out: &mut impl Write) -> Result<(), Stop> {
    let choices = choices(&args.names)?;
    let folder = dirs::cache().unwrap_or_else(|| std::env::temp_dir().join("forecall"));
    let engine = args.play.then(|| Engine::start(&Settings::default()));
    for (name, choice) in choices {
        let mut voice = choice.voice(&folder, Pace::default());
        match voice.say(&args.text, Instant::now() + PATIENCE) {
            Ok(pcm) => {
                writeln!(out, "{name:12} speaks")?;
                out.flush()?;
                if let Some(engine) = &engine {
                    play(engine, pcm);
                }
            }
            Err(VoiceFault::Missing(program)) => writeln!(out, "{name:12} not here: {program} is not installed")?,
            Err(fault) => writeln!(out, "{name:12} does not speak: {fault}")?,
        }
    }
    for report in engine.iter().flat_map(Engine::reports) {
        writeln!(out, "{}", report.0)?;
    }
    Ok(())
}

fn choices(names: &[String]) -> Result<Vec<(String, Choice)>, Stop> {
    if names.is_empty() {
        return Ok(Choice::known().into_iter().map(|(name, choice)| (name.to_owned(), choice)).collect());
    }
    let named = names.iter().map(|name| Ok((name.clone(), name.parse()?)));
    named.collect::<Result<_, sound::voice::UnknownVoice>>().map_err(|unknown| Stop::Cannot(unknown.to_string()))
}

/// Plays a clip to its end. A device that is slow to open starts late; it is given a second.
fn play(engine: &Engine, pcm: Pcm) {
    let wait = Duration::from_secs(1);
    let length = pcm.length();
    let sound = Sound { at: Tick::ZERO, audience: class::schedule::Audience::Class, what: Sounding::Speech(pcm) };
    let plan: Plan = std::iter::once(sound).collect();
    engine.play(&std::sync::Arc::new(plan), Run::from(Tick::ZERO), Instant::now() + wait);
    std::thread::sleep(wait + length + Duration::from_millis(500));
}
