//! The embedded voice: the Pico engine, with its British English voice built in. Nothing has to be installed.
//!
//! The engine reads its voice from files, so the two that are built in are written to the cache directory when the
//! voice is first used.

use std::io;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::time::Instant;

use ttspico::{EngineStatus, PicoError, System, Voice as Definition};

use super::{Pace, Pcm, Voice, VoiceFault, text};

/// Analysis of text, and sounds.
const FILES: [(&str, &[u8]); 2] = [
    ("en-GB_ta.bin", include_bytes!("../../../assets/voice/en-GB_ta.bin")),
    ("en-GB_kh0_sg.bin", include_bytes!("../../../assets/voice/en-GB_kh0_sg.bin")),
];

/// Memory that the engine works in, in bytes. It needs a tenth of it, but reads some that nobody has written, and then
/// speaks by what was left there. So much comes fresh from the system each time, all zero, and only what is used is there.
const MEMORY: usize = 40 << 20;
/// Its sample rate.
const RATE: u32 = 16_000;
/// The height at which it speaks without clipping, in percent of its usual one.
const HEIGHT: u32 = 60;

/// The embedded voice.
#[derive(Clone, Debug)]
pub struct Pico {
    folder: PathBuf,
    pace: Pace,
}

impl Pico {
    /// The voice, which keeps its files in this folder.
    pub fn new(folder: &Path, pace: Pace) -> Pico {
        Pico { folder: folder.to_owned(), pace }
    }

    /// The path of a voice file, written first if it is not there whole.
    fn file(&self, (name, bytes): (&str, &[u8])) -> io::Result<String> {
        let path = self.folder.join(name);
        if std::fs::read(&path).ok().as_deref() != Some(bytes) {
            std::fs::create_dir_all(&self.folder)?;
            let mut file = tempfile::NamedTempFile::new_in(&self.folder)?;
            io::Write::write_all(&mut file, bytes)?;
            file.persist(&path)?;
        }
        path.into_os_string().into_string().map_err(|_| io::Error::other("its folder has a name that is not text"))
    }

    /// Raw samples. The whole engine is made anew for each text, which takes a millisecond: then the same text always
    /// gives the same samples.
    fn samples(&self, files: &[String; 2], text: &str, deadline: Instant) -> Result<Vec<f32>, VoiceFault> {
        let failed = |error: PicoError| VoiceFault::Failed(format!(": {}", error.descr));
        let system = System::new(MEMORY).map_err(failed)?;
        let analysis = System::load_resource(Rc::clone(&system), &files[0]).map_err(failed)?;
        let sounds = System::load_resource(Rc::clone(&system), &files[1]).map_err(failed)?;
        let definition = System::create_voice(system, "forecall").map_err(failed)?;
        definition.borrow_mut().add_resource(analysis).map_err(failed)?;
        definition.borrow_mut().add_resource(sounds).map_err(failed)?;
        // SAFETY: both resources have been added, which is all that this asks for.
        let mut engine = unsafe { Definition::create_engine(definition) }.map_err(failed)?;

        let pace = self.pace.get();
        let marked = format!("<volume level=\"{HEIGHT}\"><speed level=\"{pace}\">{text}</speed></volume>\0");
        let mut left = marked.as_bytes();
        let mut samples = Vec::new();
        // The engine has room for a few words that it has not read yet; what it has taken is spoken before it takes more.
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

impl Voice for Pico {
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
