//! The score: the schedule as sound events on absolute frames of one device.

use std::collections::HashMap;
use std::sync::Arc;

use class::schedule::Audience;
use class::time::Tick;

use super::{Pcm, PlaybackRun, ResamplingKernel, SoundContent, SoundPlan, ToneSamples, ToneSignal, loudness};

/// A kind of sound with its own volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, strum::Display)]
#[strum(serialize_all = "lowercase")]
pub enum SoundBus {
    Tones,
    Speech,
    /// The coach's own music, which is not part of the score.
    Music,
}

/// The sounds of a part of a class, by frame. Frame 0 is [`Score::LEAD`] of class time before the tick from which the
/// score runs, so that a count-in has room.
#[derive(Clone, Debug)]
pub struct Score {
    /// Frames a second.
    pub rate: u32,
    /// In order of their first frame.
    pub notes: Vec<ScoreNote>,
    /// How many cues were dropped, because the speech before them was not over in time.
    pub dropped: usize,
}

/// One sound event.
#[derive(Clone, Debug)]
pub struct ScoreNote {
    /// The frame on which it starts.
    pub start: u64,
    /// Its length in frames; shorter than its clip if a boundary cuts it off.
    pub frames: u64,
    /// Factor, at most 1.
    pub gain: f32,
    pub clip: NoteClip,
}

/// What a note plays.
#[derive(Clone, Debug)]
pub enum NoteClip {
    /// A tone at the device's rate.
    Tone(ToneSignal, Arc<[f32]>),
    /// Speech at the voice's rate.
    Speech(Pcm, Arc<ResamplingKernel>),
}

impl NoteClip {
    /// The kind of sound, which decides its volume.
    pub fn bus(&self) -> SoundBus {
        match self {
            NoteClip::Tone(..) => SoundBus::Tones,
            NoteClip::Speech(..) => SoundBus::Speech,
        }
    }

    /// Whether it is the same recording, or the same tone.
    pub fn is(&self, other: &NoteClip) -> bool {
        match (self, other) {
            (NoteClip::Tone(one, _), NoteClip::Tone(other, _)) => one == other,
            (NoteClip::Speech(one, _), NoteClip::Speech(other, _)) => Arc::ptr_eq(&one.samples, &other.samples),
            _ => false,
        }
    }

    /// Its sample at a frame, counted from its own start. 0 outside.
    pub fn at(&self, frame: u64) -> f32 {
        match self {
            NoteClip::Tone(_, samples) => {
                usize::try_from(frame).ok().and_then(|at| samples.get(at)).copied().unwrap_or(0.0)
            }
            NoteClip::Speech(pcm, kernel) => kernel.at(&pcm.samples, frame),
        }
    }
}

impl ScoreNote {
    /// The first frame after it.
    pub fn end(&self) -> u64 {
        self.start + self.frames
    }
}

impl Score {
    /// How much class time a score has before the tick from which it runs.
    pub const LEAD: Tick = Tick::seconds(5);

    /// How late speech may start because other speech is not over. Speech that would be later is dropped: people answer
    /// each other faster than this, and a call that late would be wrong.
    const PATIENCE: Tick = Tick(600);

    /// Silence between a tone and speech, and between two cues.
    const GAP: Tick = Tick(80);

    /// A score without a sound.
    pub fn silent(rate: u32) -> Score {
        Score { rate, notes: Vec::new(), dropped: 0 }
    }

    /// The score of the part of a plan that `run` names, for this audience and a device of this rate, which is also
    /// that of `tones`.
    pub fn new(
        plan: &SoundPlan,
        run: &PlaybackRun,
        rate: u32,
        tones: &ToneSamples,
        ears: impl Fn(Audience) -> bool,
    ) -> Score {
        let mut composer = ScoreBuilder { run: *run, rate, tones, kernels: HashMap::new(), score: Score::silent(rate) };
        let mut sounds = plan.sounds().iter().filter(|sound| ears(sound.audience) && run.contains(sound)).peekable();
        if run.count_in && ears(Audience::Class) {
            for seconds in [3, 2, 1] {
                composer.tone(composer.frame(Score::LEAD - Tick::seconds(seconds)), ToneSignal::Pip);
            }
            let opens = |what: &SoundContent| matches!(what, SoundContent::Tone(signal) if signal.is_boundary());
            if !sounds.peek().is_some_and(|sound| sound.at == run.from && opens(&sound.what)) {
                composer.tone(composer.frame(Score::LEAD), ToneSignal::Start);
            }
        }
        for sound in sounds {
            let start = composer.frame((sound.at + Score::LEAD).saturating_sub(run.from));
            match &sound.what {
                SoundContent::Tone(signal) => composer.tone(start, *signal),
                SoundContent::Speech(pcm) => composer.speech(start, pcm),
            }
        }
        composer.finish()
    }

    /// The frame of a tick of class time, both counted from the start of the score. `speed`: as in [`PlaybackRun`].
    /// Exact at 48 kHz and normal speed, otherwise rounded once.
    pub fn frame(tick: Tick, rate: u32, speed: u32) -> u64 {
        let speed = u128::from(speed.max(1));
        let exact = u128::from(tick.0) * u128::from(rate) * 2 + speed;
        u64::try_from(exact / (2 * speed)).unwrap_or(u64::MAX)
    }

    /// The first frame after the last sound.
    pub fn end(&self) -> u64 {
        self.notes.iter().map(ScoreNote::end).max().unwrap_or(0)
    }
}

/// Builds a score. The notes are added in order of tick.
struct ScoreBuilder<'a> {
    run: PlaybackRun,
    rate: u32,
    tones: &'a ToneSamples,
    kernels: HashMap<u32, Arc<ResamplingKernel>>,
    score: Score,
}

impl ScoreBuilder<'_> {
    fn frame(&self, tick: Tick) -> u64 {
        Score::frame(tick, self.rate, self.run.speed)
    }

    fn real_frames(&self, length: Tick) -> u64 {
        Score::frame(length, self.rate, 1000)
    }

    /// The first frame after the latest notes of one kind.
    fn last_end(&self, bus: SoundBus) -> u64 {
        self.score
            .notes
            .iter()
            .rev()
            .take(32)
            .filter(|note| note.clip.bus() == bus)
            .map(ScoreNote::end)
            .max()
            .unwrap_or(0)
    }

    fn tone(&mut self, start: u64, signal: ToneSignal) {
        // A new tone cuts off a tone that still sounds. Of two tones on one frame the second replaces the first:
        // closing tones come first in a plan.
        if let Some(last) = self.score.notes.iter_mut().rev().find(|note| note.start <= start && note.end() > start)
            && matches!(last.clip, NoteClip::Tone(..))
        {
            last.frames = start - last.start;
        }
        let samples = self.tones.get(signal).clone();
        let note = ScoreNote { start, frames: samples.len() as u64, gain: 1.0, clip: NoteClip::Tone(signal, samples) };
        self.score.notes.push(note);
    }

    /// Speech starts when the tones of its tick and the speech before it are over.
    fn speech(&mut self, at: u64, pcm: &Pcm) {
        let gap = self.real_frames(Score::GAP);
        let tone = self.last_end(SoundBus::Tones);
        let free = if tone > at { tone + gap } else { at };
        let before = self.last_end(SoundBus::Speech);
        let start = if before > free { before + gap } else { free };
        if start > free + self.real_frames(Score::PATIENCE) {
            self.score.dropped += 1;
            return;
        }
        let rate = self.rate;
        let kernel =
            self.kernels.entry(pcm.rate).or_insert_with(|| Arc::new(ResamplingKernel::new(pcm.rate, rate))).clone();
        let frames = kernel.frames(pcm.samples.len());
        self.score.notes.push(ScoreNote { start, frames, gain: 1.0, clip: NoteClip::Speech(pcm.clone(), kernel) });
    }

    /// Decides what gives way where a tone and speech overlap. A boundary tone cuts speech off. Any other tone is
    /// lowered so far that the speech stays clear.
    fn finish(mut self) -> Score {
        let notes = &mut self.score.notes;
        notes.sort_by_key(|note| note.start);
        for speech in (0..notes.len()).filter(|&at| notes[at].clip.bus() == SoundBus::Speech).collect::<Vec<_>>() {
            let (start, end) = (notes[speech].start, notes[speech].end());
            for tone in speech + 1..notes.len() {
                if notes[tone].start >= end {
                    break;
                }
                match notes[tone].clip {
                    NoteClip::Tone(signal, _) if signal.is_boundary() => {
                        notes[speech].frames = notes[tone].start - start;
                        break;
                    }
                    NoteClip::Tone(..) => notes[tone].gain = loudness::UNDER,
                    NoteClip::Speech(..) => {}
                }
            }
        }
        notes.retain(|note| note.frames > 0);
        self.score
    }
}
