//! Checks sides and tempo against the work: both sides get the same work, and at least one repetition fits.

use super::SessionResolver;
use super::station::StationDefaults;
use crate::movement::Sides;
use crate::session::fault::{Fault, FaultCode, FaultSpot, LazyPath};
use crate::session::{BlockFormat, Station, WorkAmount};
use crate::time::{Tick, spoken_length};

/// The values that the station itself gives. The others come from its block or its movement.
#[derive(Clone, Copy, Default)]
pub(super) struct StationOverrides {
    pub work: bool,
    pub tempo: bool,
    pub sides: Option<Sides>,
}

/// The time for a switch of sides in a left-then-right span: an estimate, the same as in the compiler's table.
const SWITCH: Tick = crate::movement::SIDE_SWITCH;

impl SessionResolver<'_> {
    /// Determines the sides of a station, then checks its tempo and sides against its work.
    pub(super) fn with_sides_checked(
        &mut self,
        here: LazyPath<'_>,
        station: Station,
        format: &BlockFormat,
        block: &StationDefaults,
        own: StationOverrides,
    ) -> Station {
        let mut station = station;
        // The sides of the block apply only to one-sided movements.
        let inherited = block.sides.filter(|_| station.sides != Sides::Together);
        station.sides = own.sides.or(inherited).unwrap_or(station.sides);
        let shared_span = matches!(format, BlockFormat::Rotation | BlockFormat::Amrap { .. });
        if station.sides == Sides::EachSide && shared_span {
            if own.sides.or(inherited).is_some() {
                let at = self.sides_at(here, block, own);
                let fault = Fault::new(
                    FaultCode::NotInThisFormat,
                    at,
                    "each_side is not possible here, because everybody shares one span",
                );
                self.say(fault.help("write left_then_right, which has both sides and a switch in one span"));
            }
            station.sides = Sides::LeftThenRight;
        }
        self.block_reps(here, &station, own.work, block);
        let length = match (station.work, format) {
            // At their own pace, people have no span for a single station.
            (_, BlockFormat::Amrap { .. }) | (WorkAmount::Reps(_), _) => None,
            (WorkAmount::Time(length), _) => Some(length),
        };
        if let Some(length) = length {
            self.tempo_fits(here, &station, length, block, own);
        }
        if let BlockFormat::Emom { every } = format {
            self.fits_minute(here, &station, *every, block, own);
        }
        station
    }

    fn sides_at(&self, here: LazyPath<'_>, block: &StationDefaults, own: StationOverrides) -> FaultSpot {
        match (own.sides, block.sides) {
            (Some(_), _) => here.field("sides").value(),
            (None, Some(_)) => FaultSpot::Value(block.sides_at.clone()),
            (None, None) => here.value(),
        }
    }

    /// The place where the length of a station's work is written.
    fn work_at(&self, here: LazyPath<'_>, block: &StationDefaults, own: StationOverrides) -> FaultSpot {
        match (own.work, block.work) {
            (true, _) => here.field("work").value(),
            (false, Some(_)) => FaultSpot::Value(block.work_at.clone()),
            (false, None) => here.value(),
        }
    }

    /// Checks that at least one repetition fits; when the sides alternate or follow each other, one on each side.
    fn tempo_fits(
        &mut self,
        here: LazyPath<'_>,
        station: &Station,
        length: Tick,
        block: &StationDefaults,
        own: StationOverrides,
    ) {
        let rep = station.tempo.map_or(Tick::ZERO, |tempo| tempo.rep());
        let name = &station.movement.name;
        if rep > length {
            let at = match (own.tempo, block.tempo) {
                (true, _) => here.field("tempo").value(),
                (false, Some(_)) => FaultSpot::Value(block.tempo_at.clone()),
                (false, None) => here.value(),
            };
            let message =
                format!("one repetition of {name} takes {}, which is longer than the work", spoken_length(rep));
            let fault = Fault::new(FaultCode::TempoTooLong, at, message)
                .help(format!("write at least {} of work, or a shorter tempo", spoken_length(rep)));
            let work = self.work_at(here, block, own);
            return self.say(fault.related(work, format!("the work is {}", spoken_length(length))));
        }
        let (needed, why) = match station.sides {
            Sides::Together | Sides::EachSide => return,
            Sides::Alternating => (rep + rep, "a repetition on each side".to_owned()),
            Sides::LeftThenRight => {
                let each = rep.max(Tick::SECOND);
                (
                    each + SWITCH + each,
                    format!("{} on each side and {} to switch", spoken_length(each), spoken_length(SWITCH)),
                )
            }
        };
        if length < needed {
            let message = format!("{} is too short for equal work on both sides of {name}", spoken_length(length));
            let fault = Fault::new(FaultCode::UnequalSides, self.sides_at(here, block, own), message)
                .help(format!("write at least {}: {why}", spoken_length(needed)));
            let work = self.work_at(here, block, own);
            self.say(fault.related(work, format!("the work is {}", spoken_length(length))));
        }
    }

    /// Checks that the work of an EMOM ends before the next work begins.
    fn fits_minute(
        &mut self,
        here: LazyPath<'_>,
        station: &Station,
        every: Tick,
        block: &StationDefaults,
        own: StationOverrides,
    ) {
        let length = super::size::worked(station);
        if length <= every {
            return;
        }
        let at = match (station.work, own.work) {
            (WorkAmount::Time(_), _) => self.work_at(here, block, own),
            (WorkAmount::Reps(_), true) => here.field("reps").value(),
            (WorkAmount::Reps(_), false) => here.value(),
        };
        let message = format!(
            "{} takes {}, but the next work begins after {}",
            station.movement.name,
            spoken_length(length),
            spoken_length(every)
        );
        let fault = Fault::new(FaultCode::WorkTooLong, at, message);
        self.say(fault.help("write less work, or a longer `every`"));
    }
}
