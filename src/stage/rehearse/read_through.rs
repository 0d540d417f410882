//! The read-through: one page for each station, at the coach's own pace, with its cues.

use super::RehearseCommand;
use crate::runtime::{Application, ClockReading, DisplayKind, RunEnding, StepEffect, StepInput, UpcomingSounds};
use class::schedule::{Cue, EventContent, Schedule, SpanPurpose};
use std::convert::Infallible;
use std::time::Duration;

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
pub struct ReadThroughPage<'a> {
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
            let known = |&page: &usize| {
                (schedule.spans[page].block, schedule.spans[page].activity) == (span.block, span.activity)
            };
            if span.purpose == SpanPurpose::Work && !pages.iter().any(known) {
                pages.push(index);
            }
        }
        (!pages.is_empty()).then_some(ReadThrough { schedule, pages, at: 0, muted, begun: false })
    }

    /// The page that is open.
    pub fn page(&self) -> ReadThroughPage<'_> {
        ReadThroughPage {
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
            EventContent::Cue(cue) => Some(cue),
            EventContent::Tone(_) | EventContent::Call(_) => None,
        })
    }

    /// Says the cues of the page one after the other.
    fn say(&self) -> StepEffect {
        if self.muted {
            return StepEffect::Hush;
        }
        StepEffect::Play(UpcomingSounds::of_cues(self.cues(), self.pages[self.at]))
    }

    fn press(&mut self, press: RehearseCommand) -> Option<StepEffect> {
        match press {
            RehearseCommand::Ready | RehearseCommand::Next | RehearseCommand::Later
                if self.at + 1 == self.pages.len() =>
            {
                None
            }
            RehearseCommand::Ready | RehearseCommand::Next | RehearseCommand::Later => {
                self.at += 1;
                Some(self.say())
            }
            RehearseCommand::Back | RehearseCommand::Earlier => {
                self.at = self.at.saturating_sub(1);
                Some(self.say())
            }
            RehearseCommand::Again => Some(self.say()),
            RehearseCommand::Mute => {
                self.muted = !self.muted;
                Some(self.say())
            }
            RehearseCommand::Quit | RehearseCommand::No | RehearseCommand::Interrupt => {
                Some(StepEffect::End(RunEnding::Done))
            }
            RehearseCommand::Suspend => Some(StepEffect::Suspend),
            _ => None,
        }
    }
}

impl Application for ReadThrough {
    type Press = RehearseCommand;
    type Event = Infallible;

    fn step(&mut self, _: ClockReading, inputs: &[StepInput<RehearseCommand>]) -> Vec<StepEffect> {
        let first = (!std::mem::replace(&mut self.begun, true)).then(|| self.say());
        let pressed = inputs.iter().filter_map(|input| match input {
            StepInput::Press(press) => self.press(*press),
            StepInput::Say(_) | StepInput::Lengths(_) | StepInput::Machine(_) => None,
        });
        let pressed: Vec<StepEffect> = pressed.collect();
        first.into_iter().chain(pressed).collect()
    }

    fn changes_in(&self, _: DisplayKind) -> Option<Duration> {
        None
    }
}
