//! Audio devices: a stream of sound is opened on one. The engine sees devices only through [`AudioDevice`].

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::time::Duration;

use super::device_thread::DeviceMessage;
use class::words::{WORDS, fill};

/// The function that a stream calls in its own thread to get sound. It fills the samples of all channels. The second
/// argument says how long from now the first sample will be heard: zero if the stream does not know, None if an earlier
/// call for the same buffer has said so.
pub type StreamCallback = Box<dyn FnMut(&mut [f32], Option<Duration>) + Send>;

/// A place where sound can come out: a device of the system, or of a test.
pub trait AudioDevice: Send {
    /// Opens a stream. `source` gets frames a second and the number of channels, and returns the function that the
    /// stream is to call. The stream reports to `lost` when it stops calling that function.
    ///
    /// # Errors
    /// When there is no such device now, or it does not open.
    fn open(
        &mut self,
        source: &mut dyn FnMut(u32, u16) -> StreamCallback,
        lost: LossNotifier,
    ) -> Result<OpenedStream, DeviceError>;

    /// Whether a different device should be open now, because the system's default has changed. Called every few
    /// seconds while a stream plays.
    fn has_moved(&mut self) -> bool {
        false
    }
}

/// A stream that plays until it is dropped.
pub struct OpenedStream {
    /// The device's name, for the coach.
    pub name: String,
    /// Frames that the device asks for at a time, if it reports that.
    pub buffer: Option<u32>,
    /// Keeps the stream open. Dropping it may take long.
    pub stream: Box<dyn Send>,
}

/// Why nothing opened, in words for the coach.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeviceError {
    #[error("{}", WORDS.sound.no_device)]
    NoDevice,
    #[error("{}", fill(&WORDS.sound.not_found, &[("device", .0)]))]
    NotFound(String),
    #[error("{}", fill(&WORDS.sound.refused, &[("why", .0)]))]
    Refused(String),
}

/// Tells the owner of a stream, once only, that the stream is lost. Any thread may call it, any number of times.
#[derive(Clone)]
pub struct LossNotifier {
    told: Arc<AtomicBool>,
    stream: u64,
    owner: Sender<DeviceMessage>,
}

impl LossNotifier {
    pub(super) fn new(stream: u64, owner: Sender<DeviceMessage>) -> LossNotifier {
        LossNotifier { told: Arc::new(AtomicBool::new(false)), stream, owner }
    }

    /// Reports that the stream is lost.
    pub fn tell(&self) {
        if !self.told.swap(true, Ordering::Relaxed) {
            // Sending fails only after the engine has been dropped.
            let _ = self.owner.send(DeviceMessage::Lost(self.stream));
        }
    }
}
