//! A block: its format, its rests, and what its stations take from it.

use std::sync::Arc;

use super::Resolver;
use super::station;
use crate::session::fault::{Code, Fault, Here};
use crate::session::fields::{self, Shape};
use crate::session::written::{self, Text, Way};
use crate::session::{Block, CallWord, Format, Level, Transitions, bounds, defaults};
use crate::time::Tick;

/// The values of the session that apply to blocks without their own.
pub struct Inherited {
    pub calls: Vec<CallWord>,
    pub level: Level,
    pub click: bool,
    pub music: Arc<[String]>,
}

impl Resolver<'_> {
    pub fn block(&mut self, here: Here<'_>, written: &written::Block<'_>, session: &Inherited) -> Block {
        let name = self.text(here.field("name"), &written.name, bounds::NAME);
        let format = self.format(here.field("format"), written.format.as_ref());
        self.fits_format(here, written, &format);
        let rounds =
            written.rounds.map_or(defaults::ROUNDS, |rounds| self.count(here.field("rounds"), rounds, &fields::ROUNDS));
        let rest = self.length_or(here.field("rest"), written.rest.as_ref(), defaults::REST);
        let round_rest = self.length_or(here.field("round_rest"), written.round_rest.as_ref(), rest);
        let inherited = self.inherited(here, written, &format, rest, session.click);
        let stations = here.field("stations");
        if written.stations.is_empty() {
            let fault = Fault::new(Code::EmptyList, stations.value(), "a block needs at least one station");
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
            note: written.note.as_ref().map(|note| self.lines(here.field("note"), note, bounds::NOTE)),
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
        here: Here<'_>,
        written: &written::Block<'_>,
        format: &Format,
        rest: Tick,
        click: bool,
    ) -> station::Inherited {
        let work = self.work(here, written.work.as_ref(), written.reps);
        station::Inherited {
            work,
            work_at: here.field("work").path(),
            sides: written.sides,
            sides_at: here.field("sides").path(),
            tempo: written.tempo.as_ref().and_then(|tempo| self.tempo(here.field("tempo"), tempo)),
            tempo_at: here.field("tempo").path(),
            rest,
            click: written.click.unwrap_or(click),
            rung: match format {
                Format::Ladder { rungs } => rungs.iter().min().copied(),
                _ => None,
            },
        }
    }

    fn length_or(&mut self, here: Here<'_>, written: Option<&Text<'_>>, default: Tick) -> Tick {
        written.map_or(default, |text| self.length(here, text))
    }

    fn transitions(&mut self, here: Here<'_>, written: Option<&written::Transitions<'_>>) -> Transitions {
        match written {
            None => defaults::TRANSITIONS,
            Some(written::Transitions::Inside) => Transitions::Inside,
            Some(written::Transitions::Added) => Transitions::Added,
            Some(written::Transitions::Fixed(length)) => Transitions::Fixed(self.length(here.item(0), length)),
            Some(written::Transitions::Length(length)) => Transitions::Fixed(self.length(here, length)),
        }
    }

    fn format(&mut self, here: Here<'_>, written: Option<&written::Format<'_>>) -> Format {
        match written {
            None | Some(written::Format::Circuit) => Format::Circuit,
            Some(written::Format::Sets) => Format::Sets,
            Some(written::Format::Emom { every }) => {
                Format::Emom { every: self.some_length(here.field("every"), every) }
            }
            Some(written::Format::Amrap { time }) => Format::Amrap { time: self.some_length(here.field("time"), time) },
            Some(written::Format::Ladder { rungs, way }) => {
                let here = here.field("rungs");
                if rungs.is_empty() {
                    let fault = Fault::new(Code::EmptyList, here.value(), "a ladder needs at least one rung");
                    self.say(fault.help("write rungs: [\"20s\", \"30s\", \"40s\"]"));
                }
                self.short_list(here, rungs.len());
                let rungs = rungs.iter().take(bounds::LIST).enumerate();
                let rungs = rungs.map(|(index, rung)| self.some_length(here.item(index), rung)).collect();
                Format::Ladder { rungs: climbed(rungs, way.unwrap_or_default()) }
            }
            Some(written::Format::Intervals { count, last_rest }) => Format::Intervals {
                count: self.count(here.field("count"), *count, &Shape::Count(1, 10_000)),
                last_rest: last_rest.unwrap_or(defaults::LAST_REST),
            },
            Some(written::Format::Rotation) => Format::Rotation,
        }
    }

    /// Warns about fields of the block that have no effect in its format.
    fn fits_format(&mut self, here: Here<'_>, written: &written::Block<'_>, format: &Format) {
        let mut idle = |name: &'static str, is_written: bool, why: &str| {
            if is_written {
                let message = format!("`{name}` has no effect here: {why}");
                let at = here.field(name);
                self.say(Fault::warning(Code::NotInThisFormat, at.name(), message).help("remove it"));
            }
        };
        match format {
            Format::Ladder { .. } => {
                idle("work", written.work.is_some(), "the rungs of the ladder set the length");
                idle("reps", written.reps.is_some(), "the rungs of the ladder set the length");
            }
            Format::Emom { .. } => {
                idle("rest", written.rest.is_some(), "the rest is the remaining part of the minute");
                idle("round_rest", written.round_rest.is_some(), "the rest is the remaining part of the minute");
                idle("transitions", written.transitions.is_some(), "changes happen within the minute");
            }
            Format::Amrap { .. } => idle("rest", written.rest.is_some(), "people rest at their own pace"),
            Format::Circuit | Format::Sets | Format::Intervals { .. } | Format::Rotation => {}
        }
    }
}

/// The rungs of a ladder in the order in which they are done.
fn climbed(mut rungs: Vec<Tick>, way: Way) -> Vec<Tick> {
    match way {
        Way::Up => {}
        Way::Down => rungs.reverse(),
        Way::Both => {
            let down: Vec<Tick> = rungs.iter().rev().skip(1).copied().collect();
            rungs.extend(down);
        }
    }
    rungs
}
