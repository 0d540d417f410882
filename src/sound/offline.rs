//! The score as sound without a device: to a file, or to a test.

use std::ops::Range;
use std::sync::Arc;

use super::{Levels, Line, Order, Renderer, Score};

/// Renders these frames of a score, mono, as the engine plays them: to hear it from the tick on which it runs, begin
/// at the frame of [`Score::LEAD`]. An iterator, so that a class of any length needs no memory.
pub fn render(score: Arc<Score>, frames: Range<u64>) -> impl Iterator<Item = f32> {
    let rate = score.rate;
    let (mut renderer, mut conduct) = Renderer::new(rate, 1, Arc::new(Levels::default()), Line::fixed(rate));
    // Frame n of the stream is heard at n/rate; so the score began at minus the first frame wanted.
    let zero = -Line::fixed(rate).nanos(frames.start);
    conduct.give(Order::Play { score, zero, on: 0 });
    let count = usize::try_from(frames.end.saturating_sub(frames.start)).unwrap_or(usize::MAX);
    // A tenth of a second at a time: pauses are passed over whole.
    let mut some = vec![0.0; (rate as usize / 10).max(1)];
    let mut next = some.len();
    let mut sample = move || {
        if next == some.len() {
            renderer.pull(&mut some, None);
            next = 0;
        }
        next += 1;
        some[next - 1]
    };
    (0..count).map(move |_| sample())
}
