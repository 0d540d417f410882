//! WAV: 16 bits, one channel, with a cue point and its label for every mark.
//!
//! The samples come first, after the shortest possible header, for readers that understand nothing else. The cue points
//! follow (Multimedia Programming Interface and Data Specifications 1.0: `cue `, and `labl` in a `LIST` of type
//! `adtl`). All lengths are known before the first sample, so the file is written from start to end, and a pipe gets
//! the same bytes.

use std::io::{self, Write};

use super::encoder::{TrackEncoder, sixteen_bits};
use super::{ClassTrack, TrackMarker};

pub(super) struct WavEncoder<'a> {
    out: &'a mut dyn Write,
    /// What comes after the samples.
    tail: Vec<u8>,
    bytes: Vec<u8>,
}

/// `RIFF`, its length, `WAVE`, `fmt ` with 16 bytes, and the head of `data`.
const HEAD: u64 = 44;
const BYTES: u64 = 2;

/// The size of the RIFF chunk, in bytes. None if it is too large for 32 bits.
pub(super) fn size(track: &ClassTrack) -> Option<u32> {
    u32::try_from(HEAD - 8 + track.frames() * BYTES + tail(track).len() as u64).ok()
}

impl WavEncoder<'_> {
    pub(super) fn new<'a>(track: &ClassTrack, out: &'a mut dyn Write) -> io::Result<WavEncoder<'a>> {
        let size = size(track).ok_or(io::ErrorKind::FileTooLarge)?;
        let data = u32::try_from(track.frames() * BYTES).unwrap_or(0);
        let rate = track.rate;
        out.write_all(b"RIFF")?;
        out.write_all(&size.to_le_bytes())?;
        out.write_all(b"WAVEfmt \x10\0\0\0\x01\0\x01\0")?;
        out.write_all(&rate.to_le_bytes())?;
        out.write_all(&(rate * BYTES as u32).to_le_bytes())?;
        out.write_all(b"\x02\0\x10\0data")?;
        out.write_all(&data.to_le_bytes())?;
        Ok(WavEncoder { out, tail: tail(track), bytes: Vec::new() })
    }
}

impl TrackEncoder for WavEncoder<'_> {
    fn write_samples(&mut self, samples: &[f32]) -> io::Result<()> {
        self.bytes.clear();
        self.bytes.extend(samples.iter().flat_map(|sample| sixteen_bits(*sample).to_le_bytes()));
        self.out.write_all(&self.bytes)
    }

    fn write_silence(&mut self, frames: u64) -> io::Result<()> {
        static NOTHING: [u8; 1 << 16] = [0; 1 << 16];
        let mut bytes = frames * BYTES;
        while bytes > 0 {
            let count = bytes.min(NOTHING.len() as u64);
            self.out.write_all(&NOTHING[..count as usize])?;
            bytes -= count;
        }
        Ok(())
    }

    fn finish(self: Box<Self>) -> io::Result<()> {
        self.out.write_all(&self.tail)
    }
}

/// The chunks after the samples. The samples take an even number of bytes, so no padding comes before the chunks.
fn tail(track: &ClassTrack) -> Vec<u8> {
    let mut cues = Vec::new();
    cues.extend(count(&track.markers).to_le_bytes());
    let mut labels = b"adtl".to_vec();
    for (number, TrackMarker { frame, label }) in (1u32..).zip(&track.markers) {
        // A larger frame number cannot occur: `size` refuses such a track.
        let frame = u32::try_from(*frame).unwrap_or(u32::MAX);
        // Number, position in the play order, chunk, start of the chunk, start of the block in it, frame in the block.
        cues.extend(number.to_le_bytes());
        cues.extend(frame.to_le_bytes());
        cues.extend(b"data\0\0\0\0\0\0\0\0");
        cues.extend(frame.to_le_bytes());
        let text = [&number.to_le_bytes(), label.as_bytes(), b"\0"].concat();
        labels.extend(chunk(b"labl", &text));
    }
    let title = [b"INFO".to_vec(), chunk(b"INAM", &[track.title.as_bytes(), b"\0"].concat())].concat();
    [chunk(b"cue ", &cues), chunk(b"LIST", &labels), chunk(b"LIST", &title)].concat()
}

fn count(marks: &[TrackMarker]) -> u32 {
    u32::try_from(marks.len()).unwrap_or(u32::MAX)
}

/// A chunk, padded to an even length.
fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let length = u32::try_from(content.len()).unwrap_or(u32::MAX);
    let fill: &[u8] = if content.len().is_multiple_of(2) { b"" } else { b"\0" };
    [name, &length.to_le_bytes(), content, fill].concat()
}
