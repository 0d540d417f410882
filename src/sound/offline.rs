//! Renders a score without a device, for a file or a test.

use std::ops::Range;
use std::sync::Arc;

use super::{EngineVolumes, FrameClock, RenderOrder, Renderer, Score};

/// A range of frames of a score, in mono, as the engine plays them. They come piece by piece, so that a long class
/// takes no more memory than a short one.
#[derive(Debug)]
pub struct OfflineRenderer {
    renderer: Renderer,
    left: u64,
    some: Vec<f32>,
}

/// The next piece of rendered sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RenderedPiece<'a> {
    /// This many silent frames. Most of a class is silence, and it takes almost no time to render.
    Silence(u64),
    /// Samples, 0.1 s at most.
    Sound(&'a [f32]),
}

impl OfflineRenderer {
    /// Renders these frames of a score. To start at the tick from which the score runs, start at the frame of
    /// [`Score::LEAD`].
    pub fn new(score: Arc<Score>, frames: Range<u64>) -> OfflineRenderer {
        let rate = score.rate;
        let (renderer, mut conduct) =
            Renderer::new(rate, 1, Arc::new(EngineVolumes::default()), FrameClock::fixed(rate));
        // Frame n of the stream is heard at n/rate, so the score starts at minus the first wanted frame.
        let zero = -FrameClock::fixed(rate).nanos(frames.start);
        conduct.send(RenderOrder::Play { score, zero, on: 0 });
        let some = vec![0.0; (rate as usize / 10).max(1)];
        OfflineRenderer { renderer, left: frames.end.saturating_sub(frames.start), some }
    }

    /// The next piece. None after the last.
    pub fn piece(&mut self) -> Option<RenderedPiece<'_>> {
        if self.left == 0 {
            return None;
        }
        let passed = self.renderer.skip_silence(self.left);
        if passed > 0 {
            self.left -= passed;
            return Some(RenderedPiece::Silence(passed));
        }
        let count = self.some.len().min(usize::try_from(self.left).unwrap_or(usize::MAX));
        self.left -= count as u64;
        let some = &mut self.some[..count];
        self.renderer.pull(some, None);
        Some(RenderedPiece::Sound(some))
    }
}

/// The same as [`OfflineRenderer`], sample by sample.
pub fn render(score: Arc<Score>, frames: Range<u64>) -> impl Iterator<Item = f32> {
    let mut offline = OfflineRenderer::new(score, frames);
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
                RenderedPiece::Silence(frames) => silence = frames,
                RenderedPiece::Sound(samples) => {
                    some.clear();
                    some.extend_from_slice(samples);
                    next = 0;
                }
            }
        }
    })
}
