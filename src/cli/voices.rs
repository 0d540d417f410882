//! `forecall voices`: the voices of this system.

use std::io::Write;
use std::time::{Duration, Instant};

use super::{CommandError, dirs};
use class::time::Tick;
use sound::voice::{Pcm, VoiceChoice, VoiceFault, VoiceSpeed};
use sound::{EngineSettings, PlannedSound, PlaybackRun, SoundContent, SoundEngine, SoundPlan};

/// List the voices that you can use, or play them
#[derive(Debug, clap::Args)]
#[command(
    after_help = "`forecall lead --voice NAME` uses one of them. espeak-ng and flite take one of their own voices \
    after a colon: espeak-ng:en-us. For a program of your own that reads text and writes WAV, use command:PROGRAM."
)]
pub(crate) struct VoicesArgs {
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
pub(crate) fn run(args: &VoicesArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let choices = choices(&args.names)?;
    let folder = dirs::cache().unwrap_or_else(|| std::env::temp_dir().join("forecall"));
    let engine = args.play.then(|| SoundEngine::start(&EngineSettings::default()));
    for (name, choice) in choices {
        let mut voice = choice.voice(&folder, VoiceSpeed::default());
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
    for report in engine.iter().flat_map(SoundEngine::reports) {
        writeln!(out, "{}", report.0)?;
    }
    Ok(())
}

fn choices(names: &[String]) -> Result<Vec<(String, VoiceChoice)>, CommandError> {
    if names.is_empty() {
        return Ok(VoiceChoice::known().into_iter().map(|(name, choice)| (name.to_owned(), choice)).collect());
    }
    let named = names.iter().map(|name| Ok((name.clone(), name.parse()?)));
    named.collect::<Result<_, sound::voice::UnknownVoice>>().map_err(CommandError::refused)
}

/// Plays a clip to its end. It starts after a second, since a device may be slow to open.
fn play(engine: &SoundEngine, pcm: Pcm) {
    let wait = Duration::from_secs(1);
    let length = pcm.length();
    let sound =
        PlannedSound { at: Tick::ZERO, audience: class::schedule::Audience::Class, what: SoundContent::Speech(pcm) };
    let plan: SoundPlan = std::iter::once(sound).collect();
    engine.play(&std::sync::Arc::new(plan), PlaybackRun::from(Tick::ZERO), Instant::now() + wait);
    std::thread::sleep(wait + length + Duration::from_millis(500));
}
