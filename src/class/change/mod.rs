//! Live changes: the past stays, and the spans still to come change.
//!
//! Each change is a pure function from a [`Course`] and a tick of class time to the course after the change.

mod change_words;
mod course;
mod cut;
mod deviations;
mod fit;
mod history;
mod leave_out;
mod lengths;
mod live_change;
mod rounds;
mod side_debts;
mod skip;
mod span_families;
mod swap;

pub use change_words::{change_words, side_words};
pub use course::{Course, LengthSource, SpanOrigin};
pub use cut::{CutResult, Omission};
pub use deviations::SpanDeviation;
pub use fit::{FitResult, best_lengths};
pub use history::ChangeHistory;
pub use lengths::ChangeReach;
pub use live_change::LiveChange;
pub use side_debts::SideDebt;
pub use span_families::{FamilyKind, SpanFamily};
