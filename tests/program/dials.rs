//! The extra latency of each sound device: stored and used.

use crate::pty;

use std::process::{Command, Stdio};
use std::time::Duration;

use proptest::prelude::*;
use pty::{Home, binary};
use sound::DeviceLatencies;

fn devices(home: &Home, arguments: &[&str]) -> (String, Option<i32>) {
    let mut command = Command::new(binary());
    command.arg("devices").args(arguments).env_clear().envs(home.environment()).stdin(Stdio::null());
    let output = command.output().unwrap();
    (
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr),
        output.status.code(),
    )
}

proptest! {
    #[test]
    fn a_written_latency_file_is_read_back(set in proptest::collection::vec((".{0,40}", 0u64..3_000), 0..8)) {
        let mut dials = DeviceLatencies::default();
        for (name, ms) in &set {
            dials.set(name, Duration::from_millis(*ms));
        }
        prop_assert!(dials.iter().all(|(_, dial)| !dial.is_zero() && dial <= DeviceLatencies::LONGEST));
        prop_assert_eq!(DeviceLatencies::parse(&dials.text()), Ok(dials));
    }
}

#[test]
fn a_device_without_an_entry_has_no_extra_latency() {
    let mut dials = DeviceLatencies::default();
    dials.set("Hall", Duration::from_millis(180));
    assert_eq!((dials.of("Hall"), dials.of("hall")), (Duration::from_millis(180), Duration::ZERO));
    dials.set("Hall", Duration::ZERO);
    assert_eq!(dials, DeviceLatencies::default());
}

#[test]
fn a_text_that_is_not_a_latency_is_refused() {
    for text in ["", "(", "(latency_ms: {\"a\": -1})", "(latency_ms: {\"a\": 2001})", "(latency: {})"] {
        assert!(DeviceLatencies::parse(text).is_err(), "{text}");
    }
}

#[test]
fn a_latency_is_set_for_a_device_named_by_a_part_of_its_name() {
    let home = Home::with("");
    let file = home.0.path().join(".config/forecall/devices.ron");
    let (said, code) = devices(&home, &["--latency", "no such hall", "180ms"]);
    assert!(said.contains("no sound device is called \"no such hall\"") && code == Some(2), "{said}");
    assert!(!file.exists());
    // A device that is not connected, but has had a latency set before.
    std::fs::create_dir_all(file.parent().unwrap()).unwrap();
    std::fs::write(&file, "(latency_ms: {\"Hall speaker\": 120})").unwrap();
    let (said, code) = devices(&home, &["--latency", "hall", "180ms"]);
    assert_eq!((said.as_str(), code), ("Hall speaker: everything is sent to it 180 ms earlier.\n", Some(0)));
    let kept = DeviceLatencies::parse(&std::fs::read_to_string(&file).unwrap()).unwrap();
    assert_eq!(kept.of("Hall speaker"), Duration::from_millis(180));
    let (said, _) = devices(&home, &[]);
    assert!(said.contains("Hall speaker") && said.contains("sent 180 ms earlier"), "{said}");
    let (said, code) = devices(&home, &["--latency", "hall", "3s"]);
    assert!(said.contains("at most 2000 ms") && code == Some(2), "{said}");
    let (said, code) = devices(&home, &["--latency", "hall", "soon"]);
    assert!(said.contains("soon: not a length") && code == Some(2), "{said}");
}

#[test]
fn an_unreadable_latency_file_is_reported_and_not_overwritten() {
    let home = Home::with("");
    let file = home.0.path().join(".config/forecall/devices.ron");
    std::fs::create_dir_all(file.parent().unwrap()).unwrap();
    std::fs::write(&file, "(latency_ms: {\"Hall\": soon})").unwrap();
    let (said, code) = devices(&home, &[]);
    assert!(said.contains("devices.ron") && said.contains("no device has a latency set") && code == Some(0), "{said}");
    let (said, code) = devices(&home, &["--latency", "Hall", "80ms"]);
    assert!(said.contains("devices.ron") && code == Some(2), "{said}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "(latency_ms: {\"Hall\": soon})");
}
