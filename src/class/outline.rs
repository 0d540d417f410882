//! A class in outline: its blocks and the rests between them, in time.

use crate::schedule::{Schedule, SpanPurpose};
use crate::time::Tick;

/// The blocks of a class and the rests between them, with their lengths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClassOutline {
    pub parts: Vec<OutlinePart>,
    pub total: Tick,
    pub slot: Option<Tick>,
    pub people: Option<u32>,
    /// The kinds of kit that its stations use, each once.
    pub kit: Vec<String>,
}

/// A block, or the rest after one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutlinePart {
    pub block: usize,
    /// The block's name; empty for a rest.
    pub name: String,
    pub length: Tick,
}

impl ClassOutline {
    /// The outline of a class.
    pub fn of(schedule: &Schedule) -> ClassOutline {
        let mut parts: Vec<(bool, OutlinePart)> = Vec::new();
        for span in &schedule.spans {
            let rest = span.purpose == SpanPurpose::BlockRest;
            match parts.last_mut() {
                Some((was_rest, part)) if *was_rest == rest && part.block == span.block => part.length += span.length(),
                _ => {
                    let name = if rest { String::new() } else { schedule.block_of(span).name.clone() };
                    parts.push((rest, OutlinePart { block: span.block, name, length: span.length() }));
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
        ClassOutline {
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

impl OutlinePart {
    /// Whether it is the rest after a block.
    pub fn is_rest(&self) -> bool {
        self.name.is_empty()
    }
}
