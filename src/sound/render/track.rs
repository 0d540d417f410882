//! The track: which sounds of a class are rendered, from where to where, and the marks in it.

use std::io;
use std::ops::Range;
use std::sync::Arc;

use super::mark::{self, Mark};
use super::{Broken, Watch};
use crate::Bus;
use crate::Offline;
use crate::Pcm;
use crate::Piece;
use crate::Plan;
use crate::Run;
use crate::Score;
use crate::Sound;
use crate::Sounding;
use crate::Tones;
use class::chapters::chapters;
use class::cue::count_in;
use class::recording::Clock;
use class::schedule::{Audience, Schedule};
use class::time::Tick;

/// A kind of sound that is rendered alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Only {
    Tones,
    Speech,
}

/// How a class is to be rendered.
#[derive(Clone, Debug)]
pub struct Want {
    /// Samples a second.
    pub rate: u32,
    /// Whether to start with a count-in, as `lead` does. The inner value is the speech before it, if there is any.
    pub count_in: Option<Option<Pcm>>,
}

/// A class as one stretch of mono sound.
#[derive(Clone, Debug)]
pub struct Track {
    /// Samples a second.
    pub rate: u32,
    pub title: String,
    /// The start of the count-in, if there is one, and of every span.
    pub marks: Vec<Mark>,
    /// The start of every block and of its rounds.
    pub chapters: Vec<Mark>,
    score: Arc<Score>,
    /// The frames of the score that make the track.
    part: Range<u64>,
}

impl Track {
    /// The track of a class by this plan, for these ears: from the first tick to the last, or until the last sound
    /// ends.
    pub fn new(schedule: &Schedule, plan: &Plan, ears: impl Fn(Audience) -> bool + Copy, want: &Want) -> Track {
        let rate = want.rate;
        let tones = Tones::at(rate);
        // A second has a whole number of frames, so a note moved by whole seconds is still on its frame.
        let frame = |tick: Tick| Score::frame(tick, rate, 1000);
        let run = Run { count_in: want.count_in.is_some(), ..Run::from(Tick::ZERO) };
        let mut score = Score::new(plan, &run, rate, &tones, ears);
        let mut begins = Score::LEAD;
        let mut marks = Vec::new();
        if let Some(words) = &want.count_in {
            let words = words.as_ref().filter(|_| ears(Audience::Class));
            let length = words.map(|pcm| Tick(pcm.length().as_nanos().div_ceil(1_000_000) as u64));
            let more = Tick(count_in(length)).less(Score::LEAD);
            score.notes.iter_mut().for_each(|note| note.start += frame(more));
            begins += more;
            if let Some(words) = words {
                score.notes.splice(0..0, alone(words, rate, &tones));
            }
            marks.push(Mark { frame: 0, label: "Count-in".to_owned() });
        }
        let first = if want.count_in.is_some() { Tick::ZERO } else { begins };
        let end = frame(begins + schedule.total()).max(score.end());
        let place = |tick: Tick| frame(begins.less(first) + tick);
        let all = chapters(schedule, &Clock::default());
        let chapters = all.into_iter().map(|chapter| Mark::new(place(chapter.from), &chapter.title));
        marks.extend(schedule.spans.iter().map(|span| Mark::new(place(span.start), &mark::label(schedule, span))));
        Track {
            rate,
            title: mark::one_line(&schedule.session.title),
            marks,
            chapters: chapters.collect(),
            score: Arc::new(score),
            part: frame(first)..end,
        }
    }

    /// The same track with only one kind of sound, on the same frames and as loud as before. The tones and the speech
    /// added together give the whole track.
    pub fn only(&self, only: Only) -> Track {
        let bus = match only {
            Only::Tones => Bus::Tones,
            Only::Speech => Bus::Speech,
        };
        let mut score = Score::clone(&self.score);
        score.notes.retain(|note| note.clip.bus() == bus);
        Track { score: Arc::new(score), ..self.clone() }
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
    pub fn sound(&self) -> Offline {
        Offline::new(self.score.clone(), self.part.clone())
    }

    /// Calls `each` with all pieces of the sound.
    pub(super) fn go_through(&self, watch: Watch, each: &mut dyn FnMut(Piece) -> io::Result<()>) -> Result<(), Broken> {
        let mut sound = self.sound();
        let mut done = 0;
        while let Some(piece) = sound.piece() {
            done += match piece {
                Piece::Silence(frames) => frames,
                Piece::Sound(samples) => samples.len() as u64,
            };
            each(piece)?;
            if !watch(done) {
                return Err(Broken::Stopped);
            }
        }
        Ok(())
    }
}

/// A recording by itself, from frame 0.
fn alone(pcm: &Pcm, rate: u32, tones: &Tones) -> Vec<crate::Note> {
    let sound = Sound { at: Tick::ZERO, audience: Audience::Class, what: Sounding::Speech(pcm.clone()) };
    let plan: Plan = std::iter::once(sound).collect();
    let mut notes = Score::new(&plan, &Run::from(Tick::ZERO), rate, tones, |_| true).notes;
    notes.iter_mut().for_each(|note| note.start = 0);
    notes
}
