//! A session as the front door lists it.

use std::path::PathBuf;

use class::check::{Finding, findings};
use class::outline::ClassOutline;
use class::schedule::Schedule;
use class::session::fault::{FaultReport, Severity};

/// A session file with its outline and its findings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListedSession {
    pub file: PathBuf,
    /// The name of the file in the list.
    pub name: String,
    /// The title of the session; the name of the file if the title cannot be read.
    pub title: String,
    /// None if the file has a fault and so makes no class.
    pub outline: Option<ClassOutline>,
    pub findings: Vec<Finding>,
    /// The day on which the session was last led, as `2026-01-10`.
    pub last: Option<String>,
    /// The names of its blocks, movements and kit, which the search looks through.
    pub search_text: String,
}

impl ListedSession {
    /// Lists a session file with this text: what was found in it, and the class that it makes if it has no fault.
    pub fn of(
        file: PathBuf,
        name: String,
        text: &str,
        report: &FaultReport,
        schedule: Option<&Schedule>,
    ) -> ListedSession {
        let title = schedule.map_or_else(|| name.clone(), |schedule| schedule.session.title.clone());
        let outline = schedule.map(ClassOutline::of);
        let mut holds: Vec<&str> = Vec::new();
        for block in schedule.iter().flat_map(|schedule| &schedule.session.blocks) {
            holds.push(&block.name);
            holds.extend(block.stations.iter().map(|station| station.movement.name.as_str()));
        }
        holds.extend(outline.iter().flat_map(|outline| &outline.kit).map(String::as_str));
        let holds = holds.join(" ");
        ListedSession { file, name, title, outline, findings: findings(text, report), last: None, search_text: holds }
    }

    /// Lists a session file that cannot be read. `why` becomes its only finding.
    pub fn unreadable(file: PathBuf, name: String, why: String) -> ListedSession {
        let finding = Finding { severity: Severity::Fault, line: None, message: why, help: None };
        let title = name.clone();
        ListedSession {
            file,
            name,
            title,
            outline: None,
            findings: vec![finding],
            last: None,
            search_text: String::new(),
        }
    }

    /// How many faults, warnings and hints there are.
    pub fn counts(&self) -> [usize; 3] {
        [Severity::Fault, Severity::Warning, Severity::Info]
            .map(|severity| self.findings.iter().filter(|finding| finding.severity == severity).count())
    }
}
