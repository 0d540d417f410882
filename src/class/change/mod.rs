//! Live changes: the past stays, and the spans still to come change.
//!
//! Each change is a pure function from a [`Course`] and a tick of class time to the course after the change.

mod course;
mod cut;
mod families;
mod fit;
mod history;
mod leave_out;
mod ledger;
mod lengths;
mod marks;
mod rounds;
mod skip;
mod swap;
mod taken;
mod wording;

pub use course::{Course, Length, Origin};
pub use cut::{Cut, Unit};
pub use families::{Family, Stretch};
pub use fit::{Fit, best_lengths};
pub use history::History;
pub use ledger::Debt;
pub use lengths::Reach;
pub use marks::Mark;
pub use taken::Change;
pub use wording::{change_words, side_words};
