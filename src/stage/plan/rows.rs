//! The class as a list of rows: the session, its blocks and their stations.

use class::check::Finding;
use class::schedule::{Doing, Purpose, Schedule, Span};
use class::session::fault::{Fault, Path, Spot, Step};
use class::time::Tick;

/// A row of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Row {
    /// The session as a whole.
    Class,
    Block(usize),
    /// The index of the block, and of the station in the block.
    Station(usize, usize),
}

/// The rows of a class, in order.
pub fn rows(schedule: &Schedule) -> Vec<Row> {
    let mut rows = vec![Row::Class];
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        rows.push(Row::Block(index));
        rows.extend((0..block.stations.len()).map(|station| Row::Station(index, station)));
    }
    rows
}

impl Row {
    /// The index of the block that the row is or belongs to.
    pub fn block(self) -> Option<usize> {
        match self {
            Row::Class => None,
            Row::Block(block) | Row::Station(block, _) => Some(block),
        }
    }

    /// The path of the row's value in the file.
    pub fn path(self) -> Path {
        let blocks = Step::Field("blocks");
        Path(match self {
            Row::Class => vec![],
            Row::Block(block) => vec![blocks, Step::Item(block)],
            Row::Station(block, station) => {
                vec![blocks, Step::Item(block), Step::Field("stations"), Step::Item(station)]
            }
        })
    }

    /// The row that a fault concerns.
    pub fn of(fault: &Fault) -> Row {
        let (Spot::Value(path) | Spot::Name(path)) = &fault.at else { return Row::Class };
        match path.0.as_slice() {
            [Step::Field("blocks"), Step::Item(block), Step::Field("stations"), Step::Item(station), ..] => {
                Row::Station(*block, *station)
            }
            [Step::Field("blocks"), Step::Item(block), ..] => Row::Block(*block),
            _ => Row::Class,
        }
    }

    /// The spans of the row.
    pub fn spans(self, schedule: &Schedule) -> impl Iterator<Item = &Span> {
        schedule.spans.iter().filter(move |span| match self {
            Row::Class => true,
            Row::Block(block) => span.block == block && span.purpose != Purpose::BlockRest,
            Row::Station(block, station) => span.block == block && span.purpose == Purpose::Work && does(span, station),
        })
    }

    /// The total length of the row's spans.
    pub fn length(self, schedule: &Schedule) -> Tick {
        self.spans(schedule).map(Span::length).sum()
    }
}

fn does(span: &Span, station: usize) -> bool {
    match span.doing {
        Doing::Station(index) | Doing::Turn(index) => index == station,
        Doing::AllAtOwnPace => station == 0,
        Doing::Nothing => false,
    }
}

/// A fault as the finding that is shown beside its row.
pub fn finding(fault: &Fault) -> Finding {
    Finding { severity: fault.severity, line: None, message: fault.message.clone(), help: fault.help.clone() }
}
