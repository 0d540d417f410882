//! `forecall render`: a class as a sound file.

use std::io::{self, IsTerminal, stdout};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use clap::ValueEnum;

use super::new::slug;
use super::notes::note;
use super::output::{Output, OutputArgs};
use super::progress::Progress;
use super::session::SessionFile;
use super::spoken::{Audience, Said, Spoken};
use super::{Exit, Stop};
use class::cue::{opening_words, sounding};
use class::session::Level;
use class::time::{Tick, clock};
use sound::Plan;
use sound::plan_of;
use sound::render::{self, Broken, Format, Levelled, Loudness, Only, TARGET, Track, Want, measure};

/// Write a class as a sound file, with the tones and the speech of `lead`
#[derive(Debug, clap::Args)]
#[command(after_help = "The class runs as planned, without music; blocks that wait for the coach start at once. The \
    sound starts with the first tick of the class, as captions and chapters do.\n\n\
    The sound has one channel of 16 bits. One gain for the whole sets its loudness to -16 LUFS (ITU-R BS.1770), with a \
    true peak below -1 dBTP. If the peaks do not allow that, it is quieter, and the last line says so.\n\n\
    Examples:\n  forecall render class.ron                         writes a WAV file with a cue point at every span\n  \
    forecall render class.ron -o class.opus --count-in   a small file to teach with\n  \
    forecall render class.ron --audience coach -o ear.flac")]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    #[command(flatten)]
    output: OutputArgs,
    /// Format [default: from the extension of the file, else wav]
    #[arg(long = "as", value_name = "FORMAT")]
    format: Option<FormatWord>,
    /// Only the tones or only the speech, at the same times and as loud as in the whole
    #[arg(long, value_name = "WHAT")]
    only: Option<OnlyWord>,
    #[command(flatten)]
    spoken: Spoken,
    /// How much is spoken: silent, tones, calls, changes or full [default: the level of each block]
    #[arg(long)]
    level: Option<Level>,
    /// Start with a count-in, as in `lead`: the first station is named, then three pips
    #[arg(long)]
    count_in: bool,
    /// Samples per second, 8000 to 96000
    #[arg(long, value_name = "HZ", default_value_t = 48_000, value_parser = clap::value_parser!(u32).range(8_000..=96_000))]
    rate: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum FormatWord {
    /// Plays everywhere; has a cue point at every span
    Wav,
    /// The same sound in a tenth of the size or less
    Flac,
    /// Opus in Ogg, the smallest
    #[value(alias = "ogg")]
    Opus,
}

impl From<FormatWord> for Format {
    fn from(word: FormatWord) -> Format {
        match word {
            FormatWord::Wav => Format::Wav,
            FormatWord::Flac => Format::Flac,
            FormatWord::Opus => Format::Opus,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum OnlyWord {
    Tones,
    Speech,
}

/// Writes the sound. If a signal ends it, the exit code is 128 plus the number of the signal.
///
/// # Errors
/// When the file has faults, nothing would sound, or the output cannot be written.
pub fn run(args: &Args) -> Result<Exit, Stop> {
    let signal = Signal::listen().map_err(|error| Stop::Cannot(format!("cannot listen to signals: {error}")))?;
    match args.render(&signal) {
        Ok(()) => Ok(Exit::Well),
        Err(Ended::Stop(stop)) => Err(stop),
        // The temporary file is deleted already.
        Err(Ended::Signal(number)) => Ok(Exit::Signal(number)),
    }
}

/// Why no file was written.
enum Ended {
    Stop(Stop),
    Signal(i32),
}

impl From<Stop> for Ended {
    fn from(stop: Stop) -> Ended {
        Ended::Stop(stop)
    }
}

impl Args {
    fn render(&self, signal: &Signal) -> Result<(), Ended> {
        let format = self.format()?;
        // The output is opened before the session is read if its name is known, so that no work is done for a file that
        // cannot be written.
        let named = self.output.output.as_deref().map(|path| self.open(path)).transpose()?;
        let loaded = self.file.load()?;
        note(&loaded.warnings);
        let usual = PathBuf::from(self.usual_name(&loaded.schedule.session.title, format));
        let mut output = named.map_or_else(|| self.open(&usual), Ok)?;

        let mut progress = Progress::new();
        let said = self.spoken.say_while(loaded.schedule, self.level, &mut |done, of| {
            progress.show("speaking", done as u64, of as u64);
            signal.is_none()
        });
        let said = said.ok_or_else(|| signal.ended())?;
        progress.clear();
        said.tell();
        if said.is_mute() {
            let why = "the voice does not speak; for tones only use --voice none";
            return Err(Stop::Cannot(why.to_owned()).into());
        }
        let whole = self.track(&said)?;
        format.fits(&whole).map_err(|why| Stop::Cannot(why.to_string()))?;
        let track = self.only.map_or_else(|| whole.clone(), |only| whole.only(only.into()));
        if track.is_silent() {
            return Err(
                Stop::Faults("nothing would be heard: this audience has no sound at this level".to_owned()).into()
            );
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
    fn track(&self, said: &Said) -> Result<Track, Stop> {
        let say = |text: &str| said.get(text);
        let ears = self.spoken.audience.ears();
        let schedule = &said.schedule;
        let plan: Plan = plan_of(&sounding(schedule, &said.voicing), &say);
        let opens = schedule.spans.first().map(|span| said.voicing.level_in(schedule, span)) >= Some(Level::Changes);
        let opening = opening_words(schedule).filter(|_| opens).and_then(|text| say(&text));
        let want = Want { rate: self.rate, count_in: self.count_in.then_some(opening) };
        Ok(Track::new(schedule, &plan, ears, &want))
    }

    fn format(&self) -> Result<Format, Stop> {
        let word = match (self.format, self.output.output.as_deref()) {
            (Some(word), _) => word,
            (None, Some(path)) if path.as_os_str() != "-" => ending_of(path)?,
            (None, _) => FormatWord::Wav,
        };
        Ok(word.into())
    }

    fn open(&self, path: &Path) -> Result<Output, Stop> {
        if path.as_os_str() == "-" && stdout().is_terminal() {
            return Err(Stop::Cannot(
                "a terminal cannot play sound: name a file, or pipe the output with |".to_owned(),
            ));
        }
        Output::open(path, self.output.force)
    }

    /// The name of the file if none was given.
    fn usual_name(&self, title: &str, format: Format) -> String {
        let ears = if self.spoken.audience == Audience::Coach { "-coach" } else { "" };
        let only = match self.only {
            None => "",
            Some(OnlyWord::Tones) => "-tones",
            Some(OnlyWord::Speech) => "-speech",
        };
        let ending = match format {
            Format::Wav => "wav",
            Format::Flac => "flac",
            Format::Opus => "opus",
        };
        format!("{}{ears}{only}.{ending}", slug(title))
    }
}

impl From<OnlyWord> for Only {
    fn from(word: OnlyWord) -> Only {
        match word {
            OnlyWord::Tones => Only::Tones,
            OnlyWord::Speech => Only::Speech,
        }
    }
}

/// The format for the extension of a file name.
fn ending_of(path: &Path) -> Result<FormatWord, Stop> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    FormatWord::from_str(ending, true).map_err(|_| {
        let name = path.display();
        Stop::Cannot(format!("cannot tell the format of {name}: use .wav, .flac or .opus, or --as"))
    })
}

/// One line on what was written.
fn summary(name: &Path, track: &Track, levelled: Option<Levelled>) -> String {
    let name = if name.as_os_str() == "-" { "standard output".into() } else { name.display().to_string() };
    let length = clock(Tick::seconds(track.frames() / u64::from(track.rate)));
    let mut line = format!("{name}: {length}");
    if let Some(Levelled { loudness: Loudness { lufs, peak }, held_down, .. }) = levelled {
        line += &format!(", {lufs:.1} LUFS, true peak {peak:.1} dBTP");
        if held_down {
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
struct Signal(Arc<AtomicUsize>);

impl Signal {
    #[cfg(unix)]
    fn listen() -> io::Result<Signal> {
        use std::sync::atomic::AtomicBool;

        use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
        use signal_hook::flag;

        let (signal, again) = (Signal(Arc::default()), Arc::new(AtomicBool::new(false)));
        for number in [SIGHUP, SIGINT, SIGTERM] {
            let value = usize::try_from(number).unwrap_or(1);
            flag::register_conditional_shutdown(number, 128 + number, again.clone())?;
            flag::register(number, again.clone())?;
            flag::register_usize(number, signal.0.clone(), value)?;
        }
        Ok(signal)
    }

    #[cfg(not(unix))]
    fn listen() -> io::Result<Signal> {
        Ok(Signal(Arc::default()))
    }

    fn is_none(&self) -> bool {
        self.0.load(Ordering::Relaxed) == 0
    }

    fn ended(&self) -> Ended {
        Ended::Signal(i32::try_from(self.0.load(Ordering::Relaxed)).unwrap_or(1))
    }

    fn of(&self, broken: Broken, output: &Output) -> Ended {
        match broken {
            Broken::Stopped => self.ended(),
            Broken::Output(error) => output.fault(error).into(),
        }
    }
}
