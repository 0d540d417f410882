//! The distance of the class and the height of the screen, as a coach writes them, and how well this terminal can be
//! read.

use std::num::{ParseFloatError, ParseIntError};

use crossterm::terminal::size;

use super::config;
use class::check::sight::ViewingConditions;
use stage::soundcheck::screen::capitals;

/// The distance and the height when nothing is set, in millimetres.
pub(crate) const DISTANCE: u32 = 4_000;
pub(crate) const HEIGHT: u32 = 174;
/// The columns and rows of the smallest screen, used when there is no terminal.
const LEAST: (u16, u16) = (80, 24);

/// Why a text gives no distance or no height.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum ViewingError {
    #[error("a distance is written like 4m")]
    NoDistance(#[source] ParseFloatError),
    #[error("from 0.5 m to 30 m")]
    Distance,
    #[error("a height is written like 174mm")]
    NoHeight(#[source] ParseIntError),
    #[error("from 50 mm to 5000 mm")]
    Height,
}

/// A distance in metres, `4m` or `2.5`, as millimetres.
pub(crate) fn metres(text: &str) -> Result<u32, ViewingError> {
    let number: f64 = text.trim().trim_end_matches('m').trim().parse().map_err(ViewingError::NoDistance)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "out of range is refused")]
    let millimetres = (number * 1000.0).round() as u32;
    let range = ViewingConditions::DISTANCES;
    if range.contains(&millimetres) { Ok(millimetres) } else { Err(ViewingError::Distance) }
}

/// A height in millimetres, `174mm` or `174`.
pub(crate) fn millimetres(text: &str) -> Result<u32, ViewingError> {
    let height: u32 = text.trim().trim_end_matches("mm").trim().parse().map_err(ViewingError::NoHeight)?;
    if (50..=5_000).contains(&height) { Ok(height) } else { Err(ViewingError::Height) }
}

/// A class in front of a screen with this many columns and rows; distance and height in millimetres.
pub(crate) fn sight(distance: u32, height: u32, (columns, rows): (u16, u16)) -> ViewingConditions {
    let (digits, names) = capitals(columns, rows);
    ViewingConditions { distance, height, rows, digits, names }
}

/// The class in front of this terminal; None if the distance is not set.
pub(crate) fn class_viewing() -> Option<ViewingConditions> {
    let config = config::get();
    Some(sight(config.distance?, config.screen_height.unwrap_or(HEIGHT), size().unwrap_or(LEAST)))
}
