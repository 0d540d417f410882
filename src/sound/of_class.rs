//! What sounds of a class: its events as tones and speech, for the score of any device or file.

use std::time::Duration;

use class::cue::call_words;
use class::schedule::{Audience, Call, Event, What};
use class::time::Tick;

use crate::{Pcm, Plan, Signal, Sound, Sounding};

/// The sound of an event, with the speech that `say` has for its words. None if nothing sounds.
pub fn sound_of(event: &Event, say: &impl Fn(&str) -> Option<Pcm>) -> Option<Sound> {
    let (audience, text, tone) = match &event.what {
        What::Tone(tone) => {
            return Some(Sound { at: event.at, audience: Audience::Class, what: Sounding::Tone((*tone).into()) });
        }
        What::Call(call) => (Audience::Class, call_words(*call), (*call == Call::Ten).then_some(Signal::Ten)),
        What::Cue(cue) => (cue.audience, cue.text.as_str(), None),
    };
    let what = say(text).map(Sounding::Speech).or(tone.map(Sounding::Tone))?;
    Some(Sound { at: event.at, audience, what })
}

/// Like [`sound_of`], if the sound fits before the `later` events. If the speech of a call does not fit, the call's
/// tone sounds instead, if it has one.
pub fn sound_in_room(event: &Event, later: &[Event], say: &impl Fn(&str) -> Option<Pcm>, speed: u32) -> Option<Sound> {
    let sound = sound_of(event, say).filter(|sound| has_room(sound, event, later, speed));
    sound.or_else(|| sound_of(event, &|_| None))
}

/// The sounds of a class, or of a part of it, as they are played in real time when all speech is ready.
pub fn plan_of(events: &[Event], say: &impl Fn(&str) -> Option<Pcm>) -> Plan {
    let sound = |(index, event)| sound_in_room(event, &events[index + 1..], say, 1);
    events.iter().enumerate().filter_map(sound).collect()
}

/// Whether a sound ends before the next one begins. A cue may not, if the voice takes longer for it than the estimate:
/// then the cue is read and not heard. In real time a call always has room.
fn has_room(sound: &Sound, event: &Event, later: &[Event], speed: u32) -> bool {
    let Sounding::Speech(pcm) = &sound.what else { return true };
    let planned = match &event.what {
        What::Cue(cue) => cue.length,
        What::Call(_) if speed > 1 => Tick::ZERO,
        What::Call(_) | What::Tone(_) => return true,
    };
    let length = pcm.length() * speed;
    let fits = |next: &Event| Duration::from_millis((next.at - event.at).0) >= length;
    length <= Duration::from_millis(planned.0) || later.first().is_none_or(fits)
}

/// The words of an event, if it has any.
pub fn words_of(event: &Event) -> Option<&str> {
    match &event.what {
        What::Tone(_) => None,
        What::Call(call) => Some(call_words(*call)),
        What::Cue(cue) => Some(&cue.text),
    }
}
