//! The journal as the recorder of a class.

use std::time::Duration;

use class::time::Tick;
use journal::{Journal, TimedHappening};

use super::{ClassPhase, Conductor};
use crate::runtime::Recorder;

impl Recorder<Conductor> for Journal {
    fn record(&mut self, told: &TimedHappening, conductor: &Conductor) {
        Journal::keep(self, told, conductor.wall());
    }

    fn after_step(&mut self, conductor: &Conductor) -> Option<Duration> {
        let runs = conductor.phase() == ClassPhase::Running;
        Journal::stepped(self, conductor.now(), runs, conductor.wall()).map(Tick::duration)
    }
}
