//! The voices as the coach sees them: the list, and an unknown name.

use std::path::Path;
use std::process::Output;

use sound::voice::VoiceChoice;

fn forecall(home: &Path, arguments: &[&str]) -> Output {
    std::process::Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .env("HOME", home)
        .env("XDG_CACHE_HOME", home)
        .env("XDG_CONFIG_HOME", home)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(std::process::Stdio::null())
        .output()
        .expect("forecall")
}

#[test]
fn unknown_voice_is_refused() {
    let home = tempfile::tempdir().expect("a folder");
    let output = forecall(home.path(), &["lead", "--plain", "--voice", "nonsense", "sessions/first-look.ron"]);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).expect("text");
    assert!(told.contains("no voice is called \"nonsense\"") && told.contains("espeak-ng"), "{told}");
    assert!(output.stdout.is_empty());
}

#[test]
fn voices_are_listed() {
    let home = tempfile::tempdir().expect("a folder");
    let output = forecall(home.path(), &["voices"]);
    assert!(output.status.success());
    let told = String::from_utf8(output.stdout).expect("text");
    for (name, _) in VoiceChoice::known() {
        assert!(told.lines().any(|line| line.split_whitespace().next() == Some(name)), "{name} in {told}");
    }
    assert!(told.lines().any(|line| line.starts_with("own") && line.contains("speaks")), "{told}");
}
