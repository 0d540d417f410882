//! `forecall config`: the settings for all classes, and the file that holds them.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use ron::extensions::Extensions;
use serde::{Deserialize, Deserializer};

use super::error::OrCannot;
use super::output::OutputFile;
use super::voice::VoiceName;
use super::{CommandError, dirs, input, viewing};
use class::check::past::NIGHTS;
use class::nearest_name::nearest;
use class::schedule::GROUP;
use class::time::{Tick, parse_length};
use stage::lead::Keymap;

/// Show your settings and where each comes from
#[derive(Debug, clap::Args)]
#[command(after_help = "Options on the command line take precedence over settings.\n\n\
    Examples:\n  forecall config --write    creates the file, with a comment on every setting\n  \
    forecall config            shows the settings in force")]
pub(crate) struct ConfigArgs {
    /// Create the file, with every setting explained and commented out
    #[arg(long)]
    write: bool,
}

/// The settings. A setting that is not set is None, and the code that uses it has a built-in value.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct Config {
    #[serde(deserialize_with = "voice")]
    pub voice: Option<VoiceName>,
    pub device: Option<String>,
    pub ear: Option<String>,
    #[serde(deserialize_with = "length")]
    pub ear_lead: Option<Tick>,
    pub keep_awake: Option<bool>,
    pub keymap: Option<Keymap>,
    /// The distance from the screen to the back row, in millimetres.
    #[serde(deserialize_with = "distance")]
    pub distance: Option<u32>,
    /// The height of the screen, in millimetres.
    #[serde(deserialize_with = "height")]
    pub screen_height: Option<u32>,
    #[serde(deserialize_with = "nights")]
    recovery_nights: Option<u8>,
    #[serde(deserialize_with = "factor")]
    group_factor: Option<u32>,
    folder: Option<PathBuf>,
}

/// A setting as `forecall config` describes it.
pub(crate) struct ConfigSetting {
    pub name: &'static str,
    pub about: &'static str,
    /// An example value, as written in the file.
    example: &'static str,
    /// The value that is used when nothing is set.
    pub built_in: &'static str,
}

/// All settings. Each is a field of [`Config`].
pub(crate) const SETTINGS: [ConfigSetting; 11] = [
    ConfigSetting {
        name: "voice",
        about: "The voice, by its name in forecall voices; none: tones only",
        example: "\"own\"",
        built_in: "\"own\"",
    },
    ConfigSetting {
        name: "device",
        about: "The sound device for the class, by its name in forecall devices or a part of the name",
        example: "\"Speakers\"",
        built_in: "the system default",
    },
    ConfigSetting {
        name: "ear",
        about: "Your own sound device, such as an earpiece, for cues that are not for the class",
        example: "\"Headset\"",
        built_in: "none",
    },
    ConfigSetting {
        name: "ear_lead",
        about: "How much earlier you hear what comes next than the class does",
        example: "\"5s\"",
        built_in: "\"5s\"",
    },
    ConfigSetting {
        name: "keep_awake",
        about: "Whether to keep a wireless speaker awake with an inaudible tone",
        example: "true",
        built_in: "false",
    },
    ConfigSetting {
        name: "keymap",
        about: "What the buttons of a clicker or a foot switch do: keyboard, clicker, arrows, two-pedals or \
            three-pedals, or a map of your own, such as {\"F13\": \"offer\", \"F14\": \"take\", \"F15\": \"close\"}",
        example: "\"clicker\"",
        built_in: "\"keyboard\"",
    },
    ConfigSetting {
        name: "distance",
        about: "The distance from the screen to the back row, in metres, 0.5 to 30: check then says whether the back \
            row can read the screen, and soundcheck starts with it",
        example: "4.0",
        built_in: "none",
    },
    ConfigSetting {
        name: "screen_height",
        about: "The height of the screen that the class sees, in millimetres, 50 to 5000",
        example: "174",
        built_in: "174",
    },
    ConfigSetting {
        name: "recovery_nights",
        about: "How many nights a muscle rests before it is loaded again, 0 to 7; the built-in value is an estimate",
        example: "2",
        built_in: "2",
    },
    ConfigSetting {
        name: "group_factor",
        about: "How many times as long a group takes for a changeover as you do alone, 1.0 to 5.0; the built-in value \
            is an estimate",
        example: "1.5",
        built_in: "1.5",
    },
    ConfigSetting {
        name: "folder",
        about: "The folder of your sessions: the front door lists them after those of the current folder",
        example: "\"~/classes\"",
        built_in: "none",
    },
];

/// The largest file that is read, in bytes.
const LARGEST: usize = 64 * 1024;

/// The settings of this run of the program. Set once, before a command runs.
static IN_FORCE: OnceLock<Config> = OnceLock::new();

/// The settings; all None if [`load`] found no file.
pub(crate) fn get() -> &'static Config {
    IN_FORCE.get_or_init(Config::default)
}

/// Reads the settings file, if there is one, for this run of the program.
///
/// # Errors
/// When the file cannot be read or is not valid. A class must not run with half of its settings.
pub(crate) fn load() -> Result<(), CommandError> {
    let Some(path) = path().filter(|path| path.exists()) else { return Ok(()) };
    let config = read(&path, &input::read(&path, LARGEST)?)?;
    IN_FORCE.get_or_init(|| config);
    Ok(())
}

impl Config {
    /// How many nights loaded muscles rest.
    pub(crate) fn recovery_nights(&self) -> u8 {
        self.recovery_nights.unwrap_or(NIGHTS)
    }

    /// The coach's folder of sessions. A leading `~` is the home folder.
    pub(crate) fn folder(&self) -> Option<PathBuf> {
        let folder = self.folder.as_ref()?;
        match folder.strip_prefix("~") {
            Ok(rest) => Some(etcetera::home_dir().ok()?.join(rest)),
            Err(_) => Some(folder.clone()),
        }
    }

    /// How long a group takes compared with the coach, in percent: 150 is 1.5 times as long.
    pub(crate) fn group_percent(&self) -> u32 {
        self.group_factor.unwrap_or(GROUP)
    }
}

/// Prints the settings, or creates the file.
pub(crate) fn run(args: &ConfigArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let path = path().ok_or("there is no home folder").or_cannot("find the settings")?;
    if args.write {
        if path.exists() {
            return Err(CommandError::refused(format!("{} already exists, and was not changed", path.display())));
        }
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).or_cannot(format_args!("create {}", folder.display()))?;
        }
        OutputFile::open(&path, false)?.write_whole(template().as_bytes())?;
        writeln!(out, "{}: created. All settings are still commented out.", path.display())?;
        return Ok(());
    }
    let text = if path.exists() { input::read(&path, LARGEST)? } else { String::new() };
    let there = if !path.exists() { " (does not exist: forecall config --write creates it)" } else { "" };
    writeln!(out, "{}{there}\n", path.display())?;
    if path.exists() {
        read(&path, &text)?;
    }
    let written = written(&text);
    for setting in &SETTINGS {
        let (value, from) = match written.iter().find(|(name, _)| name == setting.name) {
            Some((_, value)) => (value.as_str(), "set"),
            None => (setting.built_in, "built in"),
        };
        writeln!(out, "{:16} {value:20} {from}", setting.name)?;
    }
    Ok(())
}

fn path() -> Option<PathBuf> {
    dirs::config().map(|folder| folder.join("config.ron"))
}

fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

fn read(path: &Path, text: &str) -> Result<Config, CommandError> {
    options().from_str(text).map_err(|error| {
        let at = error.span.start;
        let why = match error.code {
            ron::Error::NoSuchStructField { found, .. } => CommandError::faults(unknown(&found)),
            why => CommandError::faults(why),
        };
        why.about(format_args!("{}:{}:{}", path.display(), at.line, at.col))
    })
}

fn unknown(name: &str) -> String {
    match nearest(name, SETTINGS.iter().map(|setting| setting.name)) {
        Some(near) => format!("there is no setting {name}; did you mean {near}?"),
        None => {
            let names: Vec<&str> = SETTINGS.iter().map(|setting| setting.name).collect();
            format!("there is no setting {name}; the settings are {}", names.join(", "))
        }
    }
}

/// The settings in the file, each value as RON writes it.
fn written(text: &str) -> Vec<(String, String)> {
    let Ok(ron::Value::Map(map)) = options().from_str(text) else { return Vec::new() };
    let value = |(name, value): (ron::Value, ron::Value)| match name {
        ron::Value::String(name) => Some((name, ron::to_string(&value).ok()?)),
        _ => None,
    };
    map.into_iter().filter_map(value).collect()
}

/// A settings file in which every setting is explained and commented out.
fn template() -> String {
    let mut text = String::from(
        "// The settings of forecall for all classes. To set one, remove the // before it and change its value.\n(\n",
    );
    for ConfigSetting { name, about, example, built_in } in &SETTINGS {
        text += &format!("    // {about}.\n    // Built in: {built_in}\n    // {name}: {example},\n\n");
    }
    text.truncate(text.len() - 1);
    text + ")\n"
}

fn voice<'de, D: Deserializer<'de>>(from: D) -> Result<Option<VoiceName>, D::Error> {
    let name: Option<String> = Option::deserialize(from)?;
    name.map(|name| name.parse()).transpose().map_err(serde::de::Error::custom)
}

fn length<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Tick>, D::Error> {
    let text: Option<String> = Option::deserialize(from)?;
    text.map(|text| parse_length(&text)).transpose().map_err(serde::de::Error::custom)
}

fn nights<'de, D: Deserializer<'de>>(from: D) -> Result<Option<u8>, D::Error> {
    let nights: Option<u8> = Option::deserialize(from)?;
    match nights {
        Some(8..) => Err(serde::de::Error::custom("at most 7 nights")),
        _ => Ok(nights),
    }
}

fn distance<'de, D: Deserializer<'de>>(from: D) -> Result<Option<u32>, D::Error> {
    let distance: Option<f64> = Option::deserialize(from)?;
    distance.map(|distance| viewing::metres(&distance.to_string())).transpose().map_err(serde::de::Error::custom)
}

fn height<'de, D: Deserializer<'de>>(from: D) -> Result<Option<u32>, D::Error> {
    let height: Option<u32> = Option::deserialize(from)?;
    height.map(|height| viewing::millimetres(&height.to_string())).transpose().map_err(serde::de::Error::custom)
}

/// A factor from 1.0 to 5.0, rounded to whole percent.
fn factor<'de, D: Deserializer<'de>>(from: D) -> Result<Option<u32>, D::Error> {
    let factor: Option<f64> = Option::deserialize(from)?;
    match factor {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is between 100 and 500")]
        Some(factor) if (1.0..=5.0).contains(&factor) => Ok(Some((factor * 100.0).round() as u32)),
        Some(_) => Err(serde::de::Error::custom("the factor goes from 1.0 to 5.0")),
        None => Ok(None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Result<Config, String> {
        read(Path::new("config.ron"), text).map_err(|stop| stop.to_string())
    }

    #[test]
    fn the_file_that_is_made_sets_nothing() {
        let config = read_text(&template()).unwrap();
        assert!(config.voice.is_none() && config.device.is_none() && config.ear.is_none() && config.ear_lead.is_none());
        assert_eq!((config.recovery_nights(), config.group_percent()), (NIGHTS, GROUP));
        assert_eq!(written(&template()), []);
    }

    #[test]
    fn every_setting_can_be_set_as_the_file_shows_it() {
        let is_setting = |line: &str| SETTINGS.iter().any(|s| line.trim().starts_with(&format!("// {}: ", s.name)));
        let set: Vec<String> = (template().lines())
            .map(|line| if is_setting(line) { line.replacen("// ", "", 1) } else { line.to_owned() })
            .collect();
        let set = set.join("\n");
        let config = read_text(&set).unwrap();
        assert!(config.voice.is_some() && config.ear_lead == Some(Tick::seconds(5)) && config.keep_awake == Some(true));
        assert_eq!((config.device.as_deref(), config.ear.as_deref()), (Some("Speakers"), Some("Headset")));
        assert_eq!((config.recovery_nights(), config.group_percent()), (2, 150));
        assert_eq!((config.distance, config.screen_height), (Some(4_000), Some(174)));
        let written = written(&set);
        for setting in &SETTINGS {
            let found = written.iter().find(|(name, _)| name == setting.name);
            assert_eq!(found.map(|(_, value)| value.as_str()), Some(setting.example), "{}", setting.name);
        }
    }

    #[test]
    fn what_is_built_in_is_what_the_file_says() {
        let built_in = |name: &str| SETTINGS.iter().find(|s| s.name == name).map(|s| s.built_in.to_owned());
        assert_eq!(built_in("recovery_nights"), Some(NIGHTS.to_string()));
        assert_eq!(built_in("group_factor"), Some(format!("{}", f64::from(GROUP) / 100.0)));
    }

    #[test]
    fn what_is_wrong_is_said_with_its_place() {
        let said = |text: &str| read_text(text).unwrap_err();
        assert!(said("(\n  voise: \"own\")").contains("config.ron:2:"), "{}", said("(\n  voise: \"own\")"));
        assert!(said("(voise: \"own\")").ends_with("did you mean voice?"), "{}", said("(voise: \"own\")"));
        assert!(said("(colour: 1)").contains("the settings are voice, "), "{}", said("(colour: 1)"));
        assert!(said("(voice: \"loud\")").contains("loud"), "{}", said("(voice: \"loud\")"));
        assert!(said("(group_factor: 0.5)").contains("1.0 to 5.0"));
        assert!(said("(distance: 0.2)").contains("from 0.5 m to 30 m"));
        assert!(said("(screen_height: 17)").contains("from 50 mm"));
        assert!(said("(recovery_nights: 9)").contains("7 nights"));
        assert!(said("(ear_lead: \"soon\")").contains("config.ron:1:"));
        assert!(said("voice = own").contains("config.ron:1:"));
    }
}
