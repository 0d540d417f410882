//! Reads a WAV file from a voice as mono samples. The file may contain anything.

use std::io::Cursor;

use hound::{SampleFormat, WavReader};

use super::{Pcm, VoiceFault};

/// The speech in the bytes of a WAV file: mixed to one channel, trimmed and levelled.
pub(super) fn read(bytes: &[u8]) -> Result<Pcm, VoiceFault> {
    let mut bytes = bytes.to_vec();
    fix_length(&mut bytes);
    let mut reader = WavReader::new(Cursor::new(bytes)).map_err(|_| VoiceFault::NotSound)?;
    let spec = reader.spec();
    if spec.channels == 0 || !(Pcm::LOWEST_RATE..=Pcm::HIGHEST_RATE).contains(&spec.sample_rate) {
        return Err(VoiceFault::NotSound);
    }
    let most = u64::from(spec.sample_rate) * u64::from(spec.channels) * Pcm::LONGEST.as_secs();
    let most = usize::try_from(most).map_err(|_| VoiceFault::NotSound)?;
    // A file that was cut off gives the samples that it has.
    let samples: Vec<f32> = match spec.sample_format {
        SampleFormat::Float => reader.samples::<f32>().map_while(Result::ok).take(most + 1).collect(),
        SampleFormat::Int => {
            let full = 2f32.powi(i32::from(spec.bits_per_sample.clamp(1, 32)) - 1);
            reader.samples::<i32>().map_while(Result::ok).take(most + 1).map(|sample| sample as f32 / full).collect()
        }
    };
    if samples.len() > most {
        return Err(VoiceFault::TooMuch);
    }
    let channels = usize::from(spec.channels);
    let mono = samples.chunks_exact(channels).map(|frame| frame.iter().sum::<f32>() / channels as f32);
    let mono = mono.map(|sample| if sample.is_finite() { sample.clamp(-1.0, 1.0) } else { 0.0 }).collect();
    Pcm::levelled(spec.sample_rate, mono).ok_or(VoiceFault::Silent)
}

/// Corrects the length of the data chunk to the bytes that are there. A voice that writes to a pipe does not know the
/// length beforehand, and writes 0 or the largest possible number.
fn fix_length(bytes: &mut [u8]) {
    if bytes.len() < 44 || &bytes[..4] != b"RIFF" || &bytes[8..12] != b"WAVE" {
        return;
    }
    let total = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
    let mut at = 12;
    while at + 8 <= bytes.len() {
        let size = u32::from_le_bytes([bytes[at + 4], bytes[at + 5], bytes[at + 6], bytes[at + 7]]);
        if &bytes[at..at + 4] == b"data" {
            let there = total - at as u32 - 8;
            if size == 0 || size > there {
                // Whole frames only: the size of a frame is at byte 32 of a WAV header.
                let frame = u32::from(u16::from_le_bytes([bytes[32], bytes[33]])).max(1);
                bytes[at + 4..at + 8].copy_from_slice(&(there / frame * frame).to_le_bytes());
                bytes[4..8].copy_from_slice(&(total - 8).to_le_bytes());
            }
            return;
        }
        at = at.saturating_add(8).saturating_add(size as usize).saturating_add(size as usize % 2);
    }
}
