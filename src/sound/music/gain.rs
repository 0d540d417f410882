//! The level of music: each file is measured and brought to the same loudness.

use std::time::Duration;

use ebur128::{EbuR128, Mode};

use super::track::{MusicFileError, MusicTrack};

/// The loudness that files are brought to, in LUFS over both channels (ITU-R BS.1770). It is 4 LU below speech, which
/// two speakers together play 3 LU above [`TARGET`](crate::loudness::TARGET).
pub const LOUDNESS: f64 = -17.0;

/// How far the loudest 3 s of a file may be over [`LOUDNESS`], in LU. So ducked music is at least 15 dB below speech,
/// even in its loudest part.
pub const SWELL: f64 = 3.0;

/// The highest peak of music, as a factor of full scale: -6 dBFS, so that tones and speech have room above it.
const PEAK: f64 = 0.5;

/// The most that soft music is raised, in dB.
const MOST: f64 = 12.0;

/// How much of a file is measured, from its start. The rest is assumed to be similar.
const MEASURED: Duration = Duration::from_secs(10 * 60);

/// The shortest file that is played. A list of shorter files would be opened again and again.
const SHORTEST: Duration = Duration::from_millis(100);

/// The factor for a file. The file is read from its start to measure it.
///
/// # Errors
/// When the file is too short, or cannot be measured.
pub(super) fn gain(track: &mut MusicTrack) -> Result<f32, MusicFileError> {
    let rate = track.rate();
    let mut meter = EbuR128::new(2, rate, Mode::I | Mode::S | Mode::SAMPLE_PEAK).map_err(|_| MusicFileError::Failed)?;
    let (mut frames, mut looked) = (0, 0);
    let mut swell = f64::NEG_INFINITY;
    while frames < MEASURED.as_secs() * u64::from(rate)
        && let Some(chunk) = track.next()
    {
        meter.add_frames_f32(chunk.as_flattened()).map_err(|_| MusicFileError::Failed)?;
        frames += chunk.len() as u64;
        if frames - looked >= u64::from(rate) {
            looked = frames;
            swell = swell.max(meter.loudness_shortterm().unwrap_or(swell));
        }
    }
    if frames < SHORTEST.as_millis() as u64 * u64::from(rate) / 1000 {
        return Err(MusicFileError::TooShort);
    }
    let whole = meter.loudness_global().unwrap_or(f64::NEG_INFINITY);
    let loud = whole.max(swell - SWELL);
    let raise = if loud.is_finite() { (LOUDNESS - loud).min(MOST) } else { 0.0 };
    let peak = [0, 1].map(|channel| meter.sample_peak(channel).unwrap_or(1.0)).into_iter().fold(0.0, f64::max);
    Ok(10f64.powf(raise / 20.0).min(PEAK / peak.max(1e-6)) as f32)
}

/// Limits a sample to [`PEAK`], for parts of a file that are louder than what was measured.
pub(super) fn limit_peak(sample: &mut f32) {
    *sample = sample.clamp(-PEAK as f32, PEAK as f32);
}
