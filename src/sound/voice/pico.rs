//! The embedded voice: the Pico engine, with its British English voice built in. Nothing has to be installed.
//!
//! The engine reads its voice from files, so the two built-in files are written to the cache directory when the voice
//! is first used.

use std::io;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::Instant;

use ttspico::{EngineStatus, PicoError, System, Voice as Definition};

use super::{Pcm, Voice, VoiceFault, VoiceSpeed, text};

/// The two files of the voice: the text analysis, then the sounds.
const FILES: [(&str, &[u8]); 2] = [
    ("en-GB_ta.bin", include_bytes!("../../../assets/voice/en-GB_ta.bin")),
    ("en-GB_kh0_sg.bin", include_bytes!("../../../assets/voice/en-GB_kh0_sg.bin")),
];

/// The working memory of the engine, in bytes. The engine needs only a tenth of this, but it also reads memory that it
/// has not written, and old contents there would change its speech. A block of this size comes from the system filled
/// with zeros each time, and takes up real memory only where it is used.
const MEMORY: usize = 40 << 20;
/// The sample rate of the engine, in Hz.
const RATE: u32 = 16_000;
/// The volume at which the engine speaks without clipping, in percent of its default volume.
const HEIGHT: u32 = 60;

/// The embedded voice.
#[derive(Clone, Debug)]
pub struct PicoVoice {
    folder: PathBuf,
    pace: VoiceSpeed,
}

impl PicoVoice {
    /// The embedded voice, which keeps its files in `folder`.
    pub fn new(folder: &Path, pace: VoiceSpeed) -> PicoVoice {
        PicoVoice { folder: folder.to_owned(), pace }
    }

    /// The path of a voice file. The file is written first if it is missing or incomplete.
    fn file(&self, (name, bytes): (&str, &[u8])) -> io::Result<String> {
        let path = self.folder.join(name);
        if std::fs::read(&path).ok().as_deref() != Some(bytes) {
            std::fs::create_dir_all(&self.folder)?;
            let mut file = tempfile::NamedTempFile::new_in(&self.folder)?;
            io::Write::write_all(&mut file, bytes)?;
            file.persist(&path)?;
        }
        path.into_os_string().into_string().map_err(|_| io::Error::other("the path of their folder is not UTF-8"))
    }

    /// The raw samples of a text. Each text gets a new engine, which takes about 1 ms, so that the same text always
    /// gives the same samples.
    fn samples(&self, files: &[String; 2], text: &str, deadline: Instant) -> Result<Vec<f32>, VoiceFault> {
        let failed = |error: PicoError| VoiceFault::Failed(format!(": {}", error.descr));
        let system = System::new(MEMORY).map_err(failed)?;
        let analysis = System::load_resource(Rc::clone(&system), &files[0]).map_err(failed)?;
        let sounds = System::load_resource(Rc::clone(&system), &files[1]).map_err(failed)?;
        let definition = System::create_voice(system, "forecall").map_err(failed)?;
        definition.borrow_mut().add_resource(analysis).map_err(failed)?;
        definition.borrow_mut().add_resource(sounds).map_err(failed)?;
        // SAFETY: both resources have been added, which is the only requirement.
        let mut engine = unsafe { Definition::create_engine(definition) }.map_err(failed)?;

        let pace = self.pace.get();
        let marked = format!("<volume level=\"{HEIGHT}\"><speed level=\"{pace}\">{text}</speed></volume>\0");
        let mut left = marked.as_bytes();
        let mut samples = Vec::new();
        // The input of the engine holds only a few words. The engine speaks what it has taken before it takes more.
        while !left.is_empty() {
            match engine.put_text(left).map_err(failed)? {
                0 => return Err(VoiceFault::Failed(String::new())),
                taken => left = &left[taken..],
            }
            let mut some = [0i16; 1024];
            loop {
                let (count, status) = engine.get_data(&mut some[..]).map_err(failed)?;
                samples.extend(some[..count].iter().map(|&sample| f32::from(sample) / 32_768.0));
                if status == EngineStatus::Idle {
                    break;
                }
                if samples.len() as u64 > u64::from(RATE) * Pcm::LONGEST.as_secs() {
                    return Err(VoiceFault::TooMuch);
                }
                if Instant::now() > deadline {
                    return Err(VoiceFault::TooLate);
                }
            }
        }
        Ok(samples)
    }
}

impl Voice for PicoVoice {
    fn name(&self) -> String {
        format!("pico en-GB {}", self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::markup(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let not_written = |error: io::Error| VoiceFault::NotStarted(format!("its files cannot be written ({error})"));
        let files = [self.file(FILES[0]).map_err(not_written)?, self.file(FILES[1]).map_err(not_written)?];
        let samples = self.samples(&files, &text, deadline)?;
        Pcm::levelled(RATE, samples).ok_or(VoiceFault::Silent)
    }
}
