//! A session as the front door lists it.

use std::path::PathBuf;

use crate::schedule::{Purpose, Schedule};
use crate::session::fault::{Report, Severity};
use crate::time::Tick;

/// A session file with its outline and its findings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    pub file: PathBuf,
    /// The name of the file in the list.
    pub name: String,
    /// The title of the session; the name of the file if the title cannot be read.
    pub title: String,
    /// None if the file has a fault and so makes no class.
    pub outline: Option<Outline>,
    pub findings: Vec<Finding>,
    /// The day on which the session was last led, as `2026-01-10`.
    pub last: Option<String>,
    /// The names of its blocks, movements and kit, which the search looks through.
    pub holds: String,
}

/// The blocks of a class and the rests between them, with their lengths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outline {
    pub parts: Vec<Part>,
    pub total: Tick,
    pub slot: Option<Tick>,
    pub people: Option<u32>,
    /// The kinds of kit that its stations use, each once.
    pub kit: Vec<String>,
}

/// A block, or the rest after one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    pub block: usize,
    /// The block's name; empty for a rest.
    pub name: String,
    pub length: Tick,
}

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

impl Outline {
    /// The outline of a class.
    pub fn of(schedule: &Schedule) -> Outline {
        let mut parts: Vec<(bool, Part)> = Vec::new();
        for span in &schedule.spans {
            let rest = span.purpose == Purpose::BlockRest;
            match parts.last_mut() {
                Some((was_rest, part)) if *was_rest == rest && part.block == span.block => part.length += span.length(),
                _ => {
                    let name = if rest { String::new() } else { schedule.block_of(span).name.clone() };
                    parts.push((rest, Part { block: span.block, name, length: span.length() }));
                }
            }
        }
        let mut kit: Vec<String> = Vec::new();
        let stations = schedule.session.blocks.iter().flat_map(|block| &block.stations);
        for need in stations.flat_map(|station| &station.kit) {
            let item = need.item.to_string();
            if !kit.contains(&item) {
                kit.push(item);
            }
        }
        Outline {
            parts: parts.into_iter().map(|(_, part)| part).collect(),
            total: schedule.total(),
            slot: schedule.session.slot,
            people: schedule.session.people,
            kit,
        }
    }

    /// The length of the class or of its slot, whichever is longer.
    pub fn longest(&self) -> Tick {
        self.total.max(self.slot.unwrap_or(Tick::ZERO))
    }
}

impl Part {
    /// Whether it is the rest after a block.
    pub fn is_rest(&self) -> bool {
        self.name.is_empty()
    }
}

impl Listed {
    /// Lists a session file with this text: what was found in it, and the class that it makes if it has no fault.
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

    /// Lists a session file that cannot be read. `why` becomes its only finding.
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

/// The findings in a text, each with its line, except those that the coach allows.
pub fn findings(text: &str, report: &Report) -> Vec<Finding> {
    let line = |at: usize| text.as_bytes()[..at.min(text.len())].iter().filter(|byte| **byte == b'\n').count() + 1;
    let finding = |placed: &crate::session::fault::Placed| Finding {
        severity: placed.fault.severity,
        line: placed.place.as_ref().map(|place| line(place.start)),
        message: placed.fault.message.clone(),
        help: placed.fault.help.clone(),
    };
    report.faults.iter().filter(|placed| placed.fault.allowed.is_none()).map(finding).collect()
}
