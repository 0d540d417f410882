//! How loud music is: each file brought to one loudness by its own measured loudness.

use std::time::Duration;

use ebur128::{EbuR128, Mode};

use super::track::{Broken, Track};

/// The loudness that files are brought to, in LUFS over both channels (ITU-R BS.1770): 4 LU under speech, which the two
/// loudspeakers together play 3 LU over [`TARGET`](crate::loudness::TARGET).
pub const LOUDNESS: f64 = -17.0;

/// The loudest three seconds of a file go at most so far over [`LOUDNESS`], in LU. So ducked music is at least 15 dB
/// under speech in its loudest part as well.
pub const SWELL: f64 = 3.0;

/// No peak of music goes over this: -6 dBFS, so that a tone and speech have room above it.
const PEAK: f64 = 0.5;

/// Soft music is raised by this at most, in dB.
const MOST: f64 = 12.0;

/// So much of a file is measured; what comes after it is taken to be alike.
const MEASURED: Duration = Duration::from_secs(10 * 60);

/// A file shorter than this is none: a list of it would be opened again and again.
const SHORTEST: Duration = Duration::from_millis(100);

/// The factor for a file, which is read for it from its beginning.
///
/// # Errors
/// When the file is too short to be one.
pub(super) fn gain(track: &mut Track) -> Result<f32, Broken> {
    let rate = track.rate();
    let mut meter = EbuR128::new(2, rate, Mode::I | Mode::S | Mode::SAMPLE_PEAK).map_err(|_| Broken::Failed)?;
    let (mut frames, mut looked) = (0, 0);
    let mut swell = f64::NEG_INFINITY;
    while frames < MEASURED.as_secs() * u64::from(rate)
        && let Some(chunk) = track.next()
    {
        meter.add_frames_f32(chunk.as_flattened()).map_err(|_| Broken::Failed)?;
        frames += chunk.len() as u64;
        if frames - looked >= u64::from(rate) {
            looked = frames;
            swell = swell.max(meter.loudness_shortterm().unwrap_or(swell));
        }
    }
    if frames < SHORTEST.as_millis() as u64 * u64::from(rate) / 1000 {
        return Err(Broken::TooShort);
    }
    let whole = meter.loudness_global().unwrap_or(f64::NEG_INFINITY);
    let loud = whole.max(swell - SWELL);
    let raise = if loud.is_finite() { (LOUDNESS - loud).min(MOST) } else { 0.0 };
    let peak = [0, 1].map(|channel| meter.sample_peak(channel).unwrap_or(1.0)).into_iter().fold(0.0, f64::max);
    Ok(10f64.powf(raise / 20.0).min(PEAK / peak.max(1e-6)) as f32)
}

/// Where a file is louder than what was measured of it, its peaks still stay under this.
pub(super) fn hold_down(sample: &mut f32) {
    *sample = sample.clamp(-PEAK as f32, PEAK as f32);
}
