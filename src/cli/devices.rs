//! `forecall devices`: where sound can come out.

use std::io::Write;

use super::Stop;
use crate::sound::devices;

/// List the sound devices
#[derive(Debug, clap::Args)]
#[command(after_help = "`forecall lead --device NAME` plays on one of them, by its name or a part of it.")]
pub struct Args {}

/// Lists them; a star marks the system's default.
pub fn run(_: Args, out: &mut impl Write) -> Result<(), Stop> {
    let devices = devices();
    if devices.is_empty() {
        writeln!(out, "No sound device. Plug in or switch on a loudspeaker; a class that runs finds it by itself.")?;
    }
    for device in devices {
        let mark = if device.is_default { '*' } else { ' ' };
        let format = device.format.map_or_else(String::new, |(rate, channels)| {
            format!("{rate} Hz, {channels} channel{}", if channels == 1 { "" } else { "s" })
        });
        writeln!(out, "{mark} {:40} {format}", device.name)?;
    }
    Ok(())
}
