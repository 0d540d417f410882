//! The journal as the recorder of a class.

use journal::{Journal, Told};

use super::{Conductor, Phase};
use crate::runtime::Recorder;

impl Recorder<Conductor> for Journal {
    fn keep(&mut self, told: &Told, conductor: &Conductor) {
        Journal::keep(self, told, conductor.wall());
    }

    fn stepped(&mut self, conductor: &Conductor) -> Option<u64> {
        let runs = conductor.phase() == Phase::Running;
        Journal::stepped(self, conductor.now(), runs, conductor.wall())
    }
}
