//! Everybody is ready: how long the change between two stations took the class.

use super::{Conductor, ConductorState};
use class::schedule::{SampleSubject, SpanPurpose, TransitionKind, TransitionSample};
use class::time::Tick;
use class::words::{WORDS, fill};

/// The changes measured while a class was led.
#[derive(Clone, Debug, Default)]
pub(super) struct ChangeoverMeasurements {
    samples: Vec<TransitionSample>,
    /// The boundary that was measured last.
    last: Option<Tick>,
    /// Where class time last stood still. A change with a pause in it is not measured: people get ready during the
    /// pause too, and nobody knows how long they took.
    pub halted_at: Option<Tick>,
}

impl Conductor {
    /// What was measured so far, each change once.
    pub fn samples(&self) -> &[TransitionSample] {
        &self.measurements.samples
    }

    /// Notes that everybody is ready for the station that comes next or has come.
    pub(super) fn all_ready(&mut self) {
        let words = &WORDS.lead.messages;
        let line = match self.boundary() {
            None => words.ready_nothing.clone(),
            Some((at, _)) if self.measurements.last == Some(at) => words.ready_twice.clone(),
            Some((at, _)) if self.measurements.halted_at.is_some_and(|stood| stood >= at) => words.ready_paused.clone(),
            Some((at, kind)) => {
                let took = self.now() - at;
                self.measurements.samples.push(TransitionSample { kind, took, who: SampleSubject::Group });
                self.measurements.last = Some(at);
                fill(&words.ready_after, &[("took", &seconds(took))])
            }
        };
        self.show_message(line);
    }

    /// The end of the last work before now, and the kind of change from it to the next work. None if nothing but the
    /// movement changes, and if the next work waited for the coach.
    fn boundary(&self) -> Option<(Tick, TransitionKind)> {
        if self.state != ConductorState::Running {
            return None;
        }
        let (now, spans) = (self.now(), &self.schedule().spans);
        let is_work = |index: &usize| spans[*index].purpose == SpanPurpose::Work;
        let before = (0..spans.len()).filter(is_work).take_while(|&index| spans[index].end <= now).last()?;
        let after = (before + 1..spans.len()).find(is_work)?;
        let kind = TransitionKind::of(&spans[after].change);
        let changes = kind != TransitionKind::default() || spans[after].change.needs > Tick::ZERO;
        (changes && !spans[after].gate && now < spans[after].end).then_some((spans[before].end, kind))
    }
}

/// A length to a tenth of a second: `6.4 s`.
fn seconds(length: Tick) -> String {
    format!("{}.{} s", length.0 / 1000, length.0 % 1000 / 100)
}
