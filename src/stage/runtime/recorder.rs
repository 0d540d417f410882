//! Who takes what an application tells: to write it down, or to carry it out.

use std::time::Duration;

use super::application::Application;

/// Takes the events of an application before the coach sees their result.
pub trait Recorder<A: Application> {
    /// Takes one event.
    fn record(&mut self, event: &A::Event, application: &A);

    /// The result of this step is about to be shown. Returns how long after it the recorder wants to be asked again;
    /// None: not before the next step.
    fn after_step(&mut self, application: &A) -> Option<Duration>;
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoRecorder;

impl<A: Application> Recorder<A> for NoRecorder {
    fn record(&mut self, _: &A::Event, _: &A) {}

    fn after_step(&mut self, _: &A) -> Option<Duration> {
        None
    }
}

/// Keeps where there is a recorder.
impl<A: Application, R: Recorder<A>> Recorder<A> for Option<R> {
    fn record(&mut self, event: &A::Event, application: &A) {
        if let Some(recorder) = self {
            recorder.record(event, application);
        }
    }

    fn after_step(&mut self, application: &A) -> Option<Duration> {
        self.as_mut()?.after_step(application)
    }
}
