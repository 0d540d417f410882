//! Composing: a whole class for a coach's request, chosen from the catalogue by an exact search.
//!
//! [`objective`] defines what makes a class good. [`compose`] gives the best class for a request, the same one every
//! time. [`another`] swaps the movement of one station and leaves all others as they are.

mod around;
mod balance;
mod composer;
mod draft;
pub mod ends;
mod frame;
pub mod like;
pub mod objective;
mod request;
mod room;
pub mod search;
pub mod typed;
mod why;

use std::ops::RangeInclusive;

pub use draft::{Draft, DraftBlock, DraftStation};
pub use request::{Aim, Locked, NoDraft, Place, Request};
pub use room::Family;

use crate::movement::Catalogue;
use crate::time::Tick;

use composer::Composer;

/// The slots for which a class can be composed.
pub const SLOTS: RangeInclusive<Tick> = frame::SHORTEST..=frame::LONGEST;

/// The best class for a request.
///
/// # Errors
/// When the slot is too short or too long, when a locked movement is unknown or cannot be in its place, or when too few
/// movements fit.
pub fn compose(request: &Request, catalogue: &Catalogue) -> Result<Draft, NoDraft> {
    if request.slot < frame::SHORTEST {
        return Err(NoDraft::TooShort(frame::SHORTEST));
    }
    if request.slot > frame::LONGEST {
        return Err(NoDraft::TooLong(frame::LONGEST));
    }
    if let Some(locked) = request.locked.iter().find(|locked| catalogue.get(&locked.movement).is_none()) {
        return Err(NoDraft::UnknownMovement(locked.movement.clone()));
    }
    let frames = frame::frames(request.slot, request.aim);
    let mut why_not = NoDraft::TooFew(String::new());
    for frame in frames.into_iter().take(FRAMES) {
        let mut composer = Composer::new(request, catalogue, frame);
        match composer.compose() {
            Ok(draft) => return Ok(draft),
            Err(no) => why_not = no,
        }
    }
    Err(why_not)
}

/// The draft with a similar movement in one place: the best of those that have not been there before in this draft. All
/// other stations stay.
///
/// # Errors
/// When no other movement fits there, or there is no such place.
pub fn another(request: &Request, catalogue: &Catalogue, draft: &Draft, place: Place) -> Result<Draft, NoDraft> {
    Composer::new(request, catalogue, draft.frame.clone()).another(draft, place)
}

/// The number of frames that are tried when the best ones cannot be filled.
const FRAMES: usize = 16;
