//! `forecall voices`: the voices of this system.

use std::io::Write;
use std::time::{Duration, Instant};

use super::{Stop, dirs};
use class::time::Tick;
use sound::voice::{Choice, Pace, Pcm, VoiceFault};
use sound::{Engine, Plan, Run, Settings, Sound, Sounding};

/// List the voices that you can use, or play them
#[derive(Debug, clap::Args)]
#[command(
    after_help = "`forecall lead --voice NAME` uses one of them. espeak-ng and flite take one of their own voices \
    after a colon: espeak-ng:en-us. For a program of your own that reads text and writes WAV, use command:PROGRAM."
)]
pub struct Args {
    /// Play each voice
    #[arg(long)]
    play: bool,
    /// Text to speak
    #[arg(long, default_value = "Next: split squat, left first. Bell down.")]
    text: String,
    /// Voices to list or play [default: all]
    names: Vec<String>,
}

/// How long a voice may take for the text.
const PATIENCE: Duration = Duration::from_secs(10);

/// Lists the voices, each tried with the text.
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
            Err(VoiceFault::Missing(program)) => writeln!(out, "{name:12} not available: {program} is not installed")?,
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

/// Plays a clip to its end. It starts after a second, since a device may be slow to open.
fn play(engine: &Engine, pcm: Pcm) {
    let wait = Duration::from_secs(1);
    let length = pcm.length();
    let sound = Sound { at: Tick::ZERO, audience: class::schedule::Audience::Class, what: Sounding::Speech(pcm) };
    let plan: Plan = std::iter::once(sound).collect();
    engine.play(&std::sync::Arc::new(plan), Run::from(Tick::ZERO), Instant::now() + wait);
    std::thread::sleep(wait + length + Duration::from_millis(500));
}
