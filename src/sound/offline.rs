//! The score as sound without a device: to a file, or to a test.

use std::ops::Range;
use std::sync::Arc;

use super::{Levels, Line, Order, Renderer, Score};

/// Some frames of a score, mono, as the engine plays them, piece by piece: a class of any length needs no memory.
#[derive(Debug)]
pub struct Offline {
    renderer: Renderer,
    left: u64,
    some: Vec<f32>,
}

/// What comes next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece<'a> {
    /// So many frames of nothing: most of a class, and nearly free.
    Silence(u64),
    /// A tenth of a second at most.
    Sound(&'a [f32]),
}

impl Offline {
    /// To hear a score from the tick on which it runs, begin at the frame of [`Score::LEAD`].
    pub fn new(score: Arc<Score>, frames: Range<u64>) -> Offline {
        let rate = score.rate;
        let (renderer, mut conduct) = Renderer::new(rate, 1, Arc::new(Levels::default()), Line::fixed(rate));
        // Frame n of the stream is heard at n/rate; so the score began at minus the first frame wanted.
        let zero = -Line::fixed(rate).nanos(frames.start);
        conduct.give(Order::Play { score, zero, on: 0 });
        let some = vec![0.0; (rate as usize / 10).max(1)];
        Offline { renderer, left: frames.end.saturating_sub(frames.start), some }
    }

    /// The next piece; None after the last.
    pub fn piece(&mut self) -> Option<Piece<'_>> {
        if self.left == 0 {
            return None;
        }
        let passed = self.renderer.pass(self.left);
        if passed > 0 {
            self.left -= passed;
            return Some(Piece::Silence(passed));
        }
        let count = self.some.len().min(usize::try_from(self.left).unwrap_or(usize::MAX));
        self.left -= count as u64;
        let some = &mut self.some[..count];
        self.renderer.pull(some, None);
        Some(Piece::Sound(some))
    }
}

/// The same, frame by frame.
pub fn render(score: Arc<Score>, frames: Range<u64>) -> impl Iterator<Item = f32> {
    let mut offline = Offline::new(score, frames);
    let mut silence = 0u64;
    let (mut some, mut next) = (Vec::new(), 0);
    std::iter::from_fn(move || {
        loop {
            if silence > 0 {
                silence -= 1;
                return Some(0.0);
            }
            if next < some.len() {
                next += 1;
                return Some(some[next - 1]);
            }
            match offline.piece()? {
                Piece::Silence(frames) => silence = frames,
                Piece::Sound(samples) => {
                    some.clear();
                    some.extend_from_slice(samples);
                    next = 0;
                }
            }
        }
    })
}
