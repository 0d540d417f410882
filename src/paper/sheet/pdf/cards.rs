//! Lays a card out as strips.

use super::flow::{PageArea, SheetStrip, StripElement, columns, end_group};
use super::typeset::{TextStyle, Typesetter};
use super::{KEY, TEXT};
use crate::sheet::card::{StationCard, TempoBar};
use crate::sheet::text::card_lines;

/// Space between a label and its text, in points.
const GUTTER: f32 = 12.0;

/// The strips of one card.
pub(super) fn strips(card: &StationCard, typesetter: &mut Typesetter, frame: PageArea) -> Vec<SheetStrip> {
    let width = frame.width;
    let mut set = |text: &str, style: TextStyle, width: f32| typesetter.set(text, style, width);
    let number = set(&card.number.to_string(), TextStyle::bold(KEY * 3.0), width * 0.3);
    let left = number.width() + GUTTER;
    let name = set(&card.movement, TextStyle::bold(KEY * 1.8), width - left);
    let mut strips = columns(&[(set(&card.block, TextStyle::plain(KEY), width), 0.0)]);
    strips.extend(columns(&[(number, 0.0), (name, left)]));
    strips.push(SheetStrip::of(10.0, vec![StripElement::rule(0.0, 5.0, width, 2.0)]).kept());
    let lines = card_lines(card);
    let labels: Vec<_> = lines.iter().map(|(words, _)| set(words, TextStyle::plain(TEXT), width / 3.0)).collect();
    let edge = labels.iter().map(|set| set.width()).fold(0.0, f32::max) + GUTTER;
    for ((words, line), label) in lines.iter().zip(labels) {
        let style = if matches!(*words, "do" | "say" | "next") { TextStyle::bold(KEY) } else { TextStyle::plain(KEY) };
        strips.extend(columns(&[(label, 0.0), (set(line, style, width - edge), edge)]));
        if let ("tempo", Some(tempo)) = (*words, &card.tempo) {
            strips.push(drawn_tempo(tempo, edge, width - edge, KEY));
        }
        end_group(&mut strips);
        strips.push(SheetStrip::gap(KEY * 0.3));
    }
    strips
}

/// Draws one repetition as a line that goes down and up, to scale in time, with a mark for each second.
fn drawn_tempo(tempo: &TempoBar, left: f32, width: f32, key: f32) -> SheetStrip {
    let total: u64 = tempo.phases.iter().map(|phase| phase.seconds).sum();
    let (high, low) = (key * 0.3, key * 1.8);
    let level = |height: u8| if height == 0 { low } else { high };
    let second = (width / total.max(1) as f32).min(key * 3.0);
    let x = |seconds: u64| left + seconds as f32 * second;
    let mut points = Vec::new();
    let mut at = 0;
    for phase in &tempo.phases {
        points.push((x(at), level(phase.from)));
        at += phase.seconds;
        points.push((x(at), level(phase.to)));
    }
    let mark = |tick| StripElement::Stroke {
        points: vec![(x(tick), low + key * 0.2), (x(tick), low + key * 0.5)],
        weight: 1.0,
    };
    let mut marks: Vec<StripElement> = (0..=total).map(mark).collect();
    marks.push(StripElement::Stroke { points, weight: 4.0 });
    SheetStrip::of(low + key * 0.6, marks)
}
