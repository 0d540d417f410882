//! The cache of speech: keeps clips from one class to the next, by voice, speed and text.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::Pcm;
use class::fnv::fnv;

/// A folder of clips with a size limit. [`SpeechCache::trim`] deletes the clips that were used longest ago.
///
/// A file is named by the hash of its label. The file also holds the whole label, so that two texts with the same hash
/// are not confused. It ends with the hash of everything before, which shows a file that was cut off.
#[derive(Clone, Debug)]
pub struct SpeechCache {
    folder: PathBuf,
    /// The size limit, in bytes.
    bound: u64,
}

/// The first bytes of a file: a name and a version. The version changes when the same voice and text sound different.
const MARK: &[u8; 8] = b"fcpcm\0\0\x01";

impl SpeechCache {
    /// The default size limit, in bytes: room for about 2,000 cues.
    pub const USUAL_BOUND: u64 = 128 << 20;

    /// A cache in a folder, which is created on the first write. `bound`: the size limit, in bytes.
    pub fn new(folder: &Path, bound: u64) -> SpeechCache {
        SpeechCache { folder: folder.to_owned(), bound }
    }

    /// The clip of a text in a voice, if the cache has it. None for a broken file or the file of another text.
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
        // A clip in use counts as new. If its time cannot be set, the clip is only deleted a little early.
        let _ = File::options()
            .append(true)
            .open(self.path(voice, text))
            .and_then(|file| file.set_modified(SystemTime::now()));
        let samples = samples.chunks_exact(2).map(|pair| i16::from_le_bytes([pair[0], pair[1]])).collect();
        Pcm::from_samples(u32::from_le_bytes(*rate), samples)
    }

    /// Stores a clip. The file is written completely or not at all.
    ///
    /// # Errors
    /// When the folder cannot be written to.
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

    /// Deletes the clips that were used longest ago until the rest is within the size limit. Keeps all other files.
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

/// Voice and text, each after its length, so that no two pairs give the same bytes.
fn label(voice: &str, text: &str) -> Vec<u8> {
    let mut label = Vec::new();
    for part in [voice, text] {
        label.extend((part.len() as u64).to_le_bytes());
        label.extend(part.as_bytes());
    }
    label
}
