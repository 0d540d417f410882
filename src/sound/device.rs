//! The system's sound devices.

use std::sync::Once;
use std::time::Duration;

use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{
    self, BufferSize, Device, ErrorKind, FromSample, Host, OutputCallbackInfo, SampleFormat, SizedSample, StreamConfig,
    SupportedStreamConfig,
};

use super::audio_device::{AudioDevice, DeviceError, LossNotifier, OpenedStream, StreamCallback};

/// How often a stream asks for frames: rarely enough to suit a busy computer, often enough to follow a key press at
/// once.
const PERIOD: Duration = Duration::from_millis(100);
/// The longest time that opening a device may take.
const PATIENCE: Duration = Duration::from_secs(2);

/// One sound device of the system.
pub(crate) struct SystemDevice {
    wanted: Option<String>,
    /// The host of the open stream and the id of its device.
    open: Option<(Host, String)>,
}

impl SystemDevice {
    /// The device with this name or id, or with this text in its name (upper and lower case are the same). None: the
    /// default device.
    pub(crate) fn new(wanted: Option<String>) -> SystemDevice {
        SystemDevice { wanted, open: None }
    }

    fn find(&self, host: &Host) -> Result<Device, DeviceError> {
        let Some(wanted) = &self.wanted else {
            return host.default_output_device().ok_or(DeviceError::NoDevice);
        };
        let mut near = None;
        for device in without_driver_messages(|| host.output_devices().map(Iterator::collect::<Vec<_>>))
            .map_err(|_| DeviceError::NoDevice)?
        {
            let name = name_of(&device);
            if name == *wanted || id_of(&device) == *wanted {
                return Ok(device);
            }
            if near.is_none() && name.to_lowercase().contains(&wanted.to_lowercase()) {
                near = Some(device);
            }
        }
        near.ok_or_else(|| DeviceError::NotFound(wanted.clone()))
    }
}

impl AudioDevice for SystemDevice {
    fn open(
        &mut self,
        source: &mut dyn FnMut(u32, u16) -> StreamCallback,
        lost: LossNotifier,
    ) -> Result<OpenedStream, DeviceError> {
        hush();
        self.open = None;
        // A new host each time: a host whose sound server has ended does not notice when the server is back.
        let host = cpal::default_host();
        let device = self.find(&host)?;
        let refused = |error: cpal::Error| match error.kind() {
            ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable => DeviceError::NoDevice,
            _ => DeviceError::Refused(error.to_string()),
        };
        let format = device.default_output_config().map_err(refused)?;
        let format = as_floats(&device, &format);
        let stream = build(&device, &format, source, &lost).map_err(refused)?;
        stream.play().map_err(refused)?;
        let name = name_of(&device);
        self.open = Some((host, id_of(&device)));
        let buffer = stream.buffer_size().ok();
        Ok(OpenedStream { name, buffer, stream: Box::new(stream) })
    }

    fn has_moved(&mut self) -> bool {
        let (None, Some((host, open))) = (&self.wanted, &self.open) else { return false };
        host.default_output_device().is_some_and(|device| id_of(&device) != *open)
    }
}

/// An output device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviceInfo {
    pub name: String,
    /// The system's id of the device.
    pub id: String,
    pub is_default: bool,
    /// Frames a second and number of channels, if the device reports them.
    pub format: Option<(u32, u16)>,
}

/// All output devices. Empty when there are none.
pub fn devices() -> Vec<DeviceInfo> {
    hush();
    without_driver_messages(|| {
        let host = cpal::default_host();
        let default = host.default_output_device().map(|device| id_of(&device));
        let Ok(devices) = host.output_devices() else { return Vec::new() };
        let line = |device: Device| {
            let id = id_of(&device);
            let format = device.default_output_config().ok().map(|format| (format.sample_rate(), format.channels()));
            DeviceInfo { name: name_of(&device), is_default: default.as_ref() == Some(&id), id, format }
        };
        devices.map(line).collect()
    })
}

fn name_of(device: &Device) -> String {
    device.description().map_or_else(|_| id_of(device), |description| description.name().to_owned())
}

fn id_of(device: &Device) -> String {
    device.id().map_or_else(|_| String::new(), |id| id.to_string())
}

/// The device's own rate and channels, with float samples if the device takes them.
fn as_floats(device: &Device, own: &SupportedStreamConfig) -> SupportedStreamConfig {
    let takes_floats = |range: &cpal::SupportedStreamConfigRange| {
        range.sample_format() == SampleFormat::F32
            && range.channels() == own.channels()
            && (range.min_sample_rate()..=range.max_sample_rate()).contains(&own.sample_rate())
    };
    let ranges = device.supported_output_configs().ok();
    ranges
        .and_then(|mut ranges| ranges.find(takes_floats))
        .map_or_else(|| *own, |range| range.with_sample_rate(own.sample_rate()))
}

fn build(
    device: &Device,
    format: &SupportedStreamConfig,
    source: &mut dyn FnMut(u32, u16) -> StreamCallback,
    lost: &LossNotifier,
) -> Result<cpal::Stream, cpal::Error> {
    match format.sample_format() {
        SampleFormat::F32 => build_as::<f32>(device, format, source, lost),
        SampleFormat::F64 => build_as::<f64>(device, format, source, lost),
        SampleFormat::I8 => build_as::<i8>(device, format, source, lost),
        SampleFormat::I16 => build_as::<i16>(device, format, source, lost),
        SampleFormat::I24 => build_as::<cpal::I24>(device, format, source, lost),
        SampleFormat::I32 => build_as::<i32>(device, format, source, lost),
        SampleFormat::U8 => build_as::<u8>(device, format, source, lost),
        SampleFormat::U16 => build_as::<u16>(device, format, source, lost),
        _ => Err(cpal::Error::new(ErrorKind::UnsupportedConfig)),
    }
}

/// Opens a stream with [`PERIOD`], or else with the device's own period.
fn build_as<T: SizedSample + FromSample<f32> + Send + 'static>(
    device: &Device,
    format: &SupportedStreamConfig,
    source: &mut dyn FnMut(u32, u16) -> StreamCallback,
    lost: &LossNotifier,
) -> Result<cpal::Stream, cpal::Error> {
    let ms = PERIOD.as_millis();
    let period = u32::try_from(u128::from(format.sample_rate()) * ms / 1000).unwrap_or(2400);
    let mut last = Err(cpal::Error::new(ErrorKind::UnsupportedConfig));
    for buffer_size in [BufferSize::Fixed(period), BufferSize::Default] {
        let config = StreamConfig { channels: format.channels(), sample_rate: format.sample_rate(), buffer_size };
        let mut pull = source(config.sample_rate, config.channels);
        let channels = usize::from(config.channels.max(1));
        // A buffer is filled in parts, so that it may be of any size.
        let mut part = vec![0f32; 4096 / channels * channels];
        let callback = move |out: &mut [T], info: &OutputCallbackInfo| {
            let times = info.timestamp();
            let latency = times.playback.saturating_duration_since(times.callback);
            let mut latency = Some(latency);
            for out in out.chunks_mut(part.len()) {
                let part = &mut part[..out.len()];
                pull(part, latency.take());
                for (out, sample) in out.iter_mut().zip(part) {
                    *out = T::from_sample(*sample);
                }
            }
        };
        let lost = lost.clone();
        let on_error = move |error: cpal::Error| {
            // Streams that still play may report many other errors.
            if matches!(
                error.kind(),
                ErrorKind::StreamInvalidated | ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable
            ) {
                lost.tell();
            }
        };
        last = device.build_output_stream::<T, _, _>(config, callback, on_error, Some(PATIENCE));
        if last.is_ok() {
            break;
        }
    }
    last
}

/// Stops the ALSA library from writing to the screen when a device is missing.
fn hush() {
    static HUSHED: Once = Once::new();
    HUSHED.call_once(|| {
        #[cfg(target_os = "linux")]
        quiet::alsa();
    });
}

/// Calls `look` with standard error switched off: ALSA drivers print messages about sound servers that do not run.
fn without_driver_messages<T>(look: impl FnOnce() -> T) -> T {
    #[cfg(target_os = "linux")]
    let _quiet = quiet::stderr();
    look()
}

#[cfg(target_os = "linux")]
mod quiet {
    use std::ffi::{c_char, c_int};
    use std::os::fd::OwnedFd;
    use std::sync::{Mutex, MutexGuard, PoisonError};

    /// Discards standard error until dropped. Only one exists at a time, so that the original is always restored.
    pub(super) struct StderrSilencer(
        Option<OwnedFd>,
        #[expect(dead_code, reason = "held for its drop")] MutexGuard<'static, ()>,
    );

    pub(super) fn stderr() -> StderrSilencer {
        static ONE: Mutex<()> = Mutex::new(());
        let guard = ONE.lock().unwrap_or_else(PoisonError::into_inner);
        let nowhere = std::fs::File::options().write(true).open("/dev/null");
        let was = nowhere.ok().and_then(|nowhere| {
            let was = rustix::io::dup(rustix::stdio::stderr()).ok()?;
            rustix::stdio::dup2_stderr(nowhere).ok()?;
            Some(was)
        });
        StderrSilencer(was, guard)
    }

    impl Drop for StderrSilencer {
        fn drop(&mut self) {
            if let Some(was) = self.0.take() {
                // `was` is the original standard error, so this cannot fail.
                let _ = rustix::stdio::dup2_stderr(was);
            }
        }
    }

    unsafe extern "C" fn say_nothing(_: *const c_char, _: c_int, _: *const c_char, _: c_int, _: *const c_char) {}

    type FixedErrorHandler = unsafe extern "C" fn(*const c_char, c_int, *const c_char, c_int, *const c_char);
    type VariadicErrorHandler = unsafe extern "C" fn(*const c_char, c_int, *const c_char, c_int, *const c_char, ...);

    pub(super) fn alsa() {
        // SAFETY: the library calls the handler by the C calling convention. The caller of a variadic function passes
        // the fixed arguments as to a plain function, and cleans up afterwards. This handler reads none of them.
        unsafe {
            let handler = std::mem::transmute::<FixedErrorHandler, VariadicErrorHandler>(say_nothing);
            alsa_sys::snd_lib_error_set_handler(Some(handler));
        }
    }
}
