//! What comes next: its name, and what changes before it.

use ratatui::layout::{Alignment, Rect};

use super::scene::{SceneContext, switch_of_all};
use crate::drawing::canvas::Canvas;
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering};
use crate::drawing::text;
use class::cue::{changeover_phrases, stay_words};
use class::schedule::{Activity, Span, WorkingSide};
use class::time::clock;
use class::words::{WORDS, fill};

pub(super) struct UpcomingWork<'a> {
    /// The rest before it, in words.
    pub(super) rest: Option<String>,
    /// The name for large lettering.
    pub(super) name: String,
    /// The full name.
    pub(super) full: &'a str,
    pub(super) block: Option<usize>,
    /// The changes, one phrase each.
    pub(super) change: Vec<String>,
    /// What to say if only the movement changes: `stay standing`.
    stay: Option<&'static str>,
}

impl<'a> UpcomingWork<'a> {
    /// What follows the current span: its other side, the next work, or the end of the class.
    pub(super) fn after(at: &SceneContext<'a>) -> UpcomingWork<'a> {
        if switch_of_all(at.span).is_some_and(|switch_at| at.now < switch_at) {
            return UpcomingWork {
                rest: None,
                name: WORDS.screen.signs.right.clone(),
                full: &WORDS.screen.lines.right_side,
                block: Some(at.span.block),
                change: Vec::new(),
                stay: None,
            };
        }
        let rest = at.next_rest().map(|rest| fill(&WORDS.screen.amounts.rest, &[("length", &clock(rest.length()))]));
        match at.next_work() {
            Some(next) => UpcomingWork { rest, ..UpcomingWork::of(at, next) },
            None => {
                let name = WORDS.screen.signs.end_of_class.clone();
                UpcomingWork {
                    rest,
                    name,
                    full: &WORDS.screen.lines.end_of_class,
                    block: None,
                    change: Vec::new(),
                    stay: None,
                }
            }
        }
    }

    /// A work span still to come.
    pub(super) fn of(at: &SceneContext<'a>, next: &'a Span) -> UpcomingWork<'a> {
        let mut change = match next.activity {
            Activity::Turn(turn) if turn > 0 => vec![WORDS.screen.lines.move_on.clone()],
            _ => changeover_phrases(&next.change),
        };
        let side = match at.side(next) {
            WorkingSide::Left => Some(&WORDS.screen.signs.left),
            WorkingSide::Right => Some(&WORDS.screen.signs.right),
            _ => None,
        };
        let mut name = at.short(next).to_owned();
        if next.change.is_side_only()
            && let Some(side) = side
        {
            name = side.to_owned();
            change.clear();
        } else if let Some(side) = side
            && next.change.side.is_none()
        {
            change.push(fill(&WORDS.cue.changes.first_side, &[("side", &side.to_lowercase())]));
        }
        let stay = at.station(next).filter(|_| change.is_empty()).map(|station| stay_words(station.movement.position));
        UpcomingWork { rest: None, name, full: at.name(next), block: Some(next.block), change, stay }
    }

    /// Everything in one line.
    fn words(&self) -> String {
        let mut words: Vec<&str> = Vec::new();
        words.extend(self.rest.as_deref());
        words.push(self.full);
        words.extend(self.change.iter().map(String::as_str));
        words.extend(self.stay);
        words.join(" · ")
    }
}

/// Draws what comes next during work: one line of text or, if the area is high enough, lettering with text beside it.
pub(super) fn line(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let look = canvas.look;
    let coming = UpcomingWork::after(at);
    let size = if area.height >= LetterSize::Small.rows() { LetterSize::Small } else { LetterSize::Plain };
    let label = Lettering::fit(&WORDS.screen.signs.then, area.width, area.height, size);
    label.draw(canvas.buffer, area, Alignment::Left, FillStyle::Solid, look.faint());
    let place = crate::drawing::canvas::beside(area, label.columns() + 2);
    if size == LetterSize::Plain {
        canvas.put_wrapped(place, &coming.words(), look.text());
        return;
    }
    let name = Lettering::fit(&coming.name, place.width, area.height, LetterSize::Small);
    name.draw(canvas.buffer, place, Alignment::Left, FillStyle::Solid, look.text());
    let place = crate::drawing::canvas::beside(place, name.columns() + 3);
    let mut parts: Vec<&str> = coming.rest.iter().map(String::as_str).collect();
    parts.extend(coming.change.iter().map(String::as_str));
    parts.extend(coming.stay);
    let lines = text::wrapped(&parts.join(" · "), place.width);
    for (y, line) in (place.y..place.bottom()).zip(&lines) {
        canvas.put(place.x, y, line, look.faint());
    }
}
