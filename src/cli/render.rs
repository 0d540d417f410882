//! `forecall render`: a class as a sound file.

use std::io::{self, IsTerminal, stdout};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use clap::ValueEnum;

use super::error::OrCannot;
use super::new::slug;
use super::notes::note;
use super::output::{OutputArgs, OutputFile};
use super::progress::ProgressLine;
use super::session::SessionArgs;
use super::speech_args::{AudienceArg, SpeechArgs, SpokenClass};
use super::word_parser::word_parser;
use super::{CommandError, Exit};
use class::cue::{audible_events, opening_words};
use class::session::SpeechLevel;
use class::time::{Tick, clock};
use sound::SoundPlan;
use sound::plan_of;
use sound::render::{
    self, ClassTrack, LevelAdjustment, Loudness, RenderError, SoundFormat, SoundKind, TARGET, TrackOptions, measure,
};

/// Write a class as a sound file, with the tones and the speech of `lead`
#[derive(Debug, clap::Args)]
#[command(after_help = "The class runs as planned, without music; blocks that wait for the coach start at once. The \
    sound starts with the first tick of the class, as captions and chapters do.\n\n\
    The sound has one channel of 16 bits. One gain for the whole sets its loudness to -16 LUFS (ITU-R BS.1770), with a \
    true peak below -1 dBTP. If the peaks do not allow that, it is quieter, and the last line says so.\n\n\
    Examples:\n  forecall render class.ron                         writes a WAV file with a cue point at every span\n  \
    forecall render class.ron -o class.opus --count-in   a small file to teach with\n  \
    forecall render class.ron --audience coach -o ear.flac")]
pub(crate) struct RenderArgs {
    #[command(flatten)]
    file: SessionArgs,
    #[command(flatten)]
    output: OutputArgs,
    /// Format [default: from the extension of the file, else wav]
    #[arg(long = "as", value_name = "FORMAT")]
    format: Option<SoundFormatArg>,
    /// Only the tones or only the speech, at the same times and as loud as in the whole
    #[arg(long, value_name = "WHAT")]
    only: Option<SoundKindArg>,
    #[command(flatten)]
    spoken: SpeechArgs,
    /// How much is spoken [default: the level of each block]
    #[arg(long, value_parser = word_parser::<SpeechLevel>())]
    level: Option<SpeechLevel>,
    /// Start with a count-in, as in `lead`: the first station is named, then three pips
    #[arg(long)]
    count_in: bool,
    /// Samples per second, 8000 to 96000
    #[arg(long, value_name = "HZ", default_value_t = 48_000, value_parser = clap::value_parser!(u32).range(8_000..=96_000))]
    rate: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum SoundFormatArg {
    /// Plays everywhere; has a cue point at every span
    Wav,
    /// The same sound in a tenth of the size or less
    Flac,
    /// Opus in Ogg, the smallest
    #[value(alias = "ogg")]
    Opus,
}

impl From<SoundFormatArg> for SoundFormat {
    fn from(word: SoundFormatArg) -> SoundFormat {
        match word {
            SoundFormatArg::Wav => SoundFormat::Wav,
            SoundFormatArg::Flac => SoundFormat::Flac,
            SoundFormatArg::Opus => SoundFormat::Opus,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum SoundKindArg {
    Tones,
    Speech,
}

/// Writes the sound. If a signal ends it, the exit code is 128 plus the number of the signal.
///
/// # Errors
/// When the file has faults, nothing would sound, or the output cannot be written.
pub(crate) fn run(args: &RenderArgs) -> Result<Exit, CommandError> {
    let signal = TerminationSignal::listen().or_cannot("listen to signals")?;
    match args.render(&signal) {
        Ok(()) => Ok(Exit::Well),
        Err(RenderStop::Stop(stop)) => Err(stop),
        // The temporary file is deleted already.
        Err(RenderStop::Signal(number)) => Ok(Exit::Signal(number)),
    }
}

/// Why no file was written.
enum RenderStop {
    Stop(CommandError),
    Signal(i32),
}

impl From<CommandError> for RenderStop {
    fn from(stop: CommandError) -> RenderStop {
        RenderStop::Stop(stop)
    }
}

impl RenderArgs {
    fn render(&self, signal: &TerminationSignal) -> Result<(), RenderStop> {
        let format = self.format()?;
        // The output is opened before the session is read if its name is known, so that no work is done for a file that
        // cannot be written.
        let named = self.output.output.as_deref().map(|path| self.open(path)).transpose()?;
        let loaded = self.file.load()?;
        note(&loaded.warnings);
        let usual = PathBuf::from(self.usual_name(&loaded.schedule.session.title, format));
        let mut output = named.map_or_else(|| self.open(&usual), Ok)?;

        let mut progress = ProgressLine::new();
        let said = self.spoken.speak_while(loaded.schedule, self.level, &mut |done, of| {
            progress.show("speaking", done as u64, of as u64);
            signal.is_none()
        });
        let said = said.ok_or_else(|| signal.ended())?;
        progress.clear();
        said.print_voice_reports();
        if said.is_mute() {
            let why = "the voice does not speak; for tones only use --voice none";
            return Err(CommandError::refused(why).into());
        }
        let whole = self.track(&said)?;
        format.fits(&whole).map_err(CommandError::refused)?;
        let track = self.only.map_or_else(|| whole.clone(), |only| whole.only(only.into()));
        if track.is_silent() {
            let why = "nothing would be heard: this audience has no sound at this level";
            return Err(CommandError::faults(why).into());
        }

        // Measured on the whole, so that tones and speech written to separate files match.
        let frames = track.frames();
        let loudness = measure(&whole, &mut |done| {
            progress.show("measuring", done, frames);
            signal.is_none()
        });
        let loudness = loudness.map_err(|broken| signal.of(broken, &output))?;
        let levelled = loudness.map(|loudness| loudness.levelled(format));
        let gain = levelled.map_or(1.0, |levelled| levelled.gain);
        let written = render::write(&track, format, gain, &mut output, &mut |done| {
            progress.show("writing", done, frames);
            signal.is_none()
        });
        written.map_err(|broken| signal.of(broken, &output))?;
        progress.clear();
        output.finish()?;
        let name = self.output.output.as_ref().unwrap_or(&usual);
        note(&summary(name, &track, levelled));
        Ok(())
    }

    /// The sound of the class for the audience.
    fn track(&self, said: &SpokenClass) -> Result<ClassTrack, CommandError> {
        let say = |text: &str| said.get(text);
        let ears = self.spoken.audience.ears();
        let schedule = &said.schedule;
        let plan: SoundPlan = plan_of(&audible_events(schedule, &said.voicing), &say);
        let opens =
            schedule.spans.first().map(|span| said.voicing.level_in(schedule, span)) >= Some(SpeechLevel::Changes);
        let opening = opening_words(schedule).filter(|_| opens).and_then(|text| say(&text));
        let want = TrackOptions { rate: self.rate, count_in: self.count_in.then_some(opening) };
        Ok(ClassTrack::new(schedule, &plan, ears, &want))
    }

    fn format(&self) -> Result<SoundFormat, CommandError> {
        let word = match (self.format, self.output.output.as_deref()) {
            (Some(word), _) => word,
            (None, Some(path)) if path.as_os_str() != "-" => format_of_name(path)?,
            (None, _) => SoundFormatArg::Wav,
        };
        Ok(word.into())
    }

    fn open(&self, path: &Path) -> Result<OutputFile, CommandError> {
        if path.as_os_str() == "-" && stdout().is_terminal() {
            return Err(CommandError::refused("a terminal cannot play sound: name a file, or pipe the output with |"));
        }
        OutputFile::open(path, self.output.force)
    }

    /// The name of the file if none was given.
    fn usual_name(&self, title: &str, format: SoundFormat) -> String {
        let ears = if self.spoken.audience == AudienceArg::Coach { "-coach" } else { "" };
        let only = match self.only {
            None => "",
            Some(SoundKindArg::Tones) => "-tones",
            Some(SoundKindArg::Speech) => "-speech",
        };
        let ending = match format {
            SoundFormat::Wav => "wav",
            SoundFormat::Flac => "flac",
            SoundFormat::Opus => "opus",
        };
        format!("{}{ears}{only}.{ending}", slug(title))
    }
}

impl From<SoundKindArg> for SoundKind {
    fn from(word: SoundKindArg) -> SoundKind {
        match word {
            SoundKindArg::Tones => SoundKind::Tones,
            SoundKindArg::Speech => SoundKind::Speech,
        }
    }
}

/// The format for the extension of a file name.
fn format_of_name(path: &Path) -> Result<SoundFormatArg, CommandError> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    SoundFormatArg::from_str(ending, true).map_err(|_| {
        CommandError::cannot(format_args!("tell the format of {}", path.display()), "use .wav, .flac or .opus, or --as")
    })
}

/// One line on what was written.
fn summary(name: &Path, track: &ClassTrack, levelled: Option<LevelAdjustment>) -> String {
    let name = if name.as_os_str() == "-" { "standard output".into() } else { name.display().to_string() };
    let length = clock(Tick::seconds(track.frames() / u64::from(track.rate)));
    let mut line = format!("{name}: {length}");
    if let Some(LevelAdjustment { loudness: Loudness { lufs, peak }, limited_by_peaks, .. }) = levelled {
        line += &format!(", {lufs:.1} LUFS, true peak {peak:.1} dBTP");
        if limited_by_peaks {
            line += &format!(" (its peaks do not allow {TARGET:.0} LUFS)");
        }
    }
    match track.dropped() {
        0 => line,
        1 => line + "; no time for 1 cue",
        count => line + &format!("; no time for {count} cues"),
    }
}

/// The signal that ends the work, once one has come: the temporary file is then deleted. A second signal ends the
/// program at once.
struct TerminationSignal(Arc<AtomicUsize>);

impl TerminationSignal {
    #[cfg(unix)]
    fn listen() -> io::Result<TerminationSignal> {
        use std::sync::atomic::AtomicBool;

        use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
        use signal_hook::flag;

        let (signal, again) = (TerminationSignal(Arc::default()), Arc::new(AtomicBool::new(false)));
        for number in [SIGHUP, SIGINT, SIGTERM] {
            let value = usize::try_from(number).unwrap_or(1);
            flag::register_conditional_shutdown(number, 128 + number, again.clone())?;
            flag::register(number, again.clone())?;
            flag::register_usize(number, signal.0.clone(), value)?;
        }
        Ok(signal)
    }

    #[cfg(not(unix))]
    fn listen() -> io::Result<TerminationSignal> {
        Ok(TerminationSignal(Arc::default()))
    }

    fn is_none(&self) -> bool {
        self.0.load(Ordering::Relaxed) == 0
    }

    fn ended(&self) -> RenderStop {
        RenderStop::Signal(i32::try_from(self.0.load(Ordering::Relaxed)).unwrap_or(1))
    }

    fn of(&self, broken: RenderError, output: &OutputFile) -> RenderStop {
        match broken {
            RenderError::Stopped => self.ended(),
            RenderError::Output(error) => output.fault(error).into(),
        }
    }
}
