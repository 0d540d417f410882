//! FLAC: the same samples as in WAV, without loss, written frame by frame.
//!
//! The header says how many samples there are. It leaves out what is known only at the end: the sizes of the frames and
//! the checksum of all samples.

use std::io::{self, Write};

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, MetadataBlockData, Stream, StreamInfo};
use flacenc::config;
use flacenc::encode_fixed_size_frame;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Fill, FrameBuf};

use super::ClassTrack;
use super::comments::comments;
use super::encoder::{TrackEncoder, sixteen_bits};

/// Samples in a frame.
const FRAME: usize = 4096;
/// The metadata block of Vorbis comments.
const COMMENTS: u8 = 4;

pub(super) struct FlacEncoder<'a> {
    out: &'a mut dyn Write,
    config: Verified<config::Encoder>,
    info: StreamInfo,
    /// The samples of the frame that is not full yet.
    open: Vec<i32>,
    frame: FrameBuf,
    /// Frames written.
    number: usize,
}

impl FlacEncoder<'_> {
    pub(super) fn new<'a>(track: &ClassTrack, out: &'a mut dyn Write) -> io::Result<FlacEncoder<'a>> {
        let config = config::Encoder::default().into_verified().map_err(|(_, error)| fault(error))?;
        let mut stream = Stream::new(track.rate as usize, 1, 16).map_err(fault)?;
        let info = stream.stream_info_mut();
        info.set_block_sizes(FRAME, FRAME).map_err(fault)?;
        info.set_frame_sizes(0, 0).map_err(fault)?;
        info.set_total_samples(usize::try_from(track.frames()).map_err(fault)?);
        let info = stream.stream_info().clone();
        let comments = MetadataBlockData::new_unknown(COMMENTS, &block(track)).map_err(fault)?;
        stream.add_metadata_block(comments);
        let frame = FrameBuf::with_size(1, FRAME).map_err(fault)?;
        let mut flac = FlacEncoder { out, config, info, open: Vec::with_capacity(FRAME), frame, number: 0 };
        flac.put(&stream)?;
        Ok(flac)
    }

    fn put(&mut self, part: &impl BitRepr) -> io::Result<()> {
        let mut sink = ByteSink::new();
        part.write(&mut sink).map_err(fault)?;
        self.out.write_all(sink.as_slice())
    }

    fn close_frame(&mut self) -> io::Result<()> {
        self.frame.fill_interleaved(&self.open).map_err(fault)?;
        self.open.clear();
        let frame = encode_fixed_size_frame(&self.config, &self.frame, self.number, &self.info);
        self.number += 1;
        self.put(&frame.map_err(fault)?)
    }
}

impl TrackEncoder for FlacEncoder<'_> {
    fn write_samples(&mut self, mut samples: &[f32]) -> io::Result<()> {
        while !samples.is_empty() {
            let (now, later) = samples.split_at(samples.len().min(FRAME - self.open.len()));
            self.open.extend(now.iter().map(|sample| i32::from(sixteen_bits(*sample))));
            if self.open.len() == FRAME {
                self.close_frame()?;
            }
            samples = later;
        }
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> io::Result<()> {
        if self.open.is_empty() { Ok(()) } else { self.close_frame() }
    }
}

/// The comments as FLAC stores them: the name of the encoder first, and each text after its length.
fn block(track: &ClassTrack) -> Vec<u8> {
    let text = |text: &str| [&u32::try_from(text.len()).unwrap_or(0).to_le_bytes(), text.as_bytes()].concat();
    let comments = comments(track);
    let mut block = text(concat!("forecall ", env!("CARGO_PKG_VERSION")));
    block.extend(u32::try_from(comments.len()).unwrap_or(0).to_le_bytes());
    block.extend(comments.iter().flat_map(|(name, value)| text(&format!("{name}={value}"))));
    block
}

/// An error of the encoder as text: the error itself cannot be sent to another thread, as an [`io::Error`] must be.
fn fault(error: impl std::fmt::Display) -> io::Error {
    io::Error::other(error.to_string())
}
