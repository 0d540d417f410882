//! How large lettering looks from a distance, and whether it can be read.

use std::f64::consts::TAU;

/// The least height of capitals that can be read easily, in minutes of arc (ISO 9241-3).
pub const LEAST: f64 = 16.0;
/// The preferred least height of capitals, in minutes of arc; 20 to 22 are preferred (ISO 9241-3).
pub const PREFERRED: f64 = 20.0;

/// The angle, in minutes of arc, that something of this height covers at this distance. Both are in millimetres, or
/// both in another unit of length. (NUREG-0700: height = 2π × distance × minutes / 21600.)
pub fn arc_minutes(height: f64, distance: f64) -> f64 {
    if distance <= 0.0 { f64::INFINITY } else { height * 21_600.0 / (TAU * distance) }
}

/// A distance as printed: `4 m`, `2.5 m`.
pub fn metres(millimetres: u32) -> String {
    let tenths = millimetres / 100;
    if tenths.is_multiple_of(10) { format!("{} m", tenths / 10) } else { format!("{}.{} m", tenths / 10, tenths % 10) }
}

/// A screen, and the distance from which people read it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ViewingConditions {
    /// From the screen to the people who read it, in millimetres.
    pub distance: u32,
    /// The height of the visible part of the screen, in millimetres.
    pub height: u32,
    /// The rows of the terminal.
    pub rows: u16,
    /// The height of the digits, and of the capitals of names, in rows.
    pub digits: f64,
    pub names: f64,
}

impl ViewingConditions {
    /// The distances that can be set, in millimetres.
    pub const DISTANCES: std::ops::RangeInclusive<u32> = 500..=30_000;

    /// The heights of digits and of names, in minutes of arc.
    pub fn arc_minutes(&self) -> (f64, f64) {
        let row = f64::from(self.height) / f64::from(self.rows.max(1));
        let minutes = |rows: f64| arc_minutes(rows * row, f64::from(self.distance));
        (minutes(self.digits), minutes(self.names))
    }

    /// Whether digits or names are too small to be read easily.
    pub fn is_too_small(&self) -> bool {
        let (digits, names) = self.arc_minutes();
        digits.min(names) < LEAST
    }

    /// The largest distance from which both can be read easily, in millimetres.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is above zero and within sight")]
    pub fn reading_distance(&self) -> u32 {
        let (digits, names) = self.arc_minutes();
        (f64::from(self.distance) * digits.min(names) / LEAST) as u32
    }
}
