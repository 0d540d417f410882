//! Speech kept from one class to the next, by what was said, in which voice, how fast.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::Pcm;
use class::fnv::fnv;

/// A folder of clips, the oldest of which go when it grows over its bound.
///
/// A file is named by the hash of its label, and holds the whole label, so that two texts with one hash are not taken
/// for each other; it ends in the hash of all before, which tells a file that broke off.
#[derive(Clone, Debug)]
pub struct Cache {
    folder: PathBuf,
    /// The most bytes that it keeps.
    bound: u64,
}

/// What a file begins with: a name and a version, which changes when the same voice and text come to sound another
/// way.
const MARK: &[u8; 8] = b"fcpcm\0\0\x01";

impl Cache {
    /// The bound where none is chosen: some two thousand cues.
    pub const USUAL_BOUND: u64 = 128 << 20;

    /// A cache in a folder, made when it is first written to.
    pub fn new(folder: &Path, bound: u64) -> Cache {
        Cache { folder: folder.to_owned(), bound }
    }

    /// The clip of a text in a voice, if it is kept. A file that is broken or is another text's counts as none.
    pub fn get(&self, voice: &str, text: &str) -> Option<Pcm> {
        let file = File::open(self.path(voice, text)).ok()?;
        let most = Pcm::LONGEST.as_secs() * u64::from(Pcm::HIGHEST_RATE) * 2 + 4096;
        let mut bytes = Vec::new();
        file.take(most).read_to_end(&mut bytes).ok()?;
        let (bytes, hash) = bytes.split_last_chunk::<16>()?;
        if fnv(bytes).to_le_bytes() != *hash {
            return None;
        }
        let rest = bytes.strip_prefix(MARK)?.strip_prefix(label(voice, text).as_slice())?;
        let (rate, samples) = rest.split_first_chunk::<4>()?;
        // A clip that is used stays young; if that cannot be noted, it only goes a little early.
        let _ = File::options()
            .append(true)
            .open(self.path(voice, text))
            .and_then(|file| file.set_modified(SystemTime::now()));
        let samples = samples.chunks_exact(2).map(|pair| i16::from_le_bytes([pair[0], pair[1]])).collect();
        Pcm::from_samples(u32::from_le_bytes(*rate), samples)
    }

    /// Keeps a clip, whole or not at all.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn put(&self, voice: &str, text: &str, pcm: &Pcm) -> io::Result<()> {
        fs::create_dir_all(&self.folder)?;
        let mut bytes = MARK.to_vec();
        bytes.extend(label(voice, text));
        bytes.extend(pcm.rate.to_le_bytes());
        pcm.samples.iter().for_each(|sample| bytes.extend(sample.to_le_bytes()));
        bytes.extend(fnv(&bytes).to_le_bytes());
        let mut file = tempfile::NamedTempFile::new_in(&self.folder)?;
        file.write_all(&bytes)?;
        file.persist(self.path(voice, text))?;
        Ok(())
    }

    /// Deletes the clips that were used longest ago until the rest keep the bound. Other files are left alone.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn trim(&self) -> io::Result<()> {
        let mut clips = Vec::new();
        let mut total = 0;
        for entry in fs::read_dir(&self.folder)? {
            let entry = entry?;
            let data = entry.metadata()?;
            if entry.path().extension().is_some_and(|extension| extension == "pcm") {
                total += data.len();
                clips.push((data.modified()?, data.len(), entry.path()));
            }
        }
        clips.sort();
        for (_, bytes, path) in clips {
            if total <= self.bound {
                break;
            }
            fs::remove_file(path)?;
            total -= bytes;
        }
        Ok(())
    }

    fn path(&self, voice: &str, text: &str) -> PathBuf {
        self.folder.join(format!("{:032x}.pcm", fnv(&label(voice, text))))
    }
}

/// Voice and text with their lengths, so that no two pairs look the same.
fn label(voice: &str, text: &str) -> Vec<u8> {
    let mut label = Vec::new();
    for part in [voice, text] {
        label.extend((part.len() as u64).to_le_bytes());
        label.extend(part.as_bytes());
    }
    label
}
