//! The dials: how much longer the sound of each device takes than the device says, as set by eye and ear.

use std::collections::BTreeMap;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// What is dialled in for devices, by their names. A device without a dial is taken at its word.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dials(BTreeMap<String, Duration>);

/// The file, as it is written.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    latency_ms: BTreeMap<String, u64>,
}

impl Dials {
    /// The longest way that a dial can be set to. A loudspeaker without a wire takes a quarter of that.
    pub const LONGEST: Duration = Duration::from_secs(2);

    /// Reads the file.
    ///
    /// # Errors
    /// In one line, with the place in the text, when it is not as [`Dials::text`] writes it.
    pub fn parse(text: &str) -> Result<Dials, String> {
        let written: Written = ron::from_str(text).map_err(|error| error.to_string())?;
        let mut dials = Dials::default();
        for (name, ms) in written.latency_ms {
            if Duration::from_millis(ms) > Dials::LONGEST {
                return Err(format!("{name}: {ms} ms is more than {} ms", Dials::LONGEST.as_millis()));
            }
            dials.set(&name, Duration::from_millis(ms));
        }
        Ok(dials)
    }

    /// The file's text.
    pub fn text(&self) -> String {
        let ms = |(name, dial): (&String, &Duration)| (name.clone(), u64::try_from(dial.as_millis()).unwrap_or(0));
        let written = Written { latency_ms: self.0.iter().map(ms).collect() };
        let pretty = ron::ser::PrettyConfig::new().indentor("    ");
        // A map of names and numbers can always be written.
        let body = ron::ser::to_string_pretty(&written, pretty).unwrap_or_default();
        format!(
            "// How much longer sound takes through each device than the device says, as `forecall soundcheck` and\n\
             // `forecall devices --latency` set it.\n{body}\n"
        )
    }

    /// How much longer the sound of a device takes than it says.
    pub fn of(&self, device: &str) -> Duration {
        self.0.get(device).copied().unwrap_or_default()
    }

    /// Sets the dial of a device, to [`Dials::LONGEST`] at most; zero takes it away.
    pub fn set(&mut self, device: &str, dial: Duration) {
        if dial.is_zero() {
            self.0.remove(device);
        } else {
            self.0.insert(device.to_owned(), dial.min(Dials::LONGEST));
        }
    }

    /// The devices that have one, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Duration)> {
        self.0.iter().map(|(name, dial)| (name.as_str(), *dial))
    }
}
