//! `forecall devices`: the sound devices, and the latency of each.

use std::io::Write;
use std::time::Duration;

use super::error::OrCannot;
use super::{CommandError, latencies};
use class::time::parse_length;
use sound::{DeviceInfo, DeviceLatencies, devices};

/// List the sound devices, or set the latency of one
#[derive(Debug, clap::Args)]
#[command(after_help = "`forecall lead --device NAME` plays on one of them, by its name or a part of the name.\n\n\
    A wireless speaker may play later than it reports: --latency \"Hall speaker\" 180ms sends everything to it 180 ms \
    earlier, so that it is heard on time; 0s undoes that. `forecall soundcheck` finds the number by eye and ear.")]
pub(crate) struct DevicesArgs {
    /// Send everything to a device earlier by this length, 0s to 2s, because it plays later than it reports
    #[arg(long, num_args = 2, value_names = ["NAME", "LENGTH"])]
    latency: Option<Vec<String>>,
}

/// Lists the devices, the system's default with a star; or sets the latency of one.
///
/// # Errors
/// When a latency is to be set and no device has this name, the length is not valid or too long, or the latency cannot
/// be saved.
pub(crate) fn run(args: &DevicesArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let devices = devices();
    if let Some([name, length]) = args.latency.as_deref() {
        return set_latency(name, length, &devices, out);
    }
    let dials = latencies::read();
    if devices.is_empty() {
        writeln!(out, "No sound device. Plug in or switch on a loudspeaker; a running class finds it by itself.")?;
    }
    for device in &devices {
        let line = line(device, dials.of(&device.name));
        writeln!(out, "{line}")?;
    }
    for (name, dial) in dials.iter().filter(|(name, _)| devices.iter().all(|device| device.name != *name)) {
        writeln!(out, "  {name:40} not connected{}", latency_words(dial))?;
    }
    Ok(())
}

/// A device in one line.
pub(crate) fn line(device: &DeviceInfo, dial: Duration) -> String {
    let mark = if device.is_default { '*' } else { ' ' };
    let format = device.format.map_or_else(String::new, |(rate, channels)| {
        format!("{rate} Hz, {channels} channel{}", if channels == 1 { "" } else { "s" })
    });
    format!("{mark} {:40} {format}{}", device.name, latency_words(dial)).trim_end().to_owned()
}

fn latency_words(dial: Duration) -> String {
    if dial.is_zero() { String::new() } else { format!(", sent {} ms earlier", dial.as_millis()) }
}

fn set_latency(name: &str, length: &str, devices: &[DeviceInfo], out: &mut impl Write) -> Result<(), CommandError> {
    const OPTION: &str = "--latency";
    let dial = parse_length(length).or_wrong(&format!("{OPTION}: {length}"))?;
    let dial = Duration::from_millis(dial.0);
    if dial > DeviceLatencies::LONGEST {
        return Err(format!("at most {} ms", DeviceLatencies::LONGEST.as_millis())).or_wrong(OPTION);
    }
    let mut dials = latencies::read_or_fail()?;
    // A device that is not connected can be set if it has a latency already.
    let known = devices.iter().map(|device| device.name.as_str()).chain(dials.iter().map(|(name, _)| name));
    let known: Vec<&str> = known.collect();
    let part = |device: &&&str| device.to_lowercase().contains(&name.to_lowercase());
    let device = known.iter().find(|device| **device == name).or_else(|| known.iter().find(part));
    let unknown = || CommandError::refused(format!("no sound device is called \"{name}\"")).about(OPTION);
    let device = device.ok_or_else(|| unknown().hint("`forecall devices` lists them".to_owned()))?;
    let device = (*device).to_owned();
    dials.set(&device, dial);
    latencies::save(&dials)?;
    match dial.as_millis() {
        0 => writeln!(out, "{device}: nothing is sent earlier.")?,
        ms => writeln!(out, "{device}: everything is sent to it {ms} ms earlier.")?,
    }
    Ok(())
}
