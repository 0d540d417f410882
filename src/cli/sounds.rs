//! The options by which a class sounds, and the room that they make.

use super::music::Lists;
use super::voice::VoiceName;
use super::{config, dials};
use class::cue::{Lengths, Voicing, call_words, texts};
use class::schedule::{Schedule, What};
use class::time::{Tick, parse_length};
use sound::{Engine, Settings};
use stage::lead::loud::Loud;
use stage::runtime::{AudioOutput, NoAudio};

/// How much earlier the coach hears what comes next than the class, where nothing is said of it; our estimate of what it
/// takes to hear a line and turn to the room.
const EAR_LEAD: Tick = Tick::seconds(5);

/// The same, where this is asked for, or where the coach has set something.
pub fn ear_lead(asked: Option<Tick>) -> Tick {
    asked.or(config::get().ear_lead).unwrap_or(EAR_LEAD)
}

/// How a class sounds.
#[derive(Debug, clap::Args)]
pub struct Sounds {
    /// Begin muted; m lets it sound
    #[arg(long)]
    pub mute: bool,
    /// Open no sound device
    #[arg(long, conflicts_with_all = ["device", "ear", "keep_awake"])]
    no_sound: bool,
    #[command(flatten)]
    outs: Outs,
    /// How much earlier the coach hears what comes next than the class; 0s for not at all [default: 5s]
    #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
    ear_lead: Option<Tick>,
}

/// Who speaks, and where it sounds.
#[derive(Debug, clap::Args)]
pub struct Outs {
    /// The voice: own, espeak-ng, flite, command:PROGRAM ...; none for tones alone
    #[arg(long, value_name = "VOICE")]
    voice: Option<VoiceName>,
    /// The sound device, by its name or a part of it
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    /// The coach's own sound device, for what is not for the class: technique, faults, and what comes next, earlier
    #[arg(long, value_name = "NAME")]
    ear: Option<String>,
    /// Keep a loudspeaker without a wire from falling asleep between sounds, by a tone too low and soft to be heard
    #[arg(long)]
    keep_awake: bool,
}

impl Outs {
    /// How the engine is set up: by these options, else by what the coach has set.
    pub fn settings(&self) -> Settings {
        Settings {
            device: self.device.as_ref().or(config::get().device.as_ref()).cloned(),
            ear: self.ear().cloned(),
            dials: dials::read(),
            keep_awake: self.keep_awake || config::get().keep_awake.unwrap_or(false),
            music: Vec::new(),
        }
    }

    /// The voice that is to speak.
    pub fn voice(&self) -> VoiceName {
        VoiceName::or_set(self.voice.as_ref())
    }

    fn ear(&self) -> Option<&String> {
        self.ear.as_ref().or(config::get().ear.as_ref())
    }
}

impl Sounds {
    /// The room, in which the class sounds `speed` times as fast as planned, over this music. `prints`: what is not
    /// spoken is shown.
    pub fn audio(&self, schedule: &Schedule, speed: u32, prints: bool, music: Lists) -> Box<dyn AudioOutput> {
        if self.no_sound {
            return Box::new(NoAudio);
        }
        let engine = Engine::start(&Settings { music: music.lists, ..self.outs.settings() });
        // What the class says as it is planned comes first; then what it may come to say.
        let planned = schedule.events.iter().filter_map(|event| match &event.what {
            What::Tone(_) => None,
            What::Call(call) => Some(call_words(*call).to_owned()),
            What::Cue(cue) => Some(cue.text.clone()),
        });
        let speech = self.outs.voice().speech().inspect(|speech| speech.prepare(planned.chain(texts(schedule))));
        Box::new(Loud::new(engine, speech, speed, prints).with_music(music.of_block))
    }

    /// How the class is spoken to when it runs so many times as fast as planned. The voice has said nothing yet, so its
    /// pace stands in for its lengths.
    pub fn voicing(&self, speed: u32) -> Voicing {
        let ear = self.outs.ear().map(|_| ear_lead(self.ear_lead));
        let voice = self.outs.voice();
        // Where nobody speaks, all is planned as it would be said at the speed of life, and printed.
        let spoken = if speed <= Loud::FASTEST_SPEECH && voice.speaks() && !self.no_sound { speed } else { 1 };
        Voicing { ear, lengths: Lengths::at(voice.pace()).at_speed(spoken), ..Voicing::default() }
    }
}
