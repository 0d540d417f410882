//! A block: its format, its rests, and what its stations take from it.

use std::sync::Arc;

use super::SessionResolver;
use super::station;
use crate::session::fault::{Fault, FaultCode, LazyPath};
use crate::session::fields::{self, ValueShape};
use crate::session::ron_structs::{self, LadderOrder, TextRon};
use crate::session::{Block, BlockFormat, CallChoice, SpeechLevel, TransitionMode, defaults, limits};
use crate::time::Tick;

/// The values of the session that apply to blocks without their own.
pub(super) struct BlockDefaults {
    pub calls: Vec<CallChoice>,
    pub level: SpeechLevel,
    pub click: bool,
    pub music: Arc<[String]>,
}

impl SessionResolver<'_> {
    pub(super) fn block(
        &mut self,
        here: LazyPath<'_>,
        written: &ron_structs::BlockRon<'_>,
        session: &BlockDefaults,
    ) -> Block {
        let name = self.text(here.field("name"), &written.name, limits::NAME);
        let format = self.format(here.field("format"), written.format.as_ref());
        self.fits_format(here, written, &format);
        let rounds =
            written.rounds.map_or(defaults::ROUNDS, |rounds| self.count(here.field("rounds"), rounds, &fields::ROUNDS));
        let rest = self.length_or(here.field("rest"), written.rest.as_ref(), defaults::REST);
        let round_rest = self.length_or(here.field("round_rest"), written.round_rest.as_ref(), rest);
        let inherited = self.inherited(here, written, &format, rest, session.click);
        let stations = here.field("stations");
        if written.stations.is_empty() {
            let fault = Fault::new(FaultCode::EmptyList, stations.value(), "a block needs at least one station");
            self.say(fault.help("write stations: [\"march-tall\"]"));
        }
        let mut block = Block {
            name,
            kind: written.kind.unwrap_or(defaults::KIND),
            format,
            rounds,
            stations: Vec::with_capacity(written.stations.len()),
            round_rest,
            rest_after: self.length_or(here.field("rest_after"), written.rest_after.as_ref(), defaults::REST_AFTER),
            transitions: self.transitions(here.field("transitions"), written.transitions.as_ref()),
            start: written.start.unwrap_or(defaults::START),
            briefing: self.length_or(here.field("briefing"), written.briefing.as_ref(), defaults::BRIEFING),
            focus: self.words(here.field("focus"), written.focus.as_deref().unwrap_or_default()),
            aim: written.aim,
            allow: self.allow(here.field("allow"), written.allow.as_deref().unwrap_or_default()),
            calls: match &written.calls {
                Some(calls) => self.words(here.field("calls"), calls),
                None => session.calls.clone(),
            },
            level: written.level.unwrap_or(session.level),
            music: match &written.music {
                Some(music) => self.music(here.field("music"), music),
                None => session.music.clone(),
            },
            note: written.note.as_ref().map(|note| self.lines(here.field("note"), note, limits::NOTE)),
        };
        for (index, station) in written.stations.iter().enumerate() {
            let station = self.station(stations.item(index), station, &block.format, &inherited);
            block.stations.extend(station);
        }
        block
    }

    /// The values of the block that apply to stations without their own.
    fn inherited(
        &mut self,
        here: LazyPath<'_>,
        written: &ron_structs::BlockRon<'_>,
        format: &BlockFormat,
        rest: Tick,
        click: bool,
    ) -> station::StationDefaults {
        let work = self.work(here, written.work.as_ref(), written.reps);
        station::StationDefaults {
            work,
            work_at: here.field("work").path(),
            sides: written.sides,
            sides_at: here.field("sides").path(),
            tempo: written.tempo.as_ref().and_then(|tempo| self.tempo(here.field("tempo"), tempo)),
            tempo_at: here.field("tempo").path(),
            rest,
            click: written.click.unwrap_or(click),
            rung: match format {
                BlockFormat::Ladder { rungs } => rungs.iter().min().copied(),
                _ => None,
            },
        }
    }

    fn length_or(&mut self, here: LazyPath<'_>, written: Option<&TextRon<'_>>, default: Tick) -> Tick {
        written.map_or(default, |text| self.length(here, text))
    }

    fn transitions(&mut self, here: LazyPath<'_>, written: Option<&ron_structs::TransitionsRon<'_>>) -> TransitionMode {
        match written {
            None => defaults::TRANSITIONS,
            Some(ron_structs::TransitionsRon::Inside) => TransitionMode::Inside,
            Some(ron_structs::TransitionsRon::Added) => TransitionMode::Added,
            Some(ron_structs::TransitionsRon::Fixed(length)) => {
                TransitionMode::Fixed(self.length(here.item(0), length))
            }
            Some(ron_structs::TransitionsRon::Length(length)) => TransitionMode::Fixed(self.length(here, length)),
        }
    }

    fn format(&mut self, here: LazyPath<'_>, written: Option<&ron_structs::FormatRon<'_>>) -> BlockFormat {
        match written {
            None | Some(ron_structs::FormatRon::Circuit) => BlockFormat::Circuit,
            Some(ron_structs::FormatRon::Sets) => BlockFormat::Sets,
            Some(ron_structs::FormatRon::Emom { every }) => {
                BlockFormat::Emom { every: self.some_length(here.field("every"), every) }
            }
            Some(ron_structs::FormatRon::Amrap { time }) => {
                BlockFormat::Amrap { time: self.some_length(here.field("time"), time) }
            }
            Some(ron_structs::FormatRon::Ladder { rungs, way }) => {
                let here = here.field("rungs");
                if rungs.is_empty() {
                    let fault = Fault::new(FaultCode::EmptyList, here.value(), "a ladder needs at least one rung");
                    self.say(fault.help("write rungs: [\"20s\", \"30s\", \"40s\"]"));
                }
                self.short_list(here, rungs.len());
                let rungs = rungs.iter().take(limits::LIST).enumerate();
                let rungs = rungs.map(|(index, rung)| self.some_length(here.item(index), rung)).collect();
                BlockFormat::Ladder { rungs: rungs_in_order(rungs, way.unwrap_or_default()) }
            }
            Some(ron_structs::FormatRon::Intervals { count, last_rest }) => BlockFormat::Intervals {
                count: self.count(here.field("count"), *count, &ValueShape::Count(1, 10_000)),
                last_rest: last_rest.unwrap_or(defaults::LAST_REST),
            },
            Some(ron_structs::FormatRon::Rotation) => BlockFormat::Rotation,
        }
    }

    /// Warns about fields of the block that have no effect in its format.
    fn fits_format(&mut self, here: LazyPath<'_>, written: &ron_structs::BlockRon<'_>, format: &BlockFormat) {
        let mut idle = |name: &'static str, is_written: bool, why: &str| {
            if is_written {
                let message = format!("`{name}` has no effect here: {why}");
                let at = here.field(name);
                self.say(Fault::warning(FaultCode::NotInThisFormat, at.name(), message).help("remove it"));
            }
        };
        match format {
            BlockFormat::Ladder { .. } => {
                idle("work", written.work.is_some(), "the rungs of the ladder set the length");
                idle("reps", written.reps.is_some(), "the rungs of the ladder set the length");
            }
            BlockFormat::Emom { .. } => {
                idle("rest", written.rest.is_some(), "the rest is the remaining part of the minute");
                idle("round_rest", written.round_rest.is_some(), "the rest is the remaining part of the minute");
                idle("transitions", written.transitions.is_some(), "changes happen within the minute");
            }
            BlockFormat::Amrap { .. } => idle("rest", written.rest.is_some(), "people rest at their own pace"),
            BlockFormat::Circuit | BlockFormat::Sets | BlockFormat::Intervals { .. } | BlockFormat::Rotation => {}
        }
    }
}

/// The rungs of a ladder in the order in which they are done.
fn rungs_in_order(mut rungs: Vec<Tick>, way: LadderOrder) -> Vec<Tick> {
    match way {
        LadderOrder::Up => {}
        LadderOrder::Down => rungs.reverse(),
        LadderOrder::Both => {
            let down: Vec<Tick> = rungs.iter().rev().skip(1).copied().collect();
            rungs.extend(down);
        }
    }
    rungs
}
