//! Lengths of time as people write, print and say them.

use jiff::{SignedDuration, Span, SpanRelativeTo};

use super::Tick;

/// What is wrong with a written length.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthFault {
    /// Not a known way to write a length.
    #[error("not a length of time")]
    Shape,
    /// Below zero.
    #[error("below zero")]
    Negative,
    /// Longer than [`LONGEST`].
    #[error("longer than a day")]
    TooLong,
    /// Finer than a tick (1 ms).
    #[error("finer than a thousandth of a second")]
    TooFine,
}

/// The longest length that is accepted: one day.
pub(super) const LONGEST: Tick = Tick::seconds(24 * 60 * 60);

/// Reads `45s`, `1m30s`, `2h`, `1:30`, `1:00:00` or ISO 8601 `PT1M30S`.
///
/// # Errors
/// When the text is in none of these forms, is below zero, longer than a day or finer than a tick (1 ms).
pub fn parse_length(text: &str) -> Result<Tick, LengthFault> {
    let text = text.trim();
    if text.is_empty() || text.len() > 40 || !text.is_ascii() {
        return Err(LengthFault::Shape);
    }
    let millis = if text.contains(':') { digital(text)? } else { worded(text)? };
    let tick = Tick(u64::try_from(millis).map_err(|_| LengthFault::Negative)?);
    if tick > LONGEST { Err(LengthFault::TooLong) } else { Ok(tick) }
}

/// `m:ss` and `h:mm:ss`, in milliseconds.
fn digital(text: &str) -> Result<i128, LengthFault> {
    let mut total: i128 = 0;
    let parts: Vec<&str> = text.split(':').collect();
    if parts.len() > 3 {
        return Err(LengthFault::Shape);
    }
    for (place, part) in parts.iter().enumerate() {
        if part.is_empty() || part.len() > 4 || !part.bytes().all(|b| b.is_ascii_digit()) {
            return Err(LengthFault::Shape);
        }
        if place > 0 && (part.len() != 2 || *part > "59") {
            return Err(LengthFault::Shape);
        }
        total = total * 60 + part.parse::<i128>().map_err(|_| LengthFault::Shape)?;
    }
    Ok(total * 1000)
}

/// `1m30s` and ISO 8601, in milliseconds.
fn worded(text: &str) -> Result<i128, LengthFault> {
    if text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(LengthFault::Shape);
    }
    let span: Span = text.parse().map_err(|_| LengthFault::Shape)?;
    if span.get_years() != 0 || span.get_months() != 0 {
        return Err(LengthFault::TooLong);
    }
    let duration: SignedDuration =
        span.to_duration(SpanRelativeTo::days_are_24_hours()).map_err(|_| LengthFault::TooLong)?;
    if duration.subsec_nanos() % 1_000_000 != 0 {
        return Err(LengthFault::TooFine);
    }
    Ok(duration.as_millis())
}

/// A length as a clock shows it: `0:45`, `27:00`, `1:02:30`; thousandths only when there are any (`0:05.250`).
pub fn clock(length: Tick) -> String {
    let (seconds, millis) = (length.0 / 1000, length.0 % 1000);
    let (h, m, s) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    let whole = if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") };
    if millis == 0 { whole } else { format!("{whole}.{millis:03}") }
}

/// A length as a session file writes it: `45s`, `1m30s`, `1h`.
pub fn spoken_length(length: Tick) -> String {
    let (seconds, millis) = (length.0 / 1000, length.0 % 1000);
    let (h, m, s) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    let mut text = String::new();
    if h > 0 {
        text += &format!("{h}h");
    }
    if m > 0 {
        text += &format!("{m}m");
    }
    if millis > 0 {
        text += &format!("{s}.{millis:03}s");
    } else if s > 0 || text.is_empty() {
        text += &format!("{s}s");
    }
    text
}
