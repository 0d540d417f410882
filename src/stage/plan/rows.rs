//! The class as a list of rows: the session, its blocks and their stations.

use class::check::Finding;
use class::schedule::{Activity, Schedule, Span, SpanPurpose};
use class::session::fault::{Fault, FaultSpot, PathStep, ValuePath};
use class::time::Tick;

/// A row of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlanRow {
    /// The session as a whole.
    Class,
    Block(usize),
    /// The index of the block, and of the station in the block.
    Station(usize, usize),
}

/// The rows of a class, in order.
pub fn rows(schedule: &Schedule) -> Vec<PlanRow> {
    let mut rows = vec![PlanRow::Class];
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        rows.push(PlanRow::Block(index));
        rows.extend((0..block.stations.len()).map(|station| PlanRow::Station(index, station)));
    }
    rows
}

impl PlanRow {
    /// The index of the block that the row is or belongs to.
    pub fn block(self) -> Option<usize> {
        match self {
            PlanRow::Class => None,
            PlanRow::Block(block) | PlanRow::Station(block, _) => Some(block),
        }
    }

    /// The path of the row's value in the file.
    pub fn path(self) -> ValuePath {
        let blocks = PathStep::Field("blocks");
        ValuePath(match self {
            PlanRow::Class => vec![],
            PlanRow::Block(block) => vec![blocks, PathStep::Item(block)],
            PlanRow::Station(block, station) => {
                vec![blocks, PathStep::Item(block), PathStep::Field("stations"), PathStep::Item(station)]
            }
        })
    }

    /// The row that a fault concerns.
    pub fn of(fault: &Fault) -> PlanRow {
        let (FaultSpot::Value(path) | FaultSpot::Name(path)) = &fault.at else { return PlanRow::Class };
        match path.0.as_slice() {
            [
                PathStep::Field("blocks"),
                PathStep::Item(block),
                PathStep::Field("stations"),
                PathStep::Item(station),
                ..,
            ] => PlanRow::Station(*block, *station),
            [PathStep::Field("blocks"), PathStep::Item(block), ..] => PlanRow::Block(*block),
            _ => PlanRow::Class,
        }
    }

    /// The spans of the row.
    pub fn spans(self, schedule: &Schedule) -> impl Iterator<Item = &Span> {
        schedule.spans.iter().filter(move |span| match self {
            PlanRow::Class => true,
            PlanRow::Block(block) => span.block == block && span.purpose != SpanPurpose::BlockRest,
            PlanRow::Station(block, station) => {
                span.block == block && span.purpose == SpanPurpose::Work && does(span, station)
            }
        })
    }

    /// The total length of the row's spans.
    pub fn length(self, schedule: &Schedule) -> Tick {
        self.spans(schedule).map(Span::length).sum()
    }
}

fn does(span: &Span, station: usize) -> bool {
    match span.activity {
        Activity::Station(index) | Activity::Turn(index) => index == station,
        Activity::AllAtOwnPace => station == 0,
        Activity::Nothing => false,
    }
}

/// A fault as the finding that is shown beside its row.
pub(super) fn finding(fault: &Fault) -> Finding {
    Finding { severity: fault.severity, line: None, message: fault.message.clone(), help: fault.help.clone() }
}
