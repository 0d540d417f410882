//! Composing: a whole class for a coach's request, chosen from the catalogue by an exact search.
//!
//! [`objective`] defines what makes a class good. [`compose`] gives the best class for a request, the same one every
//! time. [`swap_station`] swaps the movement of one station and leaves all others as they are.

mod candidate_pool;
mod composed_class;
mod composer;
mod family_balance;
mod frame;
pub mod kit_text;
pub mod objective;
pub mod order_search;
pub mod pool_selection;
mod reasons;
mod request;
pub mod similar;
mod warm_up_cool_down;

use std::ops::RangeInclusive;

pub use candidate_pool::PatternFamily;
pub use composed_class::{ComposedBlock, ComposedClass, ComposedStation};
pub use request::{ClassAim, ComposeError, ComposeRequest, KeptMovement, StationPlace};

use crate::movement::Catalogue;
use crate::time::Tick;

use composer::Composer;

/// The slots for which a class can be composed.
pub const SLOTS: RangeInclusive<Tick> = frame::SHORTEST..=frame::LONGEST;

/// The best class for a request.
///
/// # Errors
/// When the slot is too short or too long, when a kept movement is unknown or cannot be in its place, or when too few
/// movements fit.
pub fn compose(request: &ComposeRequest, catalogue: &Catalogue) -> Result<ComposedClass, ComposeError> {
    if request.slot < frame::SHORTEST {
        return Err(ComposeError::TooShort(frame::SHORTEST));
    }
    if request.slot > frame::LONGEST {
        return Err(ComposeError::TooLong(frame::LONGEST));
    }
    if let Some(locked) = request.locked.iter().find(|locked| catalogue.get(&locked.movement).is_none()) {
        return Err(ComposeError::UnknownMovement(locked.movement.clone()));
    }
    let frames = frame::frames(request.slot, request.aim);
    let mut why_not = ComposeError::TooFew(String::new());
    for frame in frames.into_iter().take(FRAMES) {
        let mut composer = Composer::new(request, catalogue, frame);
        match composer.compose() {
            Ok(draft) => return Ok(draft),
            Err(no) => why_not = no,
        }
    }
    Err(why_not)
}

/// The class with a similar movement in one place: the best of those that have not been there before in this class. All
/// other stations stay.
///
/// # Errors
/// When no other movement fits there, or there is no such place.
pub fn swap_station(
    request: &ComposeRequest,
    catalogue: &Catalogue,
    draft: &ComposedClass,
    place: StationPlace,
) -> Result<ComposedClass, ComposeError> {
    Composer::new(request, catalogue, draft.frame.clone()).swap_station(draft, place)
}

/// The number of frames that are tried when the best ones cannot be filled.
const FRAMES: usize = 16;
