//! The music ring buffer: carries music from the thread that decodes it to the callback that plays it.
//!
//! It has a fixed length, and neither the thread nor the callback waits for the other. Frames that are in the buffer
//! when music pauses are played when it resumes: no frame is lost, and none is played twice.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::Duration;

use rtrb::{Consumer, Producer, RingBuffer};

use super::ducking::MusicDucker;
use super::{PlaylistFeed, StereoFrame};
use crate::EngineVolumes;
use crate::SoundBus;
use crate::volumes::VolumeRamp;

/// How much music is decoded ahead: enough for a busy computer. This is all the memory that music takes, however long
/// its files are.
pub const AHEAD: Duration = Duration::from_secs(2);

/// How long music takes to fade out at the end of a block and of the class.
pub const FADE: Duration = Duration::from_millis(400);

/// How long music takes to fade out when it is silenced at once, and to fade in.
const AT_ONCE: Duration = Duration::from_millis(5);

/// Frames that are decoded at a time.
const PIECE: usize = 1_024;

/// What music should be doing. The latest value set is the one that counts. Lists count from 1 here; 0 means no list.
#[derive(Debug, Default)]
pub struct MusicRequest {
    /// The list that should play.
    wanted: AtomicU32,
    /// The list whose frames are in the ring buffer.
    loaded: AtomicU32,
    /// Whether music fades out within [`AT_ONCE`] and not within [`FADE`].
    at_once: AtomicBool,
}

impl MusicRequest {
    /// Plays a list from where it last stopped. None: the music fades out within [`FADE`].
    pub fn play(&self, list: Option<usize>) {
        let list = list.map_or(0, |list| u32::try_from(list + 1).unwrap_or(0));
        self.at_once.store(false, Ordering::Relaxed);
        self.wanted.store(list, Ordering::Relaxed);
    }

    /// Silences music at once.
    pub fn hush(&self) {
        self.at_once.store(true, Ordering::Relaxed);
        self.wanted.store(0, Ordering::Relaxed);
    }

    /// Sets which list's frames go into the ring buffer. None: its frames belong to another list and are removed.
    pub fn load(&self, list: Option<usize>) {
        let list = list.map_or(0, |list| u32::try_from(list + 1).unwrap_or(0));
        self.loaded.store(list, Ordering::Release);
    }

    /// Whether music should play.
    pub fn plays(&self) -> bool {
        self.wanted.load(Ordering::Relaxed) != 0
    }
}

/// A ring buffer for a device of this rate: the writer that fills it and the reader that plays it.
pub fn tape(rate: u32, deck: Arc<MusicRequest>) -> (MusicRingWriter, MusicRingReader) {
    let frames = (AHEAD.as_millis() as u64 * u64::from(rate) / 1000) as usize;
    let (filled, played) = RingBuffer::new(frames.max(PIECE));
    let volume = VolumeRamp::new(rate, 1.0);
    let tape = MusicRingReader { rate, deck, played, height: 0.0, volume, duck: MusicDucker::new(rate), ducked: 1.0 };
    (MusicRingWriter { rate, filled, piece: vec![[0.0; 2]; PIECE] }, tape)
}

/// The end of a ring buffer that is filled.
pub struct MusicRingWriter {
    pub rate: u32,
    filled: Producer<StereoFrame>,
    piece: Vec<StereoFrame>,
}

impl MusicRingWriter {
    /// Fills the free part. False if nothing more can be played.
    pub fn fill(&mut self, feed: &mut PlaylistFeed) -> bool {
        while self.filled.slots() >= PIECE {
            let count = feed.read(&mut self.piece);
            // There is enough space: `slots` has just said so.
            let _ = self.filled.push_entire_slice(&self.piece[..count]);
            if count < PIECE {
                return false;
            }
        }
        true
    }

    /// Whether the ring buffer is empty.
    pub fn is_empty(&self) -> bool {
        self.filled.slots() == self.capacity()
    }

    /// The most frames that the ring buffer can contain.
    pub fn capacity(&self) -> usize {
        self.filled.buffer().capacity()
    }

    /// Whether the stream that played from the ring buffer has ended.
    pub fn is_disconnected(&self) -> bool {
        self.filled.is_abandoned()
    }
}

/// The end of a ring buffer that plays, in the device's callback.
#[derive(Debug)]
pub struct MusicRingReader {
    rate: u32,
    deck: Arc<MusicRequest>,
    played: Consumer<StereoFrame>,
    /// The level of the fade, from 0 to 1.
    height: f32,
    volume: VolumeRamp,
    duck: MusicDucker,
    /// The level that `duck` gave after the last frame, as a factor.
    ducked: f32,
}

impl MusicRingReader {
    /// Whether frames can be skipped: nothing plays and nothing has to be done.
    pub(crate) fn rests(&self) -> bool {
        self.height <= 0.0 && !self.should_play() && !self.has_stale_frames()
    }

    /// Plays the next frames. `sound`: as [`MusicDucker::step`] takes it.
    pub(crate) fn play(&mut self, out: &mut [StereoFrame], levels: &EngineVolumes, sound: Option<(u64, f32)>) {
        out.fill([0.0; 2]);
        if self.height <= 0.0 {
            // Nothing plays, so no ramp is needed: the levels start at their targets.
            self.volume = VolumeRamp::new(self.rate, levels.of(SoundBus::Music));
            self.ducked = self.duck.begin(sound);
        }
        let ducked = std::mem::replace(&mut self.ducked, self.duck.step(out.len(), sound));
        let duck_slope = (self.ducked - ducked) / out.len().max(1) as f32;
        let (volume, volume_slope) = self.volume.step(levels.of(SoundBus::Music), out.len());
        let goes = self.should_play();
        if self.height <= 0.0 && !goes {
            if self.has_stale_frames() {
                let count = self.played.slots();
                let _ = self.played.read_chunk(count).map(|chunk| chunk.commit_all());
            }
            return;
        }
        let slow = !goes && !self.deck.at_once.load(Ordering::Relaxed);
        let fade = (if slow { FADE } else { AT_ONCE }).as_secs_f32() * self.rate as f32;
        let slope = if goes { 1.0 } else { -1.0 } / fade.max(1.0);
        for (at, out) in out.iter_mut().enumerate() {
            // Faded out: the rest stays in the ring buffer.
            if self.height <= 0.0 && !goes {
                return;
            }
            let Ok(frame) = self.played.pop() else {
                // The decoding thread has fallen behind: music fades in again when there are enough frames.
                self.height = 0.0;
                return;
            };
            self.height = (self.height + slope).clamp(0.0, 1.0);
            let at = at as f32;
            let gain = self.height * (volume + volume_slope * at) * (ducked + duck_slope * at);
            *out = frame.map(|sample| sample * gain);
        }
    }

    /// Whether music should play: the wanted list is in the ring buffer, and there is enough of it.
    fn should_play(&self) -> bool {
        let wanted = self.deck.wanted.load(Ordering::Relaxed);
        wanted != 0
            && wanted == self.deck.loaded.load(Ordering::Acquire)
            && (self.height > 0.0 || self.played.slots() >= PIECE)
    }

    /// Whether the ring buffer contains frames that are to be removed.
    fn has_stale_frames(&self) -> bool {
        self.deck.loaded.load(Ordering::Acquire) == 0 && !self.played.is_empty()
    }
}
