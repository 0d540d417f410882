//! What sounds of a class: its events as tones and speech, for the score of any device or file.

use std::time::Duration;

use class::cue::call_words;
use class::schedule::{Audience, EventContent, ScheduleEvent, TimeCall};
use class::time::Tick;

use crate::{Pcm, PlannedSound, SoundContent, SoundPlan, ToneSignal};

/// The sound of an event, with the speech that `say` has for its words. None if nothing sounds.
pub fn sound_of(event: &ScheduleEvent, say: &impl Fn(&str) -> Option<Pcm>) -> Option<PlannedSound> {
    let (audience, text, tone) = match &event.what {
        EventContent::Tone(tone) => {
            return Some(PlannedSound {
                at: event.at,
                audience: Audience::Class,
                what: SoundContent::Tone((*tone).into()),
            });
        }
        EventContent::Call(call) => {
            (Audience::Class, call_words(*call), (*call == TimeCall::Ten).then_some(ToneSignal::Ten))
        }
        EventContent::Cue(cue) => (cue.audience, cue.text.as_str(), None),
    };
    let what = say(text).map(SoundContent::Speech).or(tone.map(SoundContent::Tone))?;
    Some(PlannedSound { at: event.at, audience, what })
}

/// Like [`sound_of`], if the sound fits before the `later` events. If the speech of a call does not fit, the call's
/// tone sounds instead, if it has one.
pub fn sound_that_fits(
    event: &ScheduleEvent,
    later: &[ScheduleEvent],
    say: &impl Fn(&str) -> Option<Pcm>,
    speed: u32,
) -> Option<PlannedSound> {
    let sound = sound_of(event, say).filter(|sound| is_over_in_time(sound, event, later, speed));
    sound.or_else(|| sound_of(event, &|_| None))
}

/// The sounds of a class, or of a part of it, as they are played in real time when all speech is ready.
pub fn plan_of(events: &[ScheduleEvent], say: &impl Fn(&str) -> Option<Pcm>) -> SoundPlan {
    let sound = |(index, event)| sound_that_fits(event, &events[index + 1..], say, 1);
    events.iter().enumerate().filter_map(sound).collect()
}

/// Whether a sound ends before the next one begins. A cue may last too long if the voice takes longer for it than the
/// estimate: then the cue is read and not heard. In real time a call always has room.
fn is_over_in_time(sound: &PlannedSound, event: &ScheduleEvent, later: &[ScheduleEvent], speed: u32) -> bool {
    let SoundContent::Speech(pcm) = &sound.what else { return true };
    let planned = match &event.what {
        EventContent::Cue(cue) => cue.length,
        EventContent::Call(_) if speed > 1 => Tick::ZERO,
        EventContent::Call(_) | EventContent::Tone(_) => return true,
    };
    let length = pcm.length() * speed;
    let fits = |next: &ScheduleEvent| Duration::from_millis((next.at - event.at).0) >= length;
    length <= Duration::from_millis(planned.0) || later.first().is_none_or(fits)
}

/// The words of an event, if it has any.
pub fn words_of(event: &ScheduleEvent) -> Option<&str> {
    match &event.what {
        EventContent::Tone(_) => None,
        EventContent::Call(call) => Some(call_words(*call)),
        EventContent::Cue(cue) => Some(&cue.text),
    }
}
