//! The renderer: gives a stream all its sound. It plays the score by absolute frame.
//!
//! It runs in the device's own callback, so it never allocates, frees, locks or waits. Orders come through a lock-free
//! ring buffer. A score that an order replaces goes back through another ring buffer, to be freed elsewhere.

use std::sync::Arc;
use std::time::Duration;

use rtrb::{Consumer, Producer, RingBuffer};

use super::channels::fold;
use super::frame_clock::{BufferRequest, FrameClock};
use super::keep_awake_tone::KeepAwakeTone;
use super::music::{MusicRingReader, StereoFrame};
use super::score::{NoteClip, Score, ScoreNote, SoundBus};
use super::tones::{ToneSamples, ToneSignal};
use super::volumes::{EngineVolumes, VolumeRamp};

/// Frames that are rendered at a time.
pub(super) const BLOCK: usize = 64;
/// The most notes that sound at the same time. Further ones are left out.
const VOICES: usize = 12;
/// The most orders that may wait for a callback.
const ORDERS: usize = 64;
/// How long a sound that is cut off fades out, and a sound that starts in its middle fades in.
const FADE: Duration = Duration::from_millis(5);
/// The most that a note may start late. A later note is left out, and so is a tone that is late by more than half its
/// length.
const LATEST: Duration = Duration::from_millis(300);

/// An order to the renderer.
#[derive(Debug)]
pub enum RenderOrder {
    /// Plays this score from the stream's frame `on`, or at once if that frame has passed. The score's frame 0 is heard
    /// at `zero`, in nanoseconds of the engine's clock.
    Play { score: Arc<Score>, zero: i64, on: u64 },
    /// Plays a tone at once, in addition to the score.
    Tick(ToneSignal),
}

/// The other end of a renderer: gives orders and takes back the scores that are no longer played.
#[derive(Debug)]
pub struct RendererControl {
    orders: Producer<RenderOrder>,
    returned: Consumer<Arc<Score>>,
}

impl RendererControl {
    /// Gives an order. False if the renderer has not taken the earlier ones, because its device does not play.
    pub fn send(&mut self, order: RenderOrder) -> bool {
        self.free_returned();
        self.orders.push(order).is_ok()
    }

    /// Frees the scores that came back, and returns their number.
    pub fn free_returned(&mut self) -> usize {
        std::iter::from_fn(|| self.returned.pop().ok()).count()
    }
}

/// A note that sounds.
#[derive(Clone, Copy, Debug)]
struct PlayingNote {
    from: NoteSource,
    /// The next frame of its clip.
    at: u64,
    /// Frames left to play.
    left: u64,
    /// The level of the fade, from 0 to 1.
    height: f32,
    /// The change of that level per frame.
    slope: f32,
}

/// Where the clip of a voice comes from.
#[derive(Clone, Copy, Debug)]
enum NoteSource {
    /// A note of the score, by index.
    Score(usize),
    /// A note of the replaced score, by index.
    Old(usize),
    /// A tone in addition to the score.
    Tick(ToneSignal),
}

/// Plays scores on one stream.
#[derive(Debug)]
pub struct Renderer {
    pub(super) rate: u32,
    pub(super) channels: u16,
    tones: ToneSamples,
    levels: Arc<EngineVolumes>,
    ramps: [VolumeRamp; 2],
    orders: Consumer<RenderOrder>,
    returned: Producer<Arc<Score>>,
    waiting: Option<RenderOrder>,
    line: FrameClock,
    /// Frames rendered since the stream began.
    frame: u64,
    score: Arc<Score>,
    /// The moment of the score's frame 0, in nanoseconds of the engine's clock.
    zero: i64,
    /// The index of the note that starts next.
    next: usize,
    /// The replaced score, while it still fades out.
    old: Option<Arc<Score>>,
    voices: [Option<PlayingNote>; VOICES],
    pub(super) block: [f32; BLOCK],
    tape: Option<MusicRingReader>,
    pub(super) music: [StereoFrame; BLOCK],
    hum: KeepAwakeTone,
    /// How many channel samples of the block have been read through [`rodio::Source`].
    pub(super) given: usize,
    corrections: u64,
}

impl Renderer {
    /// A renderer for a stream, and the other end for the owner of the stream.
    pub fn new(rate: u32, channels: u16, levels: Arc<EngineVolumes>, line: FrameClock) -> (Renderer, RendererControl) {
        let (orders, taken) = RingBuffer::new(ORDERS);
        let (give_back, returned) = RingBuffer::new(2 * ORDERS);
        let ramps = [SoundBus::Tones, SoundBus::Speech].map(|bus| VolumeRamp::new(rate, levels.of(bus)));
        let renderer = Renderer {
            rate,
            channels: channels.max(1),
            tones: ToneSamples::at(rate),
            levels,
            ramps,
            orders: taken,
            returned: give_back,
            waiting: None,
            line,
            frame: 0,
            score: Arc::new(Score::silent(rate)),
            zero: 0,
            next: 0,
            old: None,
            voices: [None; VOICES],
            block: [0.0; BLOCK],
            tape: None,
            music: [[0.0; 2]; BLOCK],
            hum: KeepAwakeTone::new(rate),
            given: usize::MAX,
            corrections: 0,
        };
        (renderer, RendererControl { orders, returned })
    }

    /// Plays music from now on, together with the score and ducked under it.
    pub fn add_music(&mut self, tape: MusicRingReader) {
        self.tape = Some(tape);
    }

    /// Renders the next frames: `out.len()` samples of all channels. `asked`: when they were asked for, if that is
    /// known.
    pub fn pull(&mut self, out: &mut [f32], asked: Option<BufferRequest>) {
        if let Some(asked) = asked {
            self.line.record_buffer(self.frame, asked);
        }
        let first = self.frame;
        self.fill(out);
        self.hum.add(out, usize::from(self.channels), first, self.levels.keeps_awake());
    }

    fn fill(&mut self, out: &mut [f32]) {
        let channels = usize::from(self.channels);
        let frames = out.len() / channels;
        if self.silent_frames() >= frames as u64 {
            self.skip(frames as u64);
            out.fill(0.0);
            return;
        }
        for part in out.chunks_mut(BLOCK * channels) {
            let frames = part.len() / channels;
            self.render(frames);
            for (out, (mono, music)) in part.chunks_mut(channels).zip(self.block.iter().zip(&self.music)) {
                fold(*mono, *music, out, &self.levels);
            }
        }
    }

    /// Skips up to `most` frames in which nothing sounds and nothing has to be done. Returns how many it skipped.
    pub(super) fn skip_silence(&mut self, most: u64) -> u64 {
        let frames = self.silent_frames().min(most);
        self.skip(frames);
        frames
    }

    /// For how many frames from now nothing sounds and nothing has to be done, as in most of a class.
    fn silent_frames(&self) -> u64 {
        let rests = self.is_silent()
            && self.tape.as_ref().is_none_or(MusicRingReader::rests)
            && self.waiting.is_none()
            && self.orders.is_empty()
            && self.line.correction().is_none();
        match (self.place(), self.score.notes.get(self.next)) {
            _ if !rests => 0,
            (Some(now), Some(note)) => u64::try_from(note.start as i64 - now).unwrap_or(0),
            _ => u64::MAX,
        }
    }

    fn skip(&mut self, frames: u64) {
        for bus in [SoundBus::Tones, SoundBus::Speech] {
            self.ramps[bus as usize].step(self.levels.of(bus), usize::try_from(frames).unwrap_or(usize::MAX));
        }
        self.frame += frames;
    }

    /// Frames rendered since the stream began.
    pub fn frame(&self) -> u64 {
        self.frame
    }

    /// How often the frame clock has been moved.
    pub fn corrections(&self) -> u64 {
        self.corrections
    }

    /// Whether nothing sounds.
    pub fn is_silent(&self) -> bool {
        self.voices.iter().all(Option::is_none)
    }

    /// Renders mono frames, [`BLOCK`] at most. Where an order names a frame within them, they are rendered in parts.
    pub(super) fn render(&mut self, frames: usize) {
        self.block[..frames].fill(0.0);
        let mut done = 0;
        while done < frames {
            self.take_orders();
            self.correct_clock();
            let until_order = match &self.waiting {
                Some(RenderOrder::Play { on, .. }) if *on > self.frame => *on - self.frame,
                _ => u64::MAX,
            };
            let part = (frames - done).min(usize::try_from(until_order).unwrap_or(usize::MAX));
            self.begin_notes(part as u64);
            self.mix(done, part);
            self.frame += part as u64;
            done += part;
        }
        let sound = self.next_sound();
        if let Some(tape) = &mut self.tape {
            tape.play(&mut self.music[..frames], &self.levels, sound);
        }
    }

    /// The number of frames until the next sound starts (0 while one sounds), and its volume. Of several sounds the
    /// softest counts.
    fn next_sound(&self) -> Option<(u64, f32)> {
        let volume_of = |from: &NoteSource| match from {
            NoteSource::Score(note) => self.score.notes[*note].clip.bus(),
            NoteSource::Old(note) => self.old.as_ref().unwrap_or(&self.score).notes[*note].clip.bus(),
            NoteSource::Tick(_) => SoundBus::Tones,
        };
        let sounding = self.voices.iter().flatten().map(|voice| self.levels.of(volume_of(&voice.from)));
        if let Some(volume) = sounding.reduce(f32::min) {
            return Some((0, volume));
        }
        let (note, now) = (self.score.notes.get(self.next)?, self.place()?);
        let after = u64::try_from(note.start as i64 - now).unwrap_or(0);
        Some((after, self.levels.of(note.clip.bus())))
    }

    /// Carries out the orders that are due. A new score waits until the one replaced before has faded out.
    fn take_orders(&mut self) {
        loop {
            if self.waiting.is_none() {
                self.waiting = self.orders.pop().ok();
            }
            match self.waiting.take() {
                None => return,
                Some(RenderOrder::Tick(signal)) => {
                    let frames = self.tones.get(signal).len() as u64;
                    self.add(PlayingNote {
                        from: NoteSource::Tick(signal),
                        at: 0,
                        left: frames,
                        height: 1.0,
                        slope: 0.0,
                    });
                }
                Some(RenderOrder::Play { score, zero, on }) => {
                    // Until the frame clock is set no score has started, so the last score ordered is played.
                    if on > self.frame || self.old.is_some() {
                        self.waiting = Some(RenderOrder::Play { score, zero, on });
                        return;
                    }
                    self.replace_score(score, zero);
                }
            }
        }
    }

    fn replace_score(&mut self, score: Arc<Score>, zero: i64) {
        let fade = self.frames_in(FADE).max(1);
        let mut fading = false;
        // The old score's frame 0, as a frame of the new score.
        let moved = self.line.frames(self.zero - zero);
        for voice in self.voices.iter_mut().flatten() {
            if let NoteSource::Score(note) = voice.from {
                if let Some(same) = self.score.notes.get(note).and_then(|note| same_note(note, moved, &score)) {
                    // The new score has the same sound at the same moment, so it continues.
                    voice.from = NoteSource::Score(same);
                    continue;
                }
                fading = true;
                voice.from = NoteSource::Old(note);
                voice.left = voice.left.min(fade);
                voice.slope = -voice.height / voice.left.max(1) as f32;
            }
        }
        let old = std::mem::replace(&mut self.score, score);
        if fading {
            self.old = Some(old);
        } else {
            self.give_back(old);
        }
        self.zero = zero;
        let now = self.place().unwrap_or(0);
        self.next = self.score.notes.partition_point(|note| note.start as i64 + self.lateness(&note.clip) < now);
    }

    /// Hands a score back. If the ring buffer is full, the score is leaked, because it must not be freed here.
    fn give_back(&mut self, score: Arc<Score>) {
        if let Err(rtrb::PushError::Full(score)) = self.returned.push(score) {
            std::mem::forget(score);
        }
    }

    /// Moves the frame clock to the measured value, if it is off and nothing sounds. A small move waits for a long
    /// enough silence. A large one is made at the first silence.
    fn correct_clock(&mut self) {
        let (Some(zero), Some(target)) = (self.line.zero(), self.line.correction()) else { return };
        if !self.is_silent() {
            return;
        }
        let ahead = self.line.frames(target - zero);
        let small = ahead.unsigned_abs() < self.frames_in(Duration::from_millis(5));
        if small && let (Some(note), Some(now)) = (self.score.notes.get(self.next), self.place()) {
            let begins = note.start as i64;
            if begins < now + ahead.max(0) + BLOCK as i64 {
                return;
            }
        }
        self.line.move_to(target);
        self.corrections += 1;
    }

    /// The frame of the score that the next frame of the stream plays; negative before the score starts. None while it
    /// is not known when frames are heard.
    fn place(&self) -> Option<i64> {
        let zero = self.line.zero()?;
        Some(i64::try_from(self.frame).unwrap_or(i64::MAX) + self.line.frames(zero - self.zero))
    }

    /// Starts the notes that begin within the next frames, and those that are late but not too late.
    fn begin_notes(&mut self, frames: u64) {
        let Some(now) = self.place() else { return };
        let slope = 1.0 / self.frames_in(FADE).max(1) as f32;
        while let Some(note) = self.score.notes.get(self.next) {
            let start = note.start as i64;
            if start >= now + frames as i64 {
                break;
            }
            let late = (now - start).max(0);
            let voice = PlayingNote {
                from: NoteSource::Score(self.next),
                at: late as u64,
                left: note.frames.saturating_sub(late as u64),
                height: if late > 0 { 0.0 } else { 1.0 },
                slope: if late > 0 { slope } else { 0.0 },
            };
            let sounds = |voice: &PlayingNote| matches!(voice.from, NoteSource::Score(index) if index == self.next);
            let in_time = late <= self.lateness(&note.clip) && voice.left > 0;
            let in_time = in_time && !self.voices.iter().flatten().any(sounds);
            self.next += 1;
            if in_time {
                // `mix` skips the frames before the start of the note.
                self.add(voice);
            }
        }
    }

    /// How late a clip may start, in frames.
    fn lateness(&self, clip: &NoteClip) -> i64 {
        let latest = self.frames_in(LATEST);
        let frames = match clip {
            NoteClip::Tone(_, samples) => latest.min(samples.len() as u64 / 2),
            NoteClip::Speech(..) => latest,
        };
        frames as i64
    }

    fn add(&mut self, voice: PlayingNote) {
        if let Some(free) = self.voices.iter_mut().find(|slot| slot.is_none()) {
            *free = Some(voice);
        }
    }

    /// Adds what sounds to a part of the block.
    fn mix(&mut self, from: usize, frames: usize) {
        let gains =
            [SoundBus::Tones, SoundBus::Speech].map(|bus| self.ramps[bus as usize].step(self.levels.of(bus), frames));
        let now = self.place();
        let mut old_sounds = false;
        for slot in &mut self.voices {
            let Some(voice) = slot else { continue };
            let (clip, gain, begins) = match voice.from {
                NoteSource::Score(note) | NoteSource::Old(note) => {
                    let old = matches!(voice.from, NoteSource::Old(_));
                    let score = if old { self.old.as_ref().unwrap_or(&self.score) } else { &self.score };
                    let note = &score.notes[note];
                    // A new note may start within this part.
                    let fresh = !old && voice.at == 0;
                    let begins = if fresh { (note.start as i64 - now.unwrap_or(0)).max(0) as usize } else { 0 };
                    (SampleSource::Clip(&note.clip), note.gain, begins)
                }
                NoteSource::Tick(signal) => (SampleSource::Samples(self.tones.get(signal)), 1.0, 0),
            };
            let (level, level_slope) = gains[clip.bus() as usize];
            for at in begins.min(frames)..frames {
                if voice.left == 0 {
                    break;
                }
                let level = level + level_slope * at as f32;
                self.block[from + at] += clip.at(voice.at) * gain * level * voice.height;
                voice.height = (voice.height + voice.slope).clamp(0.0, 1.0);
                voice.at += 1;
                voice.left -= 1;
            }
            if voice.left == 0 {
                *slot = None;
            } else if matches!(voice.from, NoteSource::Old(_)) {
                old_sounds = true;
            }
        }
        if !old_sounds && let Some(old) = self.old.take() {
            self.give_back(old);
        }
    }

    fn frames_in(&self, length: Duration) -> u64 {
        length.as_millis() as u64 * u64::from(self.rate) / 1000
    }
}

/// The index of the note in `score` that plays the same clip at the same moment as `note` of the replaced score.
/// `moved`: the replaced score's frame 0, as a frame of `score`.
fn same_note(note: &ScoreNote, moved: i64, score: &Score) -> Option<usize> {
    let start = note.start as i64 + moved;
    let first = score.notes.partition_point(|other| (other.start as i64) < start - 1);
    let near = score.notes[first..].iter().take_while(|other| other.start as i64 <= start + 1);
    near.into_iter().position(|other| other.clip.is(&note.clip)).map(|place| first + place)
}

/// What a voice reads its samples from.
enum SampleSource<'a> {
    Clip(&'a NoteClip),
    Samples(&'a [f32]),
}

impl SampleSource<'_> {
    fn bus(&self) -> SoundBus {
        match self {
            SampleSource::Clip(clip) => clip.bus(),
            SampleSource::Samples(_) => SoundBus::Tones,
        }
    }

    fn at(&self, frame: u64) -> f32 {
        match self {
            SampleSource::Clip(clip) => clip.at(frame),
            SampleSource::Samples(samples) => samples.get(frame as usize).copied().unwrap_or(0.0),
        }
    }
}
