//! Reads a journal: any bytes, up to a size limit, become records or a clear fault. The file is not changed.

use thiserror::Error;

use super::record::{JournalHeader, JournalRecord, VERSION};

/// The largest journal that is read, in bytes: large enough for the beats of a day and the largest session.
pub const FILE: u64 = 160 << 20;
/// The longest line after the first, in bytes.
const LINE: usize = 64 << 10;
/// The most records: the beats of a day, and as many others.
const RECORDS: usize = 400_000;

/// A journal as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalContents {
    pub header: JournalHeader,
    pub records: Vec<JournalRecord>,
    /// How many bytes are whole lines.
    pub whole: u64,
    /// Whether the last line is incomplete: the program or the computer stopped while the line was written.
    pub torn: bool,
}

/// Why a journal cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum JournalFault {
    #[error("it is empty")]
    Empty,
    #[error("its first line is incomplete, so no class had started")]
    NotBegun,
    #[error("it has version {0}; this program reads version {VERSION}")]
    Version(u64),
    #[error("it is not a class journal")]
    NoJournal,
    #[error("line {0} cannot be read")]
    Garbled(usize),
    #[error("line {0} goes back in time")]
    Backwards(usize),
    #[error("its {0} was altered")]
    Altered(&'static str),
    #[error("it is too large for a class")]
    TooLarge,
    #[error("this program finds faults in its session")]
    Session,
    #[error("this program plans the class differently from the one that led it ({0})")]
    OtherPlan(String),
    #[error("the change in line {0} gives a different class in this program")]
    OtherChange(usize),
}

/// Reads the bytes of a journal.
///
/// A last line that is incomplete or cannot be read counts as torn. Any other line that cannot be read is a fault,
/// because everything after it depends on it.
///
/// # Errors
/// The first fault, with the number of its line from 1.
pub fn read(bytes: &[u8]) -> Result<JournalContents, JournalFault> {
    if bytes.len() as u64 > FILE {
        return Err(JournalFault::TooLarge);
    }
    if bytes.is_empty() {
        return Err(JournalFault::Empty);
    }
    let Some(end) = bytes.iter().position(|byte| *byte == b'\n') else {
        return Err(if bytes.starts_with(b"{\"journal\":") { JournalFault::NotBegun } else { JournalFault::NoJournal });
    };
    let header = read_header(&bytes[..end])?;
    let mut kept = JournalContents { header, records: Vec::new(), whole: end as u64 + 1, torn: false };
    let mut rest = &bytes[end + 1..];
    for number in 2.. {
        if rest.is_empty() {
            break;
        }
        if kept.records.len() >= RECORDS {
            return Err(JournalFault::TooLarge);
        }
        let end = rest.iter().position(|byte| *byte == b'\n');
        let line = &rest[..end.unwrap_or(rest.len())];
        let record: Option<JournalRecord> =
            (end.is_some() && line.len() <= LINE).then(|| serde_json::from_slice(line).ok()).flatten();
        let last = end.is_none_or(|end| end + 1 == rest.len());
        let Some(record) = record else {
            if !last {
                return Err(JournalFault::Garbled(number));
            }
            kept.torn = true;
            break;
        };
        if kept.records.last().is_some_and(|before| before.at > record.at) {
            return Err(JournalFault::Backwards(number));
        }
        kept.records.push(record);
        kept.whole += line.len() as u64 + 1;
        rest = &rest[line.len() + 1..];
    }
    Ok(kept)
}

fn read_header(line: &[u8]) -> Result<JournalHeader, JournalFault> {
    #[derive(serde::Deserialize)]
    struct VersionLine {
        journal: u64,
    }
    // Another version may have other fields: only the version number is required.
    let version: VersionLine = serde_json::from_slice(line).map_err(|_| JournalFault::NoJournal)?;
    if version.journal != u64::from(VERSION) {
        return Err(JournalFault::Version(version.journal));
    }
    let header: JournalHeader = serde_json::from_slice(line).map_err(|_| JournalFault::Garbled(1))?;
    if !header.session.hash_matches() {
        return Err(JournalFault::Altered("session"));
    }
    if !header.movements.iter().all(super::StoredFile::hash_matches) {
        return Err(JournalFault::Altered("movement file"));
    }
    Ok(header)
}
