//! Whether lettering can be read from a distance: how large it is to the eye.

use std::f64::consts::TAU;

/// Below this, in minutes of arc, capitals cannot be read with ease (ISO 9241-3).
pub const LEAST: f64 = 16.0;
/// From this on, in minutes of arc, they read well; 20 to 22 are preferred (ISO 9241-3).
pub const PREFERRED: f64 = 20.0;

/// How large something of this height is to an eye at this distance, in minutes of arc; both in millimetres
/// (NUREG-0700: the height is 2π times the distance times the minutes, by 21600).
pub fn arc_minutes(height: f64, distance: f64) -> f64 {
    if distance <= 0.0 { f64::INFINITY } else { height * 21_600.0 / (TAU * distance) }
}

/// A distance as it is printed: 4 m, 2.5 m.
pub fn metres(millimetres: u32) -> String {
    let tenths = millimetres / 100;
    if tenths.is_multiple_of(10) { format!("{} m", tenths / 10) } else { format!("{}.{} m", tenths / 10, tenths % 10) }
}

/// A screen and who reads it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// From the screen to whoever reads it, in millimetres.
    pub distance: u32,
    /// The height of what shows of the screen, in millimetres.
    pub height: u32,
    /// The rows of the terminal.
    pub rows: u16,
    /// How high the capitals of digits and of names are there, in rows.
    pub digits: f64,
    pub names: f64,
}

impl Sight {
    /// The nearest and farthest that can be asked for, in millimetres.
    pub const DISTANCES: std::ops::RangeInclusive<u32> = 500..=30_000;

    /// How large digits and names are to the eye, in minutes of arc.
    pub fn minutes(&self) -> (f64, f64) {
        let row = f64::from(self.height) / f64::from(self.rows.max(1));
        let minutes = |rows: f64| arc_minutes(rows * row, f64::from(self.distance));
        (minutes(self.digits), minutes(self.names))
    }

    /// Whether they cannot be read with ease.
    pub fn is_too_small(&self) -> bool {
        let (digits, names) = self.minutes();
        digits.min(names) < LEAST
    }

    /// The farthest from which both can be read, in millimetres.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is above zero and within sight")]
    pub fn reaches(&self) -> u32 {
        let (digits, names) = self.minutes();
        (f64::from(self.distance) * digits.min(names) / LEAST) as u32
    }
}
