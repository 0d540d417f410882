//! Device latencies: the extra latency of each sound device beyond what the device reports, as the coach has set it.

use std::collections::BTreeMap;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// The extra latency of each device, by its name. A device that is not listed has none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DeviceLatencies(BTreeMap<String, Duration>);

/// The contents of the file.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct LatencyFile {
    latency_ms: BTreeMap<String, u64>,
}

/// What is wrong with the file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LatencyFileError {
    #[error(transparent)]
    Syntax(#[from] ron::error::SpannedError),
    #[error("{device}: {ms} ms is over the limit of {} ms", DeviceLatencies::LONGEST.as_millis())]
    TooLong { device: String, ms: u64 },
}

impl DeviceLatencies {
    /// The longest extra latency that can be set. A wireless speaker needs about a quarter of it.
    pub const LONGEST: Duration = Duration::from_secs(2);

    /// Reads the text of the file.
    ///
    /// # Errors
    /// When the text is not as [`DeviceLatencies::text`] writes it.
    pub fn parse(text: &str) -> Result<DeviceLatencies, LatencyFileError> {
        let written: LatencyFile = ron::from_str(text)?;
        let mut dials = DeviceLatencies::default();
        for (device, ms) in written.latency_ms {
            if Duration::from_millis(ms) > DeviceLatencies::LONGEST {
                return Err(LatencyFileError::TooLong { device, ms });
            }
            dials.set(&device, Duration::from_millis(ms));
        }
        Ok(dials)
    }

    /// The text of the file.
    pub fn text(&self) -> String {
        let ms = |(name, dial): (&String, &Duration)| (name.clone(), u64::try_from(dial.as_millis()).unwrap_or(0));
        let written = LatencyFile { latency_ms: self.0.iter().map(ms).collect() };
        let pretty = ron::ser::PrettyConfig::new().indentor("    ");
        // A map of names and numbers can always be written.
        let body = ron::ser::to_string_pretty(&written, pretty).unwrap_or_default();
        format!(
            "// The extra latency of each sound device, in milliseconds, beyond what the device reports.\n\
             // Set by `forecall soundcheck` and `forecall devices --latency`.\n{body}\n"
        )
    }

    /// The extra latency of a device.
    pub fn of(&self, device: &str) -> Duration {
        self.0.get(device).copied().unwrap_or_default()
    }

    /// Sets the extra latency of a device, at most [`DeviceLatencies::LONGEST`]. Zero removes the device.
    pub fn set(&mut self, device: &str, dial: Duration) {
        if dial.is_zero() {
            self.0.remove(device);
        } else {
            self.0.insert(device.to_owned(), dial.min(DeviceLatencies::LONGEST));
        }
    }

    /// The devices with an extra latency, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Duration)> {
        self.0.iter().map(|(name, dial)| (name.as_str(), *dial))
    }
}
