//! A hash of everything visible, which tells the run loop whether to draw.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

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
        ClassPhase::Ready { begins_in_ms, waited_ms } => (0, begins_in_ms, waited_ms).hash(&mut hasher),
        ClassPhase::CountIn { left_ms } => (1, Some(left_ms), false).hash(&mut hasher),
        ClassPhase::Running => (2, None::<u64>, false).hash(&mut hasher),
        ClassPhase::Gate { waited_ms } => (3, Some(waited_ms), false).hash(&mut hasher),
        ClassPhase::Paused { for_ms, stopped } => (4, Some(for_ms), stopped).hash(&mut hasher),
        ClassPhase::Done => (5, None::<u64>, false).hash(&mut hasher),
    }
    (&moment.ends_at, moment.spare_ms, moment.lost_ms, moment.muted, moment.message).hash(&mut hasher);
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
    let down = |ms: u64| ms / 1000 * 1000;
    let up = |ms: u64| Tick(ms).countdown_seconds() * 1000;
    let mut seen = moment.clone();
    seen.lost_ms = down(moment.lost_ms);
    // Rounded towards zero, as on the screen.
    seen.spare_ms = moment.spare_ms.map(|spare| spare / 1000 * 1000);
    if let Some(offer) = &mut seen.offer {
        offer.spare_ms = offer.spare_ms.map(|spare| spare / 1000 * 1000);
    }
    seen.phase = match moment.phase {
        ClassPhase::Ready { begins_in_ms, waited_ms } => {
            ClassPhase::Ready { begins_in_ms: begins_in_ms.map(up), waited_ms: down(waited_ms) }
        }
        ClassPhase::CountIn { left_ms } => ClassPhase::CountIn { left_ms: up(left_ms) },
        ClassPhase::Gate { waited_ms } => ClassPhase::Gate { waited_ms: down(waited_ms) },
        ClassPhase::Paused { for_ms, stopped } => ClassPhase::Paused { for_ms: down(for_ms), stopped },
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
