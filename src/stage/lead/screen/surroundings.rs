//! What surrounds every picture: the line with the place in the session, the strips, the bar on the working side, and
//! the line of keys.

use ratatui::layout::Rect;

use super::scene::{Scene, SceneContext};
use super::{end_and_spare, strips};
use crate::drawing::canvas::{Canvas, below};
use crate::drawing::text;
use crate::lead::LeadCommand;
use crate::runtime::KeyBinding;
use class::cue::level_words;
use class::schedule::{Activity, WorkingSide};
use class::session::{BlockFormat, block_letter};
use class::time::clock;
use class::words::{WORDS, fill};

/// Draws all of this; returns the area left for the picture.
pub(super) fn draw(canvas: &mut Canvas, at: &SceneContext) -> Rect {
    let room = canvas.layout;
    let inner = room.inner;
    let (air, more_air) = (u16::from(room.airy), u16::from(room.strip > 1));
    header(canvas, inner, at);
    let session = Rect { height: room.strip, ..below(inner, 1 + more_air) };
    strips::session(canvas, session, at);
    let block = Rect { y: session.bottom() + air, ..session };
    strips::block(canvas, block, at);
    edges(canvas, at);
    let top = block.bottom() - inner.y + air;
    let bottom = footer(canvas, at) + air;
    let body = below(inner, top);
    Rect { height: body.height.saturating_sub(bottom), ..body }
}

/// Draws the place in the session: title, block, station, round; and on the right the spare time.
fn header(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let look = canvas.look;
    let right = standing(at);
    let until = area.right().saturating_sub(text::columns(&right) + 2);
    canvas.put_right(area.right(), area.y, &right, if over(at) { look.strong() } else { look.faint() });
    let blocks = at.schedule.session.blocks.len();
    let chip = format!(" {} ", block_letter(at.span.block));
    let count = format!(" {}/{blocks}", at.span.block + 1);
    let place = place(at);
    let fixed = text::columns(&chip)
        + 1
        + text::columns(&at.block.name)
        + text::columns(&count)
        + place.iter().map(|part| text::columns(part)).sum::<u16>();
    let for_title = until.saturating_sub(area.x).saturating_sub(fixed + 3);
    let mut x = area.x;
    if for_title >= 8 {
        let title = text::shortened(&at.schedule.session.title, for_title);
        x = canvas.put(x, area.y, &title, look.faint()) + 2;
    }
    for (words, style) in
        [(chip.as_str(), look.on_hue(at.span.block)), (" ", look.text()), (&at.block.name, look.strong())]
    {
        x = text::put(canvas.buffer, x, area.y, words, style, until);
    }
    // Whole parts, as many as fit.
    for part in std::iter::once(count).chain(place) {
        if x + text::columns(&part) > until {
            break;
        }
        x = text::put(canvas.buffer, x, area.y, &part, look.faint(), until);
    }
}

/// The station and the round, if there are several.
fn place(at: &SceneContext) -> Vec<String> {
    let (doing, stations) = planned(at);
    let passes = at.schedule.passes(at.span);
    let mut place = Vec::new();
    let words = &WORDS.screen.place;
    let counted = |wording, number: String, total: String| fill(wording, &[("number", &number), ("total", &total)]);
    match doing {
        Activity::Station(station) if stations > 1 => {
            place.push(counted(&words.station, (station + 1).to_string(), stations.to_string()));
        }
        Activity::Turn(turn) => place.push(counted(&words.turn, (turn + 1).to_string(), stations.to_string())),
        _ => {}
    }
    if passes > 1 && at.span.activity != Activity::Nothing {
        let wording = match at.block.format {
            BlockFormat::Sets => &words.set,
            BlockFormat::Ladder { .. } => &words.rung,
            _ => &words.round,
        };
        place.push(counted(wording, (at.span.round + 1).to_string(), passes.to_string()));
    }
    if let BlockFormat::Emom { every } = at.block.format {
        place.push(fill(&words.every, &[("length", &clock(every))]));
    }
    place.into_iter().map(|part| format!(" · {part}")).collect()
}

/// What the plan does now, and the number of stations that this block has in the plan. A station that was put in for
/// another one keeps the place of that one.
fn planned(at: &SceneContext) -> (Activity, usize) {
    let changed = &at.moment.changed;
    let doing = changed.deviations.get(at.index).and_then(|mark| mark.instead_of).unwrap_or(at.span.activity);
    let block = changed.plan.and_then(|plan| plan.session.blocks.get(at.span.block)).unwrap_or(at.block);
    (doing, block.stations.len())
}

/// Whether the class ends after the slot.
fn over(at: &SceneContext) -> bool {
    end_and_spare::over(at.moment).is_some_and(|over| over >= strips::SEEN)
}

/// The end of the class, and the time spare or over. During work the end is shown only if the class is over.
fn standing(at: &SceneContext) -> String {
    let working = matches!(at.scene, Scene::Settle | Scene::Switch | Scene::Work | Scene::Last);
    let ends = end_and_spare::ends(at.moment).filter(|_| (!working || over(at)) && at.scene != Scene::Done);
    let spare = at.moment.spare.and_then(end_and_spare::over_roughly).or_else(|| end_and_spare::spare(at.moment));
    ends.into_iter().chain(spare).collect::<Vec<_>>().join(" · ")
}

/// Draws the bar at the edge of the working side, hatched until the work begins.
pub(super) fn edges(canvas: &mut Canvas, at: &SceneContext) {
    let (symbol, x) = match (at.scene, at.side(at.span)) {
        (Scene::Work | Scene::Last, WorkingSide::Left) => ("█", 0),
        (Scene::Settle | Scene::Switch, WorkingSide::Left) => ("▒", 0),
        (Scene::Work | Scene::Last, WorkingSide::Right) => {
            ("█", canvas.layout.area.width.saturating_sub(canvas.layout.edge))
        }
        (Scene::Settle | Scene::Switch, WorkingSide::Right) => {
            ("▒", canvas.layout.area.width.saturating_sub(canvas.layout.edge))
        }
        _ => return,
    };
    let area = canvas.layout.area;
    let style = canvas.look.hue(at.span.block);
    for y in area.y..area.bottom() {
        for column in 0..canvas.layout.edge {
            text::put(canvas.buffer, area.x + x + column, y, symbol, style, area.right());
        }
    }
}

/// Draws the keys, how much is said and, above them, a message if there is one; returns the rows taken.
fn footer(canvas: &mut Canvas, at: &SceneContext) -> u16 {
    let look = canvas.look;
    let inner = canvas.layout.inner;
    let y = inner.bottom().saturating_sub(1);
    let words = &WORDS.screen.keys;
    let says = match at.moment.muted {
        true => words.muted.clone(),
        false => fill(&words.says, &[("level", level_words(at.moment.level))]),
    };
    let style = if at.moment.muted { look.alarm() } else { look.faint() };
    canvas.put_right(inner.right(), y, &says, style);
    let room = inner.width.saturating_sub(text::columns(&says) + 2);
    let mut keys = keys(at);
    let columns = |keys: &[(&str, &str)]| -> u16 {
        keys.iter().map(|(key, does)| text::columns(key) + text::columns(does) + 4).sum::<u16>().saturating_sub(3)
    };
    while !keys.is_empty() && columns(&keys) > room {
        keys.pop();
    }
    let mut x = inner.x;
    for (key, does) in keys {
        x = canvas.put(x, y, key, look.text()) + 1;
        x = canvas.put(x, y, does, look.faint()) + 3;
    }
    let Some(message) = at.moment.message else { return 1 };
    let lines = text::wrapped(message, inner.width.saturating_sub(2));
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX).min(4);
    for (row, line) in (0..rows).zip(&lines) {
        canvas.put(inner.x, y.saturating_sub(rows - row), &format!(" {line} "), look.alarm());
    }
    rows + 1
}

/// The keys that do something now, most important first: if the line is short, the last keys are left out first.
fn keys<'a>(at: &SceneContext<'a>) -> Vec<(&'a str, &'static str)> {
    const BUTTONS: [LeadCommand; 3] = [LeadCommand::Go, LeadCommand::Offer, LeadCommand::Close];
    const RUNNING: [LeadCommand; 10] = [
        LeadCommand::Go,
        LeadCommand::Next,
        LeadCommand::Back,
        LeadCommand::Stop,
        LeadCommand::Help,
        LeadCommand::Quit,
        LeadCommand::Again,
        LeadCommand::Mute,
        LeadCommand::Far,
        LeadCommand::Less,
    ];
    const STANDING: [LeadCommand; 7] = [
        LeadCommand::Go,
        LeadCommand::Stop,
        LeadCommand::Help,
        LeadCommand::Quit,
        LeadCommand::Mute,
        LeadCommand::Far,
        LeadCommand::Less,
    ];
    let (presses, go): (&[LeadCommand], Option<&str>) = match at.scene {
        Scene::Done => (&[LeadCommand::Quit, LeadCommand::Far], None),
        Scene::Ready | Scene::Gate => (&STANDING, Some(&WORDS.screen.keys.begin)),
        Scene::Paused | Scene::Stopped | Scene::CountIn => (&STANDING, Some(&WORDS.screen.keys.resume)),
        _ => (&RUNNING, None),
    };
    let keymap = at.moment.keymap;
    let named = |&press: &LeadCommand| {
        let does = go.filter(|_| press == LeadCommand::Go).or_else(|| KeyBinding::of(press).map(KeyBinding::short))?;
        Some((keymap.key_for(press)?, does))
    };
    // The buttons that the coach holds come first.
    let buttons = BUTTONS.iter().filter(|_| !keymap.is_empty() && at.scene != Scene::Done);
    let others = presses.iter().filter(|press| keymap.is_empty() || !BUTTONS.contains(press));
    buttons.chain(others).filter_map(named).collect()
}
