//! The read-through: one page for each station, at the coach's own pace, with its cues.

use super::Press;
use crate::runtime::{Application, Effect, Ending, Input, Reading, Sounding, Watcher};
use class::schedule::{Cue, Purpose, Schedule, What};
use std::convert::Infallible;

/// The pages of a class, one of which is open.
#[derive(Clone, Debug)]
pub struct ReadThrough {
    schedule: Schedule,
    /// For each page, the first work span of its station.
    pages: Vec<usize>,
    at: usize,
    muted: bool,
    begun: bool,
}

/// The page that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Page<'a> {
    pub schedule: &'a Schedule,
    /// The first work span of the station.
    pub span: usize,
    /// The number of the page, from 0, and how many pages there are.
    pub index: usize,
    pub count: usize,
    /// The cues about the station, in order.
    pub said: Vec<&'a str>,
    pub muted: bool,
}

impl ReadThrough {
    /// The pages of a class with its cues: one page for each station, in the order of the class. None if the class has
    /// no work.
    pub fn new(schedule: Schedule, muted: bool) -> Option<ReadThrough> {
        let mut pages: Vec<usize> = Vec::new();
        for (index, span) in schedule.spans.iter().enumerate() {
            let known =
                |&page: &usize| (schedule.spans[page].block, schedule.spans[page].doing) == (span.block, span.doing);
            if span.purpose == Purpose::Work && !pages.iter().any(known) {
                pages.push(index);
            }
        }
        (!pages.is_empty()).then_some(ReadThrough { schedule, pages, at: 0, muted, begun: false })
    }

    /// The page that is open.
    pub fn page(&self) -> Page<'_> {
        Page {
            schedule: &self.schedule,
            span: self.pages[self.at],
            index: self.at,
            count: self.pages.len(),
            said: self.cues().map(|cue| cue.text.as_str()).collect(),
            muted: self.muted,
        }
    }

    /// The cues about the page's station, from the first time it is done.
    fn cues(&self) -> impl Iterator<Item = &Cue> {
        let span = self.pages[self.at];
        self.schedule.events.iter().filter(move |event| event.span == span).filter_map(|event| match &event.what {
            What::Cue(cue) => Some(cue),
            What::Tone(_) | What::Call(_) => None,
        })
    }

    /// Says the cues of the page one after the other.
    fn say(&self) -> Effect {
        if self.muted {
            return Effect::Hush;
        }
        Effect::Play(Sounding::of_cues(self.cues(), self.pages[self.at]))
    }

    fn press(&mut self, press: Press) -> Option<Effect> {
        match press {
            Press::Ready | Press::Next | Press::Later if self.at + 1 == self.pages.len() => None,
            Press::Ready | Press::Next | Press::Later => {
                self.at += 1;
                Some(self.say())
            }
            Press::Back | Press::Earlier => {
                self.at = self.at.saturating_sub(1);
                Some(self.say())
            }
            Press::Again => Some(self.say()),
            Press::Mute => {
                self.muted = !self.muted;
                Some(self.say())
            }
            Press::Quit | Press::No | Press::Interrupt => Some(Effect::End(Ending::Done)),
            Press::Suspend => Some(Effect::Suspend),
            _ => None,
        }
    }
}

impl Application for ReadThrough {
    type Press = Press;
    type Event = Infallible;

    fn step(&mut self, _: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        let first = (!std::mem::replace(&mut self.begun, true)).then(|| self.say());
        let pressed = inputs.iter().filter_map(|input| match input {
            Input::Press(press) => self.press(*press),
            Input::Say(_) | Input::Lengths(_) | Input::Machine(_) => None,
        });
        let pressed: Vec<Effect> = pressed.collect();
        first.into_iter().chain(pressed).collect()
    }

    fn changes_in(&self, _: Watcher) -> Option<u64> {
        None
    }
}
