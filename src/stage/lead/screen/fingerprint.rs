//! A hash of everything visible, which tells the run loop whether to draw.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;
use std::time::Duration;

use jiff::SignedDuration;

use super::scene::{Scene, SceneContext};
use super::tempo_guide::CurrentRepetition;
use crate::lead::{ClassPhase, Moment, ScreenView};
use class::time::Tick;

/// Hashes everything that the picture of a moment depends on. Two moments with the same hash give the same picture at
/// the same size and look. So a loop draws only when the hash or the size of the terminal changes.
///
/// [`super::draw`] draws `seen` and not the moment itself, and the hash is computed from `seen`, so both depend on the
/// same values. Takes one pass over the spans and draws nothing.
pub fn fingerprint(moment: &Moment) -> u64 {
    let moment = as_seen(moment);
    let mut hasher = DefaultHasher::new();
    // The address tells one session from another; the spans tell whether the class was changed.
    Arc::as_ptr(&moment.schedule.session).hash(&mut hasher);
    let mut spans = 0u64;
    for span in &moment.schedule.spans {
        for part in [span.start.0, span.end.0, span.block as u64] {
            spans = (spans.rotate_left(5) ^ part).wrapping_mul(0x517c_c1b7_2722_0a95);
        }
    }
    spans.hash(&mut hasher);
    moment.now.hash(&mut hasher);
    match moment.phase {
        ClassPhase::Ready { begins_in, waited } => (0, begins_in, waited).hash(&mut hasher),
        ClassPhase::CountIn { left } => (1, Some(left), false).hash(&mut hasher),
        ClassPhase::Running => (2, None::<Duration>, false).hash(&mut hasher),
        ClassPhase::Gate { waited } => (3, Some(waited), false).hash(&mut hasher),
        ClassPhase::Paused { lasted, stopped } => (4, Some(lasted), stopped).hash(&mut hasher),
        ClassPhase::Done => (5, None::<Duration>, false).hash(&mut hasher),
    }
    (&moment.ends_at, moment.spare, moment.lost, moment.muted, moment.message).hash(&mut hasher);
    // Only the cues of the current span are printed.
    let span = SceneContext::of(&moment).map_or(moment.now..moment.now, |at| at.span.start..at.span.end);
    for cue in moment.cues.iter().filter(|cue| cue.window.start < span.end && span.start <= cue.window.end) {
        (cue.window.start, cue.outcome, &cue.text).hash(&mut hasher);
    }
    let changed = &moment.changed;
    (&moment.offer, changed.deviations, changed.debts, changed.changes, changed.marks).hash(&mut hasher);
    (moment.level as u8, moment.view as u8, moment.machine).hash(&mut hasher);
    hasher.finish()
}

/// The moment as the screen shows it: every time in it is set back to the last change of the picture. The screen shows
/// whole seconds: a length that counts down is rounded up, a length that counts up is rounded down.
pub(super) fn as_seen<'a>(moment: &Moment<'a>) -> Moment<'a> {
    let down = |length: Duration| Duration::from_secs(length.as_secs());
    let up = |length: Duration| Duration::from_secs(Tick::of(length).countdown_seconds());
    // Towards zero, as on the screen.
    let whole = |spare: SignedDuration| SignedDuration::from_secs(spare.as_secs());
    let mut seen = moment.clone();
    seen.lost = down(moment.lost);
    seen.spare = moment.spare.map(whole);
    if let Some(offer) = &mut seen.offer {
        offer.spare = offer.spare.map(whole);
    }
    seen.phase = match moment.phase {
        ClassPhase::Ready { begins_in, waited } => {
            ClassPhase::Ready { begins_in: begins_in.map(up), waited: down(waited) }
        }
        ClassPhase::CountIn { left } => ClassPhase::CountIn { left: up(left) },
        ClassPhase::Gate { waited } => ClassPhase::Gate { waited: down(waited) },
        ClassPhase::Paused { lasted, stopped } => ClassPhase::Paused { lasted: down(lasted), stopped },
        phase => phase,
    };
    if let Some(at) = SceneContext::of(moment) {
        let guide = (at.scene == Scene::Work && moment.view == ScreenView::Coach)
            .then(|| at.station(at.span).and_then(|station| CurrentRepetition::of(at.span, station, at.now)))
            .flatten();
        seen.now = at.last_change(guide);
    }
    seen
}
