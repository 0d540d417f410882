//! An outlet: where a stream of sound can be opened. The engine sees devices only through this.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::time::Duration;

use super::desk::Message;
use class::words::{WORDS, fill};

/// What a stream calls for each buffer, in its own thread: the samples to fill, of all channels, and how long from
/// now the first of them will be heard: zero where the stream does not know, None where it has told for the samples
/// before.
pub type Pull = Box<dyn FnMut(&mut [f32], Option<Duration>) + Send>;

/// One place where sound can come out: a device of the system, or one of a test.
pub trait Outlet: Send {
    /// Opens a stream. `source` is called once with frames a second and channels, and gives what the stream is to
    /// call. `lost` is told when the stream will call no more.
    ///
    /// # Errors
    /// When there is no such device now, or it does not open.
    fn open(&mut self, source: &mut dyn FnMut(u32, u16) -> Pull, lost: Lost) -> Result<Opened, NoSound>;

    /// Whether another device should be open by now, because the system's default has changed. Asked every few
    /// seconds while a stream plays.
    fn has_moved(&mut self) -> bool {
        false
    }
}

/// A stream that plays until it is dropped.
pub struct Opened {
    /// The device's name, for the coach.
    pub name: String,
    /// Frames that it asks for at a time, where the device tells.
    pub buffer: Option<u32>,
    /// Holds the stream. Dropping it may take long.
    pub stream: Box<dyn Send>,
}

/// Why nothing opened, in words for the coach.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSound {
    #[error("{}", WORDS.sound.no_device)]
    NoDevice,
    #[error("{}", fill(&WORDS.sound.not_found, &[("device", .0)]))]
    NotFound(String),
    #[error("{}", fill(&WORDS.sound.refused, &[("why", .0)]))]
    Refused(String),
}

/// Tells a stream's owner, once, that it is lost. May be called from any thread, and as often as a device likes.
#[derive(Clone)]
pub struct Lost {
    told: Arc<AtomicBool>,
    stream: u64,
    owner: Sender<Message>,
}

impl Lost {
    pub(super) fn new(stream: u64, owner: Sender<Message>) -> Lost {
        Lost { told: Arc::new(AtomicBool::new(false)), stream, owner }
    }

    /// The stream is lost.
    pub fn tell(&self) {
        if !self.told.swap(true, Ordering::Relaxed) {
            // Nobody listens once the engine has gone.
            let _ = self.owner.send(Message::Lost(self.stream));
        }
    }
}
