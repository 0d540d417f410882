//! Converts class time to the clock of an export: class time itself, the real time that passed, or the clock of a
//! recording.

use crate::time::Tick;

/// A stop of class time: a pause, or a wait for the coach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimeStop {
    pub at: Tick,
    pub length: Tick,
}

/// Converts the ticks of a class to the times of an export. [`ExportClock::default`] leaves every tick as it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ExportClock {
    /// The tick that becomes 0, before `ahead` is added.
    from: Tick,
    /// The ticks at which class time stopped, in order, each tick once, with the length of all stops up to and
    /// including this one, in milliseconds.
    halts: Vec<(Tick, u64)>,
    /// How many milliseconds are added to every time; negative if a recording started after the class.
    ahead: i128,
}

impl ExportClock {
    /// Class time from a tick on, without pauses and waits.
    pub fn class_time(from: Tick) -> ExportClock {
        ExportClock { from, ..ExportClock::default() }
    }

    /// The real time since class time started to run at `from`, with all pauses and waits.
    pub fn real_time(from: Tick, stood: impl IntoIterator<Item = TimeStop>) -> ExportClock {
        // A stop at the first tick was before class time ran.
        let mut stood: Vec<TimeStop> =
            stood.into_iter().filter(|stood| stood.at > from && stood.length.0 > 0).collect();
        stood.sort_by_key(|stood| stood.at);
        let mut clock = ExportClock::class_time(from);
        let mut sum = 0u64;
        for TimeStop { at, length } in stood {
            sum = sum.saturating_add(length.0);
            match clock.halts.last_mut() {
                Some(last) if last.0 == at => last.1 = sum,
                _ => clock.halts.push((at, sum)),
            }
        }
        clock
    }

    /// The same on the clock of a recording. The recording showed `recording` when class time was at `class`, or when
    /// class time resumed there.
    pub fn synced_to_recording(self, class: Tick, recording: Tick) -> ExportClock {
        let ahead = self.ahead + i128::from(recording.0) - self.begins_ms(class);
        ExportClock { ahead, ..self }
    }

    /// What the clock shows when something starts on a tick: after a stop at that tick. None before 0.
    pub fn begins(&self, at: Tick) -> Option<Tick> {
        non_negative(self.begins_ms(at))
    }

    /// What the clock shows when something ends on a tick: before a stop at that tick. None before 0.
    pub fn ends(&self, at: Tick) -> Option<Tick> {
        non_negative(self.ends_ms(at))
    }

    /// The start and end of a range of ticks on the clock, including all stops within it. The part before 0 is cut off.
    /// None if nothing is left.
    pub fn stretch(&self, from: Tick, until: Tick) -> Option<(Tick, Tick)> {
        let end = self.ends(until).filter(|end| end.0 > 0)?;
        Some((self.begins(from).unwrap_or(Tick::ZERO), end))
    }

    /// The same for something that ends at the first stop of class time.
    pub fn unbroken(&self, from: Tick, until: Tick) -> Option<(Tick, Tick)> {
        let next = self.halts.partition_point(|(at, _)| *at <= from);
        let until = self.halts.get(next).map_or(until, |(at, _)| until.min(*at));
        self.stretch(from, until)
    }

    /// How much of the time from `from` on is before 0 on the clock.
    pub fn time_before_zero(&self, from: Tick) -> Tick {
        non_negative(-self.begins_ms(from)).unwrap_or(Tick::ZERO)
    }

    fn begins_ms(&self, at: Tick) -> i128 {
        self.ms(at, self.halts.partition_point(|(stood, _)| *stood <= at))
    }

    fn ends_ms(&self, at: Tick) -> i128 {
        self.ms(at, self.halts.partition_point(|(stood, _)| *stood < at))
    }

    fn ms(&self, at: Tick, stood: usize) -> i128 {
        let stood = stood.checked_sub(1).map_or(0, |last| self.halts[last].1);
        i128::from(at.0) - i128::from(self.from.0) + i128::from(stood) + self.ahead
    }
}

/// Milliseconds as a tick. None below 0. Very large values are capped, so that adding to them does not overflow.
fn non_negative(ms: i128) -> Option<Tick> {
    u64::try_from(ms).ok().map(|ms| Tick(ms.min(u64::MAX / 4)))
}

/// A text is not a time on the clock of a recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("write the time of the recording as 1:12.5 or 00:01:12.500")]
pub struct RecordingTimeError;

/// A time on the clock of a recording: `72.5`, `1:12.5` or `00:01:12.500`.
///
/// # Errors
/// When the text is not such a time.
pub fn recording_time(text: &str) -> Result<Tick, RecordingTimeError> {
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let number = |digits: &str, most: usize| {
        let fine = (1..=most).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
        digits.parse::<u64>().ok().filter(|_| fine).ok_or(RecordingTimeError)
    };
    let part = number(part, 3)? * [100, 10, 1][part.len() - 1];
    let fields: Vec<&str> = whole.split(':').collect();
    let mut seconds = 0;
    for (index, field) in fields.iter().enumerate() {
        let value = number(field, if index == 0 { 5 } else { 2 })?;
        if fields.len() > 3 || index > 0 && value >= 60 {
            return Err(RecordingTimeError);
        }
        seconds = seconds * 60 + value;
    }
    Ok(Tick(seconds * 1000 + part))
}
