//! `--voice` and `--audience`: what is spoken in a class when it is not led but written to a file, and for whom.

use super::notes::note;
use super::sound_args;
use super::voice::VoiceName;
use class::cue::{SpeechLengths, SpeechSettings, plan_and_insert_cues, texts};
use class::schedule::{self, Schedule};
use class::session::SpeechLevel;
use class::time::Tick;
use sound::Pcm;
use sound::voice::Speech;

/// The options for the voice and the audience.
#[derive(Debug, clap::Args)]
pub(crate) struct SpeechArgs {
    /// Voice: own, espeak-ng, flite, command:PROGRAM ...; none: no speech [default: own]
    #[arg(long, value_name = "VOICE")]
    voice: Option<VoiceName>,
    /// Whose sound to write
    #[arg(long, value_name = "WHO", default_value = "class")]
    pub audience: AudienceArg,
}

/// Whose sound is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum AudienceArg {
    /// What the class hears
    Class,
    /// What a coach with an earpiece hears
    Coach,
}

impl AudienceArg {
    /// Whether this audience hears what is for a given audience.
    pub(crate) fn ears(self) -> impl Fn(schedule::Audience) -> bool + Copy {
        move |audience| match self {
            AudienceArg::Class => audience == schedule::Audience::Class,
            AudienceArg::Coach => audience == schedule::Audience::Coach,
        }
    }
}

/// A class with everything that is spoken in it.
pub(crate) struct SpokenClass {
    /// The class with the cues for this audience, planned by the lengths that the voice takes, without what is not
    /// heard at its level.
    pub schedule: Schedule,
    pub voicing: SpeechSettings,
    speech: Option<Speech>,
}

impl SpokenClass {
    /// The speech of a text, if there is any.
    pub(crate) fn get(&self, text: &str) -> Option<Pcm> {
        self.speech.as_ref().and_then(|speech| speech.get(text))
    }

    /// Whether a voice was to speak and has spoken none of the texts.
    pub(crate) fn is_mute(&self) -> bool {
        let ready = self.speech.as_ref().map(Speech::ready).unwrap_or_default();
        ready.of > 0 && ready.done == 0
    }

    /// Prints on standard error what the coach should know about the voice.
    pub(crate) fn print_voice_reports(&self) {
        self.speech.iter().flat_map(Speech::reports).for_each(|line| note(&line));
    }
}

impl SpeechArgs {
    /// Has a class spoken, and waits until it is: the same cues that `lead` plays once its voice is ready. Prints on
    /// standard error what the coach should know about the voice.
    pub(crate) fn speak_class(&self, schedule: Schedule) -> SpokenClass {
        self.speak_at_levels(schedule, &[(Tick::ZERO, None)])
    }

    /// The same, with the level from each tick on; None for the levels of the blocks.
    pub(crate) fn speak_at_levels(&self, schedule: Schedule, levels: &[(Tick, Option<SpeechLevel>)]) -> SpokenClass {
        let speech = self.speech(&schedule);
        speech.iter().for_each(Speech::wait_all);
        let said = self.planned_with_speech(schedule, levels, speech);
        said.print_voice_reports();
        said
    }

    /// The same at one level and without printing, for as long as `goes_on` returns true. `goes_on` gets the number of
    /// texts done and of all texts. None if it was stopped before the end.
    pub(crate) fn speak_while(
        &self,
        schedule: Schedule,
        level: Option<SpeechLevel>,
        goes_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Option<SpokenClass> {
        let speech = self.speech(&schedule);
        let mut settles = |speech: &Speech| speech.wait_while(|ready| goes_on(ready.done + ready.failed, ready.of));
        speech
            .as_ref()
            .is_none_or(&mut settles)
            .then(|| self.planned_with_speech(schedule, &[(Tick::ZERO, level)], speech))
    }

    /// The voice, which has started to prepare the texts of the class.
    fn speech(&self, schedule: &Schedule) -> Option<Speech> {
        let speech = VoiceName::or_set(self.voice.as_ref()).speech();
        speech.inspect(|speech| speech.prepare(texts(schedule)))
    }

    fn planned_with_speech(
        &self,
        mut schedule: Schedule,
        levels: &[(Tick, Option<SpeechLevel>)],
        speech: Option<Speech>,
    ) -> SpokenClass {
        let mut lengths = SpeechLengths::at(VoiceName::or_set(self.voice.as_ref()).pace());
        lengths.learn(speech.iter().flat_map(Speech::lengths));
        let ear = (self.audience == AudienceArg::Coach).then(|| sound_args::ear_lead(None));
        let mut voicing = SpeechSettings { level: None, ear, lengths };
        for &(from, level) in levels {
            voicing.level = level;
            plan_and_insert_cues(&mut schedule, from, &voicing);
        }
        let mut events = std::mem::take(&mut schedule.events);
        events.retain(|event| {
            voicing.level = levels.iter().rfind(|(from, _)| *from <= event.at).and_then(|it| it.1);
            voicing.is_audible(&schedule, event)
        });
        schedule.events = events;
        voicing.level = levels.last().and_then(|it| it.1);
        SpokenClass { schedule, voicing, speech }
    }
}
