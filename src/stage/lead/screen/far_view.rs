//! The far view, for a second screen or the back row: only what the class should see, as large as possible.

use ratatui::layout::{Alignment, Flex, Layout, Rect};

use super::scene::{Scene, SceneContext};
use super::upcoming::UpcomingWork;
use super::{strips, work};
use crate::drawing::canvas::Canvas;
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering, SCALES};
use crate::lead::ClassPhase;
use class::schedule::WorkingSide;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// The texts at the top, in the middle and at the bottom, and the fill of the middle text.
struct FarSign {
    above: String,
    middle: String,
    below: String,
    fill: FillStyle,
}

pub(super) fn draw(canvas: &mut Canvas, at: &SceneContext) {
    super::surroundings::edges(canvas, at);
    let area = canvas.layout.inner;
    let air = u16::from(canvas.layout.airy);
    let strip = canvas.layout.strip;
    strips::session(canvas, Rect { y: area.y + air, height: strip.min(area.height), ..area }, at);
    let body = Rect { y: area.y + air + strip + 1, height: area.height.saturating_sub(2 * air + strip + 1), ..area };
    let sign = sign(at);
    // The digits take half of the height, the lines above and below a quarter each.
    let scale = |rows: u16| SCALES.into_iter().rev().find(|scale| 4 * scale <= rows).unwrap_or(1);
    let above = Lettering::fit(&sign.above, body.width, body.height / 4, LetterSize::Large(scale(body.height / 4)));
    let below = Lettering::fit(&sign.below, body.width, body.height / 4, LetterSize::Large(scale(body.height / 6)));
    let left = body.height.saturating_sub(above.rows() + below.rows());
    let middle = Lettering::fit(&sign.middle, body.width, left, LetterSize::Large(scale(left)));
    let heights = [above.rows(), middle.rows(), below.rows()].map(ratatui::layout::Constraint::Length);
    let [top, centre, bottom] = Layout::vertical(heights).flex(Flex::SpaceBetween).areas(body);
    let (look, hue) = (canvas.look, canvas.look.hue(at.span.block));
    above.draw(canvas.buffer, top, Alignment::Center, FillStyle::Solid, look.strong());
    middle.draw(canvas.buffer, centre, Alignment::Center, sign.fill, hue);
    below.draw(canvas.buffer, bottom, Alignment::Center, FillStyle::Solid, look.text());
}

fn sign(at: &SceneContext) -> FarSign {
    let digits = work::digits(at.left());
    let with_side = |name: &str, side: WorkingSide| match side {
        WorkingSide::Left => format!("{} {name}", &WORDS.screen.signs.left),
        WorkingSide::Right => format!("{name} {}", &WORDS.screen.signs.right),
        _ => name.to_owned(),
    };
    let coming = UpcomingWork::after(at);
    let then = |label: &str| {
        let mut words = vec![format!("{label} {}", coming.name)];
        words.extend(coming.change.iter().cloned());
        words.join(" · ")
    };
    let ahead = at.ahead().unwrap_or(at.span);
    let name = with_side(at.short(ahead), at.side(ahead));
    let sign = |above: String, middle: String, below: String, fill| FarSign { above, middle, below, fill };
    match (at.scene, at.moment.phase) {
        (Scene::Ready, ClassPhase::Ready { begins_in: Some(left), .. }) => {
            sign(at.schedule.session.title.clone(), work::digits(Tick::of(left)), String::new(), FillStyle::Solid)
        }
        (Scene::Ready, _) => {
            sign(at.schedule.session.title.clone(), WORDS.screen.signs.ready.clone(), String::new(), FillStyle::Solid)
        }
        (_, ClassPhase::CountIn { left }) => {
            sign(name, work::digits(Tick::of(left)), String::new(), FillStyle::Outlined)
        }
        (Scene::Paused | Scene::Stopped | Scene::Gate, _) => {
            sign(name, WORDS.screen.signs.far_paused.clone(), String::new(), FillStyle::Outlined)
        }
        (Scene::Done, _) => {
            sign(at.schedule.session.title.clone(), WORDS.screen.signs.done.clone(), String::new(), FillStyle::Solid)
        }
        (Scene::Settle, _) => sign(name, digits, class::cue::changeover_words(&ahead.change), FillStyle::Hatched),
        (Scene::Switch, _) => sign(name, digits, WORDS.screen.signs.switch.clone(), FillStyle::Hatched),
        (Scene::Rest, _) => {
            sign(WORDS.screen.signs.rest.clone(), digits, then(&WORDS.screen.signs.next), FillStyle::Outlined)
        }
        (Scene::Last, _) => sign(name, digits, then(&WORDS.screen.signs.then), FillStyle::Solid),
        _ => sign(name, digits, reps(at), FillStyle::Solid),
    }
}

fn reps(at: &SceneContext) -> String {
    let rounds = at.schedule.passes(at.span);
    let round = if rounds > 1 { format!("{}/{rounds}", at.span.round + 1) } else { String::new() };
    match at.span.reps.filter(|&reps| reps > 0) {
        Some(reps) => fill(&WORDS.screen.amounts.up_to, &[("number", &reps.to_string())]),
        None if at.station(at.span).is_some() => round,
        None => clock(Tick::seconds(at.span.length().countdown_seconds())),
    }
}
