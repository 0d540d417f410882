//! A session as the front door lists it.

use std::path::PathBuf;

use class::check::{Finding, findings};
use class::outline::Outline;
use class::schedule::Schedule;
use class::session::fault::{Report, Severity};

/// A session file, and what it comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    pub file: PathBuf,
    /// What the file is called in the list.
    pub name: String,
    /// The session's title; the file's name where none can be read.
    pub title: String,
    /// None where the file has a fault, so that it makes no class.
    pub outline: Option<Outline>,
    pub findings: Vec<Finding>,
    /// The day it was last led, as `2026-01-10`.
    pub last: Option<String>,
    /// What is done in it and with what, for whoever looks for that.
    pub holds: String,
}

impl Listed {
    /// A session file of this text, with what was found in it and the class that it makes if none of that forbids it.
    pub fn of(file: PathBuf, name: String, text: &str, report: &Report, schedule: Option<&Schedule>) -> Listed {
        let title = schedule.map_or_else(|| name.clone(), |schedule| schedule.session.title.clone());
        let outline = schedule.map(Outline::of);
        let mut holds: Vec<&str> = Vec::new();
        for block in schedule.iter().flat_map(|schedule| &schedule.session.blocks) {
            holds.push(&block.name);
            holds.extend(block.stations.iter().map(|station| station.movement.name.as_str()));
        }
        holds.extend(outline.iter().flat_map(|outline| &outline.kit).map(String::as_str));
        let holds = holds.join(" ");
        Listed { file, name, title, outline, findings: findings(text, report), last: None, holds }
    }

    /// A session file that cannot even be read.
    pub fn unreadable(file: PathBuf, name: String, why: String) -> Listed {
        let finding = Finding { severity: Severity::Fault, line: None, message: why, help: None };
        let title = name.clone();
        Listed { file, name, title, outline: None, findings: vec![finding], last: None, holds: String::new() }
    }

    /// How many faults, warnings and hints there are.
    pub fn counts(&self) -> [usize; 3] {
        [Severity::Fault, Severity::Warning, Severity::Info]
            .map(|severity| self.findings.iter().filter(|finding| finding.severity == severity).count())
    }
}
