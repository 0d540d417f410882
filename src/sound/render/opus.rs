//! Opus in Ogg (RFC 6716, RFC 7845): a class in the smallest file.

use std::io::{self, Write};

use opus_pure::{
    Application, Error, MAX_PACKET_BYTES, OggOpusWriter, OpusEncoder, OpusHead, OpusTags, RateControl, Signal,
};

use super::ClassTrack;
use super::comments::comments;
use super::encoder::TrackEncoder;

/// The rates that Opus supports, in samples a second.
pub(super) const RATES: [u32; 5] = [8_000, 12_000, 16_000, 24_000, 48_000];
/// The rate of the clock of an Opus stream, in ticks a second, for samples of any rate.
const CLOCK: u64 = 48_000;

/// The bit rate, in bits a second. At this rate, speech and tones on one channel are hard to tell from the original
/// (common practice).
const BITS: i32 = 48_000;

/// How far the decoded peaks may exceed the original ones, in dB. 0.3 dB was measured on a class.
pub(super) const OVERSHOOT: f64 = 1.0;

pub(super) struct OggOpusEncoder<'a> {
    encoder: OpusEncoder,
    writer: OggOpusWriter<&'a mut dyn Write>,
    /// Samples of a packet: 20 ms.
    packet: usize,
    /// The samples of the packet that is not full yet.
    open: Vec<f32>,
    bytes: Vec<u8>,
    /// The end of the track on the stream's clock.
    end: u64,
}

impl OggOpusEncoder<'_> {
    pub(super) fn new<'a>(track: &ClassTrack, out: &'a mut dyn Write) -> io::Result<OggOpusEncoder<'a>> {
        let rate = i32::try_from(track.rate).map_err(io::Error::other)?;
        let mut encoder = OpusEncoder::new(rate, 1, Application::Audio).map_err(fault)?;
        encoder.bitrate_bps = BITS;
        encoder.rate_control = RateControl::Vbr;
        // Without this the encoder changes between two modes, which raises peaks by 3 dB and doubles the size.
        encoder.signal_type = Some(Signal::Music);
        let head = OpusHead::for_encoder(&encoder, track.rate);
        let end = u64::from(head.pre_skip) + track.frames() * CLOCK / u64::from(track.rate);
        let mut tags = OpusTags::new();
        for (name, value) in comments(track) {
            tags.push(&name, &value).map_err(fault)?;
        }
        let writer = OggOpusWriter::with_tags(out, head, tags).map_err(fault)?;
        let packet = track.rate as usize / 50;
        let open = Vec::with_capacity(packet);
        Ok(OggOpusEncoder { encoder, writer, packet, open, bytes: vec![0; MAX_PACKET_BYTES], end })
    }

    /// Writes the open packet, filled up with silence. The last packet is cut to the end of the track.
    fn close_packet(&mut self) -> io::Result<()> {
        self.open.resize(self.packet, 0.0);
        let length = self.encoder.encode(&self.open, self.packet, &mut self.bytes).map_err(fault)?;
        self.open.clear();
        let packet = &self.bytes[..length];
        let left = self.left();
        match u32::try_from(left) {
            Ok(left) if u64::from(left) < CLOCK / 50 => self.writer.write_packet_with_duration(packet, left),
            _ => self.writer.write_packet(packet),
        }
        .map_err(fault)
    }

    /// How much is still to be written, in ticks of the stream's clock.
    fn left(&self) -> u64 {
        self.end.saturating_sub(u64::try_from(self.writer.granule()).unwrap_or(0))
    }
}

impl TrackEncoder for OggOpusEncoder<'_> {
    fn write_samples(&mut self, mut samples: &[f32]) -> io::Result<()> {
        while !samples.is_empty() {
            let (now, later) = samples.split_at(samples.len().min(self.packet - self.open.len()));
            self.open.extend_from_slice(now);
            if self.open.len() == self.packet {
                self.close_packet()?;
            }
            samples = later;
        }
        Ok(())
    }

    /// The output of the encoder is some milliseconds behind its input, so silence is added until the track is
    /// complete.
    fn finish(mut self: Box<Self>) -> io::Result<()> {
        while self.left() > 0 {
            self.close_packet()?;
        }
        self.writer.finish().map(drop).map_err(fault)
    }
}

fn fault(error: Error) -> io::Error {
    match error {
        Error::Io(error) => error,
        error => io::Error::other(error),
    }
}
