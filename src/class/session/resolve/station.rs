//! A station: its movement, its work, and what it takes from its block.

use std::sync::Arc;

use super::SessionResolver;
use super::sides::StationOverrides;
use crate::movement::{Movement, Sides};
use crate::session::excerpt::excerpt;
use crate::session::fault::{Fault, FaultCode, FaultSpot, LazyPath, ValuePath};
use crate::session::fields;
use crate::session::ron_structs::{self, StationFieldsRon, TextRon};
use crate::session::{BlockFormat, Station, WorkAmount, defaults, limits};
use crate::time::{Tempo, Tick};

/// The values of a block that apply to stations without their own, and the places where they are written.
pub(super) struct StationDefaults {
    pub work: Option<WorkAmount>,
    pub work_at: ValuePath,
    pub sides: Option<Sides>,
    pub sides_at: ValuePath,
    pub tempo: Option<Tempo>,
    pub tempo_at: ValuePath,
    pub rest: Tick,
    pub click: bool,
    /// The shortest rung of a ladder. None in other formats.
    pub rung: Option<Tick>,
}

impl SessionResolver<'_> {
    /// Work as a length or as repetitions. Reports a fault when both are written.
    pub(super) fn work(
        &mut self,
        here: LazyPath<'_>,
        work: Option<&TextRon<'_>>,
        reps: Option<i64>,
    ) -> Option<WorkAmount> {
        let work = work.map(|work| self.some_length(here.field("work"), work));
        let reps = reps.map(|reps| self.count(here.field("reps"), reps, &fields::REPS));
        if work.is_some() && reps.is_some() {
            let (work, reps) = (here.field("work"), here.field("reps"));
            let fault = Fault::new(FaultCode::WorkTwice, reps.value(), "write either `work` or `reps`, not both");
            self.say(fault.help("keep one of the two").related(work.value(), "`work` is here"));
        }
        work.map(WorkAmount::Time).or(reps.map(WorkAmount::Reps))
    }

    /// A station. None when its movement is not known, which is then already reported.
    pub(super) fn station(
        &mut self,
        here: LazyPath<'_>,
        written: &ron_structs::StationRon<'_>,
        format: &BlockFormat,
        block: &StationDefaults,
    ) -> Option<Station> {
        match written {
            ron_structs::StationRon::Id(id) => {
                let movement = self.movement(here, id)?;
                let work = self.worked(here, None, format, block);
                let tempo = movement.guide.as_ref().map(|guide| block.tempo.unwrap_or(guide.tempo));
                let station = plain(&movement, work, tempo, block);
                Some(self.with_sides_checked(here, station, format, block, StationOverrides::default()))
            }
            ron_structs::StationRon::Record(record) => self.station_record(here, record, format, block),
        }
    }

    fn station_record(
        &mut self,
        here: LazyPath<'_>,
        written: &StationFieldsRon<'_>,
        format: &BlockFormat,
        block: &StationDefaults,
    ) -> Option<Station> {
        let own_work = self.work(here, written.work.as_ref(), written.reps);
        if own_work.is_some() && matches!(format, BlockFormat::Ladder { .. }) {
            let name = here.field(if written.work.is_some() { "work" } else { "reps" });
            let fault =
                Fault::warning(FaultCode::NotInThisFormat, name.name(), "the rungs of the ladder set the length");
            self.say(fault.help("remove it"));
        }
        let own_tempo = written.tempo.as_ref().and_then(|tempo| self.tempo(here.field("tempo"), tempo));
        let movement = match (&written.id, &written.name) {
            (Some(id), _) => {
                self.described_twice(here, written);
                self.movement(here.field("move"), id)
            }
            (None, Some(name)) => {
                let tempo = own_tempo.or(block.tempo.filter(|_| written.reps.is_some()));
                Some(self.described(here, written, name, tempo))
            }
            (None, None) => {
                let fault = Fault::new(FaultCode::NoMovement, here.value(), "this station names no movement");
                self.say(
                    fault.help("add move: \"id\" for a movement of the catalogue, or name: \"..\" to describe one"),
                );
                None
            }
        };
        let parts = StationTexts {
            short: written.short.as_ref().map(|short| self.text(here.field("short"), short, Movement::SHORT)),
            place: written.place.as_ref().map(|place| self.text(here.field("place"), place, limits::NAME)),
            variant: written.variant.as_ref().map(|variant| self.text(here.field("variant"), variant, limits::LINE)),
            rest: written.rest.as_ref().map(|rest| self.length(here.field("rest"), rest)),
        };
        let kit = written.kit.as_deref().map(|kit| self.needs(here.field("kit"), kit));
        let prompts = written.prompts.as_deref().map(|prompts| self.prompts(here.field("prompts"), prompts));
        let faults = written.faults.as_deref().map(|faults| self.corrections(here.field("faults"), faults));
        let easier = written.easier.as_ref().map(|tier| self.tier(here.field("easier"), tier));
        let harder = written.harder.as_ref().map(|tier| self.tier(here.field("harder"), tier));
        let movement = movement?;

        let work = self.worked(here, own_work, format, block);
        let tempo = match &movement.guide {
            Some(guide) => Some(own_tempo.or(block.tempo).unwrap_or(guide.tempo)),
            None => {
                self.no_guide(here, written, &movement, own_tempo);
                None
            }
        };
        let mut station = plain(&movement, work, tempo, block);
        station.short = parts.short.unwrap_or(station.short);
        station.place = parts.place;
        station.variant = parts.variant;
        station.click = written.click.unwrap_or(station.click);
        station.optional = written.optional.unwrap_or(defaults::OPTIONAL);
        station.rest = parts.rest.unwrap_or(station.rest);
        station.kit = kit.unwrap_or(station.kit);
        station.prompts = prompts.unwrap_or(station.prompts);
        station.faults = faults.unwrap_or(station.faults);
        station.easier = easier.or(station.easier);
        station.harder = harder.or(station.harder);
        let own = StationOverrides {
            work: own_work.is_some(),
            tempo: own_tempo.is_some() && tempo.is_some(),
            sides: written.sides,
        };
        Some(self.with_sides_checked(here, station, format, block, own))
    }

    /// The work of a station: its own or its block's. Reports a fault when there is none.
    fn worked(
        &mut self,
        here: LazyPath<'_>,
        own: Option<WorkAmount>,
        format: &BlockFormat,
        block: &StationDefaults,
    ) -> WorkAmount {
        if let BlockFormat::Ladder { .. } = format {
            return WorkAmount::Time(block.rung.unwrap_or(Tick::MINUTE));
        }
        own.or(block.work).unwrap_or_else(|| {
            let fault =
                Fault::new(FaultCode::NoWork, here.value(), "neither this station nor its block has `work` or `reps`");
            self.say(fault.help("add work: \"40s\" or reps: 10 to the block or to the station"));
            WorkAmount::Time(Tick::MINUTE)
        })
    }

    /// Reports fields that describe a movement of the catalogue, which already has a description.
    fn described_twice(&mut self, here: LazyPath<'_>, written: &StationFieldsRon<'_>) {
        let fields = [
            ("name", written.name.is_some()),
            ("said", written.said.is_some()),
            ("pattern", written.pattern.is_some()),
            ("position", written.position.is_some()),
            ("prime", written.prime.is_some()),
            ("helping", written.helping.is_some()),
            ("loaded", written.loaded.is_some()),
            ("starts", written.starts.is_some()),
            ("phases", written.phases.is_some()),
            ("setup", written.setup.is_some()),
            ("cautions", written.cautions.is_some()),
        ];
        for (name, _) in fields.into_iter().filter(|(_, is_written)| *is_written) {
            let (field, id) = (here.field(name), here.field("move"));
            let fault =
                Fault::new(FaultCode::DescribedTwice, field.name(), format!("the movement has its own `{name}`"));
            self.say(
                fault
                    .help("remove this, or remove `move` and describe the movement here")
                    .related(id.value(), "the movement is named here"),
            );
        }
    }

    /// Reports a tempo or a number of repetitions for a movement without a guide, which has no repetitions.
    fn no_guide(
        &mut self,
        here: LazyPath<'_>,
        written: &StationFieldsRon<'_>,
        movement: &Movement,
        tempo: Option<Tempo>,
    ) {
        let name = excerpt(&movement.name);
        if tempo.is_some() {
            let fault = Fault::new(
                FaultCode::TempoWithoutReps,
                here.field("tempo").value(),
                format!("{name} has no repetitions"),
            );
            self.say(fault.help("remove the tempo: this movement is held, carried or done freely"));
        }
        if written.reps.is_some() {
            let fault = Fault::new(
                FaultCode::RepsWithoutTempo,
                here.field("reps").value(),
                format!("{name} has no tempo, so the time for its repetitions is not known"),
            );
            self.say(fault.help(if written.id.is_some() {
                "write work: \"40s\" instead"
            } else {
                "add tempo: \"2-0-2-0\", or write work: \"40s\" instead"
            }));
        }
    }

    /// Reports repetitions from the block when the station has no tempo.
    pub(super) fn block_reps(
        &mut self,
        here: LazyPath<'_>,
        station: &Station,
        own_work: bool,
        block: &StationDefaults,
    ) {
        if let (WorkAmount::Reps(_), None, false) = (station.work, station.tempo, own_work) {
            let mut reps = block.work_at.clone();
            if let Some(last) = reps.0.last_mut() {
                *last = crate::session::fault::PathStep::Field("reps");
            }
            let name = excerpt(&station.movement.name);
            let message = format!("{name} has no tempo, so the time for its repetitions is not known");
            self.say(
                Fault::new(FaultCode::RepsWithoutTempo, here.value(), message)
                    .help("give this station work: \"40s\", or a tempo if it is described here")
                    .related(FaultSpot::Value(reps), "the block has repetitions"),
            );
        }
    }
}

/// The values of a station that its movement does not have.
struct StationTexts {
    short: Option<String>,
    place: Option<String>,
    variant: Option<String>,
    rest: Option<Tick>,
}

/// A station with the values of its movement and its block.
fn plain(movement: &Arc<Movement>, work: WorkAmount, tempo: Option<Tempo>, block: &StationDefaults) -> Station {
    Station {
        work,
        sides: movement.sides,
        tempo,
        rest: block.rest,
        kit: movement.kit.clone(),
        place: None,
        short: movement.short.clone(),
        prompts: movement.prompts.clone(),
        faults: movement.faults.clone(),
        easier: movement.easier.clone(),
        harder: movement.harder.clone(),
        variant: None,
        optional: false,
        click: block.click,
        movement: movement.clone(),
    }
}
