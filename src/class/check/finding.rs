//! What was found in a session file, as a list tells it.

use crate::session::fault::{FaultReport, PlacedFault, Severity};

/// Something that `check` finds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub severity: Severity,
    /// The line in the file, from 1; None for a finding about the whole file.
    pub line: Option<usize>,
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
}

/// The findings in a text, each with its line, except those that the coach allows.
pub fn findings(text: &str, report: &FaultReport) -> Vec<Finding> {
    let line = |at: usize| text.as_bytes()[..at.min(text.len())].iter().filter(|byte| **byte == b'\n').count() + 1;
    let finding = |placed: &PlacedFault| Finding {
        severity: placed.fault.severity,
        line: placed.place.as_ref().map(|place| line(place.start)),
        message: placed.fault.message.clone(),
        help: placed.fault.help.clone(),
    };
    report.faults.iter().filter(|placed| placed.fault.allowed.is_none()).map(finding).collect()
}
