//! From session to schedule.

use std::sync::Arc;

use super::{Costs, Schedule, lay_out, unroll};
use crate::session::Session;

/// Compiles a session with the table of [`Costs::ESTIMATED`].
pub fn compile(session: Arc<Session>) -> Schedule {
    compile_with(session, &Costs::ESTIMATED)
}

/// Compiles a session: lays all its spans end to end, with their tones and calls. The same session and costs give
/// the same schedule. The time is linear in the number of spans. Cues are planned afterwards.
pub fn compile_with(session: Arc<Session>, costs: &Costs) -> Schedule {
    let spans = unroll::unroll(&session, costs);
    lay_out(session, Arc::new(costs.clone()), spans)
}
