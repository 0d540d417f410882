//! `forecall show`: the schedule of a session file.

mod cues;
mod table;

use std::io::Write;

use cues::CueListing;

use super::notes::note;
use super::session::SessionArgs;
use super::voice::VoiceName;
use super::word_parser::word_parser;
use super::{CommandError, volume};
use class::cue::{SpeechLengths, SpeechSettings, plan_cues, texts};
use class::schedule::Schedule;
use class::session::SpeechLevel;
use class::time::{Tick, parse_length};
use class::training_volume::volume as volume_of;
use paper::export;

/// Show the schedule of a session file, to read aloud from
#[derive(Debug, clap::Args)]
pub(crate) struct ShowArgs {
    #[command(flatten)]
    file: SessionArgs,
    /// Show what is spoken instead: each cue with start, length, rank and audience, and why a cue is not spoken
    #[arg(long)]
    cues: bool,
    /// Show the volume instead: work, rest, density, repetitions, and the time of each muscle and pattern
    #[arg(long, conflicts_with = "cues")]
    volume: bool,
    /// How much is spoken [default: the level of each block]
    #[arg(long, requires = "cues", value_parser = word_parser::<SpeechLevel>())]
    level: Option<SpeechLevel>,
    /// Use this voice's real cue lengths, as `lead` does
    #[arg(long, value_name = "VOICE", requires = "cues")]
    voice: Option<VoiceName>,
    /// Include the coach's earpiece: must-say cues come this much earlier there than for the class
    #[arg(long, value_name = "LENGTH", requires = "cues", value_parser = parse_length)]
    ear_lead: Option<Tick>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Compiles and prints.
pub(crate) fn run(args: ShowArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let schedule = args.file.load()?.schedule;
    let text = if args.cues {
        let lengths = args.voice.as_ref().map_or_else(SpeechLengths::default, |voice| heard(voice, &schedule));
        let voicing = SpeechSettings { level: args.level, ear: args.ear_lead, lengths };
        let spoken = CueListing {
            schedule: &schedule,
            cues: &plan_cues(&schedule, Tick::ZERO, &voicing),
            voicing: &voicing,
            heard: args.voice.is_some(),
        };
        if args.json { cues::json(&spoken).map(newline) } else { Ok(cues::lines(&spoken)) }
    } else if args.volume {
        let volume = volume_of(&schedule);
        if args.json {
            serde_json::to_string_pretty(&volume::VolumeReportJson::new(&volume, &schedule.session)).map(newline)
        } else {
            Ok(format!("{}\n\n{}", schedule.session.title, volume::table(&volume, &schedule.session)))
        }
    } else if args.json {
        export::json(&schedule, &class::recording::ExportClock::default()).map(newline)
    } else {
        Ok(table::table(&schedule))
    };
    write!(out, "{}", text.map_err(std::io::Error::from)?)?;
    Ok(())
}

/// The lengths of all texts of a class, from the voice itself.
fn heard(voice: &VoiceName, schedule: &Schedule) -> SpeechLengths {
    let mut lengths = SpeechLengths::at(voice.pace());
    if let Some(speech) = voice.speech() {
        speech.prepare(texts(schedule));
        speech.wait_all();
        lengths.learn(speech.lengths());
        speech.reports().iter().for_each(|line| note(line));
    }
    lengths
}

fn newline(text: String) -> String {
    text + "\n"
}
