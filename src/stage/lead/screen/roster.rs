//! Who does what where people do different things: all stations of a block at their own pace, or one station per group.

use super::scene::SceneContext;
use crate::drawing::pane::PaneEntry;
use class::schedule::{Activity, Span};
use class::session::WorkAmount;
use class::time::clock;
use class::words::{WORDS, fill};

/// The stations of a span's block, each with the group that is there, or with how much of it everybody does.
pub(super) fn station_entries(at: &SceneContext, span: &Span) -> Vec<PaneEntry> {
    let stations = &at.block_at(span).stations;
    let entry = |(index, station): (usize, &class::session::Station)| {
        let who = match (span.activity, station.work) {
            // Group g is at station g + t; after the last station comes the first.
            (Activity::Turn(turn), _) => {
                let group = (index + stations.len() - turn % stations.len()) % stations.len();
                fill(&WORDS.screen.amounts.group, &[("number", &(group + 1).to_string())])
            }
            (_, WorkAmount::Reps(reps)) => format!("{reps} ×"),
            (_, WorkAmount::Time(length)) => clock(length),
        };
        let at_place = |name: &str| match &station.place {
            Some(place) => format!("{name} · {place}"),
            None => name.to_owned(),
        };
        let short = Some(at_place(&station.short));
        PaneEntry { short, ..PaneEntry::new(who, at_place(&station.movement.name)) }
    };
    stations.iter().enumerate().map(entry).collect()
}
