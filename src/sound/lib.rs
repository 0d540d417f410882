//! Sound: tones and speech as a score of events on absolute frames, played on time by any device.
//!
//! This module knows frames and PCM, not movements. Class time comes from the clock, never from a device.

mod audio_device;
mod channels;
mod device;
mod device_thread;
mod engine;
mod frame_clock;
mod keep_awake_tone;
mod kernel;
mod latencies;
pub mod loudness;
pub mod music;
mod of_class;
mod offline;
mod pcm;
mod plan;
pub mod render;
mod renderer;
mod score;
mod tones;
pub mod voice;
mod volumes;

pub use audio_device::{AudioDevice, DeviceError, LossNotifier, OpenedStream, StreamCallback};
pub use device::{DeviceInfo, devices};
pub use engine::{DeviceState, DeviceStatus, EngineSettings, SoundEngine, SoundReport, StreamFormat};
pub use frame_clock::{BufferRequest, FrameClock};
pub use kernel::ResamplingKernel;
pub use latencies::{DeviceLatencies, LatencyFileError};
pub use of_class::{plan_of, sound_of, sound_that_fits, words_of};
pub use offline::{OfflineRenderer, RenderedPiece, render};
pub use pcm::Pcm;
pub use plan::{PlannedSound, PlaybackRun, SoundContent, SoundPlan};
pub use renderer::{RenderOrder, Renderer, RendererControl};
pub use score::{NoteClip, Score, ScoreNote, SoundBus};
pub use tones::{ToneSamples, ToneSignal};
pub use volumes::EngineVolumes;
