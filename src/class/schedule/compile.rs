//! From session to schedule.

use std::sync::Arc;

use super::{ChangeoverCosts, Schedule, lay_out, unroll};
use crate::session::Session;

/// Compiles a session with the table of [`ChangeoverCosts::ESTIMATED`].
pub fn compile(session: Arc<Session>) -> Schedule {
    compile_with(session, &ChangeoverCosts::ESTIMATED)
}

/// Compiles a session: lays all its spans end to end, with their tones and calls. The same session and costs give
/// the same schedule. The time is linear in the number of spans. Cues are planned afterwards.
pub fn compile_with(session: Arc<Session>, costs: &ChangeoverCosts) -> Schedule {
    let spans = unroll::unroll(&session, costs);
    lay_out(session, Arc::new(costs.clone()), spans)
}
