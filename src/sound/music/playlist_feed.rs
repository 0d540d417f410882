//! A list of files as one stream of frames: the files play one after the other without a gap, each at its own level.
//! After the last file the first one plays again.

use std::path::PathBuf;
use std::sync::Arc;
use std::thread::{self, JoinHandle};

use super::resample::Resampler;
use super::track::{MusicFileError, MusicTrack};
use super::{StereoFrame, gain};
use class::words::{WORDS, fill};

/// The time constant of the change from the level of one file to that of the next, in frames of the file. The change is
/// gradual, so that two halves of one piece join without a click.
const JOIN: f32 = 4_096.0;

/// What is known of a file.
#[derive(Clone, Debug)]
enum FileState {
    Nothing,
    /// The factor with which it is played.
    Gain(f32),
    /// It is not played, and the coach has been told.
    Broken,
}

/// The next file, opened and measured on another thread while the one before plays.
struct PreparedTrack {
    index: usize,
    track: MusicTrack,
    gain: f32,
}

/// The result of looking for the next file.
struct NextTrackSearch {
    found: Option<PreparedTrack>,
    files: Vec<FileState>,
    lines: Vec<String>,
}

/// Plays a list.
pub struct PlaylistFeed {
    list: Arc<[PathBuf]>,
    /// What is known of each file, in the order of the list. Empty while the thread that looks for the next file has
    /// it.
    files: Vec<FileState>,
    next: Option<JoinHandle<NextTrackSearch>>,
    playing: Option<PreparedTrack>,
    /// The current factor, on its way to the factor of the file.
    gain: Option<f32>,
    resampler: Resampler,
    lines: Vec<String>,
}

impl PlaylistFeed {
    /// Plays a list for a device of this rate. `from`: the index of the first file. Returns at once.
    pub fn new(list: Arc<[PathBuf]>, from: usize, rate: u32) -> PlaylistFeed {
        let files = vec![FileState::Nothing; list.len()];
        let resampler = Resampler::new(rate, rate);
        let mut feed =
            PlaylistFeed { list, files, next: None, playing: None, gain: None, resampler, lines: Vec::new() };
        feed.search_from(from);
        feed
    }

    /// Changes to a device of another rate.
    pub fn set_rate(&mut self, rate: u32) {
        self.resampler = Resampler::new(rate, rate);
    }

    /// The index of the file that plays in the list; 0 if none plays.
    pub fn index(&self) -> usize {
        self.playing.as_ref().map_or(0, |playing| playing.index)
    }

    /// The messages for the coach since the last call.
    pub fn lines(&mut self) -> Vec<String> {
        std::mem::take(&mut self.lines)
    }

    /// Reads the next frames and returns their number: fewer than asked for only if no file of the list can be played.
    pub fn read(&mut self, out: &mut [StereoFrame]) -> usize {
        let mut filled = 0;
        loop {
            let count = self.resampler.take(&mut out[filled..]);
            out[filled..filled + count].as_flattened_mut().iter_mut().for_each(gain::limit_peak);
            filled += count;
            if filled == out.len() || !self.decode() {
                return filled;
            }
        }
    }

    /// Decodes the next piece. False if nothing can be played.
    fn decode(&mut self) -> bool {
        if let Some(PreparedTrack { track, gain, .. }) = &mut self.playing {
            let (rate, wanted) = (track.rate(), *gain);
            if let Some(chunk) = track.next() {
                let mut gain = self.gain.unwrap_or(wanted);
                let frames = chunk.iter().map(|frame| {
                    gain += (wanted - gain) / JOIN;
                    frame.map(|sample| sample * gain)
                });
                self.resampler.put(rate, frames);
                self.gain = Some(gain);
                return true;
            }
        }
        self.next_file()
    }

    /// Changes to the next file. False if there is none.
    fn next_file(&mut self) -> bool {
        let Some(next) = self.next.take() else { return false };
        // If the thread has failed, there is no more music.
        let Ok(NextTrackSearch { found, files, lines }) = next.join() else { return false };
        self.files = files;
        self.lines.extend(lines);
        if found.is_none() {
            self.lines.push(WORDS.sound.music.none.clone());
        }
        self.playing = found;
        if let Some(playing) = &self.playing {
            self.search_from(playing.index + 1);
        }
        self.playing.is_some()
    }

    /// Looks for the next file that can be played, starting with this index.
    fn search_from(&mut self, from: usize) {
        let (list, files) = (self.list.clone(), std::mem::take(&mut self.files));
        let look = move || find_next(&list, from, files);
        self.next = thread::Builder::new().name("music-next".to_owned()).spawn(look).ok();
    }
}

fn find_next(list: &[PathBuf], from: usize, mut files: Vec<FileState>) -> NextTrackSearch {
    let mut lines = Vec::new();
    for index in (from..from + list.len()).map(|index| index % list.len()) {
        match prepared(list, index, &files[index]) {
            Ok(Some(found)) => {
                files[index] = FileState::Gain(found.gain);
                return NextTrackSearch { found: Some(found), files, lines };
            }
            Ok(None) => {}
            Err(why) => {
                let name = list[index].file_name().unwrap_or_default().to_string_lossy();
                let why = why.to_string();
                lines.push(fill(&WORDS.sound.music.left_out, &[("file", &name), ("why", &why)]));
                files[index] = FileState::Broken;
            }
        }
    }
    NextTrackSearch { found: None, files, lines }
}

/// One file ready to play; None for one that is known to be broken.
fn prepared(list: &[PathBuf], index: usize, known: &FileState) -> Result<Option<PreparedTrack>, MusicFileError> {
    let gain = match known {
        FileState::Broken => return Ok(None),
        FileState::Gain(gain) => *gain,
        FileState::Nothing => gain::gain(&mut MusicTrack::open(&list[index])?)?,
    };
    Ok(Some(PreparedTrack { index, track: MusicTrack::open(&list[index])?, gain }))
}
