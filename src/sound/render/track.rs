//! The track: which sounds of a class are rendered, from where to where, and the marks in it.

use std::io;
use std::ops::Range;
use std::sync::Arc;

use super::track_marker::{self, TrackMarker};
use super::{ProgressCallback, RenderError};
use crate::OfflineRenderer;
use crate::Pcm;
use crate::PlannedSound;
use crate::PlaybackRun;
use crate::RenderedPiece;
use crate::Score;
use crate::SoundBus;
use crate::SoundContent;
use crate::SoundPlan;
use crate::ToneSamples;
use class::chapters::chapters;
use class::cue::count_in;
use class::recording::ExportClock;
use class::schedule::{Audience, Schedule};
use class::time::Tick;

/// A kind of sound that is rendered alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoundKind {
    Tones,
    Speech,
}

/// How a class is to be rendered.
#[derive(Clone, Debug)]
pub struct TrackOptions {
    /// Samples a second.
    pub rate: u32,
    /// Whether to start with a count-in, as `lead` does. The inner value is the speech before it, if there is any.
    pub count_in: Option<Option<Pcm>>,
}

/// A class as one piece of mono sound.
#[derive(Clone, Debug)]
pub struct ClassTrack {
    /// Samples a second.
    pub rate: u32,
    pub title: String,
    /// The start of the count-in, if there is one, and of every span.
    pub markers: Vec<TrackMarker>,
    /// The start of every block and of its rounds.
    pub chapters: Vec<TrackMarker>,
    score: Arc<Score>,
    /// The frames of the score that make the track.
    part: Range<u64>,
}

impl ClassTrack {
    /// The track of a class by this plan, for this audience: from the first tick to the last, or until the last sound
    /// ends.
    pub fn new(
        schedule: &Schedule,
        plan: &SoundPlan,
        ears: impl Fn(Audience) -> bool + Copy,
        want: &TrackOptions,
    ) -> ClassTrack {
        let rate = want.rate;
        let tones = ToneSamples::at(rate);
        // A second has a whole number of frames, so a note moved by whole seconds is still on its frame.
        let frame = |tick: Tick| Score::frame(tick, rate, 1000);
        let run = PlaybackRun { count_in: want.count_in.is_some(), ..PlaybackRun::from(Tick::ZERO) };
        let mut score = Score::new(plan, &run, rate, &tones, ears);
        let mut begins = Score::LEAD;
        let mut marks = Vec::new();
        if let Some(words) = &want.count_in {
            let words = words.as_ref().filter(|_| ears(Audience::Class));
            let length = words.map(|pcm| Tick(pcm.length().as_nanos().div_ceil(1_000_000) as u64));
            let more = Tick::of(count_in(length)).saturating_sub(Score::LEAD);
            score.notes.iter_mut().for_each(|note| note.start += frame(more));
            begins += more;
            if let Some(words) = words {
                score.notes.splice(0..0, single_note(words, rate, &tones));
            }
            marks.push(TrackMarker { frame: 0, label: "Count-in".to_owned() });
        }
        let first = if want.count_in.is_some() { Tick::ZERO } else { begins };
        let end = frame(begins + schedule.total()).max(score.end());
        let place = |tick: Tick| frame(begins.saturating_sub(first) + tick);
        let all = chapters(schedule, &ExportClock::default());
        let chapters = all.into_iter().map(|chapter| TrackMarker::new(place(chapter.from), &chapter.title));
        marks.extend(
            schedule.spans.iter().map(|span| TrackMarker::new(place(span.start), &track_marker::label(schedule, span))),
        );
        ClassTrack {
            rate,
            title: track_marker::one_line(&schedule.session.title),
            markers: marks,
            chapters: chapters.collect(),
            score: Arc::new(score),
            part: frame(first)..end,
        }
    }

    /// The same track with only one kind of sound, on the same frames and as loud as before. The tones and the speech
    /// added together give the whole track.
    pub fn only(&self, only: SoundKind) -> ClassTrack {
        let bus = match only {
            SoundKind::Tones => SoundBus::Tones,
            SoundKind::Speech => SoundBus::Speech,
        };
        let mut score = Score::clone(&self.score);
        score.notes.retain(|note| note.clip.bus() == bus);
        ClassTrack { score: Arc::new(score), ..self.clone() }
    }

    /// The length of the track, in frames.
    pub fn frames(&self) -> u64 {
        self.part.end - self.part.start
    }

    /// Whether nothing sounds in it.
    pub fn is_silent(&self) -> bool {
        self.score.notes.is_empty()
    }

    /// How many cues were dropped, because the speech before them was not over in time.
    pub fn dropped(&self) -> usize {
        self.score.dropped
    }

    /// Its sound, piece by piece.
    pub fn sound(&self) -> OfflineRenderer {
        OfflineRenderer::new(self.score.clone(), self.part.clone())
    }

    /// Calls `each` with all pieces of the sound.
    pub(super) fn for_each_piece(
        &self,
        watch: ProgressCallback,
        each: &mut dyn FnMut(RenderedPiece) -> io::Result<()>,
    ) -> Result<(), RenderError> {
        let mut sound = self.sound();
        let mut done = 0;
        while let Some(piece) = sound.piece() {
            done += match piece {
                RenderedPiece::Silence(frames) => frames,
                RenderedPiece::Sound(samples) => samples.len() as u64,
            };
            each(piece)?;
            if !watch(done) {
                return Err(RenderError::Stopped);
            }
        }
        Ok(())
    }
}

/// A recording by itself, from frame 0.
fn single_note(pcm: &Pcm, rate: u32, tones: &ToneSamples) -> Vec<crate::ScoreNote> {
    let sound = PlannedSound { at: Tick::ZERO, audience: Audience::Class, what: SoundContent::Speech(pcm.clone()) };
    let plan: SoundPlan = std::iter::once(sound).collect();
    let mut notes = Score::new(&plan, &PlaybackRun::from(Tick::ZERO), rate, tones, |_| true).notes;
    notes.iter_mut().for_each(|note| note.start = 0);
    notes
}
