//! `forecall show`: the schedule of a session file.

mod cues;
mod table;

use std::io::Write;

use cues::Spoken;

use super::notes::note;
use super::session::SessionFile;
use super::voice::VoiceName;
use super::{Stop, volume};
use class::cue::{Lengths, Voicing, plan_cues, texts};
use class::schedule::Schedule;
use class::session::Level;
use class::time::{Tick, parse_length};
use class::volume::volume as volume_of;
use paper::export;

/// Show the schedule of a session file, to read aloud from
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    /// Show what is spoken instead: each cue with start, length, rank and audience, and why a cue is not spoken
    #[arg(long)]
    cues: bool,
    /// Show the volume instead: work, rest, density, repetitions, and the time of each muscle and pattern
    #[arg(long, conflicts_with = "cues")]
    volume: bool,
    /// How much is spoken: silent, tones, calls, changes or full [default: the level of each block]
    #[arg(long, requires = "cues")]
    level: Option<Level>,
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
pub fn run(args: Args, out: &mut impl Write) -> Result<(), Stop> {
    let schedule = args.file.load()?.schedule;
    let text = if args.cues {
        let lengths = args.voice.as_ref().map_or_else(Lengths::default, |voice| heard(voice, &schedule));
        let voicing = Voicing { level: args.level, ear: args.ear_lead, lengths };
        let spoken = Spoken {
            schedule: &schedule,
            cues: &plan_cues(&schedule, Tick::ZERO, &voicing),
            voicing: &voicing,
            heard: args.voice.is_some(),
        };
        if args.json { cues::json(&spoken).map(newline) } else { Ok(cues::lines(&spoken)) }
    } else if args.volume {
        let volume = volume_of(&schedule);
        if args.json {
            serde_json::to_string_pretty(&volume::Shown::new(&volume, &schedule.session)).map(newline)
        } else {
            Ok(format!("{}\n\n{}", schedule.session.title, volume::table(&volume, &schedule.session)))
        }
    } else if args.json {
        export::json(&schedule, &class::recording::Clock::default()).map(newline)
    } else {
        Ok(table::table(&schedule))
    };
    write!(out, "{}", text.map_err(std::io::Error::from)?)?;
    Ok(())
}

/// The lengths of all texts of a class, from the voice itself.
fn heard(voice: &VoiceName, schedule: &Schedule) -> Lengths {
    let mut lengths = Lengths::at(voice.pace());
    if let Some(speech) = voice.speech() {
        speech.prepare(texts(schedule));
        speech.settle();
        lengths.learn(speech.lengths());
        speech.reports().iter().for_each(|line| note(line));
    }
    lengths
}

fn newline(text: String) -> String {
    text + "\n"
}
