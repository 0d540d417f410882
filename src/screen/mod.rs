//! The coach's screen: a pure function of the moment. It draws the state and decides nothing.

mod apportion;
mod aside;
mod coming;
mod done;
pub mod door;
mod face;
mod far;
mod guide;
mod hold;
mod ink;
mod lettering;
mod offer;
mod outline;
mod palette;
mod pane;
pub mod plan;
mod plan_finder;
mod prompts;
pub mod read_through;
mod ready;
pub mod rehearsal;
mod rest;
mod roster;
mod scene;
mod small;
pub mod soundcheck;
mod spoken;
mod stage;
mod standing;
mod strips;
mod surround;
mod text;
mod wish;
mod work;

pub use apportion::apportion;
pub use face::face;
pub use lettering::{Fill, Lettering, SCALES, Size};
pub use palette::{Colours, Look};

use ratatui::Frame;

use crate::lead::{Moment, View};
use scene::{At, Scene};
use stage::{Room, Stage};

/// The smallest terminal that a class can be led from, in columns and rows.
pub const SMALLEST: (u16, u16) = (60, 18);

/// Draws a moment over the whole frame.
pub fn draw(frame: &mut Frame, moment: &Moment, look: &Look) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut stage = Stage { buffer, look: *look, room: Room::of(area) };
    let seen = face::seen(moment);
    let at = At::of(&seen);
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return aside::too_small(&mut stage, at.as_ref());
    }
    let Some(at) = at else { return };
    if moment.view == View::Far {
        return far::draw(&mut stage, &at);
    }
    let body = surround::draw(&mut stage, &at);
    match (moment.view, at.scene) {
        (View::Help, _) => aside::help(&mut stage, body, &at),
        (View::Quit, _) => aside::quit(&mut stage, body, &at),
        (_, Scene::Ready) => ready::draw(&mut stage, body, &at),
        (_, Scene::Work | Scene::Last | Scene::Settle | Scene::Switch) => work::draw(&mut stage, body, &at),
        (_, Scene::Rest) => rest::draw(&mut stage, body, &at),
        (_, Scene::CountIn | Scene::Gate | Scene::Held | Scene::Stopped) => hold::draw(&mut stage, body, &at),
        (_, Scene::Done) => done::draw(&mut stage, body, &at),
    }
    if let Some(offered) = &at.moment.offer {
        offer::draw(&mut stage, body, &at, offered);
    }
}
