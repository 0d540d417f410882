//! The sound options of a class, and the sound that they set up.

use super::music::MusicLists;
use super::voice::VoiceName;
use super::{config, latencies};
use class::cue::{SpeechLengths, SpeechSettings, call_words, texts};
use class::schedule::{EventContent, Schedule};
use class::time::{Tick, parse_length};
use sound::{EngineSettings, SoundEngine};
use stage::lead::engine_audio::EngineAudio;
use stage::runtime::{AudioOutput, NoAudio};

/// The default for how much earlier the coach hears what comes next than the class; our estimate of the time that it
/// takes to hear a line and turn to the class.
const EAR_LEAD: Tick = Tick::seconds(5);

/// The ear lead: as asked for, else from the settings, else the default.
pub(crate) fn ear_lead(asked: Option<Tick>) -> Tick {
    asked.or(config::get().ear_lead).unwrap_or(EAR_LEAD)
}

/// The sound options of a class.
#[derive(Debug, clap::Args)]
pub(crate) struct SoundArgs {
    /// Start muted; m unmutes
    #[arg(long)]
    pub mute: bool,
    /// Open no sound device
    #[arg(long, conflicts_with_all = ["device", "ear", "keep_awake"])]
    no_sound: bool,
    #[command(flatten)]
    outs: DeviceArgs,
    /// How much earlier you hear what comes next than the class does; 0s: at the same time [default: 5s]
    #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
    ear_lead: Option<Tick>,
}

/// The options for the voice and the sound devices.
#[derive(Debug, clap::Args)]
pub(crate) struct DeviceArgs {
    /// Voice: own, espeak-ng, flite, command:PROGRAM ...; none: tones only [default: own]
    #[arg(long, value_name = "VOICE")]
    voice: Option<VoiceName>,
    /// Sound device for the class, by its name or a part of the name [default: the system default]
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    /// Your own sound device, for what is not for the class: technique, faults, and what comes next, earlier
    #[arg(long, value_name = "NAME")]
    ear: Option<String>,
    /// Keep a wireless speaker awake with an inaudible tone
    #[arg(long)]
    keep_awake: bool,
}

impl DeviceArgs {
    /// The settings of the sound engine: from these options, else from the coach's settings.
    pub(crate) fn settings(&self) -> EngineSettings {
        EngineSettings {
            device: self.device.as_ref().or(config::get().device.as_ref()).cloned(),
            ear: self.ear().cloned(),
            dials: latencies::read(),
            keep_awake: self.keep_awake || config::get().keep_awake.unwrap_or(false),
            music: Vec::new(),
        }
    }

    /// The voice that is to speak.
    pub(crate) fn voice(&self) -> VoiceName {
        VoiceName::or_set(self.voice.as_ref())
    }

    fn ear(&self) -> Option<&String> {
        self.ear.as_ref().or(config::get().ear.as_ref())
    }
}

impl SoundArgs {
    /// The sound of a class that runs `speed` times as fast as planned, over this music. `prints`: cues that are not
    /// spoken are shown.
    pub(crate) fn audio(
        &self,
        schedule: &Schedule,
        speed: u32,
        prints: bool,
        music: MusicLists,
    ) -> Box<dyn AudioOutput> {
        if self.no_sound {
            return Box::new(NoAudio);
        }
        let engine = SoundEngine::start(&EngineSettings { music: music.lists, ..self.outs.settings() });
        // The voice first prepares what is spoken as planned, then what may be spoken after changes.
        let planned = schedule.events.iter().filter_map(|event| match &event.what {
            EventContent::Tone(_) => None,
            EventContent::Call(call) => Some(call_words(*call).to_owned()),
            EventContent::Cue(cue) => Some(cue.text.clone()),
        });
        let speech = self.outs.voice().speech().inspect(|speech| speech.prepare(planned.chain(texts(schedule))));
        Box::new(EngineAudio::new(engine, speech, speed, prints).with_music(music.of_block))
    }

    /// The voicing of a class that runs `speed` times as fast as planned. The voice has not spoken yet, so lengths are
    /// estimated from its pace.
    pub(crate) fn speech_settings(&self, speed: u32) -> SpeechSettings {
        let ear = self.outs.ear().map(|_| ear_lead(self.ear_lead));
        let voice = self.outs.voice();
        // If nothing is spoken, cues are planned as at normal speed, and shown.
        let spoken = if speed <= EngineAudio::FASTEST_SPEECH && voice.is_voice() && !self.no_sound { speed } else { 1 };
        SpeechSettings { ear, lengths: SpeechLengths::at(voice.pace()).at_speed(spoken), ..SpeechSettings::default() }
    }
}
